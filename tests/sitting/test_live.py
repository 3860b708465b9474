"""A live sitting: numbers that stay, answers as the whole sitting has them, nothing lost."""

import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.sitting.living import put, readings
from tests.sitting.made import reading
from tests.sitting.simulated import Habits

from eyeplane.errors import StoreError
from eyeplane.records import FrameReading, Sitting, Viewing
from eyeplane.records.live import LiveFrame
from eyeplane.sitting import live_settle
from eyeplane.sitting.live import LiveSitting, of_sitting
from eyeplane.sitting.live_held import Held
from eyeplane.sitting.live_steps import unpack
from eyeplane.sitting.live_warn import Warner
from eyeplane.sitting.run import make_sitting
from eyeplane.store import Lessons

NOW = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
Open = Callable[[], LiveSitting]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder of frames."""
    folder = tmp_path / "Ilves"
    folder.mkdir()
    return folder


@pytest.fixture
def opening(tmp_path: Path, folder: Path) -> Iterator[Open]:
    """Yield what opens the folder's sitting; the one before is closed."""
    made: list[LiveSitting] = []

    def open_it() -> LiveSitting:
        for one in made:
            one.close()
        made.append(LiveSitting.open(folder, store_path=tmp_path / "s.sqlite3", learns=False))
        return made[-1]

    yield open_it
    for one in made:
        one.close()


def without_views(sitting: Sitting) -> Sitting:
    """Return a sitting as a store-backed one is shown: pictures of eyes apart."""
    frames = []
    for frame in sitting.frames:
        faces = tuple(
            replace(face, view=face.view and replace(face.view, jpeg=b""))
            for face in frame.reading.faces
        )
        frames.append(replace(frame, reading=replace(frame.reading, faces=faces)))
    return replace(sitting, frames=tuple(frames))


def expected(found: list[FrameReading], viewing: Viewing | None = None) -> Sitting:
    """Return the sitting as it is measured from a folder."""
    pairs = [(one, ()) for one in found]
    return without_views(make_sitting(pairs, viewing=viewing or Viewing(), name="Ilves"))


def test_once_settled_it_is_what_measuring_the_folder_gives(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder)
    shuffled = [found[n] for n in np.random.default_rng(3).permutation(len(found))]
    for number, one in enumerate(shuffled, 1):
        landed = NOW + timedelta(seconds=number) if number % 2 else None
        assert live.take(one, landed_at=landed) == number
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    assert live.settle(120)
    assert live.sitting() == expected(found)
    assert live.state().settled
    assert live.state().answering == 0
    rows = live.rows()
    assert [row.name for row in rows] == [Path(one.path).name for one in found]
    assert all(row.answered for row in rows)
    frames = {one.number: one for one in live.after(0)}
    assert [row.sentence for row in rows] == [
        frames[row.number].frame.answer.sentence for row in rows
    ]


def test_a_landed_frame_is_answered_when_it_is_taken_in(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=2)
    for one in found:
        live.take(one, landed_at=NOW)
        row = live.row(live.last_number())
        assert row is not None
        assert row.answered
        assert row.sentence
        assert row.landed_at == NOW
    last = live.last()
    assert last is not None
    assert last.answered_at is not None
    assert [row.burst for row in live.rows()][:6] == [1, 1, 1, 2, 2, 2]


def test_another_print_is_answered_anew(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=3)
    for one in found:
        live.take(one, landed_at=NOW)
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    before = {row.number: row.reach_cm for row in live.rows()}
    viewing = Viewing(print_cm=25.0)
    live.set_viewing(viewing)
    for row in live.rows():  # at once: the reach is what it was
        reach = before[row.number]
        assert row.reach_cm == reach
        assert row.holds == (None if reach is None else reach.value >= 25.0)
    assert live.settle(120)
    assert live.sitting() == expected(found, viewing)
    live.set_viewing(Viewing(distance_cm=200.0, print_cm=25.0))
    assert live.settle(120)
    assert live.sitting().frames[0].answer.reach_cm != before[live.rows()[0].number]


