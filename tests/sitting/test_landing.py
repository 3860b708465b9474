"""Files that come, grow, pair, stall, vanish and are renamed: each exposure is taken in once."""

import os
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from tests.sitting import made, pictures

from eyeplane.records import FrameReading
from eyeplane.sitting.landing import FLOOD, Landing
from eyeplane.sitting.landing_files import Moment, ToTake
from eyeplane.sitting.landing_walk import is_frame_name, is_watched, mark_of, walk_folder
from eyeplane.sitting.landing_whole import BEHIND_S, CUT_S, UNKNOWN_S

BEGIN = datetime(2026, 5, 4, 10, tzinfo=UTC)
JPEG = pictures.jpeg()


@dataclass
class Set:
    """A folder, a clock, and what came of it."""

    folder: Path
    landing: Landing = field(default_factory=Landing)
    at_s: float = 1000.0
    taken: list[ToTake] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)

    @property
    def moment(self) -> Moment:
        return Moment(
            at_s=self.at_s, utc=datetime.now(tz=UTC) + timedelta(seconds=self.at_s - 1000)
        )

    def put(self, name: str, data: bytes = JPEG) -> str:
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
        return str(path)

    def walk(self) -> None:
        self.landing.walked(walk_folder(str(self.folder)), self.moment)
        self.turn()

    def turn(self, after_s: float = 0.0) -> list[str]:
        """Let time go by and return the names of what was taken in."""
        self.at_s += after_s
        before = len(self.taken)
        self.landing.look(self.moment)
        for new in self.landing.unasked(1000):
            new.asked = True
        while (one := self.landing.next()) is not None:
            self.landing.handed(one)
            self.measured.append(Path(one.path).name)
            came = self.landing.came(one.path, self.reading(one.path), self.moment)
            self.taken += [] if came is None else [came]
        self.taken += self.landing.due(self.moment)
        return [Path(one.path).name for one in self.taken[before:]]

    def reading(self, path: str) -> FrameReading:
        mark = mark_of(path)
        assert mark is not None
        bad = Path(path).name in self.broken
        found = made.reading(path, status="unreadable" if bad else "nobody")
        return replace(found, size_bytes=mark.size_bytes, mtime_ns=mark.mtime_ns)


@pytest.fixture
def scene(tmp_path: Path) -> Set:
    """Return a folder that has been watched for a while."""
    made = Set(tmp_path)
    made.walk()
    return made


def test_a_file_is_taken_when_its_last_byte_is_there_and_once(scene: Set) -> None:
    for share in (0.1, 0.5, 0.9):
        scene.put("a.jpg", JPEG[: int(share * len(JPEG))])
        scene.walk()
        assert scene.landing.writing == ("a.jpg",)
        assert scene.turn(0.6 * CUT_S) == [], "it waits anew after each piece"
    assert scene.measured == []
    scene.put("a.jpg")
    scene.walk()
    assert [Path(t.path).name for t in scene.taken] == ["a.jpg"]
    assert scene.taken[0].landed_at is not None
    for _ in range(3):
        scene.walk()
        assert scene.turn(40.0) == []
    assert scene.measured == ["a.jpg"]


def test_a_stalled_copy_is_waited_for_and_then_told_and_then_mended(scene: Set) -> None:
    path = scene.put("a.jpg", JPEG[:9000])
    scene.broken.add("a.jpg")
    scene.walk()
    assert scene.turn(CUT_S - 0.5) == []
    assert scene.measured == [], "a file without its end is not even tried"
    assert scene.landing.writing == ("a.jpg",)
    assert scene.turn(1.0) == ["a.jpg"]
    assert scene.taken[0].reading is not None
    assert "stopped growing at 9,000 bytes" in scene.taken[0].reading.reason
    assert scene.turn(100.0) == []
    scene.broken.clear()
    Path(path).write_bytes(JPEG)
    scene.walk()
    assert [t.reading.status for t in scene.taken if t.reading] == ["unreadable", "nobody"]


def test_a_whole_file_that_is_unreadable_is_told_at_once(scene: Set) -> None:
    scene.broken.add("a.jpg")
    scene.put("a.jpg")
    scene.walk()
    assert [t.reading and t.reading.status for t in scene.taken] == ["unreadable"]


def test_what_cannot_be_known_is_not_called_unreadable_early(scene: Set) -> None:
    scene.broken.add("a.x3f")
    scene.put("a.x3f", b"FOVb" + b"x" * 900)
    scene.walk()
    assert scene.turn(UNKNOWN_S + 0.1) == []
    assert scene.measured == ["a.x3f"], "it was tried"
    assert scene.landing.writing == ("a.x3f",)
    assert scene.turn(CUT_S - UNKNOWN_S - 1.0) == []
    assert scene.turn(1.0) == ["a.x3f"]


