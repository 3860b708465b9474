"""Frames of the focus target read, told, and kept for plans."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from eyeplane.asked.checks import CheckDone, Heard, keep_check
from eyeplane.asked.kits import kit_settings
from eyeplane.asked.plan_memory import open_memory
from eyeplane.deliver.focus_content import focus_content
from eyeplane.deliver.wording import far_words
from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.focus import check_focus
from eyeplane.kit.focus_frame import exposure_kit, read_target
from eyeplane.learn.kit_names import kit_name
from eyeplane.records import Measured, MeasureSettings
from eyeplane.records.kit_focus import FocusTargetResult, TargetFrame

RULER_MM = (150.0, 400.0)  # of any of our sheets, however printed
LEAST_SPREAD_MM = 0.1  # as a plan takes it


def read_targets(
    files: Sequence[Path], *, ruler_mm: float | None = None, heard: Heard | None = None
) -> tuple[TargetFrame, ...]:
    """Return what frames of the target tell, one by one.

    Parameters
    ----------
    files : sequence of Path
        Frames.
    ruler_mm : float or None
        Length of the printed ruler; None: as it should be.
    heard : callable or None
        Told after each frame.

    Returns
    -------
    tuple of TargetFrame
        Those that cannot be opened too, with the reason.

    Raises
    ------
    InputError
        If the ruler cannot be.
    """
    if ruler_mm is not None and not RULER_MM[0] <= ruler_mm <= RULER_MM[1]:
        raise InputError(
            f"a printed ruler of {ruler_mm:g} mm cannot be",
            where="--ruler-mm",
            hint="Measure the whole ruler at the foot of the sheet, in mm: it says 200 mm, on A3 "
            "300 mm",
        )
    settings = kit_settings()
    read = []
    for done, file in enumerate(files, start=1):
        read.append(_read(file, settings, ruler_mm))
        if heard is not None:
            heard(done, len(files))
    return tuple(read)


def focus_checked(
    frames: Sequence[TargetFrame],
    *,
    sitter_distance_mm: float | None = None,
    kit: str | None = None,
    store: Path | None = None,
) -> CheckDone:
    """Return what frames of the target tell together; keep it.

    Parameters
    ----------
    frames : sequence of TargetFrame
        As they were read.
    sitter_distance_mm : float or None
        The distance that it is carried to; None: that of the target.
    kit : str or None
        The photographer's own name; None: as the frames name it, and nothing goes into plans.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    CheckDone
        What was kept stands in its notes.

    Raises
    ------
    InputError
        If no frame tells anything, or they do not belong together.
    StoreError
        If the store cannot be used.
    """
    result = check_focus(frames, sitter_distance_mm=sitter_distance_mm)
    if kit is not None:
        result = replace(result, kit=kit.strip())
    today = datetime.datetime.now(tz=datetime.UTC).astimezone()
    number = keep_check("focus", result.kit, today, result, store)
    said = _remembered(result, kit, store, today.date())
    result = replace(result, notes=(*result.notes, *said))
    content = focus_content(result)
    return CheckDone(kind="focus", result=result, content=content, number=number, said=said)


def _read(path: Path, settings: MeasureSettings, ruler_mm: float | None) -> TargetFrame:
    try:
        picture = open_picture(path, settings=settings)
    except FrameError as error:
        return TargetFrame(path=str(path), kit="", problem=f"{error.what}. {error.hint}.")
    return read_target(picture, ruler_mm=ruler_mm, kit=kit_name(exposure_kit(picture.exposure)))


def _remembered(
    result: FocusTargetResult, kit: str | None, store: Path | None, today: datetime.date
) -> tuple[str, ...]:
    """Keep what a plan can use under the kit's name; say what was kept."""
    if kit is None:
        return ()
    if not result.carried:
        return (f"Nothing was remembered for the kit {result.kit}: no mean could be told.",)
    one = result.carried[0]
    texts = {
        "focus-bias": _text(one.bias_mm),
        "focus-spread": _text(_at_least(one.spread_mm, LEAST_SPREAD_MM)),
    }
    with open_memory(store) as memory:
        memory.remember("kit", kit, texts, today=today)
    listed = ", ".join(f"--{name} '{text}'" for name, text in texts.items())
    if one.distance_mm is None:
        return (
            f"Remembered for the kit {result.kit}: {listed}. Plans take these millimetres at every "
            "distance; they hold at the one they were measured at, which the files do not tell.",
        )
    return (
        f"Remembered for the kit {result.kit}: {listed}. Plans take these millimetres at every "
        f"distance; they hold at {far_words(one.distance_mm)} from the lens. For another distance "
        "check again with --sitter-distance.",
    )


def _at_least(measured: Measured, least: float) -> Measured:
    low, value, high = (max(v, least) for v in (measured.low, measured.value, measured.high))
    return Measured(low=low, value=value, high=high)


def _text(measured: Measured) -> str:
    """Return a number with its interval as it could have been typed."""
    return f"{measured.value:.3g} mm ({measured.low:.3g} to {measured.high:.3g})"
