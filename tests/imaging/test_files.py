import os
from pathlib import Path

import pytest

from eyeplane.errors import FrameError
from eyeplane.imaging import open_picture
from eyeplane.imaging.files import read_file
from eyeplane.records import MeasureSettings


def refused(path: Path) -> str:
    with pytest.raises(FrameError) as caught:
        open_picture(path, settings=MeasureSettings())
    assert caught.value.where == str(path)
    assert caught.value.hint
    return caught.value.what


def test_bytes_and_time_come_back(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"abc")
    os.utime(path, ns=(5, 7_000_000_000))
    found = read_file(path)
    assert found.data == b"abc"
    assert found.mtime_ns == 7_000_000_000


def test_missing_empty_folder(tmp_path: Path) -> None:
    assert "not there" in refused(tmp_path / "none.jpg")
    (tmp_path / "empty.jpg").touch()
    assert "empty" in refused(tmp_path / "empty.jpg")
    (tmp_path / "folder.jpg").mkdir()
    assert "folder" in refused(tmp_path / "folder.jpg")
    assert "not a folder" in refused(tmp_path / "empty.jpg" / "x.jpg")
    assert "too long" in refused(tmp_path / ("x" * 300 + ".jpg"))
    assert "not valid" in refused(tmp_path / "a\0b.jpg")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_pipes_devices_and_loops_are_refused_at_once(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    assert "pipe or device" in refused(tmp_path / "pipe.jpg")
    assert "pipe or device" in refused(Path("/dev/zero"))
    (tmp_path / "loop.jpg").symlink_to(tmp_path / "loop.jpg")
    assert "points back at itself" in refused(tmp_path / "loop.jpg")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read all")
def test_forbidden(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(b"abc")
    path.chmod(0)
    assert "may not be read" in refused(path)


def test_forbidden_as_the_system_tells_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbid(*_args: object) -> int:
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "a.jpg"
    path.write_bytes(b"abc")
    monkeypatch.setattr(os, "open", forbid)
    assert "may not be read" in refused(path)


def test_byte_limit_holds_before_reading(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    with path.open("wb") as file:
        file.truncate(3_000_000_000)  # sparse: takes no space
    assert "3000000000 bytes" in refused(path)
    path.write_bytes(b"abcd")
    with pytest.raises(FrameError, match="4 bytes"):
        read_file(path, byte_limit=3)
