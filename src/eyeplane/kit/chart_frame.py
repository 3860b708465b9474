"""What one frame of the chart tells by itself: exposure, sharpening, shake, and every square."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.chart_edges import ChartEdge, limit_mtf
from eyeplane.measure.slanted import HALF_GAUSSIAN
from eyeplane.records import Exposure, Measured
from eyeplane.records.kit_chart import ChartExposure, ChartFrame

FloatArray = NDArray[np.float64]

MIDDLE_SHARE = 0.5  # of half the diagonal: where eyes are placed; our own
LINE_PER_SIGMA = 3.2198  # length of a stroke of equal half contrast: 0.603355 / 0.187391, exact
CLIPPED_EDGES_SHARE = 0.2  # of the edges; fewer are a shiny spot
DIM_LEVEL = 0.06  # of the frame's white, of bare paper: three stops below a right exposure
SHARPENED_CONTRAST = 0.03  # beyond the limit or overshooting; demosaicking alone stays below
LIMIT_FROM, LIMIT_TO = 0.1, 0.45  # cycles per px between which the limit is held against
SHAKEN_RATIO = 0.9  # of the two directions' half-contrast frequencies; our own
SHAKEN_SQUARES_SHARE = 0.85  # of squares that are softer in the same direction
SHAKEN_SDS = 4.0  # by which the median of the squares must differ from none
LEAST_SQUARES = 6  # with both directions, to tell shake
OWN_ERROR_SHARE = 0.003  # of a square's frequency, noise apart; from simulated frames


@dataclass(frozen=True, slots=True, kw_only=True)
class Half:
    """A frequency of half the contrast as a logarithm, which adds and averages.

    Attributes
    ----------
    log : float
        Natural logarithm of cycles per px.
    sd : float
        Its standard deviation by noise.
    """

    log: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenFrame:
    """A frame of the chart with all its edges.

    Attributes
    ----------
    name : str
        Of its file.
    exposure : Exposure
        EXIF.
    width_px, height_px : int
        Of the frame.
    scale_px_per_mm : float
        In the chart's middle.
    tilts_deg : tuple of Measured or None
        By which the chart's upper edge and its right edge stand farther away; None: not known.
    middles_mm : dict
        Of the squares on the chart, by number.
    airy_px : float
        Wavelength times f-number; 0 if not known.
    edges : tuple of ChartEdge
        Edges that are not clipped.
    told : ChartFrame
        What is told of it.
    """

    name: str
    exposure: Exposure
    width_px: int
    height_px: int
    scale_px_per_mm: float
    tilts_deg: tuple[Measured, Measured] | None
    middles_mm: dict[int, tuple[float, float]]
    airy_px: float
    edges: tuple[ChartEdge, ...]
    told: ChartFrame

    def radius_share(self, edge: ChartEdge) -> float:
        """Return how far an edge lies from the middle.

        Parameters
        ----------
        edge : ChartEdge
            The edge.

        Returns
        -------
        float
            Over half the frame's diagonal.
        """
        across, down = edge.x_px - self.width_px / 2, edge.y_px - self.height_px / 2
        return float(np.hypot(across, down) / np.hypot(self.width_px / 2, self.height_px / 2))

    def of_square(self, square: int) -> tuple[ChartEdge, ...]:
        """Return the edges of one square.

        Parameters
        ----------
        square : int
            Its number.

        Returns
        -------
        tuple of ChartEdge
            At most four.
        """
        return tuple(edge for edge in self.edges if edge.square == square)


def mean_half(edges: Sequence[ChartEdge]) -> Half | None:
    """Return the mean frequency of half the contrast of some edges.

    Parameters
    ----------
    edges : sequence of ChartEdge
        Of one square, or of one direction of it.

    Returns
    -------
    Half or None
        Mean of logarithms, each edge alike; None where no edge falls to half.
    """
    told = [e.response for e in edges if e.response.mtf50_per_px is not None]
    if not told:
        return None
    halves = np.array([r.mtf50_per_px for r in told], float)
    shares = np.array([r.mtf50_sd_per_px for r in told]) / halves
    sd = float(np.hypot(np.sqrt(np.sum(shares**2)) / len(told), OWN_ERROR_SHARE))
    return Half(log=float(np.mean(np.log(halves))), sd=sd)


def exposure_of(edges: Sequence[ChartEdge]) -> ChartExposure:
    """Return whether paper and ink are exposed so that they can be read.

    Parameters
    ----------
    edges : sequence of ChartEdge
        All edges, clipped ones among them.

    Returns
    -------
    {"right", "overexposed", "underexposed"}
        Overexposed where the paper is clipped.
    """
    clipped = np.mean([edge.response.clipped for edge in edges])
    if clipped > CLIPPED_EDGES_SHARE:
        return "overexposed"
    paper = np.median([edge.response.bright_level for edge in edges])
    return "underexposed" if paper < DIM_LEVEL else "right"


def is_sharpened(edges: Sequence[ChartEdge], *, airy_px: float) -> bool:
    """Return whether a frame was sharpened.

    Parameters
    ----------
    edges : sequence of ChartEdge
        Edges that are not clipped.
    airy_px : float
        Wavelength times f-number; 0 if not known.

    Returns
    -------
    bool
        Whether half of the edges overshoot, or show more contrast than a perfect lens before
        square pixels lets through, by more than their error.
    """
    signs = []
    for edge in edges:
        seen = edge.response
        within = (seen.frequency_per_px >= LIMIT_FROM) & (seen.frequency_per_px <= LIMIT_TO)
        beyond = seen.mtf - limit_mtf(seen, airy_px=airy_px) - 3.0 * seen.mtf_sd
        over = float(beyond[within].max())
        signs.append(max(over, seen.overshoot_ratio) > SHARPENED_CONTRAST)
    return bool(signs) and float(np.mean(signs)) > 0.5


def shake_of(edges: Sequence[ChartEdge]) -> tuple[float, bool]:
    """Return the stroke that softens one direction everywhere.

    Parameters
    ----------
    edges : sequence of ChartEdge
        Edges that are not clipped.

    Returns
    -------
    tuple of (float, bool)
        Its length in px, 0 where none shows, and whether it stands upright. A stroke at 45° to
        the frame softens both directions and does not show.

    Notes
    -----
    A lens may be softer in one direction as well, but then turned with the place in the frame.
    """
    pairs = []
    for square in sorted({edge.square for edge in edges}):
        mine = [edge for edge in edges if edge.square == square]
        across = mean_half([edge for edge in mine if edge.sideways])
        upright = mean_half([edge for edge in mine if not edge.sideways])
        if across is not None and upright is not None:
            pairs.append((across.log, upright.log))
    if len(pairs) < LEAST_SQUARES:
        return 0.0, False
    off = np.array([across - upright for across, upright in pairs])
    middle = float(np.median(off))
    spread = 1.4826 * float(np.median(np.abs(off - middle))) / np.sqrt(len(off)) * 1.2533
    alike = float(np.mean(np.sign(off) == np.sign(middle)))
    if (
        np.exp(-abs(middle)) > SHAKEN_RATIO
        or alike < SHAKEN_SQUARES_SHARE
        or abs(middle) < SHAKEN_SDS * spread
    ):
        return 0.0, False
    across2, upright2 = (HALF_GAUSSIAN / np.exp(np.array(pairs))).T ** 2
    length = LINE_PER_SIGMA * np.sqrt(abs(float(np.median(across2 - upright2))))
    return float(length), middle > 0
