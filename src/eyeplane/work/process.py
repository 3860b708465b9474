"""One measuring process as its parent sees it: started with one thread, ended without waiting."""

import contextlib
import math
import multiprocessing
import os
import signal
import time
from collections.abc import Callable, Iterator
from multiprocessing import resource_tracker
from typing import Any

from eyeplane.records import FrameReading
from eyeplane.work.worker import READY, Manner, serve

STOP_WAIT_S = 2.0  # s an idle process gets to leave by itself
ONE_THREAD = {
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "VECLIB_MAXIMUM_THREADS": "1",
    "NUMBA_NUM_THREADS": "1",
    "OPENCV_FOR_THREADS_NUM": "1",
}


class Worker:
    """A process that measures one frame at a time.

    Parameters
    ----------
    function : callable
        Measures one path; picklable.
    start_limit_s : float
        Time it may take to get ready.
    manner : Manner or None
        How it behaves; None: as it comes.
    """

    def __init__(
        self,
        function: Callable[[str], FrameReading],
        start_limit_s: float,
        manner: Manner | None = None,
    ) -> None:
        # "spawn", since forking a process that has threads (numba, OpenCV) can deadlock.
        context = multiprocessing.get_context("spawn")
        self.pipe, theirs = context.Pipe()
        self.process = context.Process(
            target=serve, args=(theirs, function, manner or Manner()), daemon=True
        )
        self.path: str | None = None
        self.ready = False
        self._start_s = time.monotonic()
        self._deadline_s = self._start_s + start_limit_s
        with _for_a_child():
            self.process.start()
        theirs.close()

    def hand(self, path: str, limit_s: float) -> None:
        """Give it a frame.

        Parameters
        ----------
        path : str
            The frame.
        limit_s : float
            Time it may take.
        """
        self.path = path
        self._start_s = time.monotonic()
        self._deadline_s = self._start_s + limit_s
        with contextlib.suppress(OSError):  # a dead process is met when its pipe is read
            self.pipe.send(path)

    def receive(self) -> FrameReading | str:
        """Return what it sent; it is idle then.

        Returns
        -------
        FrameReading or str
            A reading, an error in words, or the word that it is ready.

        Raises
        ------
        EOFError, OSError
            If it died.
        """
        answer: Any = self.pipe.recv()
        if answer == READY:
            self.ready = True
        self.path = None
        self._deadline_s = math.inf
        return answer  # type: ignore[no-any-return]  # what `serve` sends

    def took_s(self) -> float:
        """Return how long it has had its frame.

        Returns
        -------
        float
            Seconds.
        """
        return time.monotonic() - self._start_s

    def left_s(self) -> float:
        """Return how long it may still take.

        Returns
        -------
        float
            Seconds, negative when overdue; at most 3600 for one that has nothing to do.
        """
        return min(self._deadline_s - time.monotonic(), 3600.0)

    def overdue(self) -> bool:
        """Return whether it has had its time.

        Returns
        -------
        bool
            True if it should be stopped; False if its answer lies in the pipe.
        """
        return self.left_s() <= 0 and not self.pipe.poll()

    def stop(self, wait_s: float = STOP_WAIT_S) -> None:
        """End it: an idle one by closing its pipe, a busy one by force.

        Parameters
        ----------
        wait_s : float
            How long an idle one gets to leave by itself.
        """
        self.pipe.close()
        if self.path is None and self.ready:
            self.process.join(wait_s)
        if self.process.is_alive():
            self.process.kill()
        self.process.join()

    def ending(self) -> str:
        """Return in words how it ended.

        Returns
        -------
        str
            For instance "SIGSEGV" or "exit status 1".
        """
        code = self.process.exitcode or 0
        if code < 0:
            with contextlib.suppress(ValueError):
                return signal.Signals(-code).name
        return f"exit status {code}"


@contextlib.contextmanager
def _for_a_child() -> Iterator[None]:
    """Let a child inherit one thread for every library, and no Ctrl-C while it starts.

    Libraries read the variables when they are loaded, which may be before any code of ours runs
    in the child; so they must stand in the environment that it inherits.
    """
    before: set[int] | None = None
    if hasattr(signal, "pthread_sigmask"):
        resource_tracker.ensure_running()  # else its own start would lift the mask
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    saved = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update(ONE_THREAD)
    try:
        yield
    finally:
        for name, value in saved.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
        if before is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
