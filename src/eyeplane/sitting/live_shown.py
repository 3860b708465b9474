"""How a live sitting shows one frame with its whole answer, worked out where it is not there."""

from eyeplane.diagnose import answer_frame
from eyeplane.records import FrameReading, SittingFrame
from eyeplane.records.live import LiveFrame
from eyeplane.sitting.live_core import LiveCore
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.live_steps import pack, unpack


class LiveShown(LiveCore):
    """The part of a live sitting that shows frames; use `LiveSitting`."""

    def last_number(self) -> int:
        """Return the number of the frame that landed last.

        Returns
        -------
        int
            Of the one taken in last where none landed while watched; 0 if there is none.
        """
        book = self._book
        with book.lock:
            return book.last_landed or max(book.held, default=0)

    def _whole_frame(self, held: Held) -> LiveFrame | None:
        book = self._book
        reading = self._reading(held)
        if reading is None:
            return None
        with book.lock:
            viewing, learned, taught = book.viewing, book.learned, book.taught
            packed, made = held.answer, held.made
        if made is not None:
            answer = made.answer
        elif packed:
            answer = unpack(packed)
        else:
            answer = answer_frame(reading, viewing, learned)
            with book.lock:
                if book.viewing == viewing:
                    held.answer, held.taught = pack(answer), taught
        with book.lock:
            return LiveFrame(
                number=held.number,
                frame=SittingFrame(
                    reading=reading,
                    answer=answer,
                    companions=held.kept.companions,
                    burst=held.row.burst,
                    best_of_burst=held.best_of_burst,
                ),
                landed_at=held.kept.landed_at,
                answered_at=held.kept.answered_at,
                chosen=held.number in book.chosen,
            )

    def _reading(self, held: Held) -> FrameReading | None:
        if held.reading or held.made is not None:
            return held.unpacked()
        if self._journal is None:
            return None
        return self._journal.readings([held.kept]).get(held.number)
