import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.sitting.scan import FoundFrame, scan


def fill(folder: Path, *names: str) -> None:
    """Write small files of different content."""
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name, encoding="utf-8")


def found(*paths: Path) -> list[str]:
    """Return the measured files relative to the first path, companions after a plus."""
    top = paths[0]
    return [
        "+".join(os.path.relpath(p, top) for p in (frame.path, *frame.companions))
        for frame in scan(paths).frames
    ]


def test_folders_are_searched_to_their_end_in_one_order(tmp_path: Path) -> None:
    fill(tmp_path, "b.JPG", "a.tif", "C.heic", "sub/deep/x.png", "sub/a.jpg", "notes.txt", "a.xmp")
    assert found(tmp_path) == ["a.tif", "b.JPG", "C.heic", "sub/a.jpg", "sub/deep/x.png"]


def test_hidden_and_system_files_are_left_out(tmp_path: Path) -> None:
    fill(tmp_path, "a.jpg", "._a.jpg", ".trash/b.jpg", "@eaDir/a.jpg", "$RECYCLE.BIN/c.jpg")
    fill(tmp_path, "__MACOSX/a.jpg", "System Volume Information/d.jpg")
    assert found(tmp_path) == ["a.jpg"]


def test_a_hidden_folder_that_is_named_is_searched(tmp_path: Path) -> None:
    fill(tmp_path, ".mine/a.jpg")
    assert found(tmp_path / ".mine") == ["a.jpg"]


def test_raw_and_jpeg_of_one_exposure_are_one_frame(tmp_path: Path) -> None:
    fill(tmp_path, "IMG_1.CR2", "img_1.jpg", "IMG_2.NEF", "IMG_3.heic", "IMG_3.dng", "IMG_3.JPG")
    fill(tmp_path, "other/IMG_1.cr2")
    assert found(tmp_path) == [
        "img_1.jpg+IMG_1.CR2",
        "IMG_2.NEF",
        "IMG_3.JPG+IMG_3.heic+IMG_3.dng",
        "other/IMG_1.cr2",
    ]


def test_what_is_no_pair_stays_apart(tmp_path: Path) -> None:
    # A TIFF is an edit; a second JPEG of the name is another picture.
    fill(tmp_path, "a.jpg", "A.JPEG", "a.tif", "a.png", "a.nef", "b.nef", "B.NEF")
    frames = found(tmp_path)
    assert frames == ["A.JPEG+a.nef", "a.jpg", "a.png", "a.tif", "B.NEF", "b.nef"]


def test_pairs_are_found_among_named_files(tmp_path: Path) -> None:
    fill(tmp_path, "a.jpg", "a.arw", "b.jpg")
    paths = [tmp_path / name for name in ("b.jpg", "a.arw", "a.jpg")]
    frames = scan(paths).frames
    assert frames == (
        FoundFrame(path=str(paths[0]), companions=()),
        FoundFrame(path=str(paths[2]), companions=(str(paths[1]),)),
    )


def test_a_named_file_is_taken_whatever_its_name(tmp_path: Path) -> None:
    fill(tmp_path, "scan.dat")
    assert len(scan([tmp_path / "scan.dat"]).frames) == 1


def test_paths_stay_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(tmp_path, "shoot/a.jpg")
    monkeypatch.chdir(tmp_path)
    assert [f.path for f in scan([Path("shoot")]).frames] == [str(Path("shoot/a.jpg"))]
    assert [f.path for f in scan([Path()]).frames] == [str(Path("shoot/a.jpg"))]


def test_links_double_nothing_and_loops_end(tmp_path: Path) -> None:
    fill(tmp_path, "z/real.jpg", "z/other.jpg")
    (tmp_path / "a-link.jpg").symlink_to(tmp_path / "z" / "real.jpg")
    os.link(tmp_path / "z" / "other.jpg", tmp_path / "z" / "same.jpg")
    (tmp_path / "z" / "up").symlink_to(tmp_path)
    (tmp_path / "again").symlink_to(tmp_path / "z")
    frames = {Path(f.path).name for f in scan([tmp_path, tmp_path / "z", tmp_path]).frames}
    assert frames == {"real.jpg", "other.jpg"}


def test_a_linked_folder_is_searched(tmp_path: Path) -> None:
    fill(tmp_path, "card/a.jpg")
    (tmp_path / "shoot").mkdir()
    (tmp_path / "shoot" / "card").symlink_to(tmp_path / "card")
    assert found(tmp_path / "shoot") == ["card/a.jpg"]


def test_broken_links_and_pipes_are_kept_for_their_reason(tmp_path: Path) -> None:
    (tmp_path / "gone.jpg").symlink_to(tmp_path / "nowhere.jpg")
    (tmp_path / "loop.jpg").symlink_to(tmp_path / "loop.jpg")
    os.mkfifo(tmp_path / "pipe.jpg")
    assert found(tmp_path) == ["gone.jpg", "loop.jpg", "pipe.jpg"]
    assert len(scan([tmp_path / "loop.jpg"]).frames) == 1


def test_a_folder_that_cannot_be_looked_into_is_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(tmp_path, "a.jpg", "locked/b.jpg", "open/c.jpg")
    real = Path.iterdir

    def refuse(self: Path) -> object:
        if self.name == "locked":
            raise PermissionError(13, "Permission denied")
        return real(self)

    monkeypatch.setattr(Path, "iterdir", refuse)  # as root, permissions would not stop us
    result = scan([tmp_path])
    assert [Path(f.path).name for f in result.frames] == ["a.jpg", "c.jpg"]
    (closed,) = result.closed
    assert closed.status == "unreadable"
    assert closed.path == str(tmp_path / "locked")
    assert "Permission denied" in closed.reason


def test_what_may_be_listed_but_not_looked_at_stops_no_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(tmp_path, "a.jpg", "b.jpg", "link")
    looked = os.stat

    def refuse(path: Any, **how: Any) -> object:  # noqa: ANN401  as it was called
        if isinstance(path, (str, Path)) and Path(path).name in {"b.jpg", "link"}:
            raise PermissionError(13, "Permission denied", str(path))
        return looked(path, **how)

    monkeypatch.setattr(os, "stat", refuse)  # as root, permissions would not stop us
    assert found(tmp_path) == ["a.jpg", "b.jpg"]  # b is measured, and told why it cannot be


def test_a_deep_nest_of_folders(tmp_path: Path) -> None:
    folder = tmp_path
    for _ in range(300):
        folder = folder / "d"
    folder.mkdir(parents=True)
    fill(folder, "a.jpg")
    assert len(scan([tmp_path]).frames) == 1


def test_a_missing_path_is_an_error_of_the_caller(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file") as caught:
        scan([tmp_path / "nope"])
    assert caught.value.where.endswith("nope")
    with pytest.raises(InputError, match="no path"):
        scan([])


NAMES = st.tuples(
    st.sampled_from(["a", "A", "b", "c"]),
    st.sampled_from([".jpg", ".JPG", ".nef", ".heic", ".tif"]),
).map("".join)


@given(names=st.lists(NAMES, unique=True, max_size=12))
def test_every_file_is_in_exactly_one_frame(
    names: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("scan")
    fill(folder, *names)
    seen = [Path(p).name for f in scan([folder]).frames for p in (f.path, *f.companions)]
    assert sorted(seen) == sorted(names)
