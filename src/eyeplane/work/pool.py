"""A pool of measuring processes in which a bad file costs that file and nothing else.

Each process has its own pipe and holds one frame at a time. So the frame on which a process died
or hangs is known, at most one frame a process is in hand, and memory does not grow with the run.
"""

import contextlib
import os
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from multiprocessing import connection

from eyeplane.errors import EyeplaneError, InputError
from eyeplane.records import FrameReading
from eyeplane.work.done import Done, died_on, done_with, too_late
from eyeplane.work.process import Worker
from eyeplane.work.worker import attempt

FRAME_LIMIT_S = 120.0  # s a frame may take; 100 times a usual one, from memory
START_LIMIT_S = 300.0  # s a process may take to load its libraries from a slow disk, from memory
START_ATTEMPTS = 3  # in a row, before the installation is taken to be broken

Measure = Callable[[str], FrameReading]


def default_workers() -> int:
    """Return the number of processes that use this machine fully.

    Returns
    -------
    int
        Processor cores that this process may run on, at least 1.
    """
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_all(
    function: Measure, paths: Sequence[str], *, workers: int, limit_s: float = FRAME_LIMIT_S
) -> Iterator[tuple[str, FrameReading]]:
    """Return each path with its reading, as they come in.

    Parameters
    ----------
    function : callable
        Measures one path; picklable unless `workers` is 0.
    paths : sequence of str
        The frames.
    workers : int
        Number of processes; 0 measures in this process, without time limit or protection.
    limit_s : float
        Time after which a frame is given up, > 0 s.

    Returns
    -------
    iterator of (str, FrameReading)
        In order of completion; every path comes exactly once.
    """
    for done in run_each(function, paths, workers=workers, limit_s=limit_s):
        yield done.path, done.reading


def run_each(
    function: Measure, paths: Sequence[str], *, workers: int, limit_s: float = FRAME_LIMIT_S
) -> Generator[Done, None, None]:
    """Return what came of each path, with the time it took, as they come in.

    Parameters
    ----------
    function : callable
        Measures one path; picklable unless `workers` is 0.
    paths : sequence of str
        The frames.
    workers : int
        Number of processes; 0 measures in this process, without time limit or protection.
    limit_s : float
        Time after which a frame is given up, > 0 s.

    Returns
    -------
    generator of Done
        In order of completion; every path comes exactly once.

    Raises
    ------
    InputError
        If `workers` is negative or `limit_s` not positive.
    EyeplaneError
        If no process can be started.

    Notes
    -----
    Closing the generator, or an interrupt while it waits, ends all processes at once. A process
    that dies takes down the frame in its hand only; that frame is tried once more at the end,
    alone, since a full memory may have been the cause. Each process keeps to one thread, so that
    the numbers do not depend on how many cores there are.
    """
    if workers < 0:
        raise InputError(
            f"{workers} processes are not possible", where="workers", hint="Give 0 or more"
        )
    if not limit_s > 0:
        raise InputError(
            f"a time limit of {limit_s} s lets nothing through", where="limit_s", hint="Give > 0 s"
        )
    if workers == 0 or not paths:
        yield from _run_here(function, paths)
        return
    with contextlib.closing(_Pool(function, min(workers, len(paths)), limit_s)) as pool:
        yield from pool.run(paths)
    for path in pool.died:
        with contextlib.closing(_Pool(function, 1, limit_s)) as alone:
            yield from alone.run([path])
            for _ in alone.died:
                yield died_on(path, alone.ending)


def _run_here(function: Measure, paths: Sequence[str]) -> Iterator[Done]:
    for path in paths:
        start = time.monotonic()
        answer = attempt(function, path)
        yield done_with(path, answer, time.monotonic() - start)


class _Pool:
    """So many processes, replaced when they die; `died` lists the frames they died on."""

    def __init__(self, function: Measure, size: int, limit_s: float) -> None:
        self.function = function
        self.size = size
        self.limit_s = limit_s
        self.workers: list[Worker] = []
        self.failed_starts = 0
        self.died: list[str] = []
        self.ending = ""

    def run(self, paths: Sequence[str]) -> Iterator[Done]:
        waiting = deque(paths)
        while waiting or any(worker.path is not None for worker in self.workers):
            self._fill(waiting)
            for worker in self._heard():
                done = self._take(worker)
                if done is not None:
                    yield done
                self._hand_out(waiting)
            for worker in [w for w in self.workers if w.overdue()]:
                self._drop(worker)
                if worker.path is not None:
                    yield too_late(worker.path, self.limit_s)

    def close(self) -> None:
        for worker in self.workers:
            worker.stop()
        self.workers.clear()

    def _fill(self, waiting: deque[str]) -> None:
        idle = sum(worker.path is None for worker in self.workers)
        while len(self.workers) < self.size and idle < len(waiting):
            self.workers.append(Worker(self.function, START_LIMIT_S))
            idle += 1
        self._hand_out(waiting)

    def _hand_out(self, waiting: deque[str]) -> None:
        for worker in self.workers:
            if waiting and worker.ready and worker.path is None:
                worker.hand(waiting.popleft(), self.limit_s)

    def _heard(self) -> list[Worker]:
        rest_s = min(worker.left_s() for worker in self.workers)
        pipes = connection.wait([worker.pipe for worker in self.workers], max(rest_s, 0.0))
        return [worker for worker in self.workers if worker.pipe in pipes]

    def _take(self, worker: Worker) -> Done | None:
        path, took_s = worker.path, worker.took_s()
        try:
            answer = worker.receive()
        except (EOFError, OSError):
            self._drop(worker)
            if path is not None:
                self.died.append(path)
                self.ending = worker.ending()
            return None
        self.failed_starts = 0
        return None if path is None else done_with(path, answer, took_s)

    def _drop(self, worker: Worker) -> None:
        self.workers.remove(worker)
        worker.stop()
        if not worker.ready:
            self.failed_starts += 1
        if self.failed_starts >= START_ATTEMPTS:
            raise EyeplaneError(
                f"the measuring process ended while it started ({worker.ending()})",
                where="workers",
                hint="Install eyeplane anew; in a script of your own, call it under "
                "'if __name__ == \"__main__\":'",
            )
