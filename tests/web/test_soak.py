"""Frames that land one after another reach an open page, each once; a small soak.

The long one, with real measuring and memory, is benchmarks/soak_serve.py.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from tests.benchmarked import of_benchmarks

SITE = str(Path(__file__).with_name("landing_site.py"))
FRAMES = 60
A_SECOND = 15.0


@pytest.fixture
def serving() -> ModuleType:
    """Return what starts servers."""
    return of_benchmarks("serving")


@pytest.mark.slow
def test_sixty_frames_are_told_once_each(tmp_path: Path, serving: ModuleType) -> None:
    soaking = of_benchmarks("soak_serve")
    folder = tmp_path / "frames"
    folder.mkdir()
    server = serving.Server(folder, tmp_path / "store.sqlite3", (sys.executable, SITE))
    server.start()
    server.listen()
    try:
        found = soaking.soak(server, frames(), a_second=A_SECOND, rest_s=120.0)
    finally:
        server.stop()
    assert soaking.faults(found) == []
    assert sorted(found.numbers) == list(range(1, FRAMES + 1))
    assert len(found.waits_s) == FRAMES


def frames() -> Iterator[tuple[str, bytes]]:
    from tests.sitting import pictures  # noqa: PLC0415  beside the others

    for n in range(FRAMES):
        yield f"F{n:04d}.JPG", pictures.jpeg(n)