def test_a_file_that_changed_while_it_was_measured_is_not_called_unreadable(scene: Set) -> None:
    path = Path(scene.put("a.jpg"))
    scene.landing.walked(walk_folder(str(scene.folder)), scene.moment)
    scene.landing.look(scene.moment)
    (one,) = scene.landing.unasked(5)
    scene.landing.handed(one)
    scene.broken.add("a.jpg")
    reading = scene.reading(str(path))
    scene.broken.clear()
    path.write_bytes(pictures.jpeg(4, width_px=176))
    assert scene.landing.came(str(path), reading, scene.moment) is None
    assert scene.turn() == ["a.jpg"]
    assert scene.taken[0].reading is not None
    assert scene.taken[0].reading.status == "nobody"


def test_a_file_with_more_behind_is_taken_a_moment_later(scene: Set) -> None:
    scene.put("a.jpg", JPEG + b"maker")
    scene.walk()
    assert scene.taken == []
    assert scene.landing.next_s(scene.moment) <= BEHIND_S
    assert scene.turn(BEHIND_S + 0.01) == ["a.jpg"]


@pytest.mark.parametrize("first", ["a.jpg", "A.NEF"])
def test_raw_and_jpeg_are_one_frame_whichever_lands_first(scene: Set, first: str) -> None:
    raw = pictures.saved("TIFF")
    content = {"a.jpg": JPEG, "A.NEF": raw}
    second = "A.NEF" if first == "a.jpg" else "a.jpg"
    scene.put(first, content[first])
    scene.walk()
    assert [Path(t.path).name for t in scene.taken] == [first]
    scene.put(second, content[second][:9000])
    scene.walk()
    assert scene.landing.writing == (), "it is not waited for"
    scene.put(second, content[second])
    scene.walk()
    scene.turn(5.0)
    assert scene.measured == [first]
    assert [Path(t.path).name for t in scene.taken] == [first, first]
    assert [Path(p).name for p in scene.taken[1].companions] == [second]
    assert scene.taken[1].reading is None
    scene.walk()
    assert len(scene.taken) == 2


def test_the_jpeg_is_measured_where_both_are_there(scene: Set) -> None:
    scene.put("a.cr3", pictures.saved("TIFF"))
    scene.put("a.jpg")
    scene.walk()
    scene.turn(5.0)
    assert scene.measured == ["a.jpg"]
    assert [len(t.companions) for t in scene.taken] == [1]


def test_the_raw_stands_in_for_a_broken_jpeg(scene: Set) -> None:
    scene.broken.add("a.jpg")
    scene.put("a.jpg")
    scene.put("a.nef", pictures.saved("TIFF"))
    scene.walk()
    scene.turn()
    assert scene.measured == ["a.jpg", "a.nef"]
    assert [Path(t.path).name for t in scene.taken] == ["a.nef"]
    assert [Path(p).name for p in scene.taken[0].companions] == ["a.jpg"]


def test_two_jpegs_whose_names_differ_in_capitals_are_two_frames(scene: Set) -> None:
    scene.put("a.jpg")
    scene.put("A.JPG", pictures.jpeg(5))
    scene.walk()
    assert sorted(Path(t.path).name for t in scene.taken) == ["A.JPG", "a.jpg"]


def test_a_file_renamed_after_it_was_taken_is_the_same_frame(scene: Set) -> None:
    old = Path(scene.put("wlan-0001.jpg"))
    scene.walk()
    new = old.rename(old.with_name("a.jpg"))
    scene.walk()
    assert scene.measured == ["wlan-0001.jpg"]
    assert (scene.taken[1].path, scene.taken[1].was, scene.taken[1].reading) == (
        str(new),
        str(old),
        None,
    )
    new.parent.joinpath("sorted").mkdir()
    new.rename(new.parent / "sorted" / "a.jpg")
    scene.walk()
    assert scene.taken[2].was == str(new)
    scene.walk()
    assert len(scene.taken) == 3


def test_a_link_to_a_frame_is_not_another_frame(scene: Set) -> None:
    path = Path(scene.put("a.jpg"))
    scene.walk()
    path.with_name("b.jpg").hardlink_to(path)
    path.with_name("c.jpg").symlink_to(path)
    (path.parent / "loop").symlink_to(path.parent, target_is_directory=True)
    assert len(walk_folder(str(scene.folder)).files) == 1
    for _ in range(2):
        scene.walk()
    assert scene.measured == ["a.jpg"]


def test_no_link_out_of_the_folder_is_followed(tmp_path: Path) -> None:
    """Whoever may put files there could else have any picture of this machine shown."""
    private, folder = tmp_path / "private", tmp_path / "set"
    private.mkdir()
    folder.mkdir()
    (private / "p.jpg").write_bytes(JPEG)
    top = tmp_path / "today"  # the folder may be a link itself
    top.symlink_to(folder, target_is_directory=True)
    scene = Set(top, landing=Landing(top=str(top)))
    path = Path(scene.put("a.jpg"))
    scene.walk()
    (top / "b.jpg").symlink_to(private / "p.jpg")
    (top / "c").symlink_to(private, target_is_directory=True)
    (top / "d.txt").symlink_to(private / "p.jpg")
    (top / "e.jpg").symlink_to(path)
    found = walk_folder(str(top))
    assert [Path(one).name for one in found.files] == ["a.jpg"]
    assert [Path(one).name for one in found.outside] == ["b.jpg", "c"]
    for one in ("b.jpg", "c/p.jpg"):
        assert not is_watched(str(top / one), str(top))
        assert not scene.landing.noticed(str(top / one), scene.moment)
    path.unlink()  # a frame that is known makes way for a link
    path.symlink_to(private / "p.jpg")
    scene.landing.noticed(str(path), scene.moment)
    scene.walk()
    assert scene.measured == ["a.jpg"]