def test_a_restart_brings_everything_back_at_once(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder)
    numbers = {one.path: live.take(one, landed_at=NOW) for one in reversed(found)}
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    live.set_viewing(Viewing(print_cm=30.0))
    live.choose([2, 5, 99], chosen=True)
    live.choose([5], chosen=False)
    live.name_sitters(["Žofie", "", "  Jan\n "])
    live.settle(120)
    rows, whole, key = live.rows(), live.whole(), live.key
    again = opening()
    assert again.key == key
    assert again.rows() == rows
    assert again.whole() == whole
    assert again.viewing == Viewing(print_cm=30.0)
    assert again.state().settled
    assert {row.number for row in again.rows() if row.chosen} == {2}
    assert again.sitter_names() == {1: "Žofie", 3: "Jan"}
    assert again.undo()
    assert {row.number for row in again.rows() if row.chosen} == {2, 5}
    assert again.undo()
    assert not again.undo()
    assert set(again.marks()) == {one.path for one in found if one.sha256}
    for one in found:  # whoever watches may take them all again
        assert again.take(one) == numbers[one.path]
    assert again.state().frames == len(found)
    assert again.settle(120)
    assert again.sitting().frames == expected(found, Viewing(print_cm=30.0)).frames
    assert not any(row.chosen for row in opening().rows())  # what was taken back stays so


def test_frames_measured_anew_come_back_under_their_numbers(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=1)
    for one in found:  # readings are not in the store: as after a new version of the measuring
        live.take(one, landed_at=NOW)
    again = opening()
    assert again.state().frames == 1  # the unreadable one is in the journal itself
    assert again.take(found[2]) == 3
    assert again.take(reading(str(folder / "new.jpg"), sha256="new")) == len(found) + 1


def test_each_exposure_has_one_number(opening: Open, folder: Path) -> None:
    live = opening()
    old = reading(str(folder / "a.jpg"), at_s=10.0, sha256="a1")
    assert live.take(old, landed_at=NOW) == 1
    raw = str(folder / "A.NEF")
    assert live.take(old, companions=(raw,)) == 1
    frame = live.frame(1)
    assert frame is not None
    assert frame.frame.companions == (raw,)
    assert frame.landed_at == NOW
    assert live.take(reading(raw, at_s=10.0, sha256="raw"), landed_at=NOW) == 1
    cut = reading(str(folder / "b.jpg"), status="unreadable", sha256="")
    whole = reading(str(folder / "b.jpg"), at_s=12.0, sha256="b")
    assert (live.take(cut), live.take(whole)) == (2, 2)
    assert live.row(2).status == "measured"  # type: ignore[union-attr]  # it is there
    anew = replace(whole, sha256="b2")
    assert live.take(anew) == 2
    another = reading(str(folder / "b.jpg"), at_s=99.0, sha256="b3")
    assert live.take(another) == 3
    assert live.take(another) == 3
    assert live.frame(2).frame.reading.sha256 == "b2"  # type: ignore[union-attr]  # as above
    renamed = replace(another, path=str(folder / "Ilves-003.jpg"))
    assert live.take(renamed, was=another.path) == 3
    assert live.row(3).name == "Ilves-003.jpg"  # type: ignore[union-attr]  # as above
    assert live.state().frames == 3
    put(live._journal.path, [renamed])  # type: ignore[union-attr]  # it has one
    assert [row.name for row in opening().rows()] == ["Ilves-003.jpg"]


def test_the_last_frame_is_the_one_that_landed_last(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=2)
    assert live.last() is None
    live.take(found[0])
    assert live.last_number() == 1
    live.take(found[1], landed_at=NOW)
    live.take(found[2])
    assert live.last_number() == live.state().last_number == 2


def test_the_last_good_frame_holds_with_open_eyes(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=6)
    live.set_viewing(Viewing(print_cm=20.0))
    for number, one in enumerate(found):
        live.take(one, landed_at=NOW + timedelta(seconds=number))
    rows = sorted(live.rows(), key=lambda row: row.number)
    good = [row.number for row in rows if row.holds and row.eyes_open is not False]
    assert 0 < len(good) < len(rows)
    last = live.last_good()
    assert last is not None
    assert last.number == good[-1]
    assert last.landed_at == NOW + timedelta(seconds=good[-1] - 1)


def test_pictures_of_eyes_are_in_the_store_not_in_memory(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=1)
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    for one in found:
        live.take(one, landed_at=NOW)
    name = Path(found[0].path).name
    assert live.view(1, 0) == f"eye of {name}".encode()
    for number, face in ((1, 7), (1, -1), (99, 0), (10**40, 10**40), (1, 10**40)):
        assert live.view(number, face) is None
    assert live.frame(10**40) is None
    held = live._book.held[1]
    assert unpack(held.reading).faces[0].view.jpeg == b""
    assert len(held.reading) + len(held.answer) < 20_000


