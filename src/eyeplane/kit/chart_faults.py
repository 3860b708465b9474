"""Corners and sides that are softer than their opposites, and whether the chart's tilt may be it.

A lens on its axis is alike on opposite sides. A chart that stands askew is not: it lies behind the
focus on one side and before it on the other, by twice the same depth. So whatever the focus and
the field, the blur of the two sides cannot differ by more than that depth makes.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.kit.chart_design import COLUMNS, ROWS
from eyeplane.kit.chart_frame import Half, SeenFrame
from eyeplane.kit.chart_glass import glass_px2
from eyeplane.kit.chart_zones import measured
from eyeplane.optics.kit_blur import GAUSSIAN_TO_DISC, WAVELENGTH_UM
from eyeplane.records.kit_chart import ChartExplained, ChartFault, ChartPlace

SOFTER_RATIO = 0.82  # of the frequencies: a difference that a large print shows; our own
SURE_SDS = 3.0  # of the difference
PLACE_SD = 0.025  # of a logarithm: squares of good lenses differ by as much; from memory
PAPER_MM = 0.5  # how far paper on a wall stands off a plane; from memory
FULL_ROW = tuple(range(COLUMNS))
SIDES = {
    "left": tuple(COLUMNS * row for row in range(ROWS)),
    "right": tuple(COLUMNS * row + COLUMNS - 1 for row in range(ROWS)),
    "upper": FULL_ROW,
    "lower": tuple((ROWS - 1) * COLUMNS + column for column in FULL_ROW),
}
CORNER_SQUARES = {
    "upper left": (0, 1, COLUMNS),
    "upper right": (COLUMNS - 1, COLUMNS - 2, 2 * COLUMNS - 1),
    "lower left": ((ROWS - 1) * COLUMNS, (ROWS - 1) * COLUMNS + 1, (ROWS - 2) * COLUMNS),
    "lower right": (ROWS * COLUMNS - 1, ROWS * COLUMNS - 2, (ROWS - 1) * COLUMNS - 1),
}
OPPOSITE = {
    "upper left": "lower right",
    "upper right": "lower left",
    "left": "right",
    "upper": "lower",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """Some squares: their frequency, where they lie in the frame, and where on the chart."""

    half: Half
    x_share: float
    y_share: float
    x_mm: float
    y_mm: float


def faults_of(
    places: Sequence[tuple[ChartPlace, Half]],
    frames: Sequence[SeenFrame],
    *,
    f_number: float | None,
    pitch_um: float | None,
) -> tuple[ChartFault, ...]:
    """Return what is clearly softer than its opposite at one aperture.

    Parameters
    ----------
    places : sequence of (ChartPlace, Half)
        The squares.
    frames : sequence of SeenFrame
        Their frames.
    f_number, pitch_um : float or None
        Aperture and distance of pixel centres.

    Returns
    -------
    tuple of ChartFault
        A side where the whole side is softer; else the corner that is.
    """
    halves = {place.square: (place, half) for place, half in places}
    middles_mm = frames[0].middles_mm
    for named, names in ((_side, SIDES), (_corner, CORNER_SQUARES)):
        found = []
        for one, other in OPPOSITE.items():
            if one in names:
                groups = [_group(halves, middles_mm, names[name]) for name in (one, other)]
                fault = _fault(groups, named, frames, (f_number, pitch_um))
                found += [] if fault is None else [fault]
        if found:
            return tuple(found)
    return ()


def _side(group: _Group) -> str:
    if abs(group.x_share) > abs(group.y_share):
        return "right side" if group.x_share > 0 else "left side"
    return "lower side" if group.y_share > 0 else "upper side"


def _corner(group: _Group) -> str:
    up, aside = (
        ("lower" if group.y_share > 0 else "upper"),
        ("right" if group.x_share > 0 else "left"),
    )
    return f"{up} {aside} corner"


def _group(
    halves: dict[int, tuple[ChartPlace, Half]],
    middles_mm: dict[int, tuple[float, float]],
    squares: Sequence[int],
) -> _Group | None:
    seen = [(square, *halves[square]) for square in squares if square in halves]
    if len(seen) < 2:
        return None
    sd = float(np.sqrt(np.sum([half.sd**2 + PLACE_SD**2 for _, _, half in seen])) / len(seen))
    return _Group(
        half=Half(log=float(np.mean([half.log for _, _, half in seen])), sd=sd),
        x_share=float(np.mean([place.x_share for _, place, _ in seen])),
        y_share=float(np.mean([place.y_share for _, place, _ in seen])),
        x_mm=float(np.mean([middles_mm[square][0] for square, _, _ in seen])),
        y_mm=float(np.mean([middles_mm[square][1] for square, _, _ in seen])),
    )


def _fault(
    groups: Sequence[_Group | None],
    named: Callable[[_Group], str],
    frames: Sequence[SeenFrame],
    lens: tuple[float | None, float | None],
) -> ChartFault | None:
    both = sorted((g for g in groups if g is not None), key=lambda group: group.half.log)
    if len(both) < 2:
        return None
    soft, sharp = both
    difference = soft.half.log - sharp.half.log
    sd = float(np.hypot(soft.half.sd, sharp.half.sd))
    if difference > np.log(SOFTER_RATIO) or difference > -SURE_SDS * sd:
        return None
    return ChartFault(
        f_number=lens[0],
        where=named(soft),
        ratio=measured(Half(log=difference, sd=sd)),
        explained=_explained(soft, sharp, frames, lens),
    )


def _explained(
    soft: _Group,
    sharp: _Group,
    frames: Sequence[SeenFrame],
    lens: tuple[float | None, float | None],
) -> ChartExplained:
    """Return whether the chart's tilt makes as much blur as the two differ by."""
    f_number, pitch_um = lens
    if f_number is None or pitch_um is None:
        return "cannot tell"
    depths_mm = [_depth_mm(soft, sharp, frame) for frame in frames]
    told = [(d, f) for d, f in zip(depths_mm, frames, strict=True) if d is not None]
    if not told:
        return "cannot tell"
    most_px = max(
        depth_mm * (frame.scale_px_per_mm * pitch_um / 1000.0) ** 2 / f_number / pitch_um * 1000.0
        for depth_mm, frame in told
    )
    # What lies beyond pixel and diffraction may all be defocus, of either sign on either side.
    airy_px = WAVELENGTH_UM * f_number / pitch_um
    spreads = [
        float(np.sqrt(glass_px2(float(np.exp(group.half.log)), airy_px=airy_px)))
        for group in (soft, sharp)
    ]
    blur_px = GAUSSIAN_TO_DISC * (spreads[0] - spreads[1])
    return "chart tilt may be it" if blur_px <= most_px else "lens or camera"


def _depth_mm(soft: _Group, sharp: _Group, frame: SeenFrame) -> float | None:
    """Return how much farther one place may lie than the other, by tilt and bow of the chart."""
    if frame.tilts_deg is None:
        return None
    up, aside = (max(abs(tilt.low), abs(tilt.high)) for tilt in frame.tilts_deg)
    return float(
        abs(soft.x_mm - sharp.x_mm) * np.tan(np.radians(aside))
        + abs(soft.y_mm - sharp.y_mm) * np.tan(np.radians(up))
        + PAPER_MM
    )
