"""How a store is opened, whoever reads or writes in it: layout, WAL, and that it can be written."""

import contextlib
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Self

from eyeplane.errors import StoreError
from eyeplane.store.layout import bring_up_to_date
from eyeplane.store.trouble import explained

RETRY_S = 0.02  # s between tries
BUSY_LIMIT_S = 30.0  # s to wait for another process; its transactions take milliseconds


def open_database(path: Path, *, busy_limit_s: float = BUSY_LIMIT_S) -> sqlite3.Connection:
    """Return an open store, made if it is not there and led to today's layout.

    Parameters
    ----------
    path : Path
        The file; made with its folder if absent.
    busy_limit_s : float
        How long to wait for another process that writes.

    Returns
    -------
    sqlite3.Connection
        In autocommit mode, write-ahead, proven to be writable.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"its folder cannot be made ({error.strerror})",
            where=str(path),
            hint="Name another file with --store",
        ) from error
    with explained(path):
        database = sqlite3.connect(path, timeout=busy_limit_s, isolation_level=None)
        try:
            bring_up_to_date(database, path)
            _turn_to_wal(database, busy_limit_s)
            database.execute("PRAGMA synchronous = NORMAL")  # safe against kill; see docs
            database.execute("PRAGMA foreign_keys = ON")
            # Some builds of SQLite leave what is replaced or deleted in the file: old labels too.
            database.execute("PRAGMA secure_delete = ON")
            with writing(database):  # finds out now, not after an hour, that none can be written
                database.execute("DELETE FROM files WHERE path = x''")
        except BaseException:
            database.close()
            raise
    return database


@contextlib.contextmanager
def writing(database: sqlite3.Connection) -> Iterator[None]:
    """Make a block one transaction: all of it is kept, or nothing.

    Parameters
    ----------
    database : sqlite3.Connection
        In autocommit mode.

    Yields
    ------
    None
        Nothing.
    """
    database.execute("BEGIN IMMEDIATE")
    try:
        yield
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:
            database.execute("ROLLBACK")
        raise


def _turn_to_wal(database: sqlite3.Connection, busy_limit_s: float) -> None:
    """Switch once in the file's life; SQLite does not wait for others here, so we do."""
    for _ in range(max(1, int(busy_limit_s / RETRY_S))):
        try:
            database.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            time.sleep(RETRY_S)
        else:
            return


class OpenStore:
    """A store that is open: a context manager, to be used by the thread that made it.

    Parameters
    ----------
    path : Path
        The store's file; made with its folder if absent.
    busy_limit_s : float
        How long to wait for another process that writes.

    Raises
    ------
    StoreError
        If the file cannot be made, opened or written, is no store, or is of a newer eyeplane.
    """

    def __init__(self, path: Path, *, busy_limit_s: float = BUSY_LIMIT_S) -> None:
        self.path = path
        self._database = open_database(path, busy_limit_s=busy_limit_s)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; a second call does nothing."""
        self._database.close()
