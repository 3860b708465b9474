"""The first tile of a frame and later ones, against one full RGB decode by libjpeg-turbo."""

import hashlib
import os
import platform
import statistics
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import cv2
import numpy as np
import simplejpeg

from eyeplane.deliver.tiles_cache import FrameCache
from eyeplane.deliver.tiles_frame import tile_jpeg
from eyeplane.deliver.tiles_print import piece_around, piece_pixels

ROUNDS = 7
SIZES = {"24 MP": (6000, 4000), "60 MP": (9504, 6336)}
AT_ONCE = 8  # tiles that a browser asks for together


def synthetic_frame(width_px: int, height_px: int) -> bytes:
    """Return a JPEG with texture at all sizes and some noise, 4:2:2, quality 92."""
    rng = np.random.default_rng(24)
    frame = np.full((height_px, width_px, 3), 120.0, dtype=np.float32)
    for cells in (6, 24, 96, 384, 1536):
        coarse = rng.normal(0, 18, (cells * 2 // 3, cells, 3)).astype(np.float32)
        frame += cv2.resize(coarse, (width_px, height_px), interpolation=cv2.INTER_CUBIC)
    grain = rng.normal(0, 3, (1000, width_px)).astype(np.float32)
    for top in range(0, height_px, 1000):
        frame[top : top + 1000] += grain[: min(1000, height_px - top), :, None]
    pixels = np.clip(frame, 0, 255).astype(np.uint8)
    return bytes(simplejpeg.encode_jpeg(pixels, 92, "RGB", "422"))


def timed(job: Callable[[], object]) -> float:
    began = time.perf_counter()
    job()
    return (time.perf_counter() - began) * 1000


def main() -> None:
    cv2.setNumThreads(1)
    print(f"{platform.platform()}, {platform.processor()}, {os.cpu_count()} cores, {ROUNDS} rounds")
    for name, (width_px, height_px) in SIZES.items():
        data = synthetic_frame(width_px, height_px)
        print(f"\n{name}, 4:2:2, {len(data) / 1e6:.1f} MB")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "frame.jpg"
            path.write_bytes(data)
            _compare(path, (width_px, height_px))


def _compare(path: Path, frame_px: tuple[int, int]) -> None:
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    middle = (frame_px[0] / 2, frame_px[1] / 2)

    def full_decode() -> None:
        simplejpeg.decode_jpeg(path.read_bytes(), "RGB", strict=True)

    def tile(cache: FrameCache, column: int, level: int | None = None) -> bytes:
        frame = cache.frame(path, sha256=sha256)
        at = frame.grid.full_level if level is None else level
        return tile_jpeg(frame.tile(at, column if level is None else 0, 0))

    def many(cache: FrameCache) -> None:
        with ThreadPoolExecutor(AT_ONCE) as threads:
            list(threads.map(lambda column: tile(cache, column), range(AT_ONCE)))

    def eye(cache: FrameCache) -> None:
        frame = cache.frame(path, sha256=sha256)
        piece = piece_around(middle, frame_px=frame_px, print_cm=60, width_mm=90, height_mm=60)
        tile_jpeg(piece_pixels(frame, piece, width_px=340, height_px=226))

    found: dict[str, list[float]] = {}
    for _ in range(ROUNDS):
        cache = FrameCache()
        jobs: tuple[tuple[str, Callable[[], object]], ...] = (
            ("full decode by the library", full_decode),
            ("first tile, full level", partial(tile, cache, 3)),
            ("a later tile, full level", partial(tile, cache, 4)),
            ("first tile of the whole frame small", partial(tile, cache, 0, 0)),
            (f"{AT_ONCE} tiles at once, frame at hand", partial(many, cache)),
            (f"{AT_ONCE} tiles at once, frame not yet opened", partial(many, FrameCache())),
            ("the near eye at true size, 340 px", partial(eye, cache)),
        )
        for what, job in jobs:
            found.setdefault(what, []).append(timed(job))
    base = min(found["full decode by the library"])
    for what, times in found.items():
        print(
            f"{what:45} min {min(times):7.1f} ms, median {statistics.median(times):7.1f} ms, "
            f"ratio {min(times) / base:.2f}"
        )


if __name__ == "__main__":
    main()
