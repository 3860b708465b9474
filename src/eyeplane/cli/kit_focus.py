"""`eyeplane kit focus`: frames of the focus target read, told, shown and kept."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from eyeplane.asked.plan_memory import open_memory, recall
from eyeplane.asked.units import length_mm
from eyeplane.cli.check_options import CheckOutputs, take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kits import kit_file, kit_pitches_um
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.deliver.focus_content import focus_content
from eyeplane.deliver.wording import far_words
from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.focus import check_focus
from eyeplane.kit.focus_frame import exposure_kit, read_target
from eyeplane.learn.kit_names import kit_name
from eyeplane.records import Measured, MeasureSettings, to_plain
from eyeplane.records.kit_focus import FocusTargetResult, TargetFrame
from eyeplane.sitting import Progress
from eyeplane.sitting.scan import scan
from eyeplane.store import KitLog, default_store_path

NEAREST_MM, FARTHEST_MM = 100.0, 100_000.0  # of a sitter
RULER_MM = (150.0, 400.0)  # of any of our sheets, however printed
LEAST_SPREAD_MM = 0.1  # as a plan takes it


def focus_command(given: dict[str, Any]) -> int:
    """Read frames of the focus target and say where the focus lies.

    Parameters
    ----------
    given : dict
        The options as click read them.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If no frame tells anything, or they do not belong together.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    recall({"kit": outputs.kit}, outputs.store, new=frozenset({"kit"}))  # refuses what is no name
    sitter_mm = _sitter_mm(given["sitter_distance"])
    frames = read_frames(given["paths"], ruler_mm=given["ruler_mm"])
    result = check_focus(frames, sitter_distance_mm=sitter_mm)
    if outputs.kit is not None:
        result = replace(result, kit=outputs.kit.strip())
    said = _kept(result, outputs)
    result = replace(result, notes=(*result.notes, *said))
    return show_check("focus", result, focus_content(result), outputs)


def read_frames(paths: Sequence[Path], *, ruler_mm: float | None) -> tuple[TargetFrame, ...]:
    """Return what the frames under paths tell, one by one.

    Parameters
    ----------
    paths : sequence of Path
        Files and folders.
    ruler_mm : float or None
        Length of the printed ruler; None: as it should be.

    Returns
    -------
    tuple of TargetFrame
        Those that cannot be opened too, with the reason.

    Raises
    ------
    InputError
        If a path is not there, no frame lies there, or the ruler cannot be.
    """
    if ruler_mm is not None and not RULER_MM[0] <= ruler_mm <= RULER_MM[1]:
        raise InputError(
            f"a printed ruler of {ruler_mm:g} mm cannot be",
            where="--ruler-mm",
            hint="Measure the whole ruler at the foot of the sheet, in mm: it says 200 mm, on A3 "
            "300 mm",
        )
    found = scan(paths).frames
    if not found:
        raise InputError(
            "there are no frames", where=plain_text(str(paths[0])), hint="Name a folder with frames"
        )
    settings = MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file()))
    read = []
    with progress_bar() as heard:
        for done, one in enumerate(found, start=1):
            read.append(_read(Path(one.path), settings, ruler_mm))
            if heard is not None:
                heard(
                    Progress(
                        done=done,
                        total=len(found),
                        from_store=0,
                        unreadable=sum(not f.kit for f in read),
                        left_s=None,
                    )
                )
    return tuple(read)


def _read(path: Path, settings: MeasureSettings, ruler_mm: float | None) -> TargetFrame:
    try:
        picture = open_picture(path, settings=settings)
    except FrameError as error:
        return TargetFrame(path=str(path), kit="", problem=f"{error.what}. {error.hint}.")
    return read_target(picture, ruler_mm=ruler_mm, kit=kit_name(exposure_kit(picture.exposure)))


def _sitter_mm(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        length = length_mm(text)
    except ValueError as error:
        raise InputError(str(error), where="--sitter-distance", hint="Give it like 2.5m") from error
    if not NEAREST_MM <= length <= FARTHEST_MM:
        raise InputError(
            f"nobody sits {text} from the lens",
            where="--sitter-distance",
            hint="Give a distance from 100mm to 100m",
        )
    return length


def _kept(result: FocusTargetResult, outputs: CheckOutputs) -> tuple[str, ...]:
    """Keep the check in the log and, with --kit, what a plan can use; say what was kept."""
    today = datetime.datetime.now(tz=datetime.UTC).astimezone()
    with KitLog(outputs.store or default_store_path()) as log:
        log.keep("focus", result.kit, today, to_plain(result))
    if outputs.kit is None:
        return ()
    if not result.carried:
        return (f"Nothing was remembered for the kit {result.kit}: no mean could be told.",)
    one = result.carried[0]
    texts = {
        "focus-bias": _text(one.bias_mm),
        "focus-spread": _text(_at_least(one.spread_mm, LEAST_SPREAD_MM)),
    }
    with open_memory(outputs.store) as memory:
        memory.remember("kit", outputs.kit, texts, today=today.date())
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
