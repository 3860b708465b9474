"""Measuring that reads the file, takes its time and notes each call in a file beside."""

import hashlib
import os
import time
from dataclasses import replace
from pathlib import Path

from tests.sitting import made

from eyeplane.records import FrameReading, MeasureSettings

LOG = "EYEPLANE_TEST_LOG"  # in the environment, which measuring processes inherit


def measure(path: str, settings: MeasureSettings) -> FrameReading:
    """Return a reading that depends on the file's bytes alone."""
    data = Path(path).read_bytes()
    status = Path(path).stat()
    if LOG in os.environ:
        with Path(os.environ[LOG]).open("a", encoding="utf-8") as log:
            log.write(Path(path).name + "\n")
    time.sleep(len(data) % 7 / 400)
    if data.startswith(b"abort"):
        os.abort()
    kind = {b"nobody": "nobody", b"broken": "unreadable"}.get(data[:6], "measured")
    digest = hashlib.sha256(data).hexdigest()
    face = made.face(eye_blur=made.blur(1 + int(digest[:4], 16) / 20000), jpeg=data)
    reading = made.reading(
        path,
        at_s=float(data.split()[1]) if len(data.split()) > 1 else None,
        faces=[face] if kind == "measured" else [],
        status=kind,  # type: ignore[arg-type]  # one of the three
        sha256="" if kind == "unreadable" else digest,
        spots=[made.spot(at) for at in settings.spots_px],
    )
    return replace(reading, size_bytes=status.st_size, mtime_ns=status.st_mtime_ns)


def measure_any(path: str, settings: MeasureSettings) -> FrameReading:
    """Return a reading of any bytes; files that begin with "abort" end the process."""
    data = Path(path).read_bytes()
    status = Path(path).stat()
    del settings
    if LOG in os.environ:
        with Path(os.environ[LOG]).open("a", encoding="utf-8") as log:
            log.write(Path(path).name + "\n")
    if data.startswith(b"abort"):
        os.abort()
    face = made.face(eye_blur=made.blur(1.5), jpeg=data[:2000])
    digest = hashlib.sha256(data).hexdigest()
    found = made.reading(path, faces=[face], sha256=digest)
    return replace(found, size_bytes=status.st_size, mtime_ns=status.st_mtime_ns)
