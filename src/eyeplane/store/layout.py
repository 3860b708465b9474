"""The tables of the store and the numbered steps that lead to them."""

import sqlite3
from pathlib import Path

from eyeplane.errors import StoreError

APPLICATION_ID = 0x65796570  # "eyep" in ASCII: marks the file as ours
# Each step runs once, in order, and is never changed afterwards; user_version counts them.
STEPS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE files (
            path BLOB PRIMARY KEY,
            size_bytes INTEGER NOT NULL,
            mtime_ns INTEGER NOT NULL,
            sha256 TEXT NOT NULL
        ) WITHOUT ROWID""",
        """CREATE TABLE readings (
            id INTEGER PRIMARY KEY,
            sha256 TEXT NOT NULL,
            settings TEXT NOT NULL,
            measure_version TEXT NOT NULL,
            size_bytes INTEGER NOT NULL,
            reading TEXT NOT NULL,
            UNIQUE (sha256, settings, measure_version)
        )""",
        "CREATE INDEX readings_by_size ON readings (size_bytes)",
        """CREATE TABLE views (
            reading_id INTEGER NOT NULL REFERENCES readings (id) ON DELETE CASCADE,
            face INTEGER NOT NULL,
            jpeg BLOB NOT NULL,
            PRIMARY KEY (reading_id, face)
        ) WITHOUT ROWID""",
    ),
    (
        """CREATE TABLE remembered (
            kind TEXT NOT NULL CHECK (kind IN ('kit', 'client')),
            name_key TEXT NOT NULL,
            setting TEXT NOT NULL,
            name TEXT NOT NULL,
            typed TEXT NOT NULL,
            kept_on TEXT NOT NULL,
            PRIMARY KEY (kind, name_key, setting)
        ) WITHOUT ROWID""",
    ),
    (
        # What one frame teaches of one thing; `sitting` is how the photographer's sittings are told
        # apart, `lesson` the numbers as JSON.
        """CREATE TABLE lessons (
            sha256 TEXT NOT NULL,
            kind TEXT NOT NULL,
            sitting TEXT NOT NULL,
            captured_s REAL,
            kit TEXT NOT NULL,
            lesson TEXT NOT NULL,
            PRIMARY KEY (sha256, kind)
        ) WITHOUT ROWID""",
        "CREATE INDEX lessons_by_sitting ON lessons (sitting)",
        # Labels that the photographer gave to a sitting, as JSON.
        """CREATE TABLE taught (
            sitting TEXT PRIMARY KEY,
            label TEXT NOT NULL
        ) WITHOUT ROWID""",
        # Frames whose lessons were forgotten: they teach nothing again until they are asked to.
        "CREATE TABLE forgotten (sha256 TEXT PRIMARY KEY) WITHOUT ROWID",
        # The one row that a plan reads: what all lessons say together; stale once they changed.
        """CREATE TABLE learned (
            id INTEGER PRIMARY KEY CHECK (id = 1),
            stale INTEGER NOT NULL,
            half_life_days REAL,
            numbers TEXT NOT NULL
        )""",
        """CREATE TABLE kit_checks (
            id INTEGER PRIMARY KEY,
            kind TEXT NOT NULL,
            kit_key TEXT NOT NULL,
            kit TEXT NOT NULL,
            done_at TEXT NOT NULL,
            result TEXT NOT NULL
        )""",
        "CREATE INDEX kit_checks_by_kit ON kit_checks (kind, kit_key, done_at)",
    ),
    (
        # Sittings opened in the pages; `viewing`, `names` and `whole` (what was said last) as JSON.
        """CREATE TABLE sittings (
            id INTEGER PRIMARY KEY,
            key TEXT NOT NULL UNIQUE,
            folder BLOB NOT NULL UNIQUE,
            name TEXT NOT NULL,
            viewing TEXT NOT NULL,
            names TEXT NOT NULL,
            opened_at TEXT NOT NULL,
            whole TEXT NOT NULL
        )""",
        # Frames by the number they were given once. `place` is the file that the frame is known by,
        # NULL once another frame lies there; `reading` is kept only where `readings` has none;
        # `said` is the frame in one line, as JSON.
        """CREATE TABLE landed (
            sitting INTEGER NOT NULL REFERENCES sittings (id) ON DELETE CASCADE,
            number INTEGER NOT NULL,
            place BLOB,
            path BLOB NOT NULL,
            companions TEXT NOT NULL,
            sha256 TEXT NOT NULL,
            size_bytes INTEGER NOT NULL,
            mtime_ns INTEGER NOT NULL,
            landed_at TEXT,
            answered_at TEXT,
            reading TEXT NOT NULL,
            said TEXT NOT NULL,
            PRIMARY KEY (sitting, number),
            UNIQUE (sitting, place)
        ) WITHOUT ROWID""",
        # Every change of the choice, in order: what is chosen is all of them, one after another.
        """CREATE TABLE choices (
            sitting INTEGER NOT NULL REFERENCES sittings (id) ON DELETE CASCADE,
            step INTEGER NOT NULL,
            chosen INTEGER NOT NULL,
            numbers TEXT NOT NULL,
            PRIMARY KEY (sitting, step)
        ) WITHOUT ROWID""",
        # Warnings of the run that were said.
        """CREATE TABLE warned (
            sitting INTEGER NOT NULL REFERENCES sittings (id) ON DELETE CASCADE,
            number INTEGER NOT NULL,
            kind TEXT NOT NULL,
            text TEXT NOT NULL,
            advice TEXT NOT NULL,
            PRIMARY KEY (sitting, number, kind)
        ) WITHOUT ROWID""",
        # Devices that were let in, by the hash of what they hold.
        """CREATE TABLE sessions (
            hash TEXT PRIMARY KEY,
            expires_at TEXT NOT NULL
        ) WITHOUT ROWID""",
        # Trials step by step; `trial` as JSON.
        """CREATE TABLE trials (
            id INTEGER PRIMARY KEY,
            sitting TEXT NOT NULL,
            started_at TEXT NOT NULL,
            ended_at TEXT,
            trial TEXT NOT NULL
        )""",
    ),
)


def bring_up_to_date(database: sqlite3.Connection, path: Path) -> None:
    """Make the tables, or lead an older store to today's layout.

    Parameters
    ----------
    database : sqlite3.Connection
        In autocommit mode.
    path : Path
        Its file, for messages.

    Raises
    ------
    StoreError
        If the file belongs to another program or to a newer eyeplane.

    Notes
    -----
    The version is read again inside the transaction, so that two processes that open a new store
    at once do not both make it.
    """
    if _version(database, path) == len(STEPS):
        return
    database.execute("BEGIN IMMEDIATE")
    try:
        for step in STEPS[_version(database, path) :]:
            for statement in step:
                database.execute(statement)
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute(f"PRAGMA user_version = {len(STEPS)}")
        database.execute("COMMIT")
    except BaseException:
        if database.in_transaction:  # SQLite ends it by itself where a file takes nothing
            database.execute("ROLLBACK")
        raise


def _version(database: sqlite3.Connection, path: Path) -> int:
    # In this order: should another process make the tables in between, what is read later is there
    # with them, so that the store it has just made is not taken for another program's.
    empty = database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    version: int = database.execute("PRAGMA user_version").fetchone()[0]
    owner: int = database.execute("PRAGMA application_id").fetchone()[0]
    if owner != APPLICATION_ID and not (owner == 0 and version == 0 and empty):
        raise StoreError(
            "this is the database of another program",
            where=str(path),
            hint="Name another file with --store; this one was left as it is",
        )
    if version > len(STEPS):
        raise StoreError(
            f"the store was written by a newer eyeplane (layout {version}, known up to "
            f"{len(STEPS)})",
            where=str(path),
            hint="Install the newer eyeplane, or name another file with --store",
        )
    return version
