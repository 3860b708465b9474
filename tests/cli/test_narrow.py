"""Streams that cannot take every sign, or nothing any more."""

import io
import subprocess
import sys
from pathlib import Path

import pytest

from eyeplane.cli.narrow import take_any_text

RUN = "import sys; from eyeplane.cli import main; main(prog_name='eyeplane')"


def written(text: str, encoding: str) -> str:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    take_any_text(stream)
    stream.write(text)
    stream.flush()
    return stream.buffer.getvalue().decode(encoding)


def test_signs_that_ascii_lacks_are_typed_as_one_would() -> None:
    said = written("67–89 %, 25°, 4 µm, 1⅓ stops, 6000×4000, 18\u2009mm, Ünal", "ascii")
    assert said == "67-89 %, 25 deg, 4 um, 1 1/3 stops, 6000x4000, 18 mm, ?nal"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le"])
def test_what_a_stream_has_is_left_alone(encoding: str) -> None:
    assert written("67–89 %, 25°, Ünal", encoding) == "67–89 %, 25°, Ünal"


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="needs a device that is full")
@pytest.mark.parametrize("words", [["plan", "--help"], ["plan", "sitter", "--json", "-"]])
def test_a_full_disk_is_one_sentence(words: list[str]) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        run = subprocess.run(
            [sys.executable, "-c", RUN, *words],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "cannot be written here (No space left on device)" in run.stderr
