"""Processes that answer many frames beside the pages: started when needed, gone when idle."""

import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import connection, get_context, parent_process
from pathlib import Path
from typing import TypeVar

from eyeplane.records import Learned, Sitting, Viewing
from eyeplane.sitting.live_steps import (
    Packed,
    answer_packed,
    keep_lessons_packed,
    learn_packed,
    sum_up_packed,
)

T = TypeVar("T")

FEW = 40  # frames that are answered as soon here as a helper has loaded its libraries
CHUNK = 8  # frames handed out at once: about half a second, so that progress shows; no source
IN_HAND = 2  # chunks a helper holds: one in work and one waiting
NICE = 5  # how far helpers stand back: measuring what lands comes first
IDLE_S = 60.0  # s after which helpers leave, with their memory


class LostError(Exception):
    """A helper was ended, by us or by somebody else."""


class Helpers:
    """Processes for the steps of `live_steps`; one thread uses them at a time.

    Parameters
    ----------
    count : int
        How many; 0 does everything in the calling thread.
    """

    def __init__(self, count: int) -> None:
        self.count = count
        self._pools: list[ProcessPoolExecutor] = []
        self._awake: list[Future[int]] = []
        self._used_s = 0.0

    def answers(
        self,
        readings: Sequence[bytes],
        viewing: Viewing,
        learned: Learned | None,
        goes_on: Callable[[], bool],
    ) -> Iterator[tuple[int, list[bytes]]]:
        """Yield answers chunk by chunk as they are there.

        Parameters
        ----------
        readings : sequence of bytes
            Packed.
        viewing : Viewing
            For which print and from where.
        learned : Learned or None
            What the sitting taught; None for first answers.
        goes_on : callable
            Asked before each chunk whether anybody still wants them.

        Yields
        ------
        tuple of (int, list of bytes)
            Index of the chunk's first frame, and its answers.
        """
        starts = deque(range(0, len(readings), CHUNK))
        if not self._wanted(len(readings)):
            while starts and goes_on():
                start = starts.popleft()
                yield start, answer_packed(readings[start : start + CHUNK], viewing, learned)
            return
        pools = self._running()
        while starts and goes_on() and not any(one.done() for one in self._awake):
            start = starts.popleft()  # they still load their libraries
            yield start, answer_packed(readings[start : start + CHUNK], viewing, learned)
        running: deque[tuple[int, int, Future[list[bytes]]]] = deque()

        def hand(pool: int) -> None:
            start = starts.popleft()
            some = list(readings[start : start + CHUNK])
            future = _submit(pools[pool], answer_packed, some, viewing, learned)
            running.append((start, pool, future))

        for pool in [*range(len(pools))] * IN_HAND:
            if starts:
                hand(pool)
        while running and goes_on():
            start, pool, future = running.popleft()
            answers = self._result(future)
            if starts:
                hand(pool)
            yield start, answers
        for _, _, future in running:
            future.cancel()

    def learn(self, frames: Sequence[Packed], viewing: Viewing) -> Learned:
        """Return what a sitting's own frames teach.

        Parameters
        ----------
        frames : sequence of Packed
            In order of time, with their first answers.
        viewing : Viewing
            For which print.

        Returns
        -------
        Learned
            As `make_sitting` learns it.
        """
        if not self._wanted(len(frames)):
            return learn_packed(frames, viewing)
        return self._result(_submit(self._running()[0], learn_packed, frames, viewing))

    def sum_up(self, frames: Sequence[Packed], viewing: Viewing, name: str) -> Sitting:
        """Return what is said of a whole sitting.

        Parameters
        ----------
        frames : sequence of Packed
            In order of time, with their answers.
        viewing : Viewing
            For which print and from where.
        name : str
            What it is called.

        Returns
        -------
        Sitting
            Without its frames.
        """
        if not self._wanted(len(frames)):
            return sum_up_packed(frames, viewing, name)
        return self._result(_submit(self._running()[0], sum_up_packed, frames, viewing, name))

    def keep_lessons(
        self, frames: Sequence[Packed], bursts: Sequence[int | None], path: Path
    ) -> None:
        """Keep what a sitting's frames teach for all sittings to come.

        Parameters
        ----------
        frames : sequence of Packed
            In order of time, with their answers.
        bursts : sequence of int or None
            The burst of each.
        path : Path
            The store.
        """
        if not self._wanted(len(frames)):
            keep_lessons_packed(frames, bursts, path)
        else:
            self._result(_submit(self._running()[0], keep_lessons_packed, frames, bursts, path))

    def rest(self) -> None:
        """Let them go if nothing was asked for a while."""
        if self._pools and time.monotonic() - self._used_s > IDLE_S:
            self.stop()

    def stop(self) -> None:
        """End them at once; they come back when they are needed again."""
        pools, self._pools = self._pools, []
        for pool in pools:
            processes = list((pool._processes or {}).values())
            pool.shutdown(wait=False, cancel_futures=True)
            for process in processes:
                process.terminate()

    def _wanted(self, frames: int) -> bool:
        return self.count > 0 and frames > FEW

    def _running(self) -> list[ProcessPoolExecutor]:
        self._used_s = time.monotonic()
        if not self._pools:
            context = get_context("spawn")  # a process with threads must not be forked
            self._pools = [
                ProcessPoolExecutor(1, mp_context=context, initializer=_stand_back)
                for _ in range(self.count)  # one each, so that a frame meets its own cones again
            ]
            self._awake = [_submit(pool, os.getpid) for pool in self._pools]
        return self._pools

    def _result(self, future: "Future[T]") -> T:
        try:
            return future.result()
        except (BrokenProcessPool, CancelledError) as error:
            self.stop()  # new ones next time
            raise LostError from error
        finally:
            self._used_s = time.monotonic()


def _submit(pool: ProcessPoolExecutor, step: Callable[..., T], *arguments: object) -> "Future[T]":
    try:
        return pool.submit(step, *arguments)
    except RuntimeError as error:  # ended meanwhile; a broken pool says so in this way too
        raise LostError from error


def _stand_back() -> None:
    """Make a helper ignore Ctrl-C, give way to measuring, and leave when its parent is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICE)
    threading.Thread(target=_leave_with_parent, daemon=True).start()


def _leave_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)
