"""Killed at any moment, a run loses what was in hand and nothing else; originals stay."""

import hashlib
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest
from tests.sitting import fakes

from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.store import Store

ROOT = Path(__file__).parents[2]
FRAMES = 240
KILLS = 20
# The package's own __init__ is passed over: it loads all that answers frames, which takes twenty
# times a second and has no part in this.
SCRIPT = """
import sys, types
from pathlib import Path
sys.path.insert(0, sys.argv[1])
import eyeplane
package = types.ModuleType("eyeplane.sitting")
package.__path__ = [str(Path(eyeplane.__file__).parent / "sitting")]
sys.modules["eyeplane.sitting"] = package
from eyeplane.records import MeasureSettings
from eyeplane.sitting.gather import Measuring, gather
from eyeplane.sitting.options import RunOptions
from tests.sitting import fakes
if __name__ == "__main__":
    paths = sorted(str(p) for p in Path(sys.argv[2]).iterdir())
    gather(
        paths,
        settings=MeasureSettings(),
        options=RunOptions(store_path=Path(sys.argv[3]), workers=2),
        measuring=Measuring(function=fakes.measure, version="1"),
        progress=lambda progress: print(progress.done, flush=True),
    )
"""


def marks(folder: Path) -> dict[str, tuple[str, int, int]]:
    """Return content, size and time of change of every original."""
    return {
        path.name: (
            hashlib.sha256(path.read_bytes()).hexdigest(),
            path.stat().st_size,
            path.stat().st_mtime_ns,
        )
        for path in sorted(folder.iterdir())
    }


class Run:
    """A folder of originals, a store, and runs over it in processes of their own."""

    def __init__(self, tmp_path: Path) -> None:
        self.folder, self.store = tmp_path / "frames", tmp_path / "store.sqlite3"
        self.log, self.script = tmp_path / "log.txt", tmp_path / "script.py"
        self.script.write_text(SCRIPT, encoding="utf-8")
        self.log.touch()
        self.folder.mkdir()
        for n in range(FRAMES):
            text = f"frame {n} " + "x" * (n % 5)
            (self.folder / f"{n:03d}.jpg").write_text(text, encoding="utf-8")

    def start(self) -> subprocess.Popen[bytes]:
        arguments = [str(self.script), str(ROOT), str(self.folder), str(self.store)]
        return subprocess.Popen(
            [sys.executable, *arguments],
            stdout=subprocess.PIPE,
            env={**os.environ, fakes.LOG: str(self.log)},
            start_new_session=True,
        )

    def kept(self) -> dict[str, FrameReading]:
        """Return the readings that the store gives back."""
        if not self.store.exists():
            return {}
        with Store(self.store, measure_version="1") as store:
            found = {p.name: store.find(p, MeasureSettings()) for p in self.folder.iterdir()}
        return {name: reading for name, reading in found.items() if reading is not None}

    def measured(self) -> list[str]:
        return self.log.read_text(encoding="utf-8").split()


def kill(run: subprocess.Popen[bytes], *, everybody: bool) -> None:
    """Kill the whole group, or the parent alone: then its processes must leave by themselves."""
    family = psutil.Process(run.pid).children(recursive=True)
    if everybody:
        os.killpg(run.pid, signal.SIGKILL)
    else:
        run.kill()
    run.wait()
    assert run.stdout is not None
    run.stdout.close()
    _, alive = psutil.wait_procs(family, timeout=5)
    for process in alive:
        process.kill()
    assert alive == []


@pytest.mark.slow
def test_twenty_kills_lose_and_double_nothing(tmp_path: Path) -> None:
    rng = random.Random(20)  # noqa: S311  only moments
    sitting = Run(tmp_path)
    before = marks(sitting.folder)
    kept: dict[str, FrameReading] = {}
    for number in range(KILLS):
        calls = len(sitting.measured())
        run = sitting.start()
        assert run.stdout is not None
        if number % 4:  # else killed while it starts
            run.stdout.readline()  # the first frame is counted
        time.sleep(rng.uniform(0.0, 0.12))
        kill(run, everybody=number % 2 == 0)
        again = set(sitting.measured()[calls:])
        assert again.isdisjoint(kept), "what was kept was measured again"
        now = sitting.kept()
        assert kept.items() <= now.items(), "what was kept was lost"
        assert again - set(now) == set(sorted(again - set(now))[:2]), "more than was in hand"
        kept = now
    assert 0 < len(kept) < FRAMES  # else the kills came too late to show anything
    run = sitting.start()
    run.communicate(timeout=60)
    assert run.returncode == 0
    final = sitting.kept()
    assert sorted(final) == sorted(before)
    assert kept.items() <= final.items()
    for name, reading in final.items():
        path = str(sitting.folder / name)
        assert reading == fakes.measure(path, MeasureSettings())
    database = sqlite3.connect(sitting.store)
    assert database.execute("SELECT count(*) FROM readings").fetchone() == (FRAMES,)
    assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    database.close()
    assert marks(sitting.folder) == before
