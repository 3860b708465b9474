"""Opening a 24 MP JPEG and looking at it, against one full RGB decode by libjpeg-turbo."""

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

from eyeplane.imaging import open_picture
from eyeplane.records import MeasureSettings

ROUNDS = 9
WIDTH_PX, HEIGHT_PX = 6000, 4000


def synthetic_frame() -> bytes:
    """Return a JPEG with texture at all sizes and some noise, 4:2:2, quality 92."""
    rng = np.random.default_rng(24)
    frame = np.full((HEIGHT_PX, WIDTH_PX, 3), 120.0, dtype=np.float32)
    for cells in (6, 24, 96, 384, 1536):
        coarse = rng.normal(0, 18, (cells * 2 // 3, cells, 3)).astype(np.float32)
        frame += cv2.resize(coarse, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_CUBIC)
    frame += rng.normal(0, 3, frame.shape[:2]).astype(np.float32)[..., None]
    pixels = np.clip(frame, 0, 255).astype(np.uint8)
    return bytes(simplejpeg.encode_jpeg(pixels, 92, "RGB", "422"))


def timed(job: Callable[[], object]) -> float:
    began = time.perf_counter()
    job()
    return (time.perf_counter() - began) * 1000


def main() -> None:
    cv2.setNumThreads(1)
    data = synthetic_frame()
    print(f"{platform.platform()}, {platform.processor()}, {os.cpu_count()} cores")
    print(
        f"{WIDTH_PX} × {HEIGHT_PX} px, 4:2:2, {len(data) / 1e6:.1f} MB, one thread, {ROUNDS} rounds"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "frame.jpg"
        path.write_bytes(data)

        def ours() -> None:
            picture = open_picture(path, settings=MeasureSettings())
            picture.rgb_small(1500)
            picture.luma_window(2000, 1200, 600, 600)
            picture.luma_window(3000, 1200, 600, 600)

        def full_decode() -> None:
            simplejpeg.decode_jpeg(path.read_bytes(), "RGB", strict=True)

        ours()
        full_decode()
        pairs = [(timed(ours), timed(full_decode)) for _ in range(ROUNDS)]
    mine, theirs = zip(*pairs, strict=True)
    for name, times in (("open, small, two windows", mine), ("full RGB decode", theirs)):
        print(f"{name:26} min {min(times):7.1f} ms  median {statistics.median(times):7.1f} ms")
    ratios = [a / b for a, b in pairs]
    print(f"ratio: of minima {min(mine) / min(theirs):.2f}, median {statistics.median(ratios):.2f}")


if __name__ == "__main__":
    main()
