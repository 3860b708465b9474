"""What may be written to: a file that is there or can be, and nothing else."""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from eyeplane.cli import main
from eyeplane.cli.targets import check_target, write_text
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


def test_a_pipe_stays_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for words in (
        ["plan", "sitter", "--json", str(pipe)],
        ["plan", "sitter", "--store", str(pipe)],
        ["plan", "remembered", "list", "--store", str(pipe)],
    ):
        result = CliRunner().invoke(main, words)
        assert result.exit_code == 2
        assert result.stderr.count("\n") == 1
        assert "a device or a pipe" in result.stderr
    assert pipe.is_fifo()


def test_a_name_no_folder_takes_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no file can be made there"):
        check_target(tmp_path / ("a" * 5000), "--json")


def test_nothing_is_left_beside_a_file_that_could_not_be_written(tmp_path: Path) -> None:
    (tmp_path / "folder.json").mkdir()
    (tmp_path / "folder.json" / "inside").touch()
    with pytest.raises(InputError, match="cannot be written"):
        write_text(tmp_path / "folder.json", "{}")
    assert [one.name for one in tmp_path.iterdir()] == ["folder.json"]
