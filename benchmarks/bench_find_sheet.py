"""Finding the chart in frames of 24 and 60 MP, against one full decode of the same file."""

import os
import platform
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import simplejpeg
from tests.kit.camera import Camera, Pose, render, write_frame

from eyeplane.imaging import open_picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.sheet_search import find_sheet
from eyeplane.records import MeasureSettings
from eyeplane.records.printed import PAPERS_MM

ROUNDS = 5
SIZES_PX = ((6000, 4000), (9504, 6336))


def chart_frame(path: Path, width_px: int, height_px: int) -> None:
    """Write a frame of the A4 chart on 36 × 24 mm: 85 mm lens, a little tilted, blurred, noisy."""
    pitch_um = 36_000 / width_px
    camera = Camera(
        pose=Pose(distance_mm=900.0, tilt_deg=1.0, turn_deg=-1.5, roll_deg=0.7),
        focal_length_mm=85.0,
        pitch_um=pitch_um,
        width_px=width_px,
        height_px=height_px,
    )
    sharp = render(chart_sheet("A4"), camera, tile_px=1024).astype(np.float32)
    frame = np.asarray(cv2.GaussianBlur(sharp, (0, 0), 0.8), np.float64)
    frame += np.random.default_rng(60).normal(0, 0.01, frame.shape)
    write_frame(path, frame, pitch_um=pitch_um, quality=92)


def timed(job: Callable[[], object]) -> float:
    began = time.process_time()
    job()
    return (time.process_time() - began) * 1000


def main() -> None:
    cv2.setNumThreads(1)
    print(f"{platform.platform()}, {platform.processor()}, {os.cpu_count()} cores")
    sheets = [chart_sheet(paper) for paper in PAPERS_MM]
    with tempfile.TemporaryDirectory() as folder:
        for width_px, height_px in SIZES_PX:
            path = Path(folder) / f"{width_px}.jpg"
            chart_frame(path, width_px, height_px)
            data = path.read_bytes()

            def ours(path: Path = path) -> None:
                found = find_sheet(open_picture(path, settings=MeasureSettings()), sheets)
                assert len(found.marks) == 20

            def decode(data: bytes = data) -> None:
                simplejpeg.decode_jpeg(data, "RGB", strict=True)

            ours()
            decode()
            pairs = [(timed(ours), timed(decode)) for _ in range(ROUNDS)]
            mine, theirs = zip(*pairs, strict=True)
            print(
                f"{width_px} × {height_px} px, {len(data) / 1e6:.1f} MB, CPU time, {ROUNDS} rounds"
            )
            for name, times in (("open and find", mine), ("full RGB decode", theirs)):
                middle = statistics.median(times)
                print(f"  {name:16} min {min(times):7.0f} ms  median {middle:7.0f} ms")
            print(f"  ratio of medians {statistics.median(mine) / statistics.median(theirs):.2f}")


if __name__ == "__main__":
    main()
