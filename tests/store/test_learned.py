"""The one row that a plan reads, and what stands in its way."""

import sqlite3
from pathlib import Path
from typing import Any

import pytest

from eyeplane.errors import StoreError
from eyeplane.records.lessons import Lesson, SittingLabels
from eyeplane.store import KitLog, Lessons, read_learned
from eyeplane.store.layout import APPLICATION_ID, STEPS
from eyeplane.store.lessons import is_within, sitting_key

LESSON = Lesson(sha256="ab", kind="shake", sitting="/a", captured_s=1.0, burst=1, value=0.5)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "s.sqlite3"


def test_no_file_an_empty_store_and_one_that_was_not_worked_out(path: Path) -> None:
    assert read_learned(path) is None
    assert not path.exists()
    with Lessons(path) as lessons:
        assert read_learned(path) is None
        assert lessons.keep({"ab": [LESSON]})
        kept = read_learned(path)
        assert kept is not None
        assert (kept.numbers, kept.stale) == ({}, True)
        lessons.keep_numbers({"version": "x"}, 30.0)
    kept = read_learned(path)
    assert kept is not None
    assert (kept.numbers, kept.stale, kept.half_life_days) == ({"version": "x"}, False, 30.0)


def test_every_change_makes_it_stale_and_no_change_does_not(path: Path) -> None:
    with Lessons(path) as lessons:
        lessons.keep({"ab": [LESSON]})

        def stale_after(change: str) -> bool:
            kept = read_learned(path)
            assert kept is not None, change
            lessons.keep_numbers({}, None)
            return kept.stale

        lessons.keep_numbers({}, None)
        assert not lessons.keep({"ab": [LESSON]})
        assert not stale_after("the same again")
        lessons.label(["/a"], {"sitter": "adult"})
        assert stale_after("a label")
        lessons.label(["/a"], {"sitter": "adult"})
        assert not stale_after("the same label")
        lessons.keep({"ab": []})
        assert read_learned(path) is None


def test_an_older_store_gets_the_tables_and_has_learned_nothing(path: Path) -> None:
    with sqlite3.connect(path) as database:
        for step in STEPS[:2]:
            for statement in step:
                database.execute(statement)
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute("PRAGMA user_version = 2")
    assert read_learned(path) is None
    with Lessons(path) as lessons:
        assert lessons.all() == []
    with KitLog(path) as log:
        assert log.all() == ()


@pytest.mark.parametrize("change", ["user_version = 99", "application_id = 7"])
def test_a_newer_store_and_another_programs(path: Path, change: str) -> None:
    Lessons(path).close()
    with sqlite3.connect(path) as database:
        database.execute(f"PRAGMA {change}")
    with pytest.raises(StoreError, match=r"newer eyeplane|another program"):
        read_learned(path)


def test_a_lesson_comes_back_as_it_was(path: Path) -> None:
    lesson = Lesson(
        sha256="cd",
        kind="focus",
        sitting="/a/b",
        captured_s=None,
        burst=3,
        value=-4.5,
        error_mm=2.0,
        f_number=1.8,
        point="middle",
        kit=("Body", "1", "85 mm", "2"),
    )
    with Lessons(path) as lessons:
        lessons.keep({"cd": [lesson], "ef": []})
        lessons.label(["/a/b"], {"kit": "Studio"})
        (found,) = lessons.all()
    assert found.labels == SittingLabels(kit="Studio")
    assert found.kit == lesson.kit
    assert (found.value, found.error_mm, found.captured_s) == (-4.5, 2.0, None)


def test_folders_within_folders() -> None:
    assert is_within("/a/b", "/a")
    assert is_within("/a", "/a")
    assert is_within("/a", "/")
    assert not is_within("/ab", "/a")
    assert sitting_key(b"/a/\xff".decode("utf-8", "surrogateescape")) == "/a/\\xff"


def test_a_label_of_a_sitting_that_taught_nothing_can_be_forgotten(path: Path) -> None:
    with Lessons(path) as lessons:
        lessons.keep({"ab": [LESSON]})
        lessons.label(["/a", "/b"], {"sitter": "the Zanzibar twins"})
        assert [(one.sha256, one.sitting) for one in lessons.only_labelled()] == [("", "/b")]
        assert lessons.forget(lambda one: one.sitting == "/b") == 0
        assert set(lessons.labels()) == {"/a"}
        assert len(lessons.all()) == 1
        lessons.label(["/b"], {"sitter": "the Zanzibar twins"})
        assert lessons.forget(lambda _: True) == 1
        assert lessons.labels() == {}
        assert lessons.forgotten() == 1
    assert b"Zanzibar" not in path.read_bytes()


def test_what_is_replaced_leaves_the_file_whatever_sqlite_was_built_for(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    connect = sqlite3.connect

    def careless(*args: Any, **named: Any) -> sqlite3.Connection:  # noqa: ANN401  passed on
        database: sqlite3.Connection = connect(*args, **named)
        database.execute("PRAGMA secure_delete = OFF")  # as most builds have it
        return database

    monkeypatch.setattr(sqlite3, "connect", careless)
    sittings = [f"/{n}" for n in range(40)]
    with Lessons(path) as lessons:
        lessons.label(sittings, {"sitter": "the Zanzibar twins"})
        for label in ("twins", "adult", ""):
            lessons.label(sittings[::2], {"sitter": label})
        lessons.label(sittings, {"sitter": ""})
    assert b"Zanzibar" not in path.read_bytes()
