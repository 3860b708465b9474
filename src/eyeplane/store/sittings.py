"""Sittings opened in the pages: frames by number, choices, names and what was said of them."""

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from eyeplane.records import Viewing, from_plain, to_plain
from eyeplane.records.live import RunWarning
from eyeplane.store.contents import path_key
from eyeplane.store.opening import writing
from eyeplane.store.sittings_frames import SittingFrames, moment
from eyeplane.store.trouble import explained


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptSitting:
    """A sitting as it is kept.

    Attributes
    ----------
    id : int
        By which the store knows it.
    key : str
        Its name in addresses.
    folder : Path
        Where its frames lie.
    name : str
        What it is called.
    viewing : Viewing
        For which print and from where it is answered.
    names : dict of int to str
        Names of the places of a group, from the left.
    opened_at : datetime
        When it was opened last.
    whole : str
        What was said of it last; empty if nothing.
    frames : int
        How many frames it has.
    """

    id: int
    key: str
    folder: Path
    name: str
    viewing: Viewing
    names: dict[int, str]
    opened_at: datetime
    whole: str
    frames: int


class Sittings(SittingFrames):
    """Sittings in the store; a context manager, to be used by the thread that made it.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every change is one short transaction: should the process be killed, it is there or it was
    not made.
    """

    def open(self, folder: Path, *, key: str, name: str, viewing: Viewing) -> KeptSitting:
        """Return the sitting of a folder, kept from now on.

        Parameters
        ----------
        folder : Path
            Where its frames lie.
        key : str
            Its name in addresses, if it is new.
        name : str
            What it is called, if it is new.
        viewing : Viewing
            For which print and from where to answer, if it is new.

        Returns
        -------
        KeptSitting
            As it was left, opened now.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        place, now = path_key(folder), moment(datetime.now(tz=UTC))
        with explained(self.path), writing(self._database):
            self._database.execute(
                "INSERT INTO sittings (key, folder, name, viewing, names, opened_at, whole) "
                "VALUES (?, ?, ?, ?, '{}', ?, '') "
                "ON CONFLICT (folder) DO UPDATE SET opened_at = excluded.opened_at",
                (key, place, _text(name), json.dumps(to_plain(viewing)), now),
            )
        return next(one for one in self.all() if path_key(one.folder) == place)

    def all(self) -> tuple[KeptSitting, ...]:
        """Return all sittings.

        Returns
        -------
        tuple of KeptSitting
            The one opened last first.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT id, key, folder, name, viewing, names, opened_at, whole, "
                "(SELECT count(*) FROM landed WHERE sitting = id) FROM sittings "
                "ORDER BY opened_at DESC, id DESC"
            ).fetchall()
        return tuple(_sitting(row) for row in rows)

    def measured_files(self) -> tuple[tuple[str, int], ...]:
        """Return all files that were ever measured.

        Returns
        -------
        tuple of (str, int)
            Path and time of last change in nanoseconds, in order of path.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT path, mtime_ns FROM files ORDER BY path"
            ).fetchall()
        return tuple((os.fsdecode(path), int(mtime)) for path, mtime in rows)

    def set_viewing(self, sitting: int, viewing: Viewing) -> None:
        """Keep for which print and from where a sitting is answered.

        Parameters
        ----------
        sitting : int
            Its id.
        viewing : Viewing
            The new one; what was said for another is forgotten.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.execute(
                "UPDATE sittings SET viewing = ?, whole = '' WHERE id = ?",
                (json.dumps(to_plain(viewing)), sitting),
            )
            self._database.execute("UPDATE landed SET said = '' WHERE sitting = ?", (sitting,))

    def set_names(self, sitting: int, names: Mapping[int, str]) -> None:
        """Keep the names of the places of a group.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        names : mapping of int to str
            By place from the left.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        text = json.dumps({str(place): name for place, name in names.items()})
        with explained(self.path), writing(self._database):
            self._database.execute("UPDATE sittings SET names = ? WHERE id = ?", (text, sitting))

    def choices(self, sitting: int) -> tuple[tuple[frozenset[int], bool], ...]:
        """Return every change of the choice.

        Parameters
        ----------
        sitting : int
            The sitting's id.

        Returns
        -------
        tuple of (frozenset of int, bool)
            In order: the frames that changed, and whether they were chosen.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT numbers, chosen FROM choices WHERE sitting = ? ORDER BY step", (sitting,)
            ).fetchall()
        return tuple((frozenset(json.loads(text)), bool(chosen)) for text, chosen in rows)

    def choose(self, sitting: int, numbers: Iterable[int], *, chosen: bool) -> None:
        """Keep a change of the choice after those before it.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        numbers : iterable of int
            The frames that change.
        chosen : bool
            Whether they are chosen from now on.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.execute(
                "INSERT INTO choices (sitting, step, chosen, numbers) VALUES (?, "
                "(SELECT coalesce(max(step), 0) + 1 FROM choices WHERE sitting = ?), ?, ?)",
                (sitting, sitting, chosen, json.dumps(sorted(numbers))),
            )

    def undo(self, sitting: int) -> None:
        """Forget the last change of the choice; nothing happens if there is none.

        Parameters
        ----------
        sitting : int
            The sitting's id.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.execute(
                "DELETE FROM choices WHERE sitting = ? AND step = "
                "(SELECT max(step) FROM choices WHERE sitting = ?)",
                (sitting, sitting),
            )

    def warnings(self, sitting: int) -> tuple[RunWarning, ...]:
        """Return the warnings of the run that were said.

        Parameters
        ----------
        sitting : int
            The sitting's id.

        Returns
        -------
        tuple of RunWarning
            In order of number.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT number, kind, text, advice FROM warned WHERE sitting = ? "
                "ORDER BY number, kind",
                (sitting,),
            ).fetchall()
        return tuple(RunWarning(number=n, kind=k, text=t, advice=a) for n, k, t, a in rows)

    def warn(self, sitting: int, warnings: Sequence[RunWarning]) -> None:
        """Keep warnings of the run.

        Parameters
        ----------
        sitting : int
            The sitting's id.
        warnings : sequence of RunWarning
            What was said.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path), writing(self._database):
            self._database.executemany(
                "REPLACE INTO warned (sitting, number, kind, text, advice) VALUES (?, ?, ?, ?, ?)",
                [(sitting, one.number, one.kind, one.text, one.advice) for one in warnings],
            )


def _sitting(row: tuple[Any, ...]) -> KeptSitting:
    number, key, folder, name, viewing, names, opened_at, whole, frames = row
    return KeptSitting(
        id=number,
        key=key,
        folder=Path(os.fsdecode(folder)),
        name=name,
        viewing=_viewing(viewing),
        names={int(place): str(said) for place, said in json.loads(names).items()},
        opened_at=datetime.fromisoformat(opened_at),
        whole=whole,
        frames=frames,
    )


def _viewing(text: str) -> Viewing:
    try:
        return from_plain(Viewing, json.loads(text))
    except (KeyError, TypeError, ValueError):
        return Viewing()  # of another shape: asked for anew


def _text(name: str) -> str:
    """Return a name as text that any reader takes: folders' names need not be."""
    return name.encode("utf-8", "backslashreplace").decode("utf-8")
