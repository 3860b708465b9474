"""Functions that stand in for the measuring: they do to a process what bad files do."""

import hashlib
import os
import signal
import time
from pathlib import Path

from eyeplane.records import Exposure, FrameReading


def reading(path: str, *, sha256: str, size_bytes: int, width_px: int = 1) -> FrameReading:
    """Return a reading of a frame that shows nobody."""
    return FrameReading(
        path=path,
        sha256=sha256,
        size_bytes=size_bytes,
        mtime_ns=0,
        status="nobody",
        reason="",
        width_px=width_px,
        height_px=1,
        exposure=Exposure(),
        pitch_um=None,
        pitch_source="",
        faces=(),
        background=(),
        spots=(),
    )


def hash_only(path: str) -> FrameReading:
    """Return a reading that depends on the name alone."""
    name = os.fsencode(path)
    return reading(path, sha256=hashlib.sha256(name).hexdigest(), size_bytes=len(name))


def more_at_once(path: str) -> FrameReading:
    """Return a reading that tells that it was made in another way."""
    return reading(path, sha256="", size_bytes=0, width_px=2)


def sometimes_slow(path: str) -> FrameReading:
    """Come back in another order than handed out."""
    time.sleep((len(path) * 7 + ord(path[-1])) % 5 / 200)
    return hash_only(path)


def troubled(path: str) -> FrameReading:
    """Do what the name says."""
    if "abort" in path:
        os.abort()
    if "segv" in path:
        os.kill(os.getpid(), signal.SIGSEGV)
    if "exit" in path:
        os._exit(3)
    if "hang" in path:
        time.sleep(600)
    if "raise" in path:
        raise ValueError("a bad number")
    return hash_only(path)


def dies_once(path: str) -> FrameReading:
    """Die the first time, as when memory was short; needs a file to remember it by."""
    if path.endswith(".once"):
        mark = Path(path)
        if not mark.exists():
            mark.write_text("been here", encoding="utf-8")
            os.abort()
    return hash_only(path)


def environment(path: str) -> FrameReading:
    """Return the number of threads that libraries are allowed, as the width."""
    import cv2  # noqa: PLC0415  only here

    threads = max(int(os.environ["OMP_NUM_THREADS"]), cv2.getNumThreads())
    return reading(path, sha256="0", size_bytes=0, width_px=threads)


def large(path: str) -> FrameReading:
    """Return a reading of a megabyte, as if an eye view were very large."""
    time.sleep(0.001)
    return reading(path, sha256=path[-1] * 1_000_000, size_bytes=1)


def touch(path: str) -> None:
    """Leave a file behind: so a test knows that this ran."""
    Path(path).write_text("been here", encoding="utf-8")
