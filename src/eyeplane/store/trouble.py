"""What SQLite complains about, said so that a photographer knows what to do."""

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from eyeplane.errors import StoreError

OTHER_FILE = "name another file with --store"
_WORDS = {
    sqlite3.SQLITE_NOTADB: ("this file is not a store", f"Check the name, or {OTHER_FILE}"),
    sqlite3.SQLITE_CORRUPT: (
        "the store is damaged",
        "Move it away and measure again: originals are never in it",
    ),
    sqlite3.SQLITE_READONLY: (
        "the store cannot be written to",
        f"Give yourself permission to write it and its folder, or {OTHER_FILE}",
    ),
    sqlite3.SQLITE_PERM: (
        "the store may not be opened",
        f"Give yourself permission, or {OTHER_FILE}",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the store cannot be opened or made here",
        f"Check that its folder exists and may be written to, or {OTHER_FILE}",
    ),
    sqlite3.SQLITE_BUSY: (
        "another program keeps the store locked",
        "Wait until it is done, then run the same command again",
    ),
    sqlite3.SQLITE_LOCKED: (
        "another program keeps the store locked",
        "Wait until it is done, then run the same command again",
    ),
    sqlite3.SQLITE_FULL: ("the disk is full", f"Make room, or {OTHER_FILE} on another disk"),
    sqlite3.SQLITE_IOERR: (
        "the disk gave an error",
        f"Check the disk, or {OTHER_FILE} on another one",
    ),
}


def store_error(error: sqlite3.Error, path: Path) -> StoreError:
    """Return the error of ours that says the same.

    Parameters
    ----------
    error : sqlite3.Error
        What SQLite raised.
    path : Path
        The store's file.

    Returns
    -------
    StoreError
        With what to do.
    """
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF  # the low byte is the primary code
    what, hint = _WORDS.get(code, (f"the store cannot be used ({error})", OTHER_FILE.capitalize()))
    return StoreError(what, where=str(path), hint=hint)


@contextlib.contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into ours within a block.

    Parameters
    ----------
    path : Path
        The store's file.

    Yields
    ------
    None
        Nothing.

    Raises
    ------
    StoreError
        Instead of any sqlite3.Error.
    """
    try:
        yield
    except sqlite3.Error as error:
        raise store_error(error, path) from error
