"""What all lessons say together: one row, read without making or changing anything."""

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from eyeplane.errors import StoreError
from eyeplane.store.layout import APPLICATION_ID, STEPS
from eyeplane.store.trouble import explained

LEARNED_SINCE = 3  # layout; older stores have learned nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptNumbers:
    """What all lessons say together, as it was kept.

    Attributes
    ----------
    numbers : dict
        As `to_plain` gives a `LearnedNumbers`; empty before anything was worked out.
    stale : bool
        Whether lessons or labels changed since.
    half_life_days : float or None
        Age at which a sitting counts half.
    """

    numbers: dict[str, Any]
    stale: bool
    half_life_days: float | None


def read_learned(path: Path) -> KeptNumbers | None:
    """Return what is kept of all lessons together.

    Parameters
    ----------
    path : Path
        The store's file; neither made nor changed.

    Returns
    -------
    KeptNumbers or None
        None where there is no file, or one that has learned nothing.

    Raises
    ------
    StoreError
        If the file cannot be read, is no store, or is of a newer eyeplane.
    """
    if not path.exists():
        return None
    with explained(path), closing(_open(path)) as database:
        version: int = database.execute("PRAGMA user_version").fetchone()[0]
        owner: int = database.execute("PRAGMA application_id").fetchone()[0]
        if owner != APPLICATION_ID:
            raise StoreError(
                "this is the database of another program",
                where=str(path),
                hint="Name another file with --store",
            )
        if version > len(STEPS):
            raise StoreError(
                f"the store was written by a newer eyeplane (layout {version}, known up to "
                f"{len(STEPS)})",
                where=str(path),
                hint="Install the newer eyeplane, or name another file with --store",
            )
        if version < LEARNED_SINCE:
            return None
        row = database.execute("SELECT numbers, stale, half_life_days FROM learned").fetchone()
        some = database.execute("SELECT 1 FROM lessons LIMIT 1").fetchone() is not None
    if not some:
        return None
    if row is None:
        return KeptNumbers(numbers={}, stale=True, half_life_days=None)
    return KeptNumbers(numbers=json.loads(row[0]), stale=bool(row[1]), half_life_days=row[2])


def _open(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"file:{quote(str(path.absolute()))}?mode=ro", uri=True)
