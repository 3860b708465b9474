"""`eyeplane kit chart`: frames read, sharpness told, and kept for plans and for the next check."""

import datetime
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from eyeplane.asked.plan_known import typed_text
from eyeplane.asked.plan_memory import open_memory
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kits import kit_file, kit_pitches_um
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.deliver.chart_content import chart_content
from eyeplane.deliver.chart_words import lone_apertures
from eyeplane.deliver.wording import stop_words
from eyeplane.errors import InputError
from eyeplane.kit.chart import ChartAsked, read_chart
from eyeplane.records import Measured, MeasureSettings, to_plain
from eyeplane.records.kit_chart import ChartResult
from eyeplane.records.said import listed as listed_in_words
from eyeplane.sitting import Progress
from eyeplane.sitting.scan import scan
from eyeplane.store import KitLog, default_store_path

LEAST_UM, MOST_UM = 0.1, 100.0  # what --glass takes


def chart_command(*, paths: Sequence[Path], **given: Any) -> int:  # noqa: ANN401  each its own
    """Read a chart and show it as asked.

    Parameters
    ----------
    paths : sequence of Path
        Folders and frames.
    **given : object
        The options, as click read them.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If a path, a name, a file to write to or the frames cannot be used.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    files = [Path(frame.path) for frame in scan(paths).frames]
    if not files:
        raise InputError(
            "no frames were found there",
            where=", ".join(plain_text(str(path)) for path in paths),
            hint="Give a folder of RAW, JPEG, HEIC, TIFF or PNG files of the chart",
        )
    asked = ChartAsked(
        paper=given["paper"],
        ruler_mm=given["ruler_mm"],
        settings=MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file())),
    )
    with progress_bar() as heard:
        result = read_chart(files, asked, progress=None if heard is None else _telling(heard))
    store = outputs.store or default_store_path()
    now = datetime.datetime.now().astimezone()
    name = outputs.kit or result.kit
    if name:
        with KitLog(store) as log:
            log.keep("chart", name, now, to_plain(result))
    kept = remember_glass(result, outputs.kit, outputs.store, today=now.date())
    content = chart_content(replace(result, kit=outputs.kit or result.kit))
    return show_check("chart", result, replace(content, notes=(*content.notes, *kept)), outputs)


def _telling(heard: Callable[[Progress], None]) -> Callable[[int, int], None]:
    """Return what hears of frames done and tells the bar, with the time left as it goes."""
    start = time.monotonic()

    def tell(done: int, total: int) -> None:
        left_s = None
        if done >= 2:
            each_s = (time.monotonic() - start) / done
            left = each_s * (total - done)
            left_s = Measured(value=left, low=0.8 * left, high=1.3 * left)
        heard(Progress(done=done, total=total, from_store=0, unreadable=0, left_s=left_s))

    return tell


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
