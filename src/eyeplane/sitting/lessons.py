"""What each frame of a sitting teaches, kept quietly for all sittings to come."""

import os
from collections.abc import Callable, Collection, Sequence
from dataclasses import asdict
from pathlib import Path

from eyeplane.errors import InputError, StoreError
from eyeplane.learn import learn_all
from eyeplane.learn.kit_names import kit_names
from eyeplane.learn.speeds import Mover
from eyeplane.records import Exposure, SittingFrame, to_plain
from eyeplane.records.lessons import LearnedNumbers, Lesson, SittingLabels
from eyeplane.records.said import count_word, listed
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.offsets import kit_of, told_offsets
from eyeplane.sitting.speeds import speeds_of
from eyeplane.store import Lessons, default_store_path
from eyeplane.store.lessons import sitting_key

Kit = tuple[str, str, str, str]

RENDERED = "rendered"  # how the body of a frame is called that no camera took, as in the demo


def lessons_of(frames: Sequence[SittingFrame]) -> dict[str, tuple[Lesson, ...]]:
    """Return what each frame teaches.

    Parameters
    ----------
    frames : sequence of SittingFrame
        Of one sitting or several, in order of time.

    Returns
    -------
    dict of str to tuple of Lesson
        By content hash, also of frames that teach nothing; without unreadable ones. Each folder
        is a sitting of its own. Rendered frames teach nothing: no hand held a camera there.

    Notes
    -----
    A frame teaches how fast camera and sitter moved, if only that they moved no faster than would
    have shown, and where the focus lay, where that is told.
    """
    found: dict[str, tuple[Lesson, ...]] = {}
    for folder, own in _by_folder(frames).items():
        lessons = [*_speeds(own, "shake", folder), *_speeds(own, "sitter", folder)]
        lessons += _offsets(own, folder)
        taught: dict[str, list[Lesson]] = {
            frame.reading.sha256: [] for frame in own if frame.reading.sha256
        }
        for one in lessons:
            taught.get(one.sha256, []).append(one)
        found |= {sha256: tuple(told) for sha256, told in taught.items()}
    rendered = {one.reading.sha256 for one in frames if is_rendered(one.reading.exposure)}
    return {sha256: () if sha256 in rendered else told for sha256, told in found.items()}


def is_rendered(exif: Exposure) -> bool:
    """Return whether no camera took a frame.

    Parameters
    ----------
    exif : Exposure
        Of the frame.

    Returns
    -------
    bool
        By the name of its body.
    """
    return (exif.body or "").split(" ")[0].lower() == RENDERED


def keep_lessons(
    frames: Sequence[SittingFrame],
    store_path: Path | None,
    *,
    labels: SittingLabels | None = None,
    heard: Callable[[str], None] | None = None,
) -> None:
    """Keep what frames teach, and what all lessons say together.

    Parameters
    ----------
    frames : sequence of SittingFrame
        Measured and answered.
    store_path : Path or None
        The store's file; None is the user's own.
    labels : SittingLabels or None
        For the sittings of these frames; what is empty stays as it was.
    heard : callable or None
        Told, in a sentence, if nothing could be learned.

    Notes
    -----
    Never fails: a measurement is not lost because nothing was learned from it.
    """
    said = {name: text for name, text in asdict(labels or SittingLabels()).items() if text}
    try:
        with Lessons(store_path or default_store_path()) as store:
            changed = store.keep(lessons_of(frames))
            if "kit" in said:
                _drop_kit_of_several(frames, said, heard)
            if said:
                store.label(sittings_of(frames), said)
            if changed or said:
                refresh_learned(store)
    except StoreError as error:
        _say(heard, f"Nothing was learned from these frames: {error}")
    except Exception as error:  # noqa: BLE001  a fault of ours must not lose hours of measuring
        _say(heard, f"Nothing was learned from these frames, a fault of eyeplane's ({error!r})")


def check_one_kit(kits: Collection[Kit]) -> None:
    """Refuse a name for a kit where there are several.

    Parameters
    ----------
    kits : collection of tuple of str
        Body, its serial number, lens, its serial number.

    Raises
    ------
    InputError
        If there are two or more.
    """
    if len(kits) > 1:
        raise InputError(
            f"frames there are of {count_word(len(kits))} kits "
            f"({listed(sorted(kit_names(kits).values()))}), and a name is of one",
            where="--kit",
            hint="Put the frames of each into a folder of its own, and name it there",
        )


