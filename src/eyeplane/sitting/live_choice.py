"""What the photographer says of a live sitting: which frames are chosen, and who sits where."""

from collections.abc import Iterable, Sequence

from eyeplane.sitting.live_core import LiveCore

LONGEST_NAME = 80  # characters of a sitter's name; no source


class LiveChoice(LiveCore):
    """The part of a live sitting that holds choices and names; use `LiveSitting`."""

    def choose(self, numbers: Iterable[int], *, chosen: bool) -> None:
        """Choose frames, or take the choice back.

        Parameters
        ----------
        numbers : iterable of int
            Which; unknown ones are left aside.
        chosen : bool
            Whether they are chosen from now on.

        Raises
        ------
        StoreError
            If the store cannot be written; then all stays as it was.
        """
        with self._taking:
            now = self._book.chosen
            asked = {number for number in numbers if number in self._book.held}
            changed = frozenset(asked - now if chosen else asked & now)
            if not changed:
                return
            journal = self._journal
            if journal is not None:
                journal.do(lambda store: store.choose(journal.sitting, changed, chosen=chosen))
            self._steps.append((changed, chosen))
            self._book.choose(now | changed if chosen else now - changed)

    def undo(self) -> bool:
        """Take the last change of the choice back.

        Returns
        -------
        bool
            False if there is nothing to take back.

        Raises
        ------
        StoreError
            If the store cannot be written; then all stays as it was.
        """
        with self._taking:
            if not self._steps:
                return False
            journal = self._journal
            if journal is not None:
                journal.do(lambda store: store.undo(journal.sitting))
            changed, chosen = self._steps.pop()
            now = self._book.chosen
            self._book.choose(now - changed if chosen else now | changed)
            return True

    def sitter_names(self) -> dict[int, str]:
        """Return the names typed for the places of a group.

        Returns
        -------
        dict of int to str
            By place from the left, from 1.
        """
        with self._book.lock:
            return dict(self._names)

    def name_sitters(self, names: Sequence[str]) -> None:
        """Name the places of a group, from the left; an empty name clears one.

        Parameters
        ----------
        names : sequence of str
            The names; beyond 80 characters they are cut.

        Raises
        ------
        StoreError
            If the store cannot be written; then all stays as it was.
        """
        typed = [" ".join(name.split())[:LONGEST_NAME] for name in names]
        named = {place: name for place, name in enumerate(typed, 1) if name}
        with self._taking:
            journal = self._journal
            if journal is not None:
                journal.do(lambda store: store.set_names(journal.sitting, named))
            with self._book.lock:
                self._names = named
            self._book.stirred()

    def _choose_again(self, steps: Sequence[tuple[frozenset[int], bool]]) -> None:
        """Choose as it was chosen before."""
        self._steps = list(steps)
        chosen: frozenset[int] = frozenset()
        for changed, on in self._steps:
            chosen = chosen | changed if on else chosen - changed
        self._book.choose(chosen)
