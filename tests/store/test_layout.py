"""The tables of a store when two processes make it at once."""

import sqlite3
from pathlib import Path

import pytest

from eyeplane.store import layout
from eyeplane.store.opening import open_database


class Interrupted:
    """A database between two of whose statements another process makes the store."""

    def __init__(self, path: Path, after: int) -> None:
        self.path, self.after, self.count = path, after, 0
        self.database = sqlite3.connect(path, isolation_level=None)

    @property
    def in_transaction(self) -> bool:
        return self.database.in_transaction

    def execute(self, statement: str) -> sqlite3.Cursor:
        """Run a statement, after the other process where its turn has come."""
        if self.count == self.after and not self.in_transaction:
            open_database(self.path).close()
        self.count += 1
        return self.database.execute(statement)


@pytest.mark.parametrize("after", range(5))
def test_a_store_that_another_process_is_just_making_is_ours(tmp_path: Path, after: int) -> None:
    path = tmp_path / "s.sqlite3"
    database = Interrupted(path, after)
    layout.bring_up_to_date(database, path)  # type: ignore[arg-type]  # stands for a connection
    assert database.execute("PRAGMA user_version").fetchone()[0] == len(layout.STEPS)
    database.database.close()
