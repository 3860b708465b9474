"""What a watcher does each time something happened: look, measure, keep, hand on; in one thread."""

import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from multiprocessing import connection
from multiprocessing.connection import Connection
from pathlib import Path, PurePath
from typing import Protocol

from eyeplane.errors import EyeplaneError, StoreError
from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.records.watched import Watched
from eyeplane.sitting.landing import Landing
from eyeplane.sitting.landing_files import Moment, ToTake
from eyeplane.sitting.watch_sight import Sight
from eyeplane.store import Store, content_hash
from eyeplane.work import Done, StandingPool

GROWING_S = 0.1  # s between looks at files that are being written, should a notice be lost
GROWING_UNNOTICED_S = 0.04  # the same where no notices come
KNOWN_AT_ONCE = 16  # frames taken from the store before what lands is looked at again
STATE_S = 0.2  # s between tellings of how it stands
RETRY_S = 2.0  # s until a store that failed, or processes that would not start, are tried again


class TakesFrames(Protocol):
    """What a watcher feeds: a live sitting, as far as it matters here."""

    folder: Path | None

    def take(
        self,
        reading: FrameReading,
        *,
        companions: tuple[str, ...] = (),
        landed_at: datetime | None = None,
        was: str | None = None,
    ) -> int:
        """Take one frame in and return its number.

        Parameters
        ----------
        reading : FrameReading
            What was measured.
        companions : tuple of str
            Further files of the exposure.
        landed_at : datetime or None
            When its last byte was there; None for what lay there before.
        was : str or None
            The path under which it was taken in before.
        """

    def marks(self) -> dict[str, tuple[int, int]]:
        """Return (size, time of change) by path of the frames it has."""

    def watched_by(self, state: Callable[[], Watched] | None) -> None:
        """Take note of who watches its folder.

        Parameters
        ----------
        state : callable or None
            Tells how the watching stands; None when it ends.
        """

    def stirred(self) -> None:
        """Tell those who listen that the watching stands otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What turns are made with.

    Attributes
    ----------
    live : LiveSitting
        What takes the frames in.
    sight : Sight
        Where changes become known.
    pool : StandingPool
        What measures.
    settings : MeasureSettings
        What to measure.
    heard : Connection
        On which it is told that something became known.
    show : callable
        Told how it stands.
    """

    live: TakesFrames
    sight: Sight
    pool: StandingPool
    settings: MeasureSettings
    heard: Connection
    show: Callable[[Watched], None]


