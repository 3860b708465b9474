"""`eyeplane learned show` and `export`: what the store holds, in words, on a page, as JSON."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from eyeplane.asked.names import quoted
from eyeplane.asked.targets import check_apart, check_target, write_text
from eyeplane.cli.check_options import CheckOutputs
from eyeplane.cli.check_show import show_check
from eyeplane.deliver import plain_text
from eyeplane.deliver.learned_content import learned_content
from eyeplane.errors import InputError
from eyeplane.learn import learn_all
from eyeplane.records.check_json import check_json
from eyeplane.records.lessons import LearnedExport, LearnedNumbers
from eyeplane.records.said import listed
from eyeplane.sitting.lessons import refresh_learned
from eyeplane.store import Lessons, default_store_path
from eyeplane.store.remembered import name_key

HOW = "Measure a sitting (eyeplane measure FOLDER): what it teaches is kept by itself"


def show_command(
    named: tuple[str | None, str | None],
    outputs: CheckOutputs,
    *,
    half_life_days: float | None,
    for_plans: bool,
) -> int:
    """Show what was learned.

    Parameters
    ----------
    named : tuple of (str or None)
        Only this kit, and only this sitter.
    outputs : CheckOutputs
        Where it goes.
    half_life_days : float or None
        Age at which a sitting counts half; 0: all count alike; None: as plans take it.
    for_plans : bool
        Whether plans are to take it so from now on.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If nothing was learned yet, or nothing of that kit or sitter.
    StoreError
        If the store cannot be used.
    """
    if for_plans and half_life_days is None:
        raise InputError(
            "it is not said what plans are to take",
            where="--for-plans",
            hint="Give --half-life-days too, like --half-life-days 365",
        )
    with open_lessons(outputs.store) as store:
        if for_plans:
            numbers = refresh_learned(store, half_life_days=half_life_days)
        else:
            half = store.half_life_days() if half_life_days is None else half_life_days or None
            numbers = learn_all(store.all(), half_life_days=half)
    if not numbers.frames:
        raise InputError("nothing was learned yet", where="eyeplane learned", hint=HOW)
    chosen = _chosen(numbers, *named)
    return show_check("learned", chosen, learned_content(chosen), outputs)


def export_command(file: Path, store: Path | None) -> None:
    """Write everything that was learned.

    Parameters
    ----------
    file : Path
        Where to; "-" is the screen.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    InputError
        If nothing was learned yet, or the file cannot be written.
    StoreError
        If the store cannot be used.
    """
    to_screen = str(file) == "-"
    if not to_screen:
        check_target(file, "FILE")
        check_apart({"--store": store, "FILE": file})
    with open_lessons(store) as lessons:
        told = lessons.all()
        gone = lessons.forgotten()
        half = lessons.half_life_days()
    if not told:
        raise InputError("nothing was learned yet", where="eyeplane learned", hint=HOW)
    numbers = learn_all(told, half_life_days=half)
    everything = LearnedExport(numbers=numbers, lessons=tuple(told), forgotten=gone)
    text = json.dumps(check_json("learned export", everything), indent=1, allow_nan=False) + "\n"
    if to_screen:
        sys.stdout.write(text)
        return
    write_text(file, text)
    count = len(told)
    sys.stdout.write(
        f"Written: what {numbers.frames} frames of {numbers.sittings} sittings taught "
        f"({count} lessons).\n"
    )


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


def _chosen(numbers: LearnedNumbers, kit: str | None, sitter: str | None) -> LearnedNumbers:
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
