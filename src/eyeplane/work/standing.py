"""Measuring processes that stay up and warm while frames land, one of them kept for the newest.

One process is keen: it measures nothing but fresh frames, so that it is free when one lands. The
others measure fresh frames first and what lay there before when there is none; they let the keen
one and the pages go first. Like in `pool`, each holds one frame at a time and has its own pipe, so
a bad file costs that file and nothing else.
"""

from collections.abc import Callable
from multiprocessing import connection
from multiprocessing.connection import Connection

from eyeplane.errors import EyeplaneError
from eyeplane.work.done import Done, died_on, done_with, too_late
from eyeplane.work.pool import FRAME_LIMIT_S, START_ATTEMPTS, START_LIMIT_S, Measure
from eyeplane.work.process import Worker
from eyeplane.work.worker import Manner

YIELDING = 10  # nice, of processes that measure what lay there before; common practice, no source


class StandingPool:
    """So many processes, started once and replaced when they die.

    To be used by one thread; it never waits, but for `stop`.

    Parameters
    ----------
    function : callable
        Measures one path; picklable.
    workers : int
        Processes beside the keen one, at least 1.
    limit_s : float
        Time after which a frame is given up.
    warm : callable or None
        What a process does before its first frame; picklable.
    keen : callable or None
        How the keen process measures: it may use more than one core, since somebody waits; None:
        as the others.
    """

    def __init__(
        self,
        function: Measure,
        *,
        workers: int,
        limit_s: float = FRAME_LIMIT_S,
        warm: Callable[[], object] | None = None,
        keen: Measure | None = None,
    ) -> None:
        self._limit_s = limit_s
        self._functions = [keen or function, *[function] * max(1, workers)]
        self._manners = [Manner(warm=warm)]
        self._manners += [Manner(warm=warm, yielding=YIELDING)] * max(1, workers)
        self._seats: list[Worker | None] = [None] * len(self._manners)
        self._died: dict[str, str] = {}  # on which a process died once, by path
        self._failed_starts = 0

    def start(self) -> None:
        """Start what is not there; the others once the keen one is ready, so that it soon is."""
        keen = self._seats[0]
        number_at_once = len(self._seats) if keen is not None and keen.ready else 1
        for number, worker in enumerate(self._seats[:number_at_once]):
            if worker is None:
                function, manner = self._functions[number], self._manners[number]
                self._seats[number] = Worker(function, START_LIMIT_S, manner)

    @property
    def pipes(self) -> list[Connection]:
        """Return what to wait on for something to come in.

        Returns
        -------
        list of Connection
            One for each process that is there.
        """
        return [worker.pipe for worker in self._seats if worker is not None]

    @property
    def missing(self) -> bool:
        """Return whether a process is not there, since it would not start.

        Returns
        -------
        bool
            Then `start` is to be called again, after a while.
        """
        return None in self._seats

    @property
    def in_hand(self) -> list[str]:
        """Return the frames that are being measured.

        Returns
        -------
        list of str
            Their paths.
        """
        return [w.path for w in self._seats if w is not None and w.path is not None]

    @property
    def processes(self) -> list[int]:
        """Return the processes' numbers, for who wants to look at their memory.

        Returns
        -------
        list of int
            The keen one first.
        """
        return [w.process.pid or 0 for w in self._seats if w is not None]

    def left_s(self) -> float:
        """Return after which time something must be looked at even if nothing comes in.

        Returns
        -------
        float
            Seconds, at least 0.
        """
        return max(0.0, min((w.left_s() for w in self._seats if w is not None), default=3600.0))

    def hand(self, path: str, *, fresh: bool) -> bool:
        """Give a frame to a process that is free.

        Parameters
        ----------
        path : str
            The frame.
        fresh : bool
            Whether it has just landed; only such a one goes to the keen process.

        Returns
        -------
        bool
            False if none is free for it.
        """
        for number, worker in enumerate(self._seats):
            if worker is None or not worker.ready or worker.path is not None:
                continue
            if number == 0 and not fresh:
                continue
            worker.hand(path, self._limit_s)
            return True
        return False

    def collect(self) -> list[Done]:
        """Return what has come in, and replace what died or hangs.

        Returns
        -------
        list of Done
            Maybe none. A frame on which a process died is measured once more, by the process
            that takes the place, since a full memory may have been the cause.

        Raises
        ------
        EyeplaneError
            If processes end again and again while they start; `start` may be tried again.
        """
        found: list[Done] = []
        heard = connection.wait(self.pipes, 0)
        for number, worker in enumerate(self._seats):
            if worker is not None and worker.pipe in heard:
                found += self._take(number, worker)
            elif worker is not None and worker.overdue():
                self._replace(number, worker)
                if worker.path is not None:
                    found.append(too_late(worker.path, self._limit_s))
        return found

    def stop(self) -> None:
        """End all processes at once; none is left."""
        workers = [worker for worker in self._seats if worker is not None]
        self._seats = [None] * len(self._seats)
        for worker in workers:
            if worker.path is None and worker.ready:
                worker.pipe.close()  # all of them leave at the same time
        for worker in workers:
            worker.stop()

    def _take(self, number: int, worker: Worker) -> list[Done]:
        path, took_s = worker.path, worker.took_s()
        try:
            answer = worker.receive()
        except (EOFError, OSError):
            self._replace(number, worker)
            return [] if path is None else self._once_more(path, worker.ending())
        self._failed_starts = 0
        if path is None:
            if number == 0:
                self.start()
            again = self._waiting_again()
            if again is not None:
                worker.hand(again, self._limit_s)
            return []
        self._died.pop(path, None)
        return [done_with(path, answer, took_s)]

    def _once_more(self, path: str, ending: str) -> list[Done]:
        if path in self._died:
            del self._died[path]
            return [died_on(path, ending)]
        self._died[path] = ending
        return []

    def _waiting_again(self) -> str | None:
        held = set(self.in_hand)
        return next((path for path in self._died if path not in held), None)

    def _replace(self, number: int, worker: Worker) -> None:
        self._seats[number] = None
        ready = worker.ready
        worker.stop()
        self._failed_starts = 0 if ready else self._failed_starts + 1
        if self._failed_starts >= START_ATTEMPTS:
            self._failed_starts = 0
            raise EyeplaneError(
                f"the measuring process ended while it started ({worker.ending()})",
                where="the measuring",
                hint="Install eyeplane anew",
            )
        self.start()
