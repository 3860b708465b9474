"""Guided trials: one goes on at a time, and it is there again after a restart."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

from eyeplane.store.trials import Trials

MAY = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)


def test_a_trial_goes_on_after_the_store_was_closed(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    with Trials(path) as trials:
        assert trials.current() is None
        number = trials.start("s1", MAY, {"steps": [1]})
    with Trials(path) as trials:
        kept = trials.current()
        assert kept is not None
        assert (kept.number, kept.sitting, kept.started_at) == (number, "s1", MAY)
        trials.change(number, {"steps": [1, 2]})
        changed = trials.current()
        assert changed is not None
        assert changed.trial == {"steps": [1, 2]}


def test_a_new_trial_ends_the_one_before(tmp_path: Path) -> None:
    with Trials(tmp_path / "s.sqlite3") as trials:
        first = trials.start("s1", MAY, {})
        second = trials.start("s2", MAY + timedelta(hours=1), {})
        kept = trials.current()
        assert kept is not None
        assert kept.number == second != first
        trials.change(first, {"late": True})  # of one that has ended nothing is changed
        trials.end(second, MAY + timedelta(hours=2))
        assert trials.current() is None


def test_a_trial_that_cannot_be_read_any_more_is_none(tmp_path: Path) -> None:
    with Trials(tmp_path / "s.sqlite3") as trials:
        trials.start("s1", MAY, {})
        trials._database.execute("UPDATE trials SET trial = '[1'")
        assert trials.current() is None
