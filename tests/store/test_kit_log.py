"""Checks of the kit: kept with their day, found by kit and kind, forgotten for good."""

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from eyeplane.errors import StoreError
from eyeplane.store import KitLog, Memory

MAY = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)


def test_the_last_check_of_a_kit_is_found(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    with KitLog(path) as log:
        assert log.last("dust", "Studio 85") is None
        log.keep("dust", "Studio 85", MAY + timedelta(days=3), {"shadows": [2]})
        log.keep("dust", "Studio 85", MAY, {"shadows": [1]})
        log.keep("dust", "Other", MAY + timedelta(days=9), {"shadows": []})
        log.keep("glass", "Studio 85", MAY + timedelta(days=9), {"veil": 0.01})
    with KitLog(path) as log:
        last = log.last("dust", "  studio  85 ")
        assert last is not None
        assert (last.kit, last.kind, last.result) == ("Studio 85", "dust", {"shadows": [2]})
        assert last.done_at == MAY + timedelta(days=3)
        before = log.last("dust", "Studio 85", before=last.done_at)
        assert before is not None
        assert before.result == {"shadows": [1]}
        assert log.last("dust", "Studio 85", before=MAY) is None
        assert [one.done_at for one in log.all("dust", "studio 85")] == [
            MAY,
            MAY + timedelta(days=3),
        ]
        assert [one.kind for one in log.all(None, "Studio 85")] == ["dust", "dust", "glass"]


def test_moments_are_told_apart_whatever_their_zone(tmp_path: Path) -> None:
    east = timezone(timedelta(hours=9))
    with KitLog(tmp_path / "s.sqlite3") as log:
        log.keep("dust", "A", MAY, {"n": 1})
        log.keep("dust", "A", MAY.astimezone(east), {"n": 2})
        log.keep("dust", "A", (MAY - timedelta(minutes=1)).astimezone(east), {"n": 0})
        assert [one.result["n"] for one in log.all()] == [0, 2]
        with pytest.raises(ValueError, match="no time zone"):
            log.keep("dust", "A", MAY.replace(tzinfo=None), {})


def test_what_is_forgotten_cannot_be_read_from_the_file(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    secret = "a-number-nobody-should-find"  # noqa: S105  no password
    with KitLog(path) as log:
        log.keep("dust", "A", MAY, {"note": secret})
        log.keep("glass", "A", MAY, {})
        log.keep("dust", "B", MAY, {})
        assert log.forget("dust", "a") == 1
        assert log.forget("dust", "a") == 0
        assert [(one.kind, one.kit) for one in log.all()] == [("glass", "A"), ("dust", "B")]
    left = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert secret.encode() not in left
    with KitLog(path) as log:
        assert log.forget() == 2


def test_numbers_that_cannot_be_read_any_more_are_left_out(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    with KitLog(path) as log:
        log.keep("dust", "A", MAY, {"n": 1})
        log._database.execute("UPDATE kit_checks SET result = '[1'")
        assert log.all() == ()
        log._database.execute("UPDATE kit_checks SET result = '[1]'")
        assert log.last("dust", "A") is None


def test_it_lies_beside_kits_and_clients_in_one_file(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    with Memory(path) as memory, KitLog(path) as log:
        memory.remember("kit", "A", {"glass": "2 um"}, today=MAY.date())
        log.keep("chart", "A", MAY, {"n": 1})
        assert memory.names("kit") == ("A",)
        assert len(log.all()) == 1


def test_a_foreign_file_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    path.write_bytes(b"no database at all, but longer than a header of one hundred bytes" * 4)
    with pytest.raises(StoreError):
        KitLog(path)


def test_a_check_is_found_by_its_number_and_kind(tmp_path: Path) -> None:
    with KitLog(tmp_path / "s.sqlite3") as log:
        first = log.keep("dust", "A", MAY, {"n": 1})
        second = log.keep("glass", "A", MAY, {"n": 2})
        found = log.one("glass", second)
        assert found is not None
        assert (found.result, found.number) == ({"n": 2}, second)
        assert [one.number for one in log.all()] == [first, second]
        assert log.one("dust", second) is None
        assert log.one("dust", 0) is None
        assert log.one("dust", 10**30) is None
