"""A chart read, its sharpness told, and kept for plans and for the next check."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from eyeplane.asked.checks import CheckDone, Heard, keep_check
from eyeplane.asked.plan_known import typed_text
from eyeplane.asked.plan_memory import open_memory
from eyeplane.deliver import plain_text
from eyeplane.deliver.chart_content import chart_content
from eyeplane.deliver.chart_words import lone_apertures
from eyeplane.deliver.wording import stop_words
from eyeplane.kit.chart import ChartAsked, read_chart
from eyeplane.records import Measured
from eyeplane.records.kit_chart import ChartResult
from eyeplane.records.said import listed as listed_in_words

LEAST_UM, MOST_UM = 0.1, 100.0  # what --glass takes


def chart_checked(
    files: Sequence[Path],
    asked: ChartAsked,
    *,
    kit: str | None = None,
    store: Path | None = None,
    heard: Heard | None = None,
) -> CheckDone:
    """Return what frames of the chart tell; keep it.

    Parameters
    ----------
    files : sequence of Path
        Frames, at least one.
    asked : ChartAsked
        What it is read for.
    kit : str or None
        The photographer's own name; None: as the frames name it, and nothing goes into plans.
    store : Path or None
        The store; None: the photographer's own.
    heard : callable or None
        Told after each frame.

    Returns
    -------
    CheckDone
        Not kept where the kit has no name.

    Raises
    ------
    InputError
        If the frames cannot be used.
    StoreError
        If the store cannot be used.
    """
    result = read_chart(files, asked, progress=heard)
    now = datetime.datetime.now().astimezone()
    name = kit or result.kit
    number = keep_check("chart", name, now, result, store) if name else None
    kept = remember_glass(result, kit, store, today=now.date())
    content = chart_content(replace(result, kit=name))
    content = replace(content, notes=(*content.notes, *kept))
    return CheckDone(kind="chart", result=result, content=content, number=number, said=kept)


def glass_texts(result: ChartResult) -> dict[str, str]:
    """Return what a chart tells of the glass, as it could have been typed for a plan.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    dict of str to str
        "glass" and "glass-wide" with their intervals; empty where the glass cannot be told from
        the print or at all.
    """
    best, wide = result.glass_best_um, result.glass_wide_um
    if best is None or wide is None or best.value < LEAST_UM:
        return {}
    return {"glass": typed_text(_within(best), "um"), "glass-wide": typed_text(_within(wide), "um")}


def _within(um: Measured) -> Measured:
    low, value, high = (min(one, MOST_UM) for one in (um.low, um.value, um.high))
    return Measured(value=value, low=low, high=high)


def remember_glass(
    result: ChartResult, kit: str | None, store: Path | None, *, today: datetime.date
) -> tuple[str, ...]:
    """Keep the glass under the kit's name, as if it had been typed.

    Parameters
    ----------
    result : ChartResult
        A reading.
    kit : str or None
        The photographer's own name; None: nothing is kept for plans.
    store : Path or None
        The store; None: the photographer's own.
    today : date
        The day.

    Returns
    -------
    tuple of str
        What was kept, or why nothing was; nothing without a name.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    if kit is None:
        return ()
    name = plain_text(kit.strip())
    texts = glass_texts(result)
    widest = result.glass_widest_f_number
    if not texts or widest is None:
        why = (
            "these frames do not tell it"
            if result.glass_best_um is None
            else "a print's own edges may be all that these frames show of it. Photograph the "
            "chart printed larger, or from farther away"
        )
        return (f"No glass was remembered for the kit {name}: {why}.",)
    once = lone_apertures(result)
    if once:
        at = listed_in_words([stop_words(f_number) for f_number in once])
        return (
            f"No glass was remembered for the kit {name}: one frame alone (at {at}) cannot tell "
            "missed focus from soft glass. Shoot three frames at each aperture, focused anew.",
        )
    with open_memory(store) as memory:
        recalled = memory.recall("kit", kit)
        known = dict(recalled.typed) if recalled is not None else {}
        if "widest" not in known:
            texts["widest"] = stop_words(widest)
        memory.remember("kit", kit, texts, today=today)
    listed = ", ".join(f"--{key} '{text}'" for key, text in texts.items())
    return (
        f"Remembered for the kit {name}: {listed}. Plans with --kit use it.",
        *_widest_note(known.get("widest"), widest),
    )


def _widest_note(typed: str | None, widest: float) -> tuple[str, ...]:
    """Return that the kit's widest aperture is another one than the chart's."""
    if typed is None or typed.strip().removeprefix("f/") == stop_words(widest).removeprefix("f/"):
        return ()
    return (
        f"Plans take '--glass-wide' for the kit's widest aperture, {plain_text(typed)}; the chart "
        f"was photographed from {stop_words(widest)} on. Photograph it wide open as well.",
    )
