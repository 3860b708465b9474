"""The journal of a sitting: what it does not do in time is not done later either."""

import threading
from pathlib import Path

import pytest

from eyeplane.errors import StoreError
from eyeplane.sitting import live_journal
from eyeplane.sitting.live_journal import Journal


def test_what_is_given_up_is_not_done_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live_journal, "WAIT_S", 0.1)
    journal = Journal(tmp_path / "s.sqlite3")
    go_on, done = threading.Event(), []
    held_up = journal.later(lambda _: go_on.wait(20))
    with pytest.raises(StoreError, match="does not answer"):
        journal.do(lambda _: done.append("lost"))
    go_on.set()
    assert held_up.result(20)
    assert journal.do(lambda _: "here") == "here"  # its thread goes on
    assert done == []
    journal.close()
