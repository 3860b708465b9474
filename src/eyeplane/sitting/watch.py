"""Watches a sitting's folder: what lands is measured by warm processes and taken in, once."""

import contextlib
import functools
import threading
from multiprocessing import Pipe
from pathlib import Path

from eyeplane.errors import StoreError
from eyeplane.records import MEASURE_VERSION, MeasureSettings
from eyeplane.records.watched import Watched
from eyeplane.sitting.gather import Measuring
from eyeplane.sitting.watch_sight import Sight
from eyeplane.sitting.watch_turns import RETRY_S, Means, TakesFrames, Turns
from eyeplane.store import Store, default_store_path
from eyeplane.work import StandingPool, default_workers, measure_later, warm_up

STOP_S = 3.0  # that ending may take
MOST_THREADS = 2  # for the frame that just landed: with more the longest parts remain


class Watcher:
    """Feeds a live sitting with the frames of its folder.

    Parameters
    ----------
    live : LiveSitting
        What takes the frames in.
    settings : MeasureSettings or None
        What to measure.
    store_path : Path or None
        The store; None is the photographer's own.
    workers : int or None
        Measuring processes beside the one kept for the newest frame; None is one a core.
    measuring : Measuring or None
        With what to measure; None is eyeplane's own.

    Notes
    -----
    One thread decides, puts readings into the store and hands them to the sitting, in this order,
    so that a kill at any moment loses nothing: what is in the store but not in the sitting is
    found there at the next start. Files are opened for reading only.
    """

    def __init__(
        self,
        live: TakesFrames,
        *,
        settings: MeasureSettings | None = None,
        store_path: Path | None = None,
        workers: int | None = None,
        measuring: Measuring | None = None,
    ) -> None:
        self._live = live
        self._settings = settings or MeasureSettings()
        self._store_path = store_path or default_store_path()
        self._warm = warm_up if measuring is None else None
        self._measuring = measuring or Measuring(function=measure_later, version=MEASURE_VERSION)
        self._threads = min(MOST_THREADS, default_workers()) if measuring is None else 1
        self._workers = default_workers() if workers is None else workers
        self._ended, self._telling = threading.Event(), threading.Lock()
        self._thread: threading.Thread | None = None
        self._state = Watched(watching=False)

    def start(self) -> None:
        """Begin to watch; returns at once. A second call does nothing."""
        if self._thread is not None or self._live.folder is None:
            return
        self._heard, self._wake = Pipe(duplex=False)
        self._state = Watched(watching=True)
        self._live.watched_by(self.state)
        self._thread = threading.Thread(
            target=self._run, args=(self._live.folder,), name="eyeplane-watch", daemon=True
        )
        self._thread.start()

    def stop(self) -> None:
        """End watching and all processes; frames in hand are measured at the next start."""
        thread, self._thread = self._thread, None
        if thread is None:
            return
        self._ended.set()
        self._tell()
        thread.join(STOP_S)
        self._live.watched_by(None)

    def state(self) -> Watched:
        """Return how it stands.

        Returns
        -------
        Watched
            Quick, and from any thread.
        """
        return self._state

    def _show(self, state: Watched) -> None:
        self._state = state

    def _tell(self) -> None:
        with self._telling, contextlib.suppress(OSError):
            if not self._heard.poll():  # one word is enough to wake it
                self._wake.send_bytes(b"!")

    def _run(self, folder: Path) -> None:
        sight = Sight(folder, self._tell)
        measure = functools.partial(self._measuring.function, settings=self._settings)
        pool = StandingPool(
            measure,
            workers=self._workers,
            warm=self._warm,
            keen=functools.partial(measure, threads=self._threads) if self._threads > 1 else None,
        )
        means = Means(
            live=self._live,
            sight=sight,
            pool=pool,
            settings=self._settings,
            heard=self._heard,
            show=self._show,
        )
        version = self._measuring.version
        trouble = "The watching ended in an error. Start eyeplane anew, and please report it."
        try:
            sight.start()
            pool.start()
            turns = Turns(means)
            while not self._ended.is_set():
                try:
                    with Store(self._store_path, measure_version=version) as store:
                        self._turn(turns, store)
                except StoreError as error:
                    turns.fail(error)
                    self._ended.wait(RETRY_S)
            trouble = ""
        finally:
            self._state = Watched(watching=False, trouble=trouble)
            if trouble:
                self._live.stirred()
            pool.stop()
            sight.stop()
            self._heard.close()
            self._wake.close()

    def _turn(self, turns: Turns, store: Store) -> None:
        while not self._ended.is_set():
            turns.turn(store)
            turns.wait()
