"""What was learned, asked for by names as a photographer gives them."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from eyeplane.asked.names import quoted
from eyeplane.asked.targets import check_target
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records.lessons import LearnedNumbers
from eyeplane.records.said import listed
from eyeplane.store import Lessons, default_store_path
from eyeplane.store.remembered import name_key

HOW = "Measure a sitting (eyeplane measure FOLDER): what it teaches is kept by itself"


@contextmanager
def open_lessons(store: Path | None) -> Iterator[Lessons]:
    """Open the store of lessons; nothing is made where there is none.

    Parameters
    ----------
    store : Path or None
        Its file; None: the photographer's own.

    Yields
    ------
    Lessons
        Open.

    Raises
    ------
    InputError
        If there is no such file, so nothing was learned yet.
    """
    path = store or default_store_path()
    if not path.exists():
        raise InputError(
            "nothing was learned yet" if store is None else "there is no such store",
            where="eyeplane learned" if store is None else "--store",
            hint=HOW,
        )
    if store is not None:
        check_target(store, "--store")
    with Lessons(path) as lessons:
        yield lessons


def kits_known(numbers: LearnedNumbers) -> list[str]:
    """Return the kits of which anything was learned.

    Parameters
    ----------
    numbers : LearnedNumbers
        What was learned.

    Returns
    -------
    list of str
        As they are shown, each once, sorted.
    """
    return sorted({one.kit for one in numbers.shake} | {one.kit for one in numbers.focus})


def unknown_kit(name: str, known: list[str]) -> InputError:
    """Return the error for a kit of which nothing was learned.

    Parameters
    ----------
    name : str
        As typed.
    known : list of str
        Those that are known.

    Returns
    -------
    InputError
        With their names.
    """
    hint = f"Known are {_quoted(known)}" if known else HOW
    return InputError(f"nothing was learned of a kit {quoted(name)}", where="--kit", hint=hint)


def unknown_sitter(name: str, known: list[str]) -> InputError:
    """Return the error for a label that no sitting has.

    Parameters
    ----------
    name : str
        As typed.
    known : list of str
        Those that are known.

    Returns
    -------
    InputError
        With the labels.
    """
    hint = "Label one: eyeplane learned label FOLDER --sitter 'child 3'"
    if known:
        hint = f"Known are {_quoted(known)}"
    return InputError(
        f"no sitting that taught anything is labelled {quoted(name)}", where="--sitter", hint=hint
    )


def chosen_numbers(numbers: LearnedNumbers, kit: str | None, sitter: str | None) -> LearnedNumbers:
    """Return what was learned of one kit, one sitter, or both.

    Parameters
    ----------
    numbers : LearnedNumbers
        All of it.
    kit, sitter : str or None
        Names; None for both: all of it.

    Returns
    -------
    LearnedNumbers
        Only of these.

    Raises
    ------
    InputError
        If nothing was learned of them.
    """
    if kit is None and sitter is None:
        return numbers
    shake = [one for one in numbers.shake if kit and _is(kit, (one.kit, *one.names))]
    focus = [one for one in numbers.focus if kit and _is(kit, (one.kit, *one.names))]
    if kit is not None and not shake and not focus:
        raise unknown_kit(kit, kits_known(numbers))
    sitters = [one for one in numbers.sitters if sitter and _is(sitter, (one.sitter,))]
    if sitter is not None and not sitters:
        raise unknown_sitter(sitter, [one.sitter for one in numbers.sitters if one.sitter])
    return replace(
        numbers,
        any_shake=None,
        any_sitter=None,
        shake=tuple(shake),
        focus=tuple(focus),
        sitters=tuple(sitters),
    )


def _quoted(names: list[str]) -> str:
    return listed([f"'{plain_text(one)}'" for one in names])


def _is(name: str, known: tuple[str, ...]) -> bool:
    return name_key(name) in {name_key(one) for one in known}
