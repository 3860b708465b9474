"""The progress bar on stderr, with an honest time left."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, TextColumn
from rich.progress import Progress as Bar

from eyeplane.records import Measured
from eyeplane.sitting import Progress


@contextmanager
def progress_bar() -> Iterator[Callable[[Progress], None] | None]:
    """Yield what hears of progress: a bar on a terminal, nothing elsewhere.

    Yields
    ------
    callable or None
        Takes each `Progress` as it comes.
    """
    if not sys.stderr.isatty():
        yield None
        return
    bar = Bar(
        TextColumn("Measuring"),
        BarColumn(complete_style="", finished_style="", pulse_style=""),
        TextColumn("{task.fields[count]}"),
        TextColumn("{task.fields[left]}"),
        console=Console(file=sys.stderr, highlight=False),
        transient=True,
    )
    with bar:
        task = bar.add_task("", total=None, count="", left="")

        def heard(progress: Progress) -> None:
            bar.update(
                task,
                completed=progress.done,
                total=progress.total,
                count=f"{progress.done} of {progress.total}",
                left=time_left_words(progress.left_s),
            )

        yield heard


def time_left_words(left_s: Measured | None) -> str:
    """Return a time left, no more exact than it is known.

    Parameters
    ----------
    left_s : Measured or None
        Seconds; None while it cannot be known.

    Returns
    -------
    str
        "about 40 s left", "2 to 4 min left", or nothing at the very end.
    """
    if left_s is None:
        return "time left: cannot tell yet"
    if left_s.high < 1:
        return ""
    unit, unit_s = next((u, s) for u, s, most in _UNITS if left_s.value < most)
    low, high = max(1, round(left_s.low / unit_s)), max(1, round(left_s.high / unit_s))
    scale = 10 if unit == "s" else 1
    if low == high:
        return f"about {low * scale} {unit} left"
    return f"{low * scale} to {high * scale} {unit} left"


# unit, seconds in the step that is told, up to how many seconds
_UNITS = (("s", 10.0, 90.0), ("min", 60.0, 5400.0), ("h", 3600.0, float("inf")))
