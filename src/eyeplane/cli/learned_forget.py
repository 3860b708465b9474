"""`eyeplane learned forget` and `label`: what goes, what stays, and how a sitting is called."""

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from eyeplane.cli.learned import HOW, open_lessons, unknown_kit, unknown_sitter
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.learn.kit_names import kit_name
from eyeplane.learn.lessons import named_kits
from eyeplane.records.lessons import Lesson
from eyeplane.sitting.lessons import check_one_kit, refresh_learned
from eyeplane.store import Lessons
from eyeplane.store.lessons import is_within, sitting_key
from eyeplane.store.remembered import name_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be forgotten.

    Attributes
    ----------
    everything : bool
        All of it.
    kit, sitter : str or None
        Names.
    sitting : Path or None
        A folder.
    before : datetime or None
        A day.
    yes : bool
        Whether not to ask first.
    """

    everything: bool = False
    kit: str | None = None
    sitter: str | None = None
    sitting: Path | None = None
    before: datetime.datetime | None = None
    yes: bool = False


def forget_command(asked: Asked, store: Path | None) -> None:
    """Forget what frames taught, and say so.

    Parameters
    ----------
    asked : Asked
        What is to be forgotten.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    InputError
        If it is not said what, or nothing is known of it.
    StoreError
        If the store cannot be used.
    """
    parts = (asked.kit, asked.sitter, asked.sitting, asked.before)
    some = any(part is not None for part in parts)
    if some == asked.everything:
        raise InputError(
            "everything and a part of it were both named" if some else "it is not said what",
            where="eyeplane learned forget",
            hint="Give --all, or --kit, --sitter, --sitting or --before",
        )
    folder = None if asked.sitting is None else sitting_key(asked.sitting)
    with open_lessons(store) as lessons:
        told = named_kits([*lessons.all(), *lessons.only_labelled()])
        going = _going(told, asked, folder)
        frames = len({one.sha256 for one in going} - {""})
        only = folder if sum(part is not None for part in parts) == 1 else None
        if not going and only is None:
            raise _nothing()
        if not asked.yes:
            sittings = len({one.sitting for one in going})
            click.confirm(
                f"Forget what {_many(frames, 'frame')} of {_many(sittings, 'sitting')} taught, for "
                "good?",
                abort=True,
            )
        gone = {_frame(one) for one in going}
        before = lessons.forgotten()
        lessons.forget(lambda one: _frame(one) in gone, folder=only)
        if not going and lessons.forgotten() == before:
            raise _nothing()
        refresh_learned(lessons)
    click.echo(
        f"Forgotten: what {_many(frames, 'frame')} taught. Measuring them again does not teach it "
        "again, unless you ask: eyeplane learned label FOLDER --learn-again."
    )


def _nothing() -> InputError:
    return InputError(
        "no frame that taught anything is all of that, so nothing was forgotten",
        where="eyeplane learned forget",
        hint="See what there is: eyeplane learned show. Check the folder's name, or the day",
    )


def label_command(
    folder: Path, labels: Mapping[str, str], store: Path | None, *, learn_again: bool
) -> None:
    """Label a sitting, and say so.

    Parameters
    ----------
    folder : Path
        Where its frames lie, or lay.
    labels : mapping of str to str
        By the names of `SittingLabels`; an empty text takes one away.
    store : Path or None
        The store; None: the photographer's own.
    learn_again : bool
        Whether frames there that were forgotten may teach again.

    Raises
    ------
    InputError
        If nothing was said, nothing was learned there, or a kit is named for several.
    StoreError
        If the store cannot be used.
    """
    key = sitting_key(folder)
    if not labels and not learn_again:
        raise InputError(
            "no label was given",
            where="eyeplane learned label",
            hint="Give --sitter, --stabiliser, --focus-setting or --kit",
        )
    with open_lessons(store) as lessons:
        if learn_again:
            count = lessons.learn_again(key)
            click.echo(
                f"{_many(count, 'frame')} there may teach again: measure the folder (eyeplane "
                f"measure {plain_text(str(folder))})."
                if count
                else "No frame there was forgotten."
            )
        if labels:
            _label(lessons, key, labels, folder)


def _label(lessons: Lessons, key: str, labels: Mapping[str, str], folder: Path) -> None:
    told = lessons.all()
    there = [one for one in told if is_within(one.sitting, key)]
    if not there:
        where = plain_text(str(folder))
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
    listed = ", ".join(
        f"--{name.replace('_', '-')} '{text}'" if text else f"no --{name.replace('_', '-')}"
        for name, text in labels.items()
    )
    frames = len({one.sha256 for one in there})
    click.echo(f"Labelled {_many(frames, 'frame')} of {_many(len(sittings), 'folder')}: {listed}.")


def _going(told: list[Lesson], asked: Asked, folder: str | None) -> list[Lesson]:
    """Return the lessons that every option names; all other lessons of their frames go too."""
    if not told and folder is None:
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
    if folder is not None:
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


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"
