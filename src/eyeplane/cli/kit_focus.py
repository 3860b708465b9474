"""`eyeplane kit focus`: frames of the focus target read, told, shown and kept."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from eyeplane.asked.check_focus import focus_checked, read_targets
from eyeplane.asked.plan_memory import recall
from eyeplane.asked.units import length_mm
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records.kit_focus import TargetFrame
from eyeplane.sitting import Progress
from eyeplane.sitting.scan import scan

NEAREST_MM, FARTHEST_MM = 100.0, 100_000.0  # of a sitter


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
    done = focus_checked(frames, sitter_distance_mm=sitter_mm, kit=outputs.kit, store=outputs.store)
    return show_check("focus", done.result, done.content, outputs)


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
    found = scan(paths).frames
    if not found:
        raise InputError(
            "there are no frames", where=plain_text(str(paths[0])), hint="Name a folder with frames"
        )
    files = [Path(one.path) for one in found]
    with progress_bar() as heard:
        telling = None if heard is None else _telling(heard)
        return read_targets(files, ruler_mm=ruler_mm, heard=telling)


def _telling(heard: Callable[[Progress], None]) -> Callable[[int, int], None]:
    """Return what hears of frames done and tells the bar."""

    def tell(done: int, total: int) -> None:
        heard(Progress(done=done, total=total, from_store=0, unreadable=0, left_s=None))

    return tell


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
