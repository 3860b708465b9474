"""No command writes over what is kept, a device, or two things into one file."""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from eyeplane.cli import main

STORE = b"SQLite format 3\0" + bytes(84)


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


@pytest.mark.parametrize(
    "words",
    [
        ["measure", "FRAMES", "--json", "STORE", "--store", "OTHER"],
        ["measure", "FRAMES", "--store", "NEW", "--json", "NEW"],
        ["measure", "FRAMES", "--report", "NEW", "--json", "NEW"],
        ["plan", "sitter", "--json", "STORE"],
        ["plan", "sitter", "--json", "NEW.html", "--card", "NEW.html"],
        ["plan", "sitter", "--store", "NEW", "--json", "NEW"],
        ["plan", "against", "FRAMES", "--json", "STORE"],
        ["learned", "show", "--store", "STORE", "--json", "STORE"],
        ["learned", "export", "STORE", "--store", "STORE"],
        ["ladder", "FRAMES", "--json", "STORE"],
        ["kit", "against", "24 MP", "45 MP", "--json", "STORE"],
        ["kit", "chart", "FRAMES", "--store", "NEW", "--json", "NEW"],
        ["kit", "focus", "FRAMES", "--page", "STORE.html"],
        ["kit", "dust", "FRAMES", "--json", "STORE"],
        ["kit", "glass", "FRAMES", "--json", "STORE"],
        ["kit", "print", "chart", "STORE.pdf"],
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_what_is_kept_outlives_every_command(tmp_path: Path, words: list[str]) -> None:
    places = {"FRAMES": tmp_path / "frames"}
    places["FRAMES"].mkdir()
    for name in ("STORE", "STORE.html", "STORE.pdf"):
        places[name] = tmp_path / name.replace("STORE", "kept")
        places[name].write_bytes(STORE)
    for name in ("NEW", "NEW.html", "OTHER"):
        places[name] = tmp_path / name.lower()
    result = CliRunner().invoke(main, [str(places.get(word, word)) for word in words])
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert "nothing is written over it" in result.stderr or "cannot be one file" in result.stderr
    assert places["STORE"].read_bytes() == STORE
    assert not places["NEW"].exists()
