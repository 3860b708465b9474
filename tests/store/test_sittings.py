"""Sittings in the store: numbers, choices and names stay; devices are let in until their day."""

import sqlite3
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from tests.sitting.made import face, reading

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, MeasureSettings, Viewing
from eyeplane.records.live import RunWarning
from eyeplane.store import Sessions, Sittings, Store
from eyeplane.store.layout import STEPS
from eyeplane.store.sittings_frames import KeptFrame, reading_of

NOW = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
SETTINGS = MeasureSettings()
FOLDER = Path("/sittings/Žofie\udcff")  # a name that is no text


def kept(number: int, one: FrameReading) -> KeptFrame:
    """Return a frame to be kept."""
    return KeptFrame(
        number=number,
        known_by_path=True,
        path=one.path,
        companions=("/s/a.raw\udcfe",),
        sha256=one.sha256,
        size_bytes=one.size_bytes,
        mtime_ns=one.mtime_ns,
        landed_at=NOW,
        answered_at=None,
        said="",
    )


def opened(store: Sittings) -> int:
    """Return the id of a sitting."""
    return store.open(FOLDER, key="s1", name=FOLDER.name, viewing=Viewing(print_cm=90.0)).id


def test_a_sitting_comes_back_as_it_was_left(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    one = reading("/s/a.jpg", faces=[face(jpeg=b"eye")], sha256="aa")
    with Sittings(path) as store, Store(path, measure_version="t") as readings:
        number = opened(store)
        readings.put(one, SETTINGS)
        store.take(number, kept(1, one), one)
        store.set_names(number, {2: "Žofie"})
        store.choose(number, {3, 1}, chosen=True)
        store.choose(number, {1}, chosen=False)
        store.warn(number, [RunWarning(kind="drift", number=3, text="It drifts.", advice="")])
        store.say(number, {1: "row"}, "whole")
    with Sittings(path) as store:
        (again,) = store.all()
        assert store.open(FOLDER, key="other", name="other", viewing=Viewing()).key == "s1"
        assert (again.folder, again.names, again.whole) == (FOLDER, {2: "Žofie"}, "whole")
        assert (again.viewing, again.frames) == (Viewing(print_cm=90.0), 1)
        (frame,) = store.frames(number)
        assert frame == replace(kept(1, one), said="row")
        assert store.choices(number) == ((frozenset({1, 3}), True), (frozenset({1}), False))
        assert store.warnings(number)[0].kind == "drift"
        texts = store.readings(number, settings=SETTINGS, measure_version="t")
        back = reading_of(texts[1], frame)
        assert back is not None
        assert (back.path, back.exposure) == ("/s/a.jpg", one.exposure)
        view = store.view("aa", 0, settings=SETTINGS, measure_version="t")
        assert view == b"eye"
        assert store.view("aa", 10**30, settings=SETTINGS, measure_version="t") is None
        assert store.readings(number, settings=SETTINGS, measure_version="u") == {}


def test_undo_takes_steps_back_one_by_one(tmp_path: Path) -> None:
    with Sittings(tmp_path / "s.sqlite3") as store:
        number = opened(store)
        store.choose(number, {1}, chosen=True)
        store.choose(number, {2}, chosen=True)
        store.undo(number)
        assert store.choices(number) == ((frozenset({1}), True),)
        store.undo(number)
        store.undo(number)
        assert store.choices(number) == ()


def test_a_frame_that_could_not_be_read_is_kept_with_its_number(tmp_path: Path) -> None:
    broken = reading("/s/b.jpg", status="unreadable", sha256="")
    with Sittings(tmp_path / "s.sqlite3") as store:
        number = opened(store)
        store.take(number, kept(1, broken), broken)
        (text,) = store.readings(number, settings=SETTINGS, measure_version="t").values()
        assert reading_of(text, store.frames(number)[0]) == broken
        assert reading_of("[1]", store.frames(number)[0]) is None


def test_a_file_saved_over_leaves_the_old_frame_its_number(tmp_path: Path) -> None:
    old, new = reading("/s/a.jpg", sha256="aa"), reading("/s/a.jpg", sha256="bb")
    with Sittings(tmp_path / "s.sqlite3") as store:
        number = opened(store)
        store.take(number, kept(1, old), old)
        store.take(number, kept(2, new), new)
        assert [(one.known_by_path, one.sha256) for one in store.frames(number)] == [
            (False, "aa"),
            (True, "bb"),
        ]
        store.replace(number, replace(kept(2, new), path="/s/c.jpg"), new)
        assert store.frames(number)[1].path == "/s/c.jpg"


def test_a_number_given_away_by_another_process_is_told(tmp_path: Path) -> None:
    one = reading("/s/a.jpg")
    with Sittings(tmp_path / "s.sqlite3") as store:
        number = opened(store)
        store.take(number, kept(1, one), one)
        with pytest.raises(StoreError, match="another eyeplane"):
            store.take(number, kept(1, one), one)


def test_another_print_forgets_what_was_said(tmp_path: Path) -> None:
    one = reading("/s/a.jpg")
    with Sittings(tmp_path / "s.sqlite3") as store:
        number = opened(store)
        store.take(number, kept(1, one), one)
        store.say(number, {1: "row"}, "whole")
        store.set_viewing(number, Viewing(print_cm=30.0))
        assert store.all()[0].whole == store.frames(number)[0].said == ""


def test_devices_are_let_in_until_their_day(tmp_path: Path) -> None:
    day = timedelta(days=1)
    with Sessions(tmp_path / "s.sqlite3") as store:
        store.add("h1", NOW + day)
        store.add("h2", NOW + 3 * day)
        assert store.find("h1", now=NOW) == NOW + day
        assert store.find("h1", now=NOW + day) is None
        assert store.find("h3", now=NOW) is None
        assert store.prune(now=NOW + 2 * day) == 1
        assert store.find("h2", now=NOW) == NOW + 3 * day
        assert store.forget("h2")
        assert not store.forget("h2")
        store.add("h2", NOW + day)
        assert store.forget_all() == 1
        with pytest.raises(ValueError, match="no time zone"):
            store.add("h4", NOW.replace(tzinfo=None))


def test_a_store_of_the_layout_before_keeps_what_it_holds(tmp_path: Path) -> None:
    path = tmp_path / "s.sqlite3"
    one = reading("/s/a.jpg", sha256="aa")
    with Store(path, measure_version="t") as store:
        store.put(one, SETTINGS)
    database = sqlite3.connect(path)
    for table in ("landed", "choices", "warned", "sessions", "trials", "sittings"):
        database.execute(f"DROP TABLE {table}")
    database.execute("PRAGMA user_version = 3")
    database.commit()
    database.close()
    assert len(STEPS) >= 4
    with Sittings(path) as sittings:
        assert sittings.measured_files() == (("/s/a.jpg", one.mtime_ns),)
        assert sittings.all() == ()
