"""The frames of a live sitting, in order, under one lock: pages read while others write."""

import bisect
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from eyeplane.records import FrameReading, Learned, Sitting, Viewing
from eyeplane.records.live import FrameRow
from eyeplane.sitting.bursts import find_bursts
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.live_rows import for_another, stub_answer
from eyeplane.sitting.run import best_of_bursts, goal_of
from eyeplane.sitting.scan import exposure_of, same_exposure

Order = tuple[tuple[float, str, str], int]


class Book:
    """The frames, and what is said of them together.

    Parameters
    ----------
    viewing : Viewing
        For which print and from where.

    Notes
    -----
    `lock` is held for moments only: nothing is measured, answered or written under it.
    """

    def __init__(self, viewing: Viewing) -> None:
        self.lock = threading.RLock()
        self.viewing = viewing
        self.epoch = 0  # grows with every other print: answers of an earlier one are not wanted
        self.held: dict[int, Held] = {}
        self.last_number = 0  # that was given, also to frames that are not here
        self.last_landed: int | None = None
        self.learned = Learned()
        self.taught = 0  # which teaching `learned` is
        self.whole: Sitting | None = None
        self.summed = -1  # changes that `whole` takes into account
        self.changes = 0  # of frames
        self.revision = 0
        self.chosen: frozenset[int] = frozenset()
        self._last_burst = 0
        self._order: list[Order] = []
        self._places: dict[str, list[int]] = {}
        self._heard: list[Callable[[], None]] = []

    def publish(self, held: Held) -> None:
        """Show a frame, new or in place of what its number stood for.

        Parameters
        ----------
        held : Held
            The frame.
        """
        with self.lock:
            before = self.held.get(held.number)
            if before is not None:
                self._order.remove((before.order, before.number))
                self._forget_place(before)
            bisect.insort(self._order, (held.order, held.number))
            for path in (held.kept.path, *held.kept.companions):
                if held.kept.known_by_path:
                    self._places.setdefault(exposure_of(path), []).append(held.number)
            self.held[held.number] = held
            self.last_number = max(self.last_number, held.number)
            self._see_landed(held)
            held.row = replace(held.row, chosen=held.number in self.chosen)
            self.changes += 1
            self._last_burst = max(self._last_burst, held.row.burst or 0)
            self._place_in_burst(held)
        self.stirred()

    def known(self, paths: Sequence[str]) -> Held | None:
        """Return the frame of an exposure.

        Parameters
        ----------
        paths : sequence of str
            Files of the exposure.

        Returns
        -------
        Held or None
            None if it was not taken in yet.
        """
        with self.lock:
            for path in paths:
                for number in self._places.get(exposure_of(path), ()):
                    kept = self.held[number].kept
                    files = (kept.path, *kept.companions)
                    if any(file == path or same_exposure(file, path) for file in files):
                        return self.held[number]
        return None

    def unknow(self, number: int) -> None:
        """Let a frame no longer be known by its file: another one lies there.

        Parameters
        ----------
        number : int
            The frame.
        """
        with self.lock:
            held = self.held[number]
            self._forget_place(held)
            held.kept = replace(held.kept, known_by_path=False)

    def in_order(self) -> list[Held]:
        """Return all frames.

        Returns
        -------
        list of Held
            In order of capture.
        """
        with self.lock:
            return [self.held[number] for _, number in self._order]

    def rows(self) -> tuple[FrameRow, ...]:
        """Return all frames in one line each.

        Returns
        -------
        tuple of FrameRow
            In order of capture.
        """
        with self.lock:
            return tuple(self.held[number].row for _, number in self._order)

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
            In order of number.
        """
        with self.lock:
            found: list[FrameRow] = []
            for one in range(max(number, 0) + 1, self.last_number + 1):
                if len(found) >= limit:
                    break
                if one in self.held:
                    found.append(self.held[one].row)
            return tuple(found)

    def latest_rows(self, limit: int) -> tuple[FrameRow, ...]:
        """Return the frames taken in last, in one line each.

        Parameters
        ----------
        limit : int
            How many at most.

        Returns
        -------
        tuple of FrameRow
            In order of number.
        """
        with self.lock:
            found: list[FrameRow] = []
            for one in range(self.last_number, 0, -1):
                if len(found) >= limit:
                    break
                if one in self.held:
                    found.append(self.held[one].row)
            return tuple(reversed(found))

    def say(self, said: Mapping[int, tuple[Held, FrameRow]]) -> None:
        """Show frames' rows anew; bursts and choice stay as they are.

        Parameters
        ----------
        said : mapping of int to (Held, FrameRow)
            By number: of which frame it was said, and what. A frame that was replaced meanwhile
            is left as it is.
        """
        changed = False
        with self.lock:
            for number, (one, row) in said.items():
                if self.held.get(number) is one:
                    before = one.row
                    one.row = replace(
                        row, burst=before.burst, best=before.best, chosen=number in self.chosen
                    )
                    changed |= one.row != before
        if changed:
            self.stirred()

    def load(self, held: Held, reading: FrameReading, packed: bytes) -> None:
        """Bring back what was measured in a frame.

        Parameters
        ----------
        held : Held
            The frame.
        reading : FrameReading
            Its reading.
        packed : bytes
            The same packed.
        """
        with self.lock:
            if self.held.get(held.number) is held:
                self._order.remove((held.order, held.number))
                held.load(reading, packed)
                bisect.insort(self._order, (held.order, held.number))

    def drop(self, held: Held) -> None:
        """Show a frame no longer; its number is not given again.

        Parameters
        ----------
        held : Held
            The frame.
        """
        with self.lock:
            if self.held.get(held.number) is held:
                del self.held[held.number]
                self._order.remove((held.order, held.number))
                self._forget_place(held)
                self.changes += 1
                if self.last_landed == held.number:
                    self.last_landed = None
                    for number in sorted(self.held):
                        self._see_landed(self.held[number])
        self.stirred()

    def choose(self, chosen: frozenset[int]) -> None:
        """Show which frames are chosen.

        Parameters
        ----------
        chosen : frozenset of int
            Their numbers.
        """
        with self.lock:
            for number in self.chosen ^ chosen:
                if (held := self.held.get(number)) is not None:
                    held.row = replace(held.row, chosen=number in chosen)
            self.chosen = chosen
        self.stirred()

    def look_for(self, viewing: Viewing) -> None:
        """Answer for another print from now on.

        Parameters
        ----------
        viewing : Viewing
            The new one.
        """
        with self.lock:
            before, self.viewing = self.viewing, viewing
            self.epoch += 1
            self.changes += 1
            self.whole, self.learned = None, Learned()
            self.taught += 1
            for held in self.held.values():
                held.first = held.answer = b""
                held.made = None
                held.row = for_another(held.row, before, viewing)
        self.stirred()

    def sort_bursts(self) -> None:
        """Find bursts and the best of each anew, from what is there."""
        with self.lock:
            frames = self.in_order()
            goal_cm, changes = goal_of(self.viewing), self.changes
            readings = [one.thin for one in frames if one.thin is not None]
            if len(readings) < len(frames):
                return  # brought back from the store, with the bursts that were found then
            answers = [stub_answer(one.row) for one in frames]
        bursts = find_bursts(readings)
        best = best_of_bursts(bursts, answers, goal_cm)
        sizes: dict[int | None, int] = {}
        for burst in bursts:
            sizes[burst] = sizes.get(burst, 0) + 1
        with self.lock:
            if self.changes != changes:
                return  # sorted again soon
            self._last_burst = max((burst or 0 for burst in bursts), default=0)
            for place, (one, burst) in enumerate(zip(frames, bursts, strict=True)):
                one.best_of_burst = place in best
                is_best = place in best and sizes[burst] > 1
                if (one.row.burst, one.row.best) != (burst, is_best):
                    one.row = replace(one.row, burst=burst, best=is_best)

    def answering(self) -> int:
        """Return how many frames wait for their answer.

        Returns
        -------
        int
            Number of frames.
        """
        with self.lock:
            return sum(not held.row.answered for held in self.held.values())

    def stirred(self) -> None:
        """Count a change and tell who listens."""
        with self.lock:
            self.revision += 1
            heard = tuple(self._heard)
        for one in heard:
            one()

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
        with self.lock:
            self._heard.append(heard)

        def end() -> None:
            with self.lock:
                if heard in self._heard:
                    self._heard.remove(heard)

        return end

    def _see_landed(self, held: Held) -> None:
        last = None if self.last_landed is None else self.held[self.last_landed].kept.landed_at
        now = held.kept.landed_at
        if now is not None and (last is None or now >= last):
            self.last_landed = held.number

    def _forget_place(self, held: Held) -> None:
        for path in {held.kept.path, *held.kept.companions}:
            numbers = self._places.get(exposure_of(path), [])
            while held.number in numbers:
                numbers.remove(held.number)

    def _place_in_burst(self, held: Held) -> None:
        """Give the latest frame its burst at once; others are sorted a little later."""
        if held.thin is None or self._order[-1][1] != held.number or held.thin.status != "measured":
            return
        latest = [self.held[number] for _, number in self._order[-9:]]
        readings = [one.thin for one in latest if one.thin is not None]
        if len(readings) != len(latest):
            return
        bursts = find_bursts(readings)
        same = [
            one.row.burst
            for one, burst in zip(latest, bursts, strict=True)
            if burst == bursts[-1] and one.number != held.number
        ]
        burst = same[-1] if same else None
        if burst is None:
            self._last_burst += 1
            burst = self._last_burst
        held.row = replace(held.row, burst=burst)