def test_who_listens_is_told_and_may_stop(opening: Open, folder: Path) -> None:
    live, told = opening(), threading.Event()
    end = live.listen(told.set)
    before = live.state().revision
    live.take(readings(folder, bursts=1)[0], landed_at=NOW)
    assert told.is_set()
    assert live.state().revision > before
    end()
    live.settle(120)
    told.clear()
    live.choose([1], chosen=True)
    assert not told.is_set()


def test_pages_read_while_frames_land(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=8)
    done = threading.Event()

    def read_on() -> list[int]:
        seen: list[int] = []
        while True:
            last = done.is_set()
            new = live.rows_after(seen[-1] if seen else 0, 3)
            seen += [row.number for row in new]
            rows = live.rows()
            assert len({row.number for row in rows}) == len(rows) <= len(live.rows_after(0, 10**9))
            live.state(), live.whole(), live.last_good()
            if last and not new:
                return seen

    with ThreadPoolExecutor(4) as pool:
        readers = [pool.submit(read_on) for _ in range(3)]
        for one in found:
            live.take(one, landed_at=NOW)
            live.choose([1], chosen=True)
            live.undo()
        done.set()
        for reader in readers:
            assert reader.result(60) == list(range(1, len(found) + 1))


def test_without_a_store_nothing_is_taken_in_and_that_is_told(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=1)
    live.take(found[0], landed_at=NOW)
    live._journal.close()  # type: ignore[union-attr]  # as if its disk were gone
    with pytest.raises(StoreError):
        live.take(found[1], landed_at=NOW)
    with pytest.raises(StoreError):
        live.choose([1], chosen=True)
    with pytest.raises(StoreError):
        live.set_viewing(Viewing(print_cm=20.0))
    assert live.state().frames == 1
    assert not live.rows()[0].chosen
    assert live.viewing == Viewing()


KILLED = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from tests.sitting.living import put, readings
from eyeplane.sitting.live import LiveSitting
store, folder = Path(sys.argv[1]), Path(sys.argv[2])
live = LiveSitting.open(folder, store_path=store, learns=False)
found = readings(folder)
put(store, found)
for one in found:
    number = live.take(one, landed_at=datetime.now(tz=UTC))
    live.choose([number], chosen=number % 2 == 1)
    print(number, flush=True)
