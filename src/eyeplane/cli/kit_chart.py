"""`eyeplane kit chart`: frames read, sharpness told, and kept for plans and for the next check."""

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from eyeplane.asked.check_chart import chart_checked
from eyeplane.asked.kits import kit_settings
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.kit.chart import ChartAsked
from eyeplane.records import Measured
from eyeplane.sitting import Progress
from eyeplane.sitting.scan import scan

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
        settings=kit_settings(),
    )
    with progress_bar() as heard:
        telling = None if heard is None else _telling(heard)
        done = chart_checked(files, asked, kit=outputs.kit, store=outputs.store, heard=telling)
    return show_check("chart", done.result, done.content, outputs)


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