def refresh_learned(store: Lessons, *, half_life_days: float | None = None) -> LearnedNumbers:
    """Work out what all lessons say together, and keep it for plans.

    Parameters
    ----------
    store : Lessons
        Open.
    half_life_days : float or None
        Age at which a sitting counts half from now on, 0 for none; None: as it was.

    Returns
    -------
    LearnedNumbers
        As kept.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    half = store.half_life_days() if half_life_days is None else half_life_days or None
    numbers = learn_all(store.all(), half_life_days=half)
    store.keep_numbers(to_plain(numbers), half)
    return numbers


def sittings_of(frames: Sequence[SittingFrame]) -> tuple[str, ...]:
    """Return the folders that frames lie in.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of str
        As lessons name their sitting, each once.
    """
    return tuple(_by_folder(frames))


def _drop_kit_of_several(
    frames: Sequence[SittingFrame], said: dict[str, str], heard: Callable[[str], None] | None
) -> None:
    try:
        check_one_kit({kit_of(one.reading.exposure) for one in frames if one.reading.faces})
    except InputError as error:
        del said["kit"]
        _say(heard, f"No kit was named: {error}")


def _say(heard: Callable[[str], None] | None, sentence: str) -> None:
    if heard is not None:
        heard(sentence)


def _by_folder(frames: Sequence[SittingFrame]) -> dict[str, list[SittingFrame]]:
    folders: dict[str, list[SittingFrame]] = {}
    keys: dict[str, str] = {}
    for frame in frames:
        folder = os.path.dirname(frame.reading.path)  # noqa: PTH120  of text that need not be one
        key = keys.setdefault(folder, sitting_key(folder or "."))
        folders.setdefault(key, []).append(frame)
    return folders


def _speeds(frames: Sequence[SittingFrame], mover: Mover, folder: str) -> list[Lesson]:
    starts = _starts(frames)
    found = []
    for speed in speeds_of(frames, mover):
        frame = frames[speed.number]
        exif, deciding = frame.reading.exposure, frame.answer.deciding
        distance = None if deciding is None else frame.reading.faces[deciding].face.distance_mm
        found.append(
            Lesson(
                sha256=frame.reading.sha256,
                kind=mover,
                sitting=folder,
                captured_s=exif.captured_s,
                burst=starts[speed.burst],
                value=speed.value,
                seen=speed.seen,
                owned=not speed.seen or short_cause(frame.answer) == mover,
                unit_per_px=speed.unit_per_px,
                exposure_time_s=exif.exposure_time_s,
                f_number=exif.f_number,
                focal_length_mm=exif.focal_length_mm,
                distance_mm=None if distance is None else distance.value,
                kit=kit_of(exif),
            )
        )
    return found


def _offsets(frames: Sequence[SittingFrame], folder: str) -> list[Lesson]:
    starts = _starts(frames)
    found = []
    for told in told_offsets(frames):
        frame = frames[told.number]
        exif = frame.reading.exposure
        sitter = next(n for n, face in enumerate(frame.answer.faces) if face.sitter)
        distance = frame.reading.faces[sitter].face.distance_mm
        found.append(
            Lesson(
                sha256=frame.reading.sha256,
                kind="focus",
                sitting=folder,
                captured_s=exif.captured_s,
                burst=starts[told.burst],
                value=told.offset_mm.value,
                error_mm=told.error_mm,
                exposure_time_s=exif.exposure_time_s,
                f_number=exif.f_number,
                focal_length_mm=exif.focal_length_mm,
                distance_mm=None if distance is None else distance.value,
                point=told.point,
                kit=told.kit,
            )
        )
    return found


def _starts(frames: Sequence[SittingFrame]) -> dict[int, int]:
    """Return what each burst is called: the second it began, which stays when one is measured."""
    starts: dict[int, int] = {}
    for frame in frames:
        if frame.burst is not None:
            began = frame.reading.exposure.captured_s
            starts.setdefault(frame.burst, frame.burst if began is None else int(began))
    return starts
