"""`eyeplane learned forget` and `label`: what goes, what stays, and how a sitting is called."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from eyeplane.asked.lessons import open_lessons
from eyeplane.asked.lessons_forget import Going, forget_lessons, label_sittings
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.store import Lessons
from eyeplane.store.lessons import sitting_key


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
    going = Going(kit=asked.kit, sitter=asked.sitter, folder=folder, before=asked.before)
    with open_lessons(store) as lessons:
        frames = forget_lessons(lessons, going, ask=None if asked.yes else _ask)
    click.echo(
        f"Forgotten: what {_many(frames, 'frame')} taught. Measuring them again does not teach it "
        "again, unless you ask: eyeplane learned label FOLDER --learn-again."
    )


def _ask(frames: int, sittings: int) -> None:
    click.confirm(
        f"Forget what {_many(frames, 'frame')} of {_many(sittings, 'sitting')} taught, for good?",
        abort=True,
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
    frames, folders = label_sittings(lessons, key, labels, where=plain_text(str(folder)))
    listed = ", ".join(
        f"--{name.replace('_', '-')} '{text}'" if text else f"no --{name.replace('_', '-')}"
        for name, text in labels.items()
    )
    click.echo(f"Labelled {_many(frames, 'frame')} of {_many(folders, 'folder')}: {listed}.")


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"
