"""How a live sitting takes frames in: each exposure once, under a number that stays."""

import math
from dataclasses import replace
from datetime import UTC, datetime

from eyeplane.diagnose import answer_frame
from eyeplane.records import FrameReading
from eyeplane.records.live import FrameRow
from eyeplane.sitting.live_core import LiveCore
from eyeplane.sitting.live_held import Held, hold
from eyeplane.sitting.live_open import Left
from eyeplane.sitting.live_rows import quick_row, said_row
from eyeplane.sitting.live_settle import whole_of
from eyeplane.sitting.live_steps import pack
from eyeplane.sitting.scan import exposure_of
from eyeplane.store.readings import without_views
from eyeplane.store.sittings_frames import KeptFrame

BEHIND = 64  # frames of before that may wait to be written
SAME_S = 1e-3  # s: EXIF's sub-seconds are no finer in most cameras, from memory


class LiveTaking(LiveCore):
    """The part of a live sitting that takes frames in; use `LiveSitting`."""

    def take(
        self,
        reading: FrameReading,
        *,
        companions: tuple[str, ...] = (),
        landed_at: datetime | None = None,
        was: str | None = None,
    ) -> int:
        """Take one frame in.

        Parameters
        ----------
        reading : FrameReading
            What was measured.
        companions : tuple of str
            Further files of the same exposure.
        landed_at : datetime or None
            When its last byte was there; None for a frame that lay there before.
        was : str or None
            Its path of before, if it was renamed.

        Returns
        -------
        int
            Its number. An exposure that is known keeps its own, and what was measured last takes
            the place of what was measured first: a companion landed later, a frame that could
            not be read before, or one saved anew. Only where another exposure lies under the same
            name, told by its capture time, there is a new number.

        Raises
        ------
        StoreError
            If the store cannot be written; the frame is not taken in then.

        Notes
        -----
        With a store, a frame that landed is safely there when this returns, and is answered with
        what the sitting taught so far. Frames that lay there before are written a moment later (if
        that fails, one of the next calls says so) and answered many at once.
        """
        with self._taking:
            files = (reading.path, *companions, *(() if was is None else (was,)))
            known = self._book.known(files)
            if known is not None and _unchanged(known, reading, companions):
                return known.number
            if known is not None and _another(known, reading):
                self._book.unknow(known.number)
                known = None
            kept = self._kept(reading, companions, landed_at, known)
            held = self._held(reading, kept)
            self._write(held.kept, reading, new=kept.number > self._book.last_number)
            self._absent.pop(exposure_of(reading.path), None)
            self._book.publish(held)
        self._settler.took()
        if known is None and held.kept.landed_at is not None:
            self._watch(held)
        return held.number

    def marks(self) -> dict[str, tuple[int, int]]:
        """Return the files that need not be looked into again if they have not changed.

        Returns
        -------
        dict of str to tuple of int
            Size and time of last change in nanoseconds by path.
        """
        with self._book.lock:
            kept = [one.kept for one in self._book.held.values() if one.kept.known_by_path]
        return {one.path: (one.size_bytes, one.mtime_ns) for one in kept if one.sha256}

    def _bring_back(self, known: Left) -> None:
        """Show what is known from the store; readings follow in the background."""
        book = self._book
        for one in known.frames:
            book.last_number = max(book.last_number, one.number)
            if one.number in known.read:
                row = said_row(one.said, known.version) or _unsaid(one)
                book.publish(hold(one, replace(row, landed_at=one.landed_at)))
            elif one.known_by_path:
                self._absent[exposure_of(one.path)] = one
        whole = whole_of(known.kept.whole, book.in_order(), known.version)
        if whole is not None and book.answering() == 0:
            book.whole, book.learned, taught = whole
            self._settler.brought_back(taught=taught)

    def _kept(
        self,
        reading: FrameReading,
        companions: tuple[str, ...],
        landed_at: datetime | None,
        known: Held | None,
    ) -> KeptFrame:
        before = self._absent.get(exposure_of(reading.path)) if known is None else known.kept
        return KeptFrame(
            number=self._book.last_number + 1 if before is None else before.number,
            known_by_path=True,
            path=reading.path,
            companions=companions,
            sha256=reading.sha256,
            size_bytes=reading.size_bytes,
            mtime_ns=reading.mtime_ns,
            landed_at=(before and before.landed_at) or landed_at,
            answered_at=None,
            said="",
        )

    def _held(self, reading: FrameReading, kept: KeptFrame) -> Held:
        """Return a frame to be shown, answered if it landed."""
        book = self._book
        if self._journal is not None:
            reading = without_views(reading)
        with book.lock:
            viewing, learned, taught = book.viewing, book.learned, book.taught
        held = hold(kept, quick_row(kept.number, reading, viewing))
        held.load(reading, pack(reading))
        if kept.landed_at is not None or self._journal is None:
            answer = answer_frame(reading, viewing, learned)
            held.answer, held.taught = pack(answer), taught
            held.row = self._passes.row_of(held, answer)
            held.kept = replace(kept, answered_at=kept.landed_at and datetime.now(tz=UTC))
            with book.lock:
                self._passes.unsaid.add(kept.number)
        held.row = replace(held.row, landed_at=kept.landed_at)
        return held

    def _write(self, kept: KeptFrame, reading: FrameReading, *, new: bool) -> None:
        journal = self._journal
        if journal is None:
            return
        while len(self._writing) > (0 if kept.landed_at is not None else BEHIND):
            journal.wait(self._writing.popleft())  # first: should it fail, this one is tried again
        if not new:
            journal.do(lambda store: store.replace(journal.sitting, kept, reading))
        elif kept.landed_at is not None:
            journal.do(lambda store: store.take(journal.sitting, kept, reading))
        else:
            self._writing.append(
                journal.later(lambda store: store.take(journal.sitting, kept, reading))
            )


def _unchanged(known: Held, reading: FrameReading, companions: tuple[str, ...]) -> bool:
    kept = known.kept
    return (
        bool(reading.sha256)
        and (kept.path, kept.companions, kept.sha256) == (reading.path, companions, reading.sha256)
        and (kept.size_bytes, kept.mtime_ns) == (reading.size_bytes, reading.mtime_ns)
    )


def _another(known: Held, reading: FrameReading) -> bool:
    """Return whether another exposure lies where a known frame lay."""
    before_s, now_s = known.order[0], reading.exposure.captured_s
    return (
        now_s is not None
        and known.row.status != "unreadable"
        and math.isfinite(before_s)
        and abs(before_s - now_s) > SAME_S
        and known.kept.path == reading.path
        and known.kept.sha256 != reading.sha256
    )


def _unsaid(kept: KeptFrame) -> FrameRow:
    """Return the row of a frame of which nothing is said yet."""
    return FrameRow(
        number=kept.number,
        name=kept.path.replace("\\", "/").rpartition("/")[2],
        status="measured",
        captured_at="",
        burst=None,
        best=False,
        holds=None,
        reach_cm=None,
        offset_mm=None,
        cause="cannot tell",
        eyes_open=None,
        sitters=0,
        window_mm_per_px=None,
        sentence="",
        chosen=False,
        answered=False,
        sha256=kept.sha256,
    )
