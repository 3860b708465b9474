"""`eyeplane learned show` and `export`: what the store holds, in words, on a page, as JSON."""

import json
import sys
from pathlib import Path

from eyeplane.asked.lessons import HOW, chosen_numbers, open_lessons
from eyeplane.asked.targets import check_apart, check_target, write_text
from eyeplane.cli.check_options import CheckOutputs
from eyeplane.cli.check_show import show_check
from eyeplane.deliver.learned_content import learned_content
from eyeplane.errors import InputError
from eyeplane.learn import learn_all
from eyeplane.records.check_json import check_json
from eyeplane.records.lessons import LearnedExport
from eyeplane.sitting.lessons import refresh_learned


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
    chosen = chosen_numbers(numbers, *named)
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
