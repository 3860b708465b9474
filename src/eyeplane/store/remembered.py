"""What was typed for a kit or a client, kept to be recalled by its name."""

import datetime
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.trouble import explained

Kind = Literal["kit", "client"]
KINDS: tuple[Kind, ...] = ("kit", "client")


@dataclass(frozen=True, slots=True, kw_only=True)
class Remembered:
    """A kit or a client as it is kept.

    Attributes
    ----------
    kind : {"kit", "client"}
        Which of the two.
    name : str
        As it was typed last.
    typed : tuple of (str, str)
        Settings and what was typed after them, sorted by setting.
    kept_on : tuple of str
        The day each of them was typed, as YYYY-MM-DD: a child grows.
    """

    kind: Kind
    name: str
    typed: tuple[tuple[str, str], ...]
    kept_on: tuple[str, ...]


class Memory(OpenStore):
    """Kits and clients in the store; a context manager, opened as `OpenStore` says.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every change is one short transaction: killed at any moment, a kit has all that was typed
    with it at one time, or nothing of it. Names differ neither by case nor by blanks around them.
    """

    def names(self, kind: Kind) -> tuple[str, ...]:
        """Return the names that are kept.

        Parameters
        ----------
        kind : {"kit", "client"}
            Of which.

        Returns
        -------
        tuple of str
            Sorted.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT max(name) FROM remembered WHERE kind = ? GROUP BY name_key "
                "ORDER BY name_key",
                (kind,),
            ).fetchall()
        return tuple(str(row[0]) for row in rows)

    def recall(self, kind: Kind, name: str) -> Remembered | None:
        """Return what is kept under a name.

        Parameters
        ----------
        kind : {"kit", "client"}
            Of which.
        name : str
            Its name.

        Returns
        -------
        Remembered or None
            None if there is none of that name.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT setting, typed, kept_on, name FROM remembered "
                "WHERE kind = ? AND name_key = ? ORDER BY setting",
                (kind, name_key(name)),
            ).fetchall()
        if not rows:
            return None
        return Remembered(
            kind=kind,
            name=str(rows[0][3]),
            typed=tuple((str(row[0]), str(row[1])) for row in rows),
            kept_on=tuple(str(row[2]) for row in rows),
        )

    def remember(
        self, kind: Kind, name: str, typed: Mapping[str, str], *, today: datetime.date
    ) -> None:
        """Keep what was typed under a name, beside what is kept there already.

        Parameters
        ----------
        kind : {"kit", "client"}
            Of which.
        name : str
            Its name.
        typed : mapping of str to str
            Settings and what was typed after them; each replaces the earlier one.
        today : date
            The day.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        key = name_key(name)
        shown = _clean(name)
        rows = [(kind, key, one, shown, said, today.isoformat()) for one, said in typed.items()]
        with explained(self.path), writing(self._database):
            self._database.executemany(
                "REPLACE INTO remembered (kind, name_key, setting, name, typed, kept_on) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                rows,
            )
            self._database.execute(
                "UPDATE remembered SET name = ? WHERE kind = ? AND name_key = ?",
                (shown, kind, key),
            )

    def forget(self, kind: Kind, name: str, settings: Sequence[str] = ()) -> int:
        """Forget a kit or a client, or some settings of it.

        Parameters
        ----------
        kind : {"kit", "client"}
            Of which.
        name : str
            Its name.
        settings : sequence of str
            What to forget of it; empty: all.

        Returns
        -------
        int
            How many settings were forgotten.

        Raises
        ------
        StoreError
            If the store cannot be written.

        Notes
        -----
        What is forgotten is overwritten in the file, not only marked as free.
        """
        key = (kind, name_key(name))
        with explained(self.path):
            self._database.execute("PRAGMA secure_delete = ON")
            with writing(self._database):
                if settings:
                    counts = [
                        self._database.execute(
                            "DELETE FROM remembered WHERE kind = ? AND name_key = ? "
                            "AND setting = ?",
                            (*key, setting),
                        ).rowcount
                        for setting in settings
                    ]
                else:
                    counts = [
                        self._database.execute(
                            "DELETE FROM remembered WHERE kind = ? AND name_key = ?", key
                        ).rowcount
                    ]
            self._database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return sum(counts)


def name_key(name: str) -> str:
    """Return what tells one name from another.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    str
        Without blanks around it, in one spelling of accents and one case.

    Examples
    --------
    >>> name_key("  Ilves ") == name_key("ILVES")
    True
    """
    return unicodedata.normalize("NFC", _clean(name)).casefold()


def _clean(name: str) -> str:
    """Return a name with single blanks; half a surrogate cannot be kept as text."""
    text = " ".join(name.split())
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
