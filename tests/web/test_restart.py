"""The server is killed while frames land, and started again: each frame is told exactly once."""

import sys
import threading
import time
from pathlib import Path

import pytest
from tests.benchmarked import of_benchmarks
from tests.sitting import pictures

SITE = str(Path(__file__).with_name("landing_site.py"))
FRAMES = 45
KILLED_AFTER = (12, 27)


@pytest.mark.slow
def test_two_kills_lose_and_double_nothing(tmp_path: Path) -> None:
    serving = of_benchmarks("serving")
    folder = tmp_path / "frames"
    folder.mkdir()
    server = serving.Server(folder, tmp_path / "store.sqlite3", (sys.executable, SITE))
    server.start()
    server.listen()
    reached = [threading.Event() for _ in KILLED_AFTER]

    def shoot() -> None:
        for n in range(FRAMES):
            serving.land(pictures.jpeg(n), folder / f"F{n:04d}.JPG", mb_per_s=10.0)
            for event, after in zip(reached, KILLED_AFTER, strict=True):
                if n == after:
                    event.set()
            time.sleep(0.08)

    shooting = threading.Thread(target=shoot)
    shooting.start()
    try:
        for event in reached:
            assert event.wait(90)
            server.kill()  # by SIGKILL: no word to anybody
            server.start()
        shooting.join()
        assert server.until(FRAMES, 120), [one.number for one in server.heard]
        time.sleep(1.0)  # so that what comes twice is met
        names = server.names()
    finally:
        shooting.join()
        server.stop()
    numbers = [one.number for one in server.heard]
    assert numbers == list(range(1, FRAMES + 1))
    assert sorted(names.values()) == [f"F{n:04d}.JPG" for n in range(FRAMES)]
