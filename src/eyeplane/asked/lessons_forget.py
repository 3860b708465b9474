"""What frames taught, forgotten for good, and sittings labelled."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from eyeplane.asked.lessons import HOW, unknown_kit, unknown_sitter
from eyeplane.errors import InputError
from eyeplane.learn.kit_names import kit_name
from eyeplane.learn.lessons import named_kits
from eyeplane.records.lessons import Lesson
from eyeplane.sitting.lessons import check_one_kit, refresh_learned
from eyeplane.store import Lessons
from eyeplane.store.lessons import is_within
from eyeplane.store.remembered import name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """What is to be forgotten; several are all to hold.

    Attributes
    ----------
    kit, sitter : str or None
        Names.
    folder : str or None
        A sitting's key, and of those inside it.
    before : datetime or None
        A day.
    """

    kit: str | None = None
    sitter: str | None = None
    folder: str | None = None
    before: datetime.datetime | None = None


def forget_lessons(
    lessons: Lessons, asked: Going, *, ask: Callable[[int, int], None] | None = None
) -> int:
    """Forget what frames taught.

    Parameters
    ----------
    lessons : Lessons
        Open.
    asked : Going
        What goes; with nothing named: everything.
    ask : callable or None
        Told how many frames of how many sittings would go; may end it by an exception.

    Returns
    -------
    int
        Frames whose lessons were forgotten; 0 where only notes of a folder went.

    Raises
    ------
    InputError
        If nothing is known of what was named.
    StoreError
        If the store cannot be used.
    """
    told = named_kits([*lessons.all(), *lessons.only_labelled()])
    going = lessons_going(told, asked)
    frames = len({one.sha256 for one in going} - {""})
    parts = (asked.kit, asked.sitter, asked.folder, asked.before)
    only = asked.folder if sum(part is not None for part in parts) == 1 else None
    if not going and only is None:
        raise _nothing()
    if ask is not None:
        ask(frames, len({one.sitting for one in going}))
    gone = {_frame(one) for one in going}
    before = lessons.forgotten()
    lessons.forget(lambda one: _frame(one) in gone, folder=only)
    if not going and lessons.forgotten() == before:
        raise _nothing()
    refresh_learned(lessons)
    return frames


def label_sittings(
    lessons: Lessons, folder: str, labels: Mapping[str, str], *, where: str
) -> tuple[int, int]:
    """Label sittings in a folder and those inside it.

    Parameters
    ----------
    lessons : Lessons
        Open.
    folder : str
        Its key.
    labels : mapping of str to str
        By the names of `SittingLabels`; an empty text takes one away.
    where : str
        How the folder is called in messages.

    Returns
    -------
    tuple of int
        Frames and folders that were labelled.

    Raises
    ------
    InputError
        If nothing was learned there, or a kit is named for several.
    StoreError
        If the store cannot be used.
    """
    told = lessons.all()
    there = [one for one in told if is_within(one.sitting, folder)]
    if not there:
        raise InputError(
            "nothing was learned from frames there yet",
            where=where,
            hint=f"Measure it first: eyeplane measure {where}, with the same labels if you like",
        )
    if labels.get("kit"):
        check_one_kit({one.kit for one in there})
    sittings = sorted({one.sitting for one in there})
    lessons.label(sittings, labels)
    refresh_learned(lessons)
    return len({one.sha256 for one in there}), len(sittings)


def _nothing() -> InputError:
    return InputError(
        "no frame that taught anything is all of that, so nothing was forgotten",
        where="eyeplane learned forget",
        hint="See what there is: eyeplane learned show. Check the folder's name, or the day",
    )


def lessons_going(told: list[Lesson], asked: Going) -> list[Lesson]:
    """Return the lessons that all names fit; all other lessons of their frames go with them.

    Parameters
    ----------
    told : list of Lesson
        All that are kept.
    asked : Going
        What is to be forgotten.

    Returns
    -------
    list of Lesson
        Perhaps none.

    Raises
    ------
    InputError
        If nothing was learned yet, or nothing of that kit or sitter.
    """
    if not told and asked.folder is None:
        raise InputError("nothing was learned yet", where="eyeplane learned", hint=HOW)
    tests: list[Callable[[Lesson], bool]] = []
    if asked.kit is not None:
        kit = name_key(asked.kit)
        if not any(kit in _kit_keys(one) for one in told):
            shown = {one.labels.kit or kit_name(one.kit) for one in told}
            raise unknown_kit(asked.kit, sorted(shown))
        tests.append(lambda one: kit in _kit_keys(one))
    if asked.sitter is not None:
        sitter = name_key(asked.sitter)
        known = {one.labels.sitter for one in told if one.labels.sitter}
        if sitter not in {name_key(one) for one in known}:
            raise unknown_sitter(asked.sitter, sorted(known))
        tests.append(lambda one: name_key(one.labels.sitter) == sitter)
    if asked.folder is not None:
        folder = asked.folder
        tests.append(lambda one: is_within(one.sitting, folder))
    if asked.before is not None:
        day_s = asked.before.replace(tzinfo=datetime.UTC).timestamp()
        tests.append(lambda one: one.captured_s is not None and one.captured_s < day_s)
    going = {_frame(one) for one in told if all(test(one) for test in tests)}
    return [one for one in told if _frame(one) in going]


def _frame(one: Lesson) -> tuple[str, str]:
    """Return what tells a frame from others; a sitting that has labels only has no frame."""
    return one.sha256, "" if one.sha256 else one.sitting


def _kit_keys(one: Lesson) -> set[str]:
    return {name_key(name) for name in (one.labels.kit, kit_name(one.kit)) if name}
