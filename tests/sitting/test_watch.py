"""A watched folder feeds a sitting: once each, through trouble, and nothing stays behind."""

import os
import shutil
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil
import pytest
from tests.sitting import fakes, pictures
from tests.sitting.taker import Taker

from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.sitting import watch as watching
from eyeplane.sitting import watch_sight, watch_turns
from eyeplane.sitting.gather import Measuring
from eyeplane.sitting.watch import Watcher
from eyeplane.store import Store

MEASURING = Measuring(function=fakes.measure_any, version="1")


@pytest.fixture
def watch(tmp_path: Path) -> Iterator[Callable[..., tuple[Taker, Watcher]]]:
    """Yield a way to watch a folder until the test ends."""
    made: list[Watcher] = []

    def begin(folder: Path, taker: Taker | None = None) -> tuple[Taker, Watcher]:
        taker = taker or Taker(folder)
        watcher = Watcher(
            taker, store_path=tmp_path / "store.sqlite3", workers=1, measuring=MEASURING
        )
        made.append(watcher)
        watcher.start()
        return taker, watcher

    yield begin
    for one in made:
        one.stop()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return an empty folder."""
    path = tmp_path / "frames"
    path.mkdir()
    return path


def test_what_lay_there_and_what_lands(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]]
) -> None:
    old = folder / "old.jpg"
    old.write_bytes(pictures.jpeg(1))
    os.utime(old, (1e9, 1e9))
    taker, watcher = watch(folder)
    assert taker.state is not None
    taker.until(lambda: taker.names() == ["old.jpg"])
    assert taker.calls[0].landed_at is None
    data = pictures.jpeg(2)
    with (folder / "new.jpg").open("wb") as file:
        for at in range(0, len(data), len(data) // 5):
            file.write(data[at : at + len(data) // 5])
            file.flush()
            time.sleep(0.03)
            if at == 0:
                taker.until(lambda: watcher.state().writing == ("new.jpg",))
        written_s = time.monotonic()
    taker.until(lambda: len(taker.calls) == 2)
    assert taker.calls[1].at_s - written_s < 20.0  # the benchmark holds it to one
    landed_at = taker.calls[1].landed_at
    assert landed_at is not None
    assert abs(landed_at.timestamp() - (folder / "new.jpg").stat().st_mtime) < 0.5
    inner = folder / "102ABCDE"
    inner.mkdir()
    (inner / "part.tmp").write_bytes(pictures.jpeg(3))
    (inner / "part.tmp").rename(inner / "in.jpg")
    taker.until(lambda: taker.names() == ["old.jpg", "new.jpg", "in.jpg"])
    taker.until(lambda: watcher.state().waiting == 0)
    with Store(folder.parent / "store.sqlite3", measure_version="1") as store:
        assert store.count() == 3
        assert store.find(old, MeasureSettings()) == taker.calls[0].reading


def test_a_second_life_takes_what_is_known_from_the_store(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]], monkeypatch: pytest.MonkeyPatch
) -> None:
    log = folder.parent / "log.txt"
    log.touch()
    monkeypatch.setenv(fakes.LOG, str(log))
    for n in range(4):
        (folder / f"{n}.jpg").write_bytes(pictures.jpeg(n))
    taker, watcher = watch(folder)
    taker.until(lambda: len(taker.calls) == 4)
    watcher.stop()
    status = (folder / "0.jpg").stat()
    known = {str(folder / "0.jpg"): (status.st_size, status.st_mtime_ns)}
    (folder / "4.jpg").write_bytes(pictures.jpeg(4))
    again, _ = watch(folder, Taker(folder, known=known))
    again.until(lambda: len(again.calls) == 4)
    assert sorted(again.names()) == ["1.jpg", "2.jpg", "3.jpg", "4.jpg"]
    assert sorted(log.read_text(encoding="utf-8").split()) == [f"{n}.jpg" for n in range(5)]


def test_the_folder_goes_and_comes_back(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch_sight, "RARE_WALK_S", 0.5)
    monkeypatch.setattr(watch_sight, "AGAIN_S", 0.2)
    (folder / "a.jpg").write_bytes(pictures.jpeg(1))
    taker, watcher = watch(folder)
    taker.until(lambda: taker.names() == ["a.jpg"])
    away = folder.with_name("away")
    folder.rename(away)
    taker.until(lambda: "cannot be reached" in watcher.state().trouble)
    assert "Put the card back" in watcher.state().trouble
    away.rename(folder)
    taker.until(lambda: watcher.state().trouble == "")
    (folder / "b.jpg").write_bytes(pictures.jpeg(2))
    taker.until(lambda: len(taker.calls) == 2)
    assert taker.names() == ["a.jpg", "b.jpg"]


def test_it_works_where_no_notices_come(
    folder: Path,
    watch: Callable[..., tuple[Taker, Watcher]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def silent(*_: object, stop_event: threading.Event, **__: object) -> Iterator[None]:
        while not stop_event.is_set():
            time.sleep(0.02)
        yield from ()

    monkeypatch.setattr(watch_sight, "watch", silent)
    taker, _ = watch(folder)
    (folder / "a.jpg").write_bytes(pictures.jpeg(1))
    taker.until(lambda: taker.names() == ["a.jpg"])
    half = pictures.jpeg(2)
    with (folder / "b.jpg").open("wb") as file:
        file.write(half[:9000])
        file.flush()
        time.sleep(0.5)
        file.write(half[9000:])
        written_s = time.monotonic()
    taker.until(lambda: len(taker.calls) == 2)
    assert taker.calls[1].at_s - written_s < 20.0  # the benchmark holds it to one


def test_a_store_that_fails_loses_nothing(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watch_turns, "RETRY_S", 0.2)
    monkeypatch.setattr(watching, "RETRY_S", 0.2)
    taker, watcher = watch(folder)
    (folder / "a.jpg").write_bytes(pictures.jpeg(1))
    taker.until(lambda: len(taker.calls) == 1)
    path = folder.parent / "store.sqlite3"
    database = sqlite3.connect(path)
    database.execute("ALTER TABLE readings RENAME TO hidden")
    database.commit()
    (folder / "b.jpg").write_bytes(pictures.jpeg(2))
    taker.until(lambda: str(path) in watcher.state().trouble)
    database.execute("ALTER TABLE hidden RENAME TO readings")
    database.commit()
    database.close()
    taker.until(lambda: len(taker.calls) == 2)
    taker.until(lambda: watcher.state().trouble == "")
    assert taker.names() == ["a.jpg", "b.jpg"]


def test_one_frame_that_the_sitting_cannot_take_does_not_end_it(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]]
) -> None:
    class Odd(Taker):
        def take(self, reading: FrameReading, **how: Any) -> int:  # noqa: ANN401
            if reading.path.endswith("odd.jpg"):
                raise ValueError("no such eye")
            return super().take(reading, **how)

    taker, watcher = watch(folder, Odd(folder))
    (folder / "odd.jpg").write_bytes(pictures.jpeg(1))
    taker.until(lambda: "odd.jpg” could not be taken in (ValueError" in watcher.state().trouble)
    (folder / "good.jpg").write_bytes(pictures.jpeg(2))
    taker.until(lambda: taker.names() == ["good.jpg"])


def test_a_file_that_kills_its_process_costs_itself(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]]
) -> None:
    bad = folder / "bad.jpg"
    bad.write_bytes(b"abort" + b"x" * 100)
    os.utime(bad, (1e9, 1e9))
    taker, _ = watch(folder)
    (folder / "good.jpg").write_bytes(pictures.jpeg(2))
    taker.until(lambda: sorted(taker.names()) == ["bad.jpg", "good.jpg"])
    by_name = {Path(c.reading.path).name: c.reading for c in taker.calls}
    assert "makes the decoder crash (SIGABRT), twice" in by_name["bad.jpg"].reason
    assert by_name["good.jpg"].status == "measured"


def test_nothing_is_left_at_the_end(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]]
) -> None:
    before = {thread.name for thread in threading.enumerate()}
    taker, watcher = watch(folder)
    (folder / "a.jpg").write_bytes(pictures.jpeg(1))
    taker.until(lambda: len(taker.calls) == 1)
    measuring = psutil.Process().children(recursive=True)
    assert measuring
    began_s = time.monotonic()
    watcher.stop()
    watcher.stop()
    assert time.monotonic() - began_s < 15.0  # three seconds and a busy machine
    assert taker.state is None
    assert not watcher.state().watching
    assert {thread.name for thread in threading.enumerate()} <= before
    left = [
        p for p in psutil.Process().children(recursive=True) if "tracker" not in str(p.cmdline())
    ]
    assert left == []
    shutil.rmtree(folder)


def test_a_link_out_of_the_folder_is_told_and_not_followed(
    folder: Path, watch: Callable[..., tuple[Taker, Watcher]], tmp_path: Path
) -> None:
    (tmp_path / "private.jpg").write_bytes(pictures.jpeg(1))
    (folder / "link.jpg").symlink_to(tmp_path / "private.jpg")
    taker, watcher = watch(folder)
    taker.until(lambda: "“link.jpg” leads out of the folder" in watcher.state().trouble)
    (folder / "late.jpg").symlink_to(tmp_path / "private.jpg")
    (folder / "a.jpg").write_bytes(pictures.jpeg(2))
    taker.until(lambda: taker.names() == ["a.jpg"])
