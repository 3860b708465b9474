import os
import sqlite3
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest
from tests.sitting import made

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.store import Store, content_hash, default_store_path

SETTINGS = MeasureSettings()
ROOT = Path(__file__).parents[2]


def frame(path: Path, text: str = "pixels") -> FrameReading:
    """Write a file and return a reading of it, with two eye views."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    status = path.stat()
    faces = [made.face(jpeg=b"\xff\xd8one"), made.face(), made.face(jpeg=b"\xff\xd8\x00two")]
    return replace(
        made.reading(str(path), sha256=content_hash(path), faces=faces),
        size_bytes=status.st_size,
        mtime_ns=status.st_mtime_ns,
    )


def open_store(tmp_path: Path, version: str = "1") -> Store:
    return Store(tmp_path / "deep" / "store.sqlite3", measure_version=version)


def test_what_was_put_comes_back_equal_to_the_last_bit(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        assert store.find(reading.path, SETTINGS) is None
        store.put(reading, SETTINGS)
        assert store.find(reading.path, SETTINGS) == reading
    with open_store(tmp_path) as store:  # and after it was closed
        assert store.find(Path(reading.path), SETTINGS) == reading
        assert store.count() == 1


def test_eye_views_lie_beside_the_text_and_go_with_it(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        store.put(reading, SETTINGS)
        path = store.path
    database = sqlite3.connect(path)
    assert database.execute("SELECT face, jpeg FROM views ORDER BY face").fetchall() == [
        (0, b"\xff\xd8one"),
        (2, b"\xff\xd8\x00two"),
    ]
    assert database.execute("SELECT count(*) FROM readings").fetchone() == (1,)
    database.close()


def test_other_settings_and_other_versions_are_not_found(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    spots = MeasureSettings(spots_px=((3.5, 4.5),))
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        assert store.find(reading.path, spots) is None
        store.put(reading, spots)
        assert store.count() == 2
    with open_store(tmp_path, version="2") as store:
        assert store.find(reading.path, SETTINGS) is None
        assert store.count() == 0
    with open_store(tmp_path) as store:  # the earlier version's are still there
        assert store.find(reading.path, SETTINGS) == reading


def test_a_moved_folder_is_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    reading = frame(tmp_path / "old" / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        (tmp_path / "old").rename(tmp_path / "new")
        there = tmp_path / "new" / "a.jpg"
        os.utime(there, ns=(1, 1))  # copies often carry another time
        found = store.find(there, SETTINGS)
        assert found == replace(reading, path=str(there), mtime_ns=1)
        assert store.find(tmp_path / "old" / "a.jpg", SETTINGS) is None
        monkeypatch.setattr("eyeplane.store.readings.content_hash", lambda _: "")
        assert store.find(there, SETTINGS) == found  # the new place is known from now on


def test_a_known_file_is_not_opened_and_a_new_size_is_not_hashed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    def noted(path: Path) -> str:
        opened.append(path.name)
        return content_hash(path)

    monkeypatch.setattr("eyeplane.store.readings.content_hash", noted)
    reading = frame(tmp_path / "a.jpg", "12345")
    frame(tmp_path / "longer.jpg", "123456")
    frame(tmp_path / "same-size.jpg", "54321")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        assert store.find(Path(reading.path), SETTINGS) is not None
        assert store.find(tmp_path / "longer.jpg", SETTINGS) is None
        assert opened == []
        assert store.find(tmp_path / "same-size.jpg", SETTINGS) is None
        assert opened == ["same-size.jpg"]


def test_a_changed_file_is_not_the_one_that_was_measured(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg", "12345")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        changed = frame(tmp_path / "a.jpg", "54321")
        os.utime(changed.path, ns=(5, 5))
        assert store.find(changed.path, SETTINGS) is None
        store.put(replace(changed, mtime_ns=5), SETTINGS)
        found = store.find(changed.path, SETTINGS)
        assert found is not None
        assert found.sha256 == changed.sha256 != reading.sha256


def test_a_touched_file_is_still_known(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        os.utime(reading.path, ns=(7, 7))
        found = store.find(reading.path, SETTINGS)
    assert found == replace(reading, mtime_ns=7)


def test_copies_are_one_reading_with_their_own_paths(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    copy = frame(tmp_path / "b.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        found = store.find(copy.path, SETTINGS)
        assert found is not None
        assert found.path == copy.path
        assert store.count() == 1


def test_a_reading_without_content_is_not_kept(tmp_path: Path) -> None:
    reading = replace(frame(tmp_path / "a.jpg"), sha256="", status="unreadable")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        assert store.count() == 0


@pytest.mark.skipif(sys.platform != "linux", reason="names that are no text exist on Linux only")
def test_a_name_that_is_no_text(tmp_path: Path) -> None:
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/\xff\xfe \xe4.jpg"))
    reading = frame(path)
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        assert store.find(path, SETTINGS) == reading


def test_what_is_no_file_is_not_found(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        assert store.find(tmp_path, SETTINGS) is None
        assert store.find(tmp_path / "none", SETTINGS) is None
        assert store.find("nul\0.jpg", SETTINGS) is None


def test_a_reading_of_another_shape_is_measured_anew(tmp_path: Path) -> None:
    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        other = sqlite3.connect(store.path)
        other.execute("UPDATE readings SET reading = '{\"path\": 1}'")
        other.commit()
        other.close()
        assert store.find(reading.path, SETTINGS) is None
        store.put(reading, SETTINGS)
        assert store.find(reading.path, SETTINGS) == reading
        assert store.count() == 1


def test_a_failed_put_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
        monkeypatch.setattr("eyeplane.store.readings.path_key", lambda _: [])  # breaks halfway
        with pytest.raises(StoreError):
            store.put(replace(reading, faces=()), SETTINGS)
        assert store.find(reading.path, SETTINGS) == reading


def test_not_a_database(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("these are my notes, and long enough to look at" * 50, encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(StoreError, match="not a store") as caught:
        Store(path, measure_version="1")
    assert "--store" in caught.value.hint
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    database = sqlite3.connect(path)
    database.execute("CREATE TABLE files (mine TEXT)")
    database.commit()
    database.close()
    before = path.read_bytes()
    with pytest.raises(StoreError, match="another program"):
        Store(path, measure_version="1")
    assert path.read_bytes() == before


def test_a_store_of_a_newer_eyeplane(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        path = store.path
    database = sqlite3.connect(path)
    database.execute("PRAGMA user_version = 99")
    database.commit()
    database.close()
    with pytest.raises(StoreError, match=r"newer eyeplane \(layout 99"):
        Store(path, measure_version="1")


def test_a_folder_and_a_place_that_cannot_be(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="cannot be opened"):
        Store(tmp_path, measure_version="1")
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(StoreError, match="folder cannot be made"):
        Store(tmp_path / "file" / "store.sqlite3", measure_version="1")


def test_a_store_that_may_not_be_written(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        path = store.path
    path.chmod(0o444)
    path.parent.chmod(0o555)
    try:
        if os.access(path, os.W_OK):  # root may write anyway: ask SQLite for the same refusal
            database = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
            with pytest.raises(sqlite3.OperationalError) as refused:
                database.execute("DELETE FROM files")
            database.close()
            from eyeplane.store.trouble import store_error  # noqa: PLC0415  only here

            error = store_error(refused.value, path)
        else:
            with pytest.raises(StoreError) as caught:
                Store(path, measure_version="1")
            error = caught.value
    finally:
        path.parent.chmod(0o755)
    assert "cannot be written" in str(error)
    assert "permission" in error.hint


def test_a_locked_store(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        path = store.path
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    start = time.monotonic()
    with pytest.raises(StoreError, match="locked") as caught:
        Store(path, measure_version="1", busy_limit_s=0.2)
    assert 0.15 < time.monotonic() - start < 5
    assert "Wait" in caught.value.hint
    other.close()


def test_a_step_that_fails_leaves_no_half_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from eyeplane.store import layout  # noqa: PLC0415  its steps are swapped

    steps = layout.STEPS
    monkeypatch.setattr(layout, "STEPS", (*steps, ("CREATE TABLE more (x)", "NONSENSE")))
    with pytest.raises(StoreError):
        open_store(tmp_path)
    monkeypatch.setattr(layout, "STEPS", (*steps, ("CREATE TABLE more (x)",)))
    with open_store(tmp_path) as store:
        path = store.path
    database = sqlite3.connect(path)
    assert database.execute("PRAGMA user_version").fetchone() == (len(steps) + 1,)
    assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    database.close()


def test_an_older_store_is_led_on_with_its_readings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from eyeplane.store import layout  # noqa: PLC0415  its steps are swapped

    reading = frame(tmp_path / "a.jpg")
    with open_store(tmp_path) as store:
        store.put(reading, SETTINGS)
    monkeypatch.setattr(layout, "STEPS", (*layout.STEPS, ("ALTER TABLE files ADD COLUMN note",)))
    with open_store(tmp_path) as store:
        assert store.find(reading.path, SETTINGS) == reading


WRITER = """
import sys
from dataclasses import replace
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from eyeplane.records import MeasureSettings
from eyeplane.store import Store
from tests.sitting import made
first, path = int(sys.argv[2]), Path(sys.argv[3])
with Store(path, measure_version="1") as store:
    for n in range(first, first + 60):
        store.put(made.reading(f"/frames/{n}", sha256=f"{n:064d}"), MeasureSettings())
"""


@pytest.mark.slow
def test_several_processes_lose_and_double_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite3"  # made by whoever comes first
    script = tmp_path / "writer.py"
    script.write_text(WRITER, encoding="utf-8")
    runs = [
        subprocess.Popen([sys.executable, str(script), str(ROOT), str(first), str(path)])
        for first in (0, 30, 60)  # they overlap by half
    ]
    assert [run.wait(60) for run in runs] == [0, 0, 0]
    database = sqlite3.connect(path)
    hashes = [row[0] for row in database.execute("SELECT sha256 FROM readings ORDER BY sha256")]
    assert hashes == [f"{n:064d}" for n in range(120)]
    database.close()


def test_the_usual_place_is_the_users_own() -> None:
    assert default_store_path().name == "readings.sqlite3"
    assert "eyeplane" in default_store_path().parts
