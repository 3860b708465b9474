"""Measuring one 24 MP single-sitter frame, and a folder of them, as ratios in one run.

Prints: one warm frame on one thread against one full RGB decode by libjpeg-turbo; a folder with two
workers against the same folder with one; memory of the run's processes over a long folder.
Run: python benchmarks/bench_frame.py [frames of the memory run, 500 unless said]
"""

import os
import platform
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import psutil
import simplejpeg

import eyeplane.cli
from eyeplane.measure import measure_frame
from eyeplane.records import FrameReading, MeasureSettings
from eyeplane.work import run_all

ROUNDS = 9
DEMO = Path(eyeplane.cli.__file__).parent / "demo_sitting"


def timed(job: Callable[[], object]) -> float:
    began = time.perf_counter()
    job()
    return time.perf_counter() - began


def one_frame(path: Path) -> None:
    """Print the ratio of one measured frame to one decode."""

    def ours() -> None:
        measure_frame(str(path), MeasureSettings())

    def decode() -> None:
        simplejpeg.decode_jpeg(path.read_bytes(), "RGB", strict=True)

    ours()
    pairs = [(timed(ours), timed(decode)) for _ in range(ROUNDS)]
    for name, pick in (("min", min), ("median", statistics.median)):
        a, b = pick(p[0] for p in pairs), pick(p[1] for p in pairs)
        print(f"24 MP frame, {name}: {a * 1e3:.0f} ms against {b * 1e3:.0f} ms decode: {a / b:.2f}")


def many(source: Path, folder: Path, count: int) -> list[str]:
    """Return `count` copies of a frame."""
    paths = [folder / f"{i:04d}.jpg" for i in range(count)]
    for path in paths:
        shutil.copyfile(source, path)
    return [str(path) for path in paths]


def measure(path: str) -> FrameReading:
    return measure_frame(path, MeasureSettings())


def workers(paths: list[str]) -> None:
    """Print how much faster two workers are."""

    def steady(count: int) -> float:
        """Return seconds between the first and the last result: start-up is left out."""
        stamps = [time.perf_counter() for _ in run_all(measure, paths, workers=count)]
        skip = 2 * count
        return (stamps[-1] - stamps[skip - 1]) / (len(stamps) - skip)

    ratios = sorted(steady(1) / steady(2) for _ in range(5))
    print(
        f"24 MP frames, {os.cpu_count()} cores: two workers {statistics.median(ratios):.2f} times"
        f" as fast as one ({ratios[0]:.2f} to {ratios[-1]:.2f} in {len(ratios)} rounds)"
    )


def memory(paths: list[str]) -> None:
    """Print memory of this process and its workers along a long run."""
    me = psutil.Process()
    seen = []
    for i, _ in enumerate(run_all(measure, paths, workers=2)):
        if i % 25 == 24:
            alive = [me, *me.children(recursive=True)]
            seen.append(sum(p.memory_info().rss for p in alive) / 1e6)
    early, late = statistics.median(seen[1:4]), statistics.median(seen[-3:])
    print(f"{len(paths)} frames: {early:.0f} MB early, {late:.0f} MB late: {late / early:.2f}")


def main() -> None:
    cv2.setNumThreads(1)
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        one_frame(DEMO / "ilves-13.jpg")
        (folder / "large").mkdir()
        workers(many(DEMO / "ilves-13.jpg", folder / "large", 24))
        count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
        (folder / "small").mkdir()
        memory(many(DEMO / "ilves-01.jpg", folder / "small", count))


if __name__ == "__main__":
    main()
