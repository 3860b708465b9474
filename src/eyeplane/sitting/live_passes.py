"""The passes over a live sitting: bring back, answer, learn, answer anew, sum up."""

import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from eyeplane.records import FrameAnswer, Learned, SittingFrame
from eyeplane.records.live import FrameRow, LiveFrame
from eyeplane.sitting.live_book import Book
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.live_helpers import Helpers
from eyeplane.sitting.live_journal import SittingJournal
from eyeplane.sitting.live_rows import frame_row, quick_row
from eyeplane.sitting.live_steps import Packed, pack, unpack
from eyeplane.sitting.run import goal_of

LOADED = 64  # frames brought back at once

GoesOn = Callable[[], bool]


class BrokenOffError(Exception):
    """A pass is not wanted any more: another print, new frames, or the end."""


class Passes:
    """What is done to the frames of a sitting; by one thread at a time.

    Parameters
    ----------
    book : Book
        The frames.
    name : str
        What the sitting is called.
    helpers : Helpers
        Who answers many frames.
    journal : SittingJournal or None
        From where frames are brought back.
    """

    def __init__(
        self, book: Book, *, name: str, helpers: Helpers, journal: SittingJournal | None
    ) -> None:
        self.book, self.name, self.helpers, self.journal = book, name, helpers, journal
        self.closed = threading.Event()
        self.unsaid: set[int] = set()  # frames whose row is not kept yet

    def everything(self, *, calm: bool) -> int:
        """Work out all that is not said yet.

        Parameters
        ----------
        calm : bool
            Whether frames are answered anew with what all of them taught.

        Returns
        -------
        int
            The changes of the book that it takes into account.

        Raises
        ------
        BrokenOffError
            If it is not wanted any more.
        """
        book = self.book
        epoch = book.epoch

        def goes_on() -> bool:
            return not self.closed.is_set() and book.epoch == epoch

        def undisturbed() -> bool:
            return goes_on() and book.changes == changes

        self.bring_back(goes_on)
        with book.lock:
            changes, viewing = book.changes, book.viewing
            frames = [one for one in book.in_order() if one.reading]
        self._answer_first([one for one in frames if not one.first], goes_on)
        learned = self.helpers.learn(self._packed(frames, goes_on, first=True), viewing)
        taught = self._teach(learned, goes_on)
        # One that a page asked for has its answer, but what is said of it in one line has not.
        left = [one for one in frames if not (one.answer and one.row.answered)]
        self.answer(left, (learned, taught), goes_on)
        if calm:
            again = [one for one in frames if one.made is None and one.taught != taught]
            self.answer(again, (learned, taught), undisturbed)
        packed = self._packed(frames, goes_on, first=False)
        whole = self.helpers.sum_up(packed, viewing, self.name)
        with book.lock:
            if not goes_on():
                raise BrokenOffError
            book.whole, book.summed = whole, changes
        book.sort_bursts()
        book.stirred()
        return changes

    def bring_back(self, goes_on: GoesOn) -> None:
        """Bring back what was measured in frames that are known from the store.

        Parameters
        ----------
        goes_on : callable
            Whether it is still wanted.

        Raises
        ------
        BrokenOffError
            If it is not.
        """
        absent = [one for one in self.book.in_order() if not one.reading]
        absent.sort(key=lambda one: one.number)  # as they lie in the store
        for start in range(0, len(absent), LOADED):
            if self.journal is None or not goes_on():
                raise BrokenOffError
            some = absent[start : start + LOADED]
            found = self.journal.readings([one.kept for one in some])
            for one in some:
                reading = found.get(one.number)
                if reading is None:  # forgotten meanwhile
                    self.book.drop(one)
                    continue
                self.book.load(one, reading, pack(reading))
                if not one.row.answered:
                    self._show([one], [quick_row(one.number, reading, self.book.viewing)])

    def answer(
        self, frames: Sequence[Held], teaching: tuple[Learned, int], goes_on: GoesOn
    ) -> None:
        """Answer frames.

        Parameters
        ----------
        frames : sequence of Held
            Which.
        teaching : tuple of (Learned, int)
            What the sitting taught, and which teaching that is.
        goes_on : callable
            Whether it is still wanted.

        Raises
        ------
        BrokenOffError
            If it is not; what was answered until then stays.
        """
        learned, taught = teaching
        for some, answers in self._answers(frames, learned, goes_on):
            rows = [self.row_of(one, unpack(p)) for one, p in zip(some, answers, strict=True)]
            with self.book.lock:
                if not goes_on():
                    raise BrokenOffError
                for one, packed in zip(some, answers, strict=True):
                    one.answer, one.taught = packed, taught
                self._show(some, rows)
                self.unsaid |= {one.number for one in some}

    def row_of(self, held: Held, answer: FrameAnswer) -> FrameRow:
        """Return a frame in one line.

        Parameters
        ----------
        held : Held
            The frame.
        answer : FrameAnswer
            What is said about it.

        Returns
        -------
        FrameRow
            Without its burst.
        """
        frame = SittingFrame(
            reading=held.unpacked(),
            answer=answer,
            companions=held.kept.companions,
            burst=None,
            best_of_burst=False,
        )
        live = LiveFrame(number=held.number, frame=frame, landed_at=held.kept.landed_at)
        return frame_row(live, goal_of(self.book.viewing))

    def _answer_first(self, frames: Sequence[Held], goes_on: GoesOn) -> None:
        for some, answers in self._answers(frames, None, goes_on):
            rows = [
                one.row
                if one.row.answered
                else replace(self.row_of(one, unpack(packed)), answered=False)
                for one, packed in zip(some, answers, strict=True)
            ]
            with self.book.lock:
                if not goes_on():
                    raise BrokenOffError
                for one, packed in zip(some, answers, strict=True):
                    one.first = packed
                self._show(some, rows)

    def _answers(
        self, frames: Sequence[Held], learned: Learned | None, goes_on: GoesOn
    ) -> Iterator[tuple[Sequence[Held], list[bytes]]]:
        readings = [one.reading for one in frames]
        done = 0
        for start, answers in self.helpers.answers(readings, self.book.viewing, learned, goes_on):
            if not goes_on():
                raise BrokenOffError
            yield frames[start : start + len(answers)], answers
            done += len(answers)
        if done < len(frames):
            raise BrokenOffError

    def _packed(self, frames: Sequence[Held], goes_on: GoesOn, *, first: bool) -> list[Packed]:
        """Return frames for a helper; another print takes all answers away."""
        with self.book.lock:
            if not goes_on():
                raise BrokenOffError
            return [one.packed(first=first) for one in frames]

    def _teach(self, learned: Learned, goes_on: GoesOn) -> int:
        book = self.book
        with book.lock:
            if not goes_on():
                raise BrokenOffError
            if learned != book.learned:
                book.learned = learned
                book.taught += 1
            return book.taught

    def _show(self, frames: Sequence[Held], rows: Sequence[FrameRow]) -> None:
        self.book.say({one.number: (one, row) for one, row in zip(frames, rows, strict=True)})
