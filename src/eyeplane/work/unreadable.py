"""The reading of a frame that could not be read: where it lies and why, nothing else."""

from pathlib import Path

from eyeplane.records import Exposure, FrameReading


def unreadable_frame(path: str, reason: str) -> FrameReading:
    """Return the reading of a frame that could not be measured.

    Parameters
    ----------
    path : str
        Where it lies.
    reason : str
        Why, in plain words.

    Returns
    -------
    FrameReading
        Status "unreadable"; size and time of change where the file system tells them, else 0.
    """
    size_bytes, mtime_ns = 0, 0
    try:
        status = Path(path).stat()
        size_bytes, mtime_ns = status.st_size, status.st_mtime_ns
    except (OSError, ValueError):
        pass
    return FrameReading(
        path=path,
        sha256="",
        size_bytes=size_bytes,
        mtime_ns=mtime_ns,
        status="unreadable",
        reason=reason,
        width_px=0,
        height_px=0,
        exposure=Exposure(),
        pitch_um=None,
        pitch_source="",
        faces=(),
        background=(),
        spots=(),
    )
