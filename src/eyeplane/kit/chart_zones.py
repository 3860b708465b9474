"""From the frames of one aperture to its places: each square from the frame best focused there."""

from collections.abc import Sequence

import numpy as np

from eyeplane.kit.chart_design import COLUMNS, ROWS
from eyeplane.kit.chart_edges import ChartEdge
from eyeplane.kit.chart_frame import MIDDLE_SHARE, Half, SeenFrame, mean_half
from eyeplane.records import Measured
from eyeplane.records.kit_chart import ChartPlace, ChartZone

Z90 = 1.6448536269514722  # normal quantile of a 90 % interval: exact
CORNERS = (0, COLUMNS - 1, (ROWS - 1) * COLUMNS, ROWS * COLUMNS - 1)
ZONE_ERROR_SHARE = 0.0025  # of a zone's frequency, shared by its squares; from simulated frames
CURVED_RATIO = 1.1  # by which each of two frames must win its own zone; our own


def measured(half: Half, scale: float = 1.0) -> Measured:
    """Return a frequency with its interval.

    Parameters
    ----------
    half : Half
        As a logarithm.
    scale : float
        From cycles per px to another unit.

    Returns
    -------
    Measured
        With its 90 % interval.
    """
    low, value, high = (scale * float(np.exp(half.log + z * half.sd)) for z in (-Z90, 0.0, Z90))
    return Measured(value=value, low=min(low, value), high=max(high, value))


def places_of(frames: Sequence[SeenFrame]) -> tuple[tuple[ChartPlace, Half], ...]:
    """Return the chart's squares at one aperture.

    Parameters
    ----------
    frames : sequence of SeenFrame
        All of one aperture.

    Returns
    -------
    tuple of (ChartPlace, Half)
        Each square that was read, from the frame that is sharpest there, and its frequency.

    Notes
    -----
    Focus differs from frame to frame, and a flat chart from a curved field; neither is the glass.
    So of several frames the best counts at each place: what the lens gives where it is focused.
    Frames that noise alone may set apart from the best count alike, since the best of many
    readings is better than the lens.
    """
    found = []
    for square in range(COLUMNS * ROWS):
        seen = [
            (half.log, k, half)
            for k, frame in enumerate(frames)
            if (half := mean_half(frame.of_square(square))) is not None
        ]
        if seen:
            _, k, best = max(seen, key=lambda one: one[:2])
            half = _among_equals(best, [half for _, _, half in seen])
            found.append((_place(frames[k], square, half), half))
    return tuple(found)


def _among_equals(best: Half, halves: Sequence[Half]) -> Half:
    """Return the mean of what noise alone may set apart from the best, as sure as that alone."""
    alike = [h.log for h in halves if best.log - h.log <= Z90 * np.hypot(h.sd, best.sd)]
    return Half(log=float(np.mean(alike)), sd=best.sd)


def _place(frame: SeenFrame, square: int, half: Half) -> ChartPlace:
    edges = frame.of_square(square)
    x, y = (float(np.mean([getattr(e, f"{axis}_px") for e in edges])) for axis in "xy")
    across, down = x / frame.width_px * 2 - 1, y / frame.height_px * 2 - 1
    diagonal = np.hypot(frame.width_px, frame.height_px) / 2
    radius = float(np.hypot(x - frame.width_px / 2, y - frame.height_px / 2) / diagonal)
    zone: ChartZone = "middle" if radius <= MIDDLE_SHARE else "sides"
    if square in CORNERS:
        zone = "corner"
    turned = [(edge, edge.towards(frame.width_px, frame.height_px)) for edge in edges]
    return ChartPlace(
        square=square,
        x_share=across,
        y_share=down,
        radius_share=radius,
        zone=zone,
        mtf50_per_px=measured(half),
        sideways_per_px=_direction([e for e in edges if e.sideways]),
        upright_per_px=_direction([e for e in edges if not e.sideways]),
        radial_per_px=_direction([e for e, way in turned if way == "radial"]),
        tangential_per_px=_direction([e for e, way in turned if way == "tangential"]),
        edges=len(edges),
        frame=frame.name,
    )


def _direction(edges: Sequence[ChartEdge]) -> Measured | None:
    half = mean_half(edges)
    return None if half is None else measured(half)


def zone_half(places: Sequence[tuple[ChartPlace, Half]], zone: ChartZone) -> Half | None:
    """Return the mean of a zone.

    Parameters
    ----------
    places : sequence of (ChartPlace, Half)
        Of one aperture.
    zone : {"middle", "sides", "corner"}
        Which.

    Returns
    -------
    Half or None
        Mean of logarithms; None where no square of it was read.
    """
    halves = [half for place, half in places if place.zone == zone]
    if not halves:
        return None
    sds = np.array([half.sd for half in halves])
    return Half(
        log=float(np.mean([half.log for half in halves])),
        sd=float(np.hypot(np.sqrt(np.sum(sds**2)) / len(sds), ZONE_ERROR_SHARE)),
    )


def refocused(frames: Sequence[SeenFrame]) -> tuple[float | None, bool | None]:
    """Return how much focus counts between frames of one aperture.

    Parameters
    ----------
    frames : sequence of SeenFrame
        All of one aperture.

    Returns
    -------
    tuple of (float or None, bool or None)
        Middle of the best frame over that of the worst; and whether corners and middle were
        sharpest in different frames, each clearly. None where one frame is all there is.
    """
    zones = [(places_of([frame]), k) for k, frame in enumerate(frames)]
    pairs = [(zone_half(p, "middle"), zone_half(p, "corner")) for p, _ in zones]
    middles = [m.log for m, _ in pairs if m is not None]
    if len(middles) < 2:
        return None, None
    ratio = float(np.exp(max(middles) - min(middles)))
    both = [(m.log, c.log) for m, c in pairs if m is not None and c is not None]
    if len(both) < 2:
        return ratio, None
    best_middle, best_corner = max(both), max(both, key=lambda one: one[1])
    won = min(best_middle[0] - best_corner[0], best_corner[1] - best_middle[1])
    return ratio, won > float(np.log(CURVED_RATIO))
