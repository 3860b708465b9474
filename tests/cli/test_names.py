"""A page pasted as a name is refused by every command before any frame is opened."""

from pathlib import Path

from click.testing import CliRunner

from eyeplane.cli.main import main


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
