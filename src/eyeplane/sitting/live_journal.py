"""The journal of a sitting: one thread that writes into the store what may not be lost."""

import queue
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from pathlib import Path
from typing import Any, TypeVar

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, MeasureSettings, Viewing
from eyeplane.store import Sittings
from eyeplane.store.sittings import KeptSitting
from eyeplane.store.sittings_frames import KeptFrame, reading_of

T = TypeVar("T")
Work = tuple[Callable[[Sittings], Any], "Future[Any]"]

WAIT_S = 60.0  # s for the store: twice what it waits for another process


class Journal:
    """The store of one sitting, written and read by a thread of its own.

    Parameters
    ----------
    path : Path
        The store's file.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._work: queue.SimpleQueue[Work | None] = queue.SimpleQueue()
        self._lock = threading.Lock()
        self._closed = False
        opened: Future[None] = Future()
        self._thread = threading.Thread(target=self._serve, args=(opened,), daemon=True)
        self._thread.start()
        opened.result()

    def do(self, work: Callable[[Sittings], T]) -> T:
        """Do something in the store and wait until it is there.

        Parameters
        ----------
        work : callable
            Takes the store.

        Returns
        -------
        object
            What it returns.

        Raises
        ------
        StoreError
            If the store cannot be used, or is closed.
        """
        return self.wait(self.later(work))

    def wait(self, future: "Future[T]") -> T:
        """Wait for something that was asked for.

        Parameters
        ----------
        future : Future
            As `later` gives it.

        Returns
        -------
        object
            What came of it.

        Raises
        ------
        StoreError
            If the store cannot be used, or does not answer.
        """
        try:
            return future.result(WAIT_S)
        except TimeoutError:
            if future.cancel():  # it is not done later either, when nobody counts on it
                raise self._silent() from None
            return future.result()  # it has begun: the store itself does not wait for ever

    def later(self, work: Callable[[Sittings], T]) -> "Future[T]":
        """Do something in the store without waiting.

        Parameters
        ----------
        work : callable
            Takes the store.

        Returns
        -------
        Future
            What comes of it.
        """
        future: Future[T] = Future()
        with self._lock:
            if self._closed:
                future.set_exception(
                    StoreError("the sitting was closed", where=str(self.path), hint="Open it again")
                )
            else:
                self._work.put((work, future))
        return future

    def close(self) -> None:
        """Finish what was asked for and close the store; a second call does nothing."""
        with self._lock:
            if not self._closed:
                self._closed = True
                self._work.put(None)
        self._thread.join()

    def _silent(self) -> StoreError:
        return StoreError(
            "the store does not answer",
            where=str(self.path),
            hint="Look to the disk that it lies on; it is tried again",
        )

    def _serve(self, opened: "Future[None]") -> None:
        try:
            store = Sittings(self.path)
        except BaseException as error:  # noqa: BLE001  told to who asked
            opened.set_exception(error)
            return
        opened.set_result(None)
        with store:
            while (asked := self._work.get()) is not None:
                work, future = asked
                if not future.set_running_or_notify_cancel():
                    continue
                try:
                    future.set_result(work(store))
                except BaseException as error:  # noqa: BLE001  told to who asked
                    future.set_exception(error)


class SittingJournal(Journal):
    """The journal of one sitting.

    Parameters
    ----------
    path : Path
        The store's file.
    settings : MeasureSettings
        By which frames are measured.
    measure_version : str
        By which version of the measuring.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """

    def __init__(self, path: Path, *, settings: MeasureSettings, measure_version: str) -> None:
        super().__init__(path)
        self.settings, self.measure_version = settings, measure_version
        self.sitting = 0

    def open(self, folder: Path, *, key: str, name: str, viewing: Viewing) -> KeptSitting:
        """Return the sitting of a folder; what follows is of this one.

        Parameters
        ----------
        folder : Path
            Where its frames lie.
        key, name : str
            Its name in addresses and what it is called, if it is new.
        viewing : Viewing
            For which print and from where, if it is new.

        Returns
        -------
        KeptSitting
            As it was left.
        """
        kept = self.do(lambda store: store.open(folder, key=key, name=name, viewing=viewing))
        self.sitting = kept.id
        return kept

    def readings(self, frames: Sequence[KeptFrame]) -> dict[int, FrameReading]:
        """Return what was measured in frames, without pictures.

        Parameters
        ----------
        frames : sequence of KeptFrame
            The frames.

        Returns
        -------
        dict of int to FrameReading
            By number; those that the store does not have are left out.
        """
        if not frames:
            return {}
        numbers = [one.number for one in frames]
        texts = self.do(
            lambda store: store.readings(
                self.sitting,
                settings=self.settings,
                measure_version=self.measure_version,
                numbers=(min(numbers), max(numbers)),
            )
        )
        found = ((one.number, reading_of(texts.get(one.number, ""), one)) for one in frames)
        return {number: reading for number, reading in found if reading is not None}

    def view(self, sha256: str, face: int) -> bytes | None:
        """Return the picture of an eye.

        Parameters
        ----------
        sha256 : str
            What the frame's file held.
        face : int
            Index of the face.

        Returns
        -------
        bytes or None
            A JPEG; None if there is none.
        """
        return self.do(
            lambda store: store.view(
                sha256, face, settings=self.settings, measure_version=self.measure_version
            )
        )
