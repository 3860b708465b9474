"""Checks of the kit, kept with their day, so that the next one can say what is new."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from eyeplane.store.opening import OpenStore, writing
from eyeplane.store.remembered import name_key
from eyeplane.store.trouble import explained

LARGEST = 2**63 - 1  # that a row can be numbered with, SQLite


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCheck:
    """A check as it was kept.

    Attributes
    ----------
    kind : str
        Which check, e.g. "dust".
    kit : str
        Body and lens as they were named.
    done_at : datetime
        When the check was done, with a time zone.
    result : dict
        Its numbers, as `eyeplane.records.to_plain` gives them.
    number : int
        By which the store finds it again; its name in addresses.
    """

    kind: str
    kit: str
    done_at: datetime
    result: dict[str, Any]
    number: int


class KitLog(OpenStore):
    """Checks of kits in the store; a context manager, opened as `OpenStore` says.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.

    Notes
    -----
    Every change is one short transaction. Kits' names differ neither by case nor by blanks.
    """

    def keep(self, kind: str, kit: str, done_at: datetime, result: Mapping[str, Any]) -> int:
        """Keep a check beside earlier ones; the same check of the same moment only once.

        Parameters
        ----------
        kind : str
            Which check.
        kit : str
            Body and lens, or the photographer's own name for them.
        done_at : datetime
            When, with a time zone.
        result : mapping
            What `to_plain` made of the result.

        Returns
        -------
        int
            Its number.

        Raises
        ------
        ValueError
            If the moment has no time zone.
        StoreError
            If the store cannot be written.
        """
        moment, text = _moment(done_at), json.dumps(result, separators=(",", ":"), allow_nan=False)
        with explained(self.path), writing(self._database):
            self._database.execute(
                "DELETE FROM kit_checks WHERE kind = ? AND kit_key = ? AND done_at = ?",
                (kind, name_key(kit), moment),
            )
            added = self._database.execute(
                "INSERT INTO kit_checks (kind, kit_key, kit, done_at, result) "
                "VALUES (?, ?, ?, ?, ?)",
                (kind, name_key(kit), _plain(kit), moment, text),
            )
        return int(added.lastrowid or 0)

    def one(self, kind: str, number: int) -> KeptCheck | None:
        """Return a check by its number.

        Parameters
        ----------
        kind : str
            Which check.
        number : int
            Its number.

        Returns
        -------
        KeptCheck or None
            None if there is none of that kind and number, or it cannot be read any more.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        if not 0 < number <= LARGEST:
            return None
        with explained(self.path):
            row = self._database.execute(
                "SELECT kind, kit, done_at, result, id FROM kit_checks WHERE kind = ? AND id = ?",
                (kind, number),
            ).fetchone()
        return None if row is None else _kept(*row)

    def last(self, kind: str, kit: str, before: datetime | None = None) -> KeptCheck | None:
        """Return the latest check of a kit.

        Parameters
        ----------
        kind : str
            Which check.
        kit : str
            Its name.
        before : datetime or None
            Only checks done earlier than this moment.

        Returns
        -------
        KeptCheck or None
            None if there is none.

        Raises
        ------
        ValueError
            If the moment has no time zone.
        StoreError
            If the store cannot be read.
        """
        found = [
            one
            for one in self.all(kind, kit)
            if before is None or _moment(one.done_at) < _moment(before)
        ]
        return found[-1] if found else None

    def all(self, kind: str | None = None, kit: str | None = None) -> tuple[KeptCheck, ...]:
        """Return the checks that are kept, oldest first.

        Parameters
        ----------
        kind : str or None
            Only of this check.
        kit : str or None
            Only of this kit.

        Returns
        -------
        tuple of KeptCheck
            One whose numbers cannot be read any more is left out.

        Raises
        ------
        StoreError
            If the store cannot be read.
        """
        with explained(self.path):
            rows = self._database.execute(
                "SELECT kind, kit, done_at, result, id FROM kit_checks "
                "WHERE (? IS NULL OR kind = ?) AND (? IS NULL OR kit_key = ?) "
                "ORDER BY done_at, id",
                (kind, kind, kit, name_key(kit or "")),
            ).fetchall()
        return tuple(one for row in rows if (one := _kept(*row)) is not None)

    def forget(self, kind: str | None = None, kit: str | None = None) -> int:
        """Forget checks; what is forgotten is overwritten in the file.

        Parameters
        ----------
        kind : str or None
            Only of this check.
        kit : str or None
            Only of this kit.

        Returns
        -------
        int
            How many were forgotten.

        Raises
        ------
        StoreError
            If the store cannot be written.
        """
        with explained(self.path):
            self._database.execute("PRAGMA secure_delete = ON")
            with writing(self._database):
                count = self._database.execute(
                    "DELETE FROM kit_checks WHERE (? IS NULL OR kind = ?) "
                    "AND (? IS NULL OR kit_key = ?)",
                    (kind, kind, kit, name_key(kit or "")),
                ).rowcount
            self._database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return count


def _moment(when: datetime) -> str:
    if when.tzinfo is None:
        msg = f"{when.isoformat()} has no time zone"
        raise ValueError(msg)
    return when.astimezone(UTC).isoformat(timespec="microseconds")


def _plain(name: str) -> str:
    return " ".join(name.split()).encode("utf-8", "backslashreplace").decode("utf-8")


def _kept(kind: str, kit: str, done_at: str, result: str, number: int) -> KeptCheck | None:
    try:
        numbers = json.loads(result)
        when = datetime.fromisoformat(done_at)
    except ValueError:
        return None
    if not isinstance(numbers, dict):
        return None
    return KeptCheck(kind=kind, kit=kit, done_at=when, result=numbers, number=number)
