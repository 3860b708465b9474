"""Warnings of the run while frames land: looked for beside the pages, one frame after another."""

import queue
import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from eyeplane.errors import StoreError
from eyeplane.records.live import LiveFrame, RunWarning
from eyeplane.sitting.live_book import Book
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.run_warnings import RunFrame, Said, run_warnings

KEPT = 120  # frames of the run that are at hand
AGAIN = 40  # frames that the run is taken up with after a restart
FAULT = "Frame {number} was not looked at for warnings of the run ({error}). Please report it."
SAME_RUN = timedelta(minutes=30)  # a longer pause, and another run begins; no source


class Warner:
    """Looks at each frame that landed.

    Parameters
    ----------
    book : Book
        The frames.
    show : callable
        Returns a frame with its whole answer.
    say : callable
        Takes new warnings.
    """

    def __init__(
        self,
        book: Book,
        *,
        show: Callable[[Held], LiveFrame | None],
        say: Callable[[Sequence[RunWarning]], None],
    ) -> None:
        self._book, self._show, self._say = book, show, say
        self._run: deque[RunFrame] = deque(maxlen=KEPT)
        self._said = Said()
        self._landed: queue.SimpleQueue[Held | None] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._lock = threading.Lock()
        self.trouble = ""  # why no warnings come

    def saw(self, held: Held) -> None:
        """Be told of a frame that landed; returns at once.

        Parameters
        ----------
        held : Held
            The frame.
        """
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._serve, daemon=True)
                self._thread.start()
        self._landed.put(held)

    def look(self, held: Held) -> None:
        """Look at a frame that landed, here and now.

        Parameters
        ----------
        held : Held
            The frame.
        """
        if not self._run:
            self._take_up(held)
        new = self._with(held)
        if new:
            self._say(new)

    def stop(self) -> None:
        """End it; frames that landed until now are looked at first."""
        with self._lock:
            thread = self._thread
        if thread is not None:
            self._landed.put(None)
            thread.join()

    def _serve(self) -> None:
        while (held := self._landed.get()) is not None:
            try:
                self.look(held)
            except StoreError:
                continue  # told where frames are taken in
            except Exception as error:  # noqa: BLE001  one frame must not end the warnings
                self.trouble = FAULT.format(number=held.number, error=repr(error))

    def _take_up(self, first: Held) -> None:
        """Take the run up where a restart broke it off; what was said then is not said again."""
        since = (first.kept.landed_at or datetime.now(tz=UTC)) - SAME_RUN
        with self._book.lock:
            before = [
                held
                for held in self._book.held.values()
                if held.kept.landed_at is not None
                and held.number < first.number
                and since <= held.kept.landed_at
            ]
        before.sort(key=lambda held: held.number)
        for held in before[-AGAIN:]:
            self._with(held)

    def _with(self, held: Held) -> tuple[RunWarning, ...]:
        shown = self._show(held)
        if shown is None:
            return ()
        self._run.append(RunFrame(number=held.number, frame=shown.frame))
        with self._book.lock:
            bursts = {
                one.number: row.row.burst
                for one in self._run
                if (row := self._book.held.get(one.number)) is not None
            }
        run = [
            replace(one, frame=replace(one.frame, burst=bursts.get(one.number)))
            for one in self._run
        ]
        self._said, new = run_warnings(run, self._said, self._book.viewing)
        return new
