"""When a live sitting is answered and summed up: one thread, what a page needs most first."""

import json
import threading
import time
from collections.abc import Sequence
from hashlib import sha256

from eyeplane.errors import StoreError
from eyeplane.records import Learned, Sitting, from_plain, to_plain
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.live_helpers import CHUNK, FEW, LostError
from eyeplane.sitting.live_passes import BrokenOffError, Passes
from eyeplane.sitting.live_rows import said_text

TICK_S = 0.25  # s between looks at what there is to do
PAUSE_S = 0.05  # s between two pieces of work: pages and frames come first
GATHER_S = 0.5  # s without a new frame before many known ones are answered together
QUIET_S = 3.0  # s without a new frame before the whole sitting is summed up; no source
DRAFT_S = 10.0  # s between two sums while frames keep coming; no source
DRAFT_SHARE = 5.0  # and at least so many times what a sum takes
SORT_SHARE = 10.0  # times what sorting bursts takes, between two sortings
CALM_S = 20.0  # s without a new frame before all are answered anew with what they taught
LEARN_S = 60.0  # s without a new frame before lessons are kept for other sittings
FAULT = "What is said of the whole sitting stands still ({error}). Please report it."
KEEP_S = 2.0  # s between two writings of what was said: it could be worked out again


class Settler:
    """Has worked out what is not said yet, when it is due.

    Parameters
    ----------
    passes : Passes
        What does it.
    version : str
        Of what answers; what was said by another counts as not said.
    learns : bool
        Whether lessons are kept for other sittings.
    """

    def __init__(self, passes: Passes, *, version: str, learns: bool) -> None:
        self.passes, self.book, self.journal = passes, passes.book, passes.journal
        self.version, self.learns = version, learns
        self.trouble = ""
        self.taken_s = -CALM_S  # when a frame was taken in last
        self._one = threading.Lock()  # one pass at a time
        self._stirred = threading.Event()
        self._thread: threading.Thread | None = None
        self._sorted = self._exact = self._taught_others = self._kept = -1
        self._draft_s = self._kept_s = self._sort_s = 0.0

    def start(self) -> None:
        """Begin; a second call does nothing."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, daemon=True)
            self._thread.start()

    def took(self) -> None:
        """Be told that a frame was taken in."""
        self.taken_s = time.monotonic()
        self._stirred.set()

    def stir(self) -> None:
        """Be told that there is something to do."""
        self._stirred.set()

    def hurry(self) -> None:
        """Do not wait for calm."""
        self.taken_s = -CALM_S
        self._stirred.set()

    def stop(self) -> None:
        """End the thread and the helpers; what was said until now is kept."""
        self.passes.closed.set()
        self._stirred.set()
        self.passes.helpers.stop()
        if self._thread is not None:
            self._thread.join()
            self.passes.helpers.stop()  # those that it started meanwhile
        few = len(self.book.held) <= FEW
        if few and self.exact() and self._taught_others != self.book.changes:
            self.teach_others()  # of many it is done next time: closing is not to take long
        self._keep(now=True)

    def settled(self) -> bool:
        """Return whether what is said of the whole takes all frames into account.

        Returns
        -------
        bool
            False while it is being worked out.
        """
        return self.book.summed == self.book.changes

    def exact(self) -> bool:
        """Return whether everything is as `make_sitting` would have it.

        Returns
        -------
        bool
            True once all answers take into account what all frames taught.
        """
        return self._exact == self.book.changes

    def brought_back(self, *, taught: bool = True) -> None:
        """Be told that all that was said was brought back from the store.

        Parameters
        ----------
        taught : bool
            Whether its lessons were kept too; if not, all is answered anew in calm, for them.
        """
        book = self.book
        book.summed = self._sorted = book.changes
        if taught or not self.learns:
            self._exact = self._taught_others = self._kept = book.changes

    def settle(self, *, calm: bool) -> bool:
        """Work out all that is not said yet.

        Parameters
        ----------
        calm : bool
            Whether frames are answered anew with what all of them taught.

        Returns
        -------
        bool
            False if it was broken off: by another print, a new frame, closing, or a lost helper.
        """
        with self._one:
            try:
                changes = self.passes.everything(calm=calm)
            except (BrokenOffError, LostError):
                return False
            if calm:
                self._exact = changes
            return True

    def _run(self) -> None:
        closed = self.passes.closed
        while not closed.is_set():
            self._stirred.wait(TICK_S)
            self._stirred.clear()
            try:
                self._look()
                self.trouble = ""
            except StoreError as error:
                self.trouble = str(error)
                closed.wait(QUIET_S)
            except (BrokenOffError, LostError):
                pass
            except Exception as error:  # noqa: BLE001  told on the page, and tried again
                self.trouble = FAULT.format(error=repr(error))
                closed.wait(QUIET_S)
            closed.wait(PAUSE_S)

    def _look(self) -> None:
        """Do what is due."""
        book = self.book
        begun_s = time.monotonic()
        idle_s = begun_s - self.taken_s
        waiting = [one for one in book.in_order() if not (one.row.answered and one.reading)]
        if waiting:
            self._answer_waiting(waiting, idle_s)
        if self._sorted != book.changes and (idle_s >= GATHER_S or begun_s >= self._sort_s):
            self._sorted = book.changes
            book.sort_bursts()
            book.stirred()
            took_s = time.monotonic() - begun_s
            self._sort_s = time.monotonic() + max(GATHER_S, SORT_SHARE * took_s)
        if not waiting:
            self._sum_up(idle_s)
        self._keep()

    def _sum_up(self, idle_s: float) -> None:
        begun_s = time.monotonic()
        if not self.settled() and (idle_s >= QUIET_S or begun_s >= self._draft_s):
            self.settle(calm=idle_s >= CALM_S)
            took_s = time.monotonic() - begun_s
            self._draft_s = time.monotonic() + max(DRAFT_S, DRAFT_SHARE * took_s)
        elif idle_s >= CALM_S and not self.exact():
            self.settle(calm=True)
        elif idle_s >= LEARN_S and self.exact() and self._taught_others != self.book.changes:
            self.teach_others()
        else:
            self.passes.helpers.rest()

    def _answer_waiting(self, waiting: Sequence[Held], idle_s: float) -> None:
        def goes_on() -> bool:
            return not self.passes.closed.is_set()

        with self._one:
            self.passes.bring_back(goes_on)
            few = [one for one in waiting if not one.row.answered]
            if 0 < len(few) <= CHUNK:
                with self.book.lock:
                    teaching = self.book.learned, self.book.taught
                self.passes.answer(few, teaching, goes_on)
        if len(few) > CHUNK and idle_s >= GATHER_S:
            self.settle(calm=True)

    def teach_others(self) -> None:
        """Keep what the frames teach for other sittings, if that is wanted."""
        book = self.book
        with book.lock:
            frames, changes = book.in_order(), book.changes
            whole = all(one.answer for one in frames)
            bursts = [one.row.burst for one in frames]
            packed = [one.packed(first=False) for one in frames]
        if self.learns and self.journal is not None and whole:
            self.passes.helpers.keep_lessons(packed, bursts, self.journal.path)
        self._taught_others, self._kept = changes, -1

    def _keep(self, *, now: bool = False) -> None:
        """Write down what was said, now and then."""
        now_s = time.monotonic()
        if self.journal is None or not (now or now_s - self._kept_s >= KEEP_S):
            return
        self._kept_s = now_s
        book, journal = self.book, self.journal
        with book.lock:
            numbers, self.passes.unsaid = self.passes.unsaid, set()
            rows = [held.row for n in numbers if (held := book.held.get(n)) is not None]
            changes = book.changes
        said = {row.number: said_text(row, self.version) for row in rows}
        whole = self._whole_text() if self.exact() and self._kept != changes else None
        if whole is not None:
            self._kept = changes
        if said or whole is not None:
            journal.later(lambda store: store.say(journal.sitting, said, whole))

    def _whole_text(self) -> str:
        book = self.book
        with book.lock:
            plain = {
                "by": self.version,
                "of": frames_mark(book.in_order()),
                "taught": self._taught_others == book.changes,
                "learned": to_plain(book.learned),
                "sitting": to_plain(book.whole),
            }
        return json.dumps(plain, separators=(",", ":"))


def frames_mark(frames: Sequence[Held]) -> str:
    """Return what tells whether the whole was said of these frames.

    Parameters
    ----------
    frames : sequence of Held
        In any order.

    Returns
    -------
    str
        Hexadecimal digits.
    """
    marks = sorted((one.number, one.kept.sha256, one.kept.path) for one in frames)
    return sha256(repr(marks).encode("utf-8", "backslashreplace")).hexdigest()


def whole_of(
    text: str, frames: Sequence[Held], version: str
) -> tuple[Sitting, Learned, bool] | None:
    """Return what was said of the whole.

    Parameters
    ----------
    text : str
        By `Settler.whole_text`.
    frames : sequence of Held
        The frames there are.
    version : str
        Of what answers.

    Returns
    -------
    tuple of (Sitting, Learned, bool) or None
        The third: whether its lessons were kept for other sittings. None if it was said of other
        frames, by another version, or in another shape.
    """
    try:
        plain = json.loads(text) if text else {}
        if plain.get("by") != version or plain.get("of") != frames_mark(frames):
            return None
        learned = from_plain(Learned, plain["learned"])
        return from_plain(Sitting, plain["sitting"]), learned, bool(plain["taught"])
    except (AttributeError, KeyError, TypeError, ValueError):
        return None
