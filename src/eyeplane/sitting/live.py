"""A sitting that grows: frames come in one by one, pages read it from other threads."""

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path, PurePath

from eyeplane.records import FrameReading, Sitting, SittingFrame, Viewing
from eyeplane.records.live import FrameRow, LiveFrame, LiveState, RunWarning
from eyeplane.sitting.run import make_sitting


class LiveSitting:
    """A sitting to be shown while it is shot; every method may be called from any thread.

    Parameters
    ----------
    key : str
        Its name in addresses: letters and digits, never a path.
    name : str
        What it is called.
    folder : Path or None
        Where its frames lie.
    viewing : Viewing
        For which print and from where to answer.
    """

    def __init__(self, *, key: str, name: str, folder: Path | None, viewing: Viewing) -> None:
        self.key, self.name, self.folder = key, name, folder
        self._viewing = viewing
        self._lock = threading.RLock()
        self._taken: list[tuple[FrameReading, tuple[str, ...], datetime | None]] = []
        self._chosen: set[int] = set()
        self._undo: list[tuple[frozenset[int], frozenset[int]]] = []
        self._names: dict[int, str] = {}
        self._made: Sitting | None = None
        self._revision = 0
        self._heard: list[Callable[[], None]] = []

    def take(
        self,
        reading: FrameReading,
        *,
        companions: tuple[str, ...] = (),
        landed_at: datetime | None = None,
    ) -> int:
        """Take one frame in.

        Parameters
        ----------
        reading : FrameReading
            What was measured.
        companions : tuple of str
            Further files of the same exposure.
        landed_at : datetime or None
            When its last byte was there.

        Returns
        -------
        int
            Its number.
        """
        with self._lock:
            self._taken.append((reading, companions, landed_at))
            self._changed()
            return len(self._taken)

    @property
    def viewing(self) -> Viewing:
        """Return for which print and viewer the answers hold.

        Returns
        -------
        Viewing
            As set last.
        """
        return self._viewing

    def set_viewing(self, viewing: Viewing) -> None:
        """Answer for another print or viewer.

        Parameters
        ----------
        viewing : Viewing
            The new one.
        """
        with self._lock:
            self._viewing = viewing
            self._changed()

    def state(self) -> LiveState:
        """Return how it stands.

        Returns
        -------
        LiveState
            Quick, whatever the number of frames.
        """
        with self._lock:
            count = len(self._taken)
            return LiveState(
                frames=count, last_number=count, revision=self._revision, watching=False
            )

    def frame(self, number: int) -> LiveFrame | None:
        """Return one frame with its whole answer.

        Parameters
        ----------
        number : int
            Its number.

        Returns
        -------
        LiveFrame or None
            None if there is no such frame.
        """
        return next((one for one in self._frames() if one.number == number), None)

    def last(self) -> LiveFrame | None:
        """Return the frame taken in last.

        Returns
        -------
        LiveFrame or None
            None if there is none.
        """
        return self.frame(len(self._taken))

    def last_good(self) -> LiveFrame | None:
        """Return the last frame taken in that holds the print with all eyes open.

        Returns
        -------
        LiveFrame or None
            None if there is none.
        """
        rows = {row.number: row for row in self.rows()}
        good = [n for n, row in rows.items() if row.holds and row.eyes_open is not False]
        return self.frame(max(good)) if good else None

    def after(self, number: int) -> tuple[LiveFrame, ...]:
        """Return the frames taken in after one.

        Parameters
        ----------
        number : int
            The last one that is known.

        Returns
        -------
        tuple of LiveFrame
            In order of number; each exactly once.
        """
        found = sorted(self._frames(), key=lambda one: one.number)
        return tuple(one for one in found if one.number > number)

    def rows(self) -> tuple[FrameRow, ...]:
        """Return all frames in one line each.

        Returns
        -------
        tuple of FrameRow
            In order of capture.
        """
        goal_cm = self.sitting().goal_cm
        return tuple(frame_row(one, goal_cm) for one in self._frames())

    def sitting(self) -> Sitting:
        """Return the whole sitting: four lines, habits, changes, bursts.

        Returns
        -------
        Sitting
            Of all frames taken in.
        """
        with self._lock:
            if self._made is None:
                self._made = make_sitting(
                    [(reading, more) for reading, more, _ in self._taken],
                    viewing=self._viewing,
                    name=self.name,
                )
            return self._made

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
        del after
        return ()

    def choose(self, numbers: Iterable[int], *, chosen: bool) -> None:
        """Choose frames, or take the choice back.

        Parameters
        ----------
        numbers : iterable of int
            Which; unknown ones are left aside.
        chosen : bool
            Whether they are chosen from now on.
        """
        with self._lock:
            wanted = {n for n in numbers if 0 < n <= len(self._taken)}
            before = frozenset(self._chosen)
            self._chosen = self._chosen | wanted if chosen else self._chosen - wanted
            if self._chosen != before:
                self._undo.append((before, frozenset(self._chosen)))
                self._changed(made=True)

    def undo(self) -> bool:
        """Take the last change of the choice back.

        Returns
        -------
        bool
            False if there is nothing to take back.
        """
        with self._lock:
            if not self._undo:
                return False
            self._chosen = set(self._undo.pop()[0])
            self._changed(made=True)
            return True

    def sitter_names(self) -> dict[int, str]:
        """Return the names typed for the places of a group.

        Returns
        -------
        dict of int to str
            By place from the left, from 1.
        """
        with self._lock:
            return dict(self._names)

    def name_sitters(self, names: Sequence[str]) -> None:
        """Name the places of a group, from the left; an empty name clears one.

        Parameters
        ----------
        names : sequence of str
            The names.
        """
        with self._lock:
            self._names = {n: one.strip() for n, one in enumerate(names, 1) if one.strip()}
            self._changed(made=True)

    def listen(self, heard: Callable[[], None]) -> Callable[[], None]:
        """Be told of changes.

        Parameters
        ----------
        heard : callable
            Called from any thread after each change; must return at once.

        Returns
        -------
        callable
            Ends it.
        """
        with self._lock:
            self._heard.append(heard)

        def end() -> None:
            with self._lock:
                if heard in self._heard:
                    self._heard.remove(heard)

        return end

    def _changed(self, *, made: bool = False) -> None:
        self._revision += 1
        if not made:
            self._made = None
        for heard in tuple(self._heard):
            heard()

    def _frames(self) -> tuple[LiveFrame, ...]:
        with self._lock:
            numbers = {id(taken[0]): n for n, taken in enumerate(self._taken, 1)}
            return tuple(
                LiveFrame(
                    number=numbers[id(one.reading)],
                    frame=one,
                    landed_at=self._taken[numbers[id(one.reading)] - 1][2],
                    answered_at=datetime.now(tz=UTC),
                    chosen=numbers[id(one.reading)] in self._chosen,
                )
                for one in self.sitting().frames
            )


