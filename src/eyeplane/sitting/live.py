"""A sitting that grows: frames come in one by one, pages read it from other threads."""

from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Self

from eyeplane.records import (
    MeasureSettings,
    Sitting,
    SittingFrame,
    Viewing,
)
from eyeplane.records.live import FrameRow, LiveFrame, LiveState, RunWarning
from eyeplane.sitting.live_choice import LiveChoice
from eyeplane.sitting.live_held import hold
from eyeplane.sitting.live_open import left
from eyeplane.sitting.live_rows import frame_row
from eyeplane.sitting.live_said import outline, so_far
from eyeplane.sitting.live_shown import LiveShown
from eyeplane.sitting.live_steps import pack
from eyeplane.sitting.live_taking import LiveTaking
from eyeplane.store.sittings_frames import KeptFrame
from eyeplane.work import default_workers

__all__ = ["LiveSitting", "frame_row", "of_sitting"]


class LiveSitting(LiveTaking, LiveChoice, LiveShown):
    """A sitting to be shown while it is shot; every method may be called from any thread.

    Notes
    -----
    Made by its key, name, folder and viewing (see `LiveCore`) nothing is kept beyond the process;
    `LiveSitting.open` has a store behind it.
    """

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        store_path: Path | None = None,
        settings: MeasureSettings | None = None,
        viewing: Viewing | None = None,
        name: str | None = None,
        learns: bool = True,
    ) -> Self:
        """Return the sitting of a folder as it was left, or a new one.

        Parameters
        ----------
        folder : Path
            Where its frames lie, or will.
        store_path : Path or None
            The store; None is the user's own.
        settings : MeasureSettings or None
            By which its frames are measured.
        viewing : Viewing or None
            For which print and from where; None: as it was left, or the standard.
        name : str or None
            What it is called if it is new; None takes the folder's name.
        learns : bool
            Whether what it teaches is kept for other sittings and plans.

        Returns
        -------
        LiveSitting
            With the numbers, choices, names and warnings it had. What was said of it is there at
            once if it still holds; the rest follows in the background. `close` it.

        Raises
        ------
        StoreError
            If the store cannot be used.
        """
        known = left(
            folder,
            store_path=store_path,
            settings=settings or MeasureSettings(),
            viewing=viewing,
            name=name,
        )
        kept = known.kept
        live = cls(
            key=kept.key,
            name=kept.name,
            folder=kept.folder,
            viewing=kept.viewing,
            journal=known.journal,
            helpers=default_workers(),
            learns=learns,
            version=known.version,
        )
        live._names = dict(kept.names)
        live._warned = list(known.warned)
        live._bring_back(known)
        live._choose_again(known.choices)
        live._settler.start()
        return live

    def state(self) -> LiveState:
        """Return how it stands.

        Returns
        -------
        LiveState
            Quick, whatever the number of frames.
        """
        book, settler = self._book, self._settler
        watched = None if self._watched is None else self._watched()
        with book.lock:
            return LiveState(
                frames=len(book.held),
                last_number=self.last_number(),
                given=book.last_number,
                revision=book.revision,
                watching=watched is not None and watched.watching,
                writing=() if watched is None else watched.writing,
                waiting=0 if watched is None else watched.waiting,
                trouble=(watched.trouble if watched is not None else "")
                or settler.trouble
                or self._warner.trouble,
                answering=book.answering(),
                settled=settler.settled() or self._journal is None,
            )

    def frame(self, number: int) -> LiveFrame | None:
        """Return one frame with its whole answer, worked out now if need be.

        Parameters
        ----------
        number : int
            Its number.

        Returns
        -------
        LiveFrame or None
            None if there is no such frame. Pictures of eyes are not in it where there is a
            store: `view` has them.
        """
        with self._book.lock:
            held = self._book.held.get(number)
        return None if held is None else self._whole_frame(held)

    def last(self) -> LiveFrame | None:
        """Return the frame that landed last.

        Returns
        -------
        LiveFrame or None
            The one taken in last where none landed while watched; None if there is none.
        """
        return self.frame(self.last_number())

    def last_good(self) -> LiveFrame | None:
        """Return the last frame that holds the print with no eye told closed.

        Returns
        -------
        LiveFrame or None
            By when it landed, or by its capture time for frames that lay there before; None if
            there is none.
        """
        self._at_once()
        rows = self._book.rows()
        good = [
            (row.landed_at is not None, row.landed_at, place, row.number)
            for place, row in enumerate(rows)
            if row.holds and row.eyes_open is not False
        ]
        landed = [one for one in good if one[0]]
        if not good:
            return None
        return self.frame(max(landed or good, key=lambda one: one[1:3] if landed else one[2])[3])

    def after(self, number: int) -> tuple[LiveFrame, ...]:
        """Return the frames taken in after one; dear where they are many: see `rows_after`.

        Parameters
        ----------
        number : int
            The last one that is known.

        Returns
        -------
        tuple of LiveFrame
            In order of number; each exactly once.
        """
        with self._book.lock:
            numbers = sorted(n for n in self._book.held if n > number)
        found = (self.frame(one) for one in numbers)
        return tuple(one for one in found if one is not None)

    def rows(self) -> tuple[FrameRow, ...]:
        """Return all frames in one line each.

        Returns
        -------
        tuple of FrameRow
            In order of capture.
        """
        self._at_once()
        return self._book.rows()

    def rows_after(self, number: int, limit: int) -> tuple[FrameRow, ...]:
        """Return the frames taken in after one, in one line each.

        Parameters
        ----------
        number : int
            The last one that is known.
        limit : int
            How many at most.

        Returns
        -------
        tuple of FrameRow
            In order of number; each exactly once.
        """
        return self._book.rows_after(number, limit)

    def latest_rows(self, limit: int) -> tuple[FrameRow, ...]:
        """Return the frames taken in last, in one line each.

        Parameters
        ----------
        limit : int
            How many at most.

        Returns
        -------
        tuple of FrameRow
            In order of number; numbers of frames that are not here are passed over.
        """
        return self._book.latest_rows(limit)

    def row(self, number: int) -> FrameRow | None:
        """Return one frame in one line.

        Parameters
        ----------
        number : int
            Its number.

        Returns
        -------
        FrameRow or None
            None if there is no such frame.
        """
        with self._book.lock:
            held = self._book.held.get(number)
            return None if held is None else held.row

    def whole(self) -> Sitting:
        """Return what is said of the whole sitting, without its frames.

        Returns
        -------
        Sitting
            As far as it is known: while it is worked out (`state().settled` is False) what was
            said before more frames came, or the counts alone.
        """
        self._at_once()
        with self._book.lock:
            whole = self._book.whole
        return so_far(self._book, self.name) if whole is None else whole

    def outlined(self) -> Sitting:
        """Return what is said of the whole sitting, with its frames in outline.

        Returns
        -------
        Sitting
            As `whole`; of each frame only what stands in its row, its time and its flash. Quick
            for thousands of frames.
        """
        return replace(self.whole(), frames=outline(self._book))

    def sitting(self) -> Sitting:
        """Return the whole sitting with all its frames; dear for thousands: see `whole`.

        Returns
        -------
        Sitting
            As `whole`, of all frames taken in, each with its whole answer.
        """
        whole = self.whole()
        frames = (self._whole_frame(one) for one in self._book.in_order())
        return replace(whole, frames=tuple(one.frame for one in frames if one is not None))

    def view(self, number: int, face: int) -> bytes | None:
        """Return the picture of an eye.

        Parameters
        ----------
        number : int
            The frame's number.
        face : int
            Index of the face.

        Returns
        -------
        bytes or None
            A JPEG; None if there is none.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with self._book.lock:
            held = self._book.held.get(number)
        if held is None or face < 0:
            return None
        if self._journal is not None:
            return self._journal.view(held.kept.sha256, face)
        faces = held.unpacked().faces
        view = faces[face].view if face < len(faces) else None
        return None if view is None else view.jpeg or None

    def warnings(self, after: int = 0) -> tuple[RunWarning, ...]:
        """Return the warnings of the run, each once.

        Parameters
        ----------
        after : int
            Only those noticed after this frame.

        Returns
        -------
        tuple of RunWarning
            In order of number.
        """
        return tuple(one for one in self._warned if one.number > after)


def of_sitting(sitting: Sitting, *, key: str) -> LiveSitting:
    """Return a live sitting that holds a finished one, for pages and their tests.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered; its answers are shown as they are.
    key : str
        Its name in addresses.

    Returns
    -------
    LiveSitting
        Frames numbered in the sitting's order; nothing is watched or kept.
    """
    live = LiveSitting(key=key, name=sitting.name, folder=None, viewing=sitting.viewing)
    sizes = Counter(frame.burst for frame in sitting.frames)
    for number, frame in enumerate(sitting.frames, 1):
        row = frame_row(
            LiveFrame(number=number, frame=frame), sitting.goal_cm, several=sizes[frame.burst] > 1
        )
        held = hold(_kept(number, frame), row)
        held.load(frame.reading, pack(frame.reading))
        held.order = (float(number), "", "")  # as given
        held.first = held.answer = pack(frame.answer)
        held.made, held.best_of_burst = frame, frame.best_of_burst
        live._book.publish(held)
        held.row = row
    live._book.whole = replace(sitting, frames=())
    live._settler.brought_back()
    return live


def _kept(number: int, frame: SittingFrame) -> KeptFrame:
    reading = frame.reading
    return KeptFrame(
        number=number,
        known_by_path=True,
        path=reading.path,
        companions=frame.companions,
        sha256=reading.sha256,
        size_bytes=reading.size_bytes,
        mtime_ns=reading.mtime_ns,
        landed_at=None,
        answered_at=None,
        said="",
    )
