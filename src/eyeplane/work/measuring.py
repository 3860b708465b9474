"""The measuring as processes load it: what hands out frames never loads it itself."""

from importlib.resources import as_file, files

from eyeplane.records import FrameReading, MeasureSettings

# Frames of the shipped sitting that lead through all of the measuring: a sharp and a moved one.
WARMING = ("ilves-01.jpg", "ilves-08.jpg")


def measure_later(path: str, settings: MeasureSettings, *, threads: int = 1) -> FrameReading:
    """Return the reading of a frame, with libraries that are loaded only now.

    Parameters
    ----------
    path : str
        The frame's file.
    settings : MeasureSettings
        What to measure.
    threads : int
        How many work on it.

    Returns
    -------
    FrameReading
        As by `eyeplane.measure.measure_frame`.
    """
    from eyeplane.measure import measure_frame  # noqa: PLC0415  in measuring processes only

    return measure_frame(path, settings, threads=threads)


def warm_up() -> None:
    """Measure shipped frames, so that libraries, nets and compiled loops are there."""
    for name in WARMING:
        with as_file(files("eyeplane") / "cli" / "demo_sitting" / name) as path:
            measure_later(str(path), MeasureSettings())