def frame_row(live: LiveFrame, goal_cm: float) -> FrameRow:
    """Return a frame in one line.

    Parameters
    ----------
    live : LiveFrame
        The frame.
    goal_cm : float
        The print aimed at, longest edge.

    Returns
    -------
    FrameRow
        Of its deciding sitter.
    """
    one: SittingFrame = live.frame
    reading, answer = one.reading, one.answer
    deciding = answer.deciding
    view = None if deciding is None else reading.faces[deciding].view
    opened = [face.eyes_open for face in answer.faces if face.sitter]
    return FrameRow(
        number=live.number,
        name=PurePath(reading.path).name,
        status=reading.status,
        captured_at=reading.exposure.captured_at or "",
        burst=one.burst,
        best=one.best_of_burst,
        holds=None if answer.reach_cm is None else answer.reach_cm.value >= goal_cm,
        reach_cm=answer.reach_cm,
        offset_mm=None if deciding is None else answer.faces[deciding].offset_mm,
        cause=answer.cause,
        eyes_open=False if False in opened else (None if None in opened else bool(opened) or None),
        sitters=len(opened),
        window_mm_per_px=None if view is None else view.mm_per_px,
        sentence=answer.sentence or reading.reason,
        chosen=live.chosen,
    )


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
        Frames numbered in the sitting's order; nothing is watched.
    """
    live = LiveSitting(key=key, name=sitting.name, folder=None, viewing=sitting.viewing)
    for frame in sitting.frames:
        live.take(replace(frame.reading), companions=frame.companions)
    frames = tuple(
        replace(frame, reading=taken[0])
        for frame, taken in zip(sitting.frames, live._taken, strict=True)
    )
    live._made = replace(sitting, frames=frames)
    return live
