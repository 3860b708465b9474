"""Names of kits, clients and sitters: what is none is refused before any frame is opened."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from eyeplane.cli.main import main
from eyeplane.cli.names import LONGEST_NAME, check_name
from eyeplane.errors import InputError


def test_names_are_taken_as_they_are_written() -> None:
    for name in (None, "studio 85", "Übung №1", "写真館", "x" * LONGEST_NAME, "📷"):
        check_name(name, "--kit")


@pytest.mark.parametrize("name", ["", "  ", "a\nb", "\x1b[2J", "\udcff", "\u202eabc", "\0"])
def test_what_cannot_be_shown_is_no_name(name: str) -> None:
    with pytest.raises(InputError) as told:
        check_name(name, "--kit")
    assert str(told.value).isprintable()
    assert str(told.value).startswith("--kit: ")


def test_a_page_pasted_as_a_name_is_not_read_back(tmp_path: Path) -> None:
    for words in (
        ["kit", "chart", str(tmp_path), "--kit"],
        ["kit", "dust", str(tmp_path), "--kit"],
        ["kit", "glass", str(tmp_path / "a.jpg"), "--kit"],
        ["kit", "focus", str(tmp_path), "--kit"],
        ["ladder", str(tmp_path), "--kit"],
        ["ladder", str(tmp_path), "--client"],
        ["ladder", str(tmp_path), "--sitter"],
        ["ladder", str(tmp_path), "--stabiliser"],
        ["plan", "sitter", "--kit"],
    ):
        result = CliRunner().invoke(main, [*words, "x" * 10_000])
        assert result.exit_code == 2, words
        assert f"{words[-1]}: 'xxxxxxxxxxxxxxxxxxxx'… (10000 signs) is no name" in result.stderr
        assert len(result.stderr) < 200
