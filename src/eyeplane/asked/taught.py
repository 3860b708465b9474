"""What was learned by now, and the sittings that taught it, for who looks at them on a page."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path, PurePath

from eyeplane.learn.kit_names import kit_name
from eyeplane.learn.lessons import named_kits
from eyeplane.records import from_plain
from eyeplane.records.lessons import LEARN_VERSION, LearnedNumbers, Lesson, SittingLabels
from eyeplane.sitting.lessons import refresh_learned
from eyeplane.store import Lessons, default_store_path, read_learned

ID_DIGITS = 16  # hexadecimal, of the hash that names a sitting in forms: no path stands in them


@dataclass(frozen=True, slots=True, kw_only=True)
class TaughtSitting:
    """A sitting that taught something.

    Attributes
    ----------
    id : str
        Its name in forms.
    folder : str
        As the store knows it.
    name : str
        The folder's own name.
    frames : int
        Frames that taught anything.
    shot_on : str
        Day of the newest frame, YYYY-MM-DD by the camera's clock; empty if unknown.
    labels : SittingLabels
        What was said of it.
    """

    id: str
    folder: str
    name: str
    frames: int
    shot_on: str
    labels: SittingLabels


def learned_now(store: Path | None) -> LearnedNumbers | None:
    """Return what all sittings taught by now.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    LearnedNumbers or None
        Worked out anew only where something changed since; None where nothing was learned yet.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    path = store or default_store_path()
    kept = read_learned(path)
    if kept is None:
        return None
    if not kept.stale and kept.numbers.get("version") == LEARN_VERSION:
        try:
            return from_plain(LearnedNumbers, kept.numbers)
        except (KeyError, TypeError, ValueError):
            pass  # of another form: worked out anew
    with Lessons(path) as lessons:
        return refresh_learned(lessons)


def taught_sittings(lessons: Lessons) -> tuple[TaughtSitting, ...]:
    """Return the sittings that taught something.

    Parameters
    ----------
    lessons : Lessons
        Open.

    Returns
    -------
    tuple of TaughtSitting
        The newest first, those without a day last.
    """
    told: dict[str, list[Lesson]] = {}
    for one in lessons.all():
        told.setdefault(one.sitting, []).append(one)
    labels = lessons.labels()
    found = [_taught(folder, own, labels.get(folder)) for folder, own in told.items()]
    return tuple(sorted(found, key=lambda one: (one.shot_on, one.name), reverse=True))


def names_taught(lessons: Lessons) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the kits and sitters that anything was learned of.

    Parameters
    ----------
    lessons : Lessons
        Open.

    Returns
    -------
    kits, sitters : tuple of str
        As they are shown, sorted.
    """
    told = named_kits(lessons.all())
    kits = {one.labels.kit or kit_name(one.kit) for one in told}
    sitters = {one.labels.sitter for one in told}
    return tuple(sorted(kits - {""})), tuple(sorted(sitters - {""}))


def _taught(folder: str, own: Sequence[Lesson], labels: SittingLabels | None) -> TaughtSitting:
    newest = max((one.captured_s for one in own if one.captured_s is not None), default=None)
    day = "" if newest is None else datetime.fromtimestamp(newest, tz=UTC).strftime("%Y-%m-%d")
    return TaughtSitting(
        id=hashlib.sha256(folder.encode()).hexdigest()[:ID_DIGITS],
        folder=folder,
        name=PurePath(folder).name or folder,
        frames=len({one.sha256 for one in own}),
        shot_on=day,
        labels=labels or SittingLabels(),
    )
