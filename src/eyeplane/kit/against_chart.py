"""A kit by its chart: the lens's blur as measured, in the place of a number or a usual lens."""

from dataclasses import replace
from pathlib import Path

from eyeplane.errors import FrameError, InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.against_sides import KitSide
from eyeplane.kit.fiducials import search_marks
from eyeplane.kit.sheet_search import small_luma
from eyeplane.records import Measured, MeasureSettings, PlanKit
from eyeplane.records.kit_chart import ChartResult

USUAL_FOCAL_MM = 85.0  # where the frames do not say; it counts for nothing here
LOOKED_AT_PX = 2000  # long edge of the copy in which marks are looked for
CHART_MARKS = 60  # marks below this number are those of charts
FEWEST_MARKS = 2  # that a chart is taken for one by; a pattern that looks like one mark is rare
LEAST_UM = 0.2  # a lens is not taken for finer, nor known closer: our own


def side_of_chart(chart: ChartResult, name: str, letter: str) -> KitSide:
    """Return a kit as frames of the chart tell it.

    Parameters
    ----------
    chart : ChartResult
        Read now, or kept.
    name : str
        What the kit is called.
    letter : str
        "A" or "B", for what is said of it.

    Returns
    -------
    KitSide
        Pixels, sensor, and the lens's blur at each aperture that was shot.

    Raises
    ------
    InputError
        If the pixel pitch is not known, or the lens's blur could be told at no known aperture.
    """
    if chart.pitch_um is None:
        raise InputError(
            f"the files of {letter}'s chart do not tell how large the sensor's pixels are",
            where=letter,
            hint="Put the body with its pixel pitch into your kit table, then read the chart again",
        )
    glass = _glass(chart)
    if not glass:
        raise InputError(
            f"{letter}'s chart tells the blur of the lens at no aperture",
            where=letter,
            hint="Shoot it again from a tripod, two or three frames at each aperture, focused anew "
            "for each, with sharpening in the camera off",
        )
    edges = sorted((chart.width_px, chart.height_px))
    kit = PlanKit(
        focal_length_mm=chart.focal_length_mm or USUAL_FOCAL_MM,
        sensor_long_mm=edges[1] * chart.pitch_um / 1000.0,
        sensor_short_mm=edges[0] * chart.pitch_um / 1000.0,
        long_edge_px=edges[1],
        short_edge_px=edges[0],
        widest_f_number=glass[0][0],
        smallest_f_number=max(glass[-1][0], glass[0][0]),
    )
    return KitSide(name=name, kit=kit, glass=glass)


def shows_chart(path: Path, settings: MeasureSettings) -> bool:
    """Return whether a frame shows our chart.

    Parameters
    ----------
    path : Path
        The frame.
    settings : MeasureSettings
        For the pixel limit.

    Returns
    -------
    bool
        True if marks of a chart are seen on it; False for one that cannot be read.
    """
    try:
        picture = open_picture(path, settings=settings)
        luma = small_luma(picture, LOOKED_AT_PX)
    except FrameError:
        return False
    return len([number for number in search_marks(luma) if number < CHART_MARKS]) >= FEWEST_MARKS


def with_chart(side: KitSide, chart: ChartResult) -> KitSide:
    """Return a remembered kit with what its chart showed of the lens.

    Parameters
    ----------
    side : KitSide
        The kit.
    chart : ChartResult
        As it was kept.

    Returns
    -------
    KitSide
        As it was where the chart tells nothing of the lens.
    """
    glass = _glass(chart)
    return replace(side, glass=glass) if glass else side


def _glass(chart: ChartResult) -> tuple[tuple[float, Measured], ...]:
    """Return apertures, widest first, and the spread of the lens there."""
    told = {
        one.f_number: _at_least(one.glass_um)
        for one in chart.apertures
        if one.f_number is not None and one.glass_um is not None
    }
    return tuple(sorted(told.items()))


def _at_least(one: Measured) -> Measured:
    low, value, high = (max(end, LEAST_UM) for end in (one.low, one.value, one.high))
    return Measured(value=value, low=low, high=high)