def test_another_date_measures_nothing_that_the_store_knows(scene: Set) -> None:
    path = Path(scene.put("a.jpg"))
    scene.walk()
    os.utime(path, (1, 1))
    scene.landing.walked(walk_folder(str(scene.folder)), scene.moment)
    scene.landing.look(scene.moment)
    (one,) = scene.landing.unasked(5)
    assert not one.fresh


def test_changed_content_is_taken_again(scene: Set) -> None:
    path = scene.put("a.jpg")
    scene.walk()
    Path(path).write_bytes(pictures.jpeg(9, width_px=168))
    scene.walk()
    assert scene.measured == ["a.jpg", "a.jpg"]
    assert [Path(t.path).name for t in scene.taken] == ["a.jpg", "a.jpg"]


def test_a_file_that_vanishes_while_it_is_measured_is_met_again(scene: Set) -> None:
    path = Path(scene.put("a.jpg"))
    scene.landing.walked(walk_folder(str(scene.folder)), scene.moment)
    scene.landing.look(scene.moment)
    (one,) = scene.landing.unasked(5)
    scene.landing.handed(one)
    reading = scene.reading(str(path))
    data = path.read_bytes()
    path.unlink()
    assert scene.landing.came(str(path), reading, scene.moment) is None
    scene.walk()
    path.write_bytes(data)
    scene.walk()
    assert [Path(t.path).name for t in scene.taken] == ["a.jpg"]


def test_a_card_pulled_and_put_back_brings_nothing_twice(scene: Set) -> None:
    for n in range(3):
        scene.put(f"{n}.jpg", pictures.jpeg(n))
    scene.walk()
    away = scene.folder.with_name("away")
    scene.folder.rename(away)
    with pytest.raises(OSError, match="No such file"):
        walk_folder(str(scene.folder))
    scene.folder.mkdir()
    scene.walk()  # an empty folder where the card was
    scene.folder.rmdir()
    away.rename(scene.folder)
    scene.put("3.jpg", pictures.jpeg(3))
    scene.walk()
    assert scene.measured == ["0.jpg", "1.jpg", "2.jpg", "3.jpg"]


def test_in_a_flood_the_newest_goes_first(scene: Set) -> None:
    for n in range(FLOOD + 2):
        scene.put(f"{n}.jpg", pictures.jpeg(n))
        scene.landing.walked(walk_folder(str(scene.folder)), scene.moment)
        scene.at_s += 0.1
    scene.turn()
    newest = [f"{FLOOD + 1}.jpg", f"{FLOOD}.jpg"]
    assert scene.measured == [*newest, *[f"{n}.jpg" for n in range(FLOOD)]]


def test_what_lay_there_before_comes_after_what_lands(tmp_path: Path) -> None:
    scene = Set(tmp_path)
    for n in range(3):
        os.utime(scene.put(f"old{n}.jpg", pictures.jpeg(n)), (1e9, 1e9))
    scene.put("just.jpg", pictures.jpeg(5))  # landed while nobody watched
    scene.walk()
    assert scene.measured == ["just.jpg", "old0.jpg", "old1.jpg", "old2.jpg"]
    assert [t.landed_at is None for t in scene.taken] == [False, True, True, True]


def test_frames_that_the_sitting_has_are_left(tmp_path: Path) -> None:
    scene = Set(tmp_path)
    paths = [scene.put(f"{n}.jpg", pictures.jpeg(n)) for n in range(3)]
    marks = {p: (m.size_bytes, m.mtime_ns) for p in paths[:2] if (m := mark_of(p))}
    scene.landing = Landing(marks)
    scene.put("0.nef", pictures.saved("TIFF"))  # a companion of a frame that it has
    scene.walk()
    assert scene.measured == ["2.jpg"]


def test_hidden_system_and_temporary_files_are_left_aside(scene: Set) -> None:
    for name in (".a.jpg", "._a.jpg", "~a.jpg", "a.jpg.part", "a.tmp", "a.jpg.xmp", "a.mov"):
        scene.put(name)
        assert not is_frame_name(name)
    for folder in (".Trash", "@eaDir", "System Volume Information"):
        path = scene.put(f"{folder}/a.jpg")
        assert not is_watched(path, str(scene.folder))
    path = scene.put("101ABCDE/a.jpg")
    assert is_watched(path, str(scene.folder))
    scene.walk()
    assert [t.path for t in scene.taken] == [path]
