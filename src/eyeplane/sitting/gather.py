"""Readings of many frames: from the store where they are known, measured and kept where not."""

import contextlib
import functools
import statistics
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from eyeplane.records import FrameReading, Measured, MeasureSettings
from eyeplane.sitting.options import Progress, RunOptions
from eyeplane.store import Store, content_hash, default_store_path
from eyeplane.work import Done, default_workers, run_each

RECENT = 32  # frames that the time left is judged by: the pace of now, not of an hour ago
KNOWN = 3  # frames that must be known before a time left is told


class Measure(Protocol):
    """A function that measures one frame."""

    def __call__(self, path: str, settings: MeasureSettings) -> FrameReading:
        """Return the reading of a frame."""


Report = Callable[[Progress], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """What measures, and which version of it.

    Attributes
    ----------
    function : callable
        (path, settings) to reading; picklable, and loaded anew by each process.
    version : str
        Readings of another version count as not measured.
    """

    function: Measure
    version: str


def standard_measuring() -> Measuring:
    """Return the measuring that eyeplane itself does.

    Returns
    -------
    Measuring
        With today's version.
    """
    from eyeplane.measure import (  # noqa: PLC0415  slow to load
        MEASURE_VERSION,
        measure_frame,
    )

    return Measuring(function=measure_frame, version=MEASURE_VERSION)


def gather(
    paths: Sequence[str],
    *,
    settings: MeasureSettings,
    options: RunOptions,
    measuring: Measuring,
    progress: Report | None = None,
) -> dict[str, FrameReading]:
    """Return the reading of each path.

    Parameters
    ----------
    paths : sequence of str
        The frames, each once.
    settings : MeasureSettings
        What to measure.
    options : RunOptions
        How.
    measuring : Measuring
        With what.
    progress : callable or None
        Called in this thread after each frame, when its reading is safely kept.

    Returns
    -------
    dict
        Reading by path, in the order of `paths`.

    Raises
    ------
    StoreError
        If the store cannot be used; what was put before is kept.

    Notes
    -----
    A reading goes into the store the moment it arrives. So an interrupt, a kill or a full disk
    costs at most the frames in hand, and the next run goes on from there.
    """
    workers = default_workers() if options.workers is None else options.workers
    pace = _Pace(total=len(paths), workers=workers, report=progress)
    readings: dict[str, FrameReading] = {}
    store_path = options.store_path or default_store_path()
    with Store(store_path, measure_version=measuring.version) as store:
        for path, reading in _known(store, () if options.again else paths, settings):
            readings[path] = reading
            pace.count(reading, took_s=None)
        rest = [path for path in paths if path not in readings]
        run = run_each(
            functools.partial(measuring.function, settings=settings),
            rest,
            workers=workers,
            limit_s=options.limit_s,
        )
        with contextlib.closing(run):
            for done in run:
                reading = _keepable(done)
                store.put(reading, settings)
                readings[done.path] = reading
                pace.count(reading, took_s=done.took_s)
    return {path: readings[path] for path in paths}


def _known(
    store: Store, paths: Sequence[str], settings: MeasureSettings
) -> Iterator[tuple[str, FrameReading]]:
    for path in paths:
        reading = store.find(path, settings)
        if reading is not None:
            yield path, reading


def _keepable(done: Done) -> FrameReading:
    """Return a reading that the store will keep if the frame cost a process.

    Otherwise each run would lose as much time on it again.
    """
    if done.lost:
        return replace(done.reading, sha256=content_hash(done.path))
    return done.reading


class _Pace:
    """Counts frames and judges the time left from the recent ones."""

    def __init__(self, *, total: int, workers: int, report: Report | None) -> None:
        self.total = total
        self.workers = max(workers, 1)
        self.report = report
        self.done = 0
        self.from_store = 0
        self.unreadable = 0
        self.recent: deque[float] = deque(maxlen=RECENT)
        self.cold = self.workers  # a process's first frame also loads libraries: no measure of pace

    def count(self, reading: FrameReading, *, took_s: float | None) -> None:
        self.done += 1
        self.unreadable += reading.status == "unreadable"
        if took_s is None:
            self.from_store += 1
        elif self.cold > 0:
            self.cold -= 1
        else:
            self.recent.append(took_s)
        if self.report is not None:
            self.report(
                Progress(
                    done=self.done,
                    total=self.total,
                    from_store=self.from_store,
                    unreadable=self.unreadable,
                    left_s=time_left(self.recent, self.total - self.done, self.workers),
                )
            )


def time_left(recent_s: Sequence[float], frames: int, workers: int) -> Measured | None:
    """Return how long the rest of a run will take.

    Parameters
    ----------
    recent_s : sequence of float
        Times of recent frames, seconds.
    frames : int
        How many are left.
    workers : int
        How many are measured at once.

    Returns
    -------
    Measured or None
        Median frame time by frames left a process; the interval takes the quartiles instead.
        None until three frames are known.
    """
    if len(recent_s) < KNOWN:
        return None
    low, middle, high = statistics.quantiles(recent_s, n=4, method="inclusive")
    turns = frames / min(workers, frames) if frames else 0.0
    return Measured(value=middle * turns, low=low * turns, high=high * turns)
