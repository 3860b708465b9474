"""What may be written to: a file that is there or can be, and nothing else."""

from pathlib import Path

import pytest

from eyeplane.asked.targets import check_target, write_text
from eyeplane.errors import InputError


def test_a_new_file_and_one_that_is_there_will_do(tmp_path: Path) -> None:
    (tmp_path / "old.json").write_text("{}", encoding="utf-8")
    check_target(tmp_path / "old.json", "--json")
    check_target(tmp_path / "new.json", "--json")


# A file is written beside its place and then moved there: whoever may write to /dev would lose
# the device itself.
@pytest.mark.parametrize("name", ["/dev/null", "/dev/full", "/dev/stdout", "/dev/fd/1", "/dev/new"])
def test_devices_are_refused(name: str) -> None:
    with pytest.raises(InputError, match="a device or a pipe"):
        check_target(Path(name), "--json")


def test_a_name_no_folder_takes_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no file can be made there"):
        check_target(tmp_path / ("a" * 5000), "--json")


def test_nothing_is_left_beside_a_file_that_could_not_be_written(tmp_path: Path) -> None:
    (tmp_path / "folder.json").mkdir()
    (tmp_path / "folder.json" / "inside").touch()
    with pytest.raises(InputError, match="cannot be written"):
        write_text(tmp_path / "folder.json", "{}")
    assert [one.name for one in tmp_path.iterdir()] == ["folder.json"]


STORE = b"SQLite format 3\0" + bytes(84)
JPEG = b"\xff\xd8\xff\xe0" + bytes(40)


# What measurements of years lie in, or the only copy of a frame, must not become a JSON file.
@pytest.mark.parametrize("content", [STORE, JPEG, b"\x89PNG\r\n\x1a\n", b"\0\0\0\x18ftypheic"])
@pytest.mark.parametrize("name", ["readings.sqlite3", "frame", "answer.json"])
def test_neither_a_store_nor_a_picture_is_written_over(
    tmp_path: Path, content: bytes, name: str
) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=r"that is a (store of measurements|picture), and"):
        check_target(tmp_path / name, "--json")