class Turns:
    """The turns of one watcher.

    Parameters
    ----------
    means : Means
        With what.
    """

    def __init__(self, means: Means) -> None:
        self._live, self._sight, self._pool = means.live, means.sight, means.pool
        self._settings, self._heard, self._show = means.settings, means.heard, means.show
        folder = self._live.folder
        self._landing = Landing(self._live.marks(), top=None if folder is None else str(folder))
        self._to_take: deque[tuple[ToTake, bool]] = deque()  # with: whether it is to be kept first
        self._trouble = ""  # of the store, or of the processes
        self._failed = ""  # what could not be taken in for a reason that will not pass
        self._retry_s = 0.0
        self._device: int | None = None
        self._moved = ""  # another disk lies where the folder was
        self._closed: tuple[str, ...] = ()
        self._outside: tuple[str, ...] = ()
        self._shown = Watched(watching=True)
        self._shown_s = 0.0

    def wait(self) -> None:
        """Wait until something happened or is due."""
        moment = _moment()
        waits = [self._landing.next_s(moment), self._pool.left_s(), 1.0]
        if self._landing.growing(moment):
            waits.append(GROWING_S if self._sight.noticing else GROWING_UNNOTICED_S)
        if self._landing.unasked(1) and not self._trouble:
            waits.append(0.0)
        if self._to_take:
            waits.append(max(0.0, self._retry_s - moment.at_s))
        connection.wait([self._heard, *self._pool.pipes], min(waits))
        while self._heard.poll():
            self._heard.recv_bytes()

    def turn(self, store: Store) -> None:
        """Do what is to be done.

        Parameters
        ----------
        store : Store
            Where readings are kept; opened by this thread.
        """
        moment = _moment()
        self._see(moment)
        self._landing.look(moment)
        self._collect(moment)
        self._to_take += ((each, False) for each in self._landing.due(moment))
        if moment.at_s >= self._retry_s:
            self._hand_on(store)
            self._ask(store, moment)
            self._hand_out()
            self._trouble = self._failed
        self._tell(moment)

    def fail(self, error: EyeplaneError) -> None:
        """Note why nothing can be taken in at the moment.

        Parameters
        ----------
        error : EyeplaneError
            Its sentence is shown; it is tried again soon.
        """
        self._trouble = str(error)
        self._retry_s = time.monotonic() + RETRY_S
        self._tell(_moment())

    def _see(self, moment: Moment) -> None:
        seen = self._sight.collect()
        for path in seen.paths:
            self._landing.noticed(path, moment)
        if seen.walk is None:
            return
        if self._device not in (None, seen.walk.device) and not seen.walk.files:
            self._moved = (
                "The folder is empty: its disk is away. Put the card back or connect the disk "
                "again; frames are taken in as soon as it is there."
            )
            return
        self._moved, self._device = "", seen.walk.device
        self._closed, self._outside = seen.walk.closed, seen.walk.outside
        if self._landing.walked(seen.walk, moment):
            self._sight.knew_more()

    def _collect(self, moment: Moment) -> None:
        try:
            came = self._pool.collect()
        except EyeplaneError as error:
            self.fail(error)
            return
        if self._pool.missing and moment.at_s >= self._retry_s:
            self._pool.start()
        for done in came:
            to_take = self._landing.came(done.path, _keepable(done), moment)
            if to_take is not None:
                self._to_take.append((to_take, True))

    def _ask(self, store: Store, moment: Moment) -> None:
        """Take from the store what it knows already."""
        for one in self._landing.unasked(KNOWN_AT_ONCE):
            one.asked = True
            reading = store.find(one.path, self._settings)
            if reading is not None:
                self._landing.handed(one)
                to_take = self._landing.came(one.path, reading, moment)
                if to_take is not None:
                    self._to_take.append((to_take, False))
        self._hand_on(store)

    def _hand_out(self) -> None:
        while (one := self._landing.next()) is not None:
            if not self._pool.hand(one.path, fresh=one.fresh):
                return
            self._landing.handed(one)

    def _hand_on(self, store: Store) -> None:
        while self._to_take:
            to_take, measured = self._to_take[0]
            try:
                self._take(store, to_take, measured=measured)
            except StoreError:
                raise  # it is tried again
            except Exception as error:  # noqa: BLE001  one frame must not end the watching
                self._failed = (
                    f"“{PurePath(to_take.path).name}” could not be taken in "
                    f"({type(error).__name__}: {error}). Please report it."
                )
            self._to_take.popleft()

    def _take(self, store: Store, to_take: ToTake, *, measured: bool) -> None:
        reading = to_take.reading
        if measured and reading is not None:
            store.put(reading, self._settings)
        reading = reading or store.find(to_take.path, self._settings)
        if reading is None:
            return  # gone meanwhile; it is met again if it comes back
        self._live.take(
            reading,
            companions=to_take.companions,
            landed_at=to_take.landed_at,
            was=to_take.was,
        )

    def _tell(self, moment: Moment) -> None:
        stands = Watched(
            watching=True,
            writing=self._landing.writing,
            waiting=self._landing.waiting + len(self._to_take),
            trouble=self._sight.trouble() or self._moved or self._trouble or self._unseen(),
        )
        if stands == self._shown or moment.at_s - self._shown_s < STATE_S:
            return
        self._shown, self._shown_s = stands, moment.at_s
        self._show(stands)
        self._live.stirred()

    def _unseen(self) -> str:
        """Return what of the folder is not looked at, with what to do; empty if nothing is."""
        closed, outside = (
            " and ".join(f"“{PurePath(path).name}”" for path in paths[:3])
            for paths in (self._closed, self._outside)
        )
        if closed:
            return f"Frames in {closed} are not seen: give yourself permission to look into it."
        if outside:
            return (
                f"{outside} leads out of the folder and is not followed: put the frames "
                "themselves into the folder."
            )
        return ""


def _moment() -> Moment:
    return Moment(at_s=time.monotonic(), utc=datetime.now(tz=UTC))


def _keepable(done: Done) -> FrameReading:
    """Return a reading that the store keeps even if the frame cost a process: once is enough."""
    return replace(done.reading, sha256=content_hash(done.path)) if done.lost else done.reading
