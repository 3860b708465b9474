"""Measuring what lands, in a process of its own: what serves pages never loads it."""

from importlib.resources import as_file, files

from eyeplane.records import MEASURE_VERSION, FrameReading, MeasureSettings
from eyeplane.sitting.gather import Measuring

# Frames of the shipped sitting that lead through all of the measuring: a sharp and a moved one.
WARMING = ("ilves-01.jpg", "ilves-08.jpg")


def measure_landed(path: str, settings: MeasureSettings) -> FrameReading:
    """Return the reading of a frame.

    Parameters
    ----------
    path : str
        The frame's file.
    settings : MeasureSettings
        What to measure.

    Returns
    -------
    FrameReading
        As by `measure_frame`.
    """
    from eyeplane.measure import measure_frame  # noqa: PLC0415  in measuring processes only

    return measure_frame(path, settings)


def measuring_landed() -> Measuring:
    """Return eyeplane's own measuring, not loaded until a process uses it.

    Returns
    -------
    Measuring
        With today's version.
    """
    return Measuring(function=measure_landed, version=MEASURE_VERSION)


def warm_up() -> None:
    """Measure shipped frames, so that libraries, nets and compiled loops are there."""
    for name in WARMING:
        with as_file(files("eyeplane") / "cli" / "demo_sitting" / name) as path:
            measure_landed(str(path), MeasureSettings())