"""


def test_what_was_taken_in_outlives_a_kill(tmp_path: Path, folder: Path) -> None:
    store = tmp_path / "s.sqlite3"
    command = [sys.executable, "-c", KILLED, str(store), str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        told = [int(child.stdout.readline()) for _ in range(6)]
        child.send_signal(signal.SIGKILL)
        told += [int(line) for line in child.stdout.read().split()]
    live = LiveSitting.open(folder, store_path=store, learns=False)
    try:
        rows = {row.number: row for row in live.rows()}
        assert set(told) <= set(rows)
        assert len(rows) <= len(told) + 1
        assert all(rows[number].chosen == (number % 2 == 1) for number in told)
        for one in readings(folder):
            live.take(one)
        assert live.settle(120)
        assert live.sitting() == expected(readings(folder))
    finally:
        live.close()


def test_a_finished_sitting_is_shown_as_it_is(folder: Path) -> None:
    sitting = make_sitting([(one, ()) for one in readings(folder)], viewing=Viewing(), name="Ilves")
    sitting = replace(sitting, lines=("as", "it", "was", "said"))
    live = of_sitting(sitting, key="k")
    assert live.sitting() == sitting
    assert live.view(1, 0) == sitting.frames[0].reading.faces[0].view.jpeg  # type: ignore[union-attr]
    live.set_viewing(Viewing(print_cm=25.0))
    assert live.sitting().lines[0].startswith(tuple("0123456789"))


def test_without_a_store_it_grows_all_the_same(folder: Path) -> None:
    live = LiveSitting(key="k", name="Ilves", folder=None, viewing=Viewing())
    assert live.whole().lines[0]
    found = readings(folder, bursts=2)
    for one in found:
        live.take(one)
    made = make_sitting([(one, ()) for one in found], viewing=Viewing(), name="Ilves")
    assert live.sitting() == made
    assert [row.burst for row in live.rows()] == [frame.burst for frame in made.frames]
    live.close()


@pytest.mark.slow
def test_many_known_frames_are_answered_by_helpers(opening: Open, folder: Path) -> None:
    live, found = opening(), readings(folder, bursts=16)
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    begun_s = time.monotonic()
    for one in found:
        live.take(one)
    told = [row for row in live.rows() if row.reach_cm is not None]
    assert len(told) >= len(found) - 2  # at once, before anything is answered
    assert live.settle(120), time.monotonic() - begun_s
    assert live.sitting() == expected(found)


def test_a_run_is_warned_of_once_also_across_a_restart(opening: Open, folder: Path) -> None:
    child = Habits(speed_mm_per_s=60.0, times_s=(1 / 60,))
    found = readings(folder, bursts=20, per_burst=1, habits=child)[:20]
    live = opening()
    put(live._journal.path, found)  # type: ignore[union-attr]  # it has one
    live.set_viewing(Viewing(print_cm=40.0))
    for one in found[:14]:
        live.take(one, landed_at=NOW)
    again = opening()  # closing waits until all that landed was looked at
    (said,) = again.warnings()
    assert said.kind == "shutter"
    assert said.number <= 14
    for one in found[14:]:
        again.take(one, landed_at=NOW)
    last = opening()
    assert last.warnings() == (said,)
    assert last.warnings(after=said.number) == ()


def test_what_it_teaches_is_kept_once_if_it_is_wanted(tmp_path: Path, folder: Path) -> None:
    path = tmp_path / "s.sqlite3"
    found = readings(folder)
    put(path, found)
    for learns, lessons in ((False, False), (True, True)):
        live = LiveSitting.open(folder, store_path=path, learns=learns)
        for one in found:
            live.take(one)
        assert live.settle(120)
        live.close()
        with Lessons(path) as store:
            assert bool(store.all()) is lessons


def test_what_a_page_asked_for_first_is_said_in_its_row_too(folder: Path) -> None:
    found = [
        reading(str(folder / f"{n}.jpg"), at_s=float(n), faces=[], status="nobody", sha256=str(n))
        for n in range(12)
    ]
    live = LiveSitting(key="k", name="n", folder=folder, viewing=Viewing())
    for one in found:
        live.take(one)
    live._book.look_for(Viewing(print_cm=90.0))
    assert len(live.after(0)) == 12  # each with its answer
    live._settler.settle(calm=True)
    assert live.state().answering == 0


def test_old_frames_measured_beside_do_not_hide_what_landed(folder: Path) -> None:
    live = LiveSitting(key="k", name="n", folder=folder, viewing=Viewing())
    for n, landed_at in enumerate((NOW, None, NOW + timedelta(seconds=9), None)):
        one = reading(str(folder / f"{n}.jpg"), at_s=float(n), faces=[], status="nobody")
        live.take(replace(one, sha256=str(n)), landed_at=landed_at)
    assert (live.state().last_number, live.state().given) == (3, 4)
    assert [row.number for row in live.latest_rows(2)] == [3, 4]
    live._book.drop(live._book.held[3])
    assert (live.state().last_number, live.state().given) == (1, 4)
    assert [row.number for row in live.latest_rows(2)] == [2, 4]


def test_a_fault_behind_the_pages_is_told_and_does_not_end_them(
    opening: Open, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live_settle, "QUIET_S", 0.3)
    live = opening()
    look = live._settler._look
    told: list[bool] = []

    def once() -> None:
        if not told:
            told.append(True)
            raise ValueError("made up")
        look()

    monkeypatch.setattr(live._settler, "_look", once)
    for wanted in ("made up", ""):
        end_s = time.monotonic() + 90
        while wanted not in (now := live.state().trouble) or (not wanted and now):
            assert time.monotonic() < end_s
            time.sleep(0.02)


def test_one_frame_does_not_end_the_warnings(folder: Path) -> None:
    asked: list[int] = []

    def show(held: Held) -> LiveFrame | None:
        asked.append(held.number)
        if held.number == 1:
            raise ValueError("made up")
        return None

    live = LiveSitting(key="k", name="n", folder=folder, viewing=Viewing())
    warner = Warner(live._book, show=show, say=lambda _: None)
    for n in (1, 2):
        live.take(reading(str(folder / f"{n}.jpg"), at_s=0.0, faces=[], status="nobody"))
        warner.saw(live._book.held[n])
    warner.stop()
    assert asked == [1, 2]
    assert "Frame 1" in warner.trouble
