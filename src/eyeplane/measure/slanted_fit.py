"""Where a slanted edge lies, as a parabola, and how its light goes across it.

Across the edge distances grow into the bright side; arrays are [y, x].
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.measure.slanted_pixels import EdgePixels

FloatArray = NDArray[np.float64]

BINS_PER_PX = 4  # ISO 12233
ROUNDS = 4  # of the fit; the third changes less than 0.01 px
LEAST_STEP_TO_SCATTER = 1.5  # step over the scatter of a side; below, no edge is told
CORE_SHARES = (0.1, 0.9)  # of the step: the usual measure of an edge's width
CERTAIN_SDS = 3.0  # of a slope of the light by chance: smaller ones are taken for none
_TRIANGLE = np.array([1.0, 2.0, 3.0, 2.0, 1.0]) / 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLine:
    """Course of an edge: across = offset + slope · along + bend · along².

    Attributes
    ----------
    offset, slope, bend : float
        Its coefficients, in px.
    """

    offset: float = 0.0
    slope: float = 0.0
    bend: float = 0.0

    def distance_px(self, pixels: EdgePixels) -> FloatArray:
        """Return how far pixels lie from the line, at right angles to it.

        Parameters
        ----------
        pixels : EdgePixels
            The pixels.

        Returns
        -------
        ndarray
            + on the bright side.
        """
        u = pixels.along_px
        off = pixels.across_px - (self.offset + self.slope * u + self.bend * u**2)
        return np.asarray(off / np.sqrt(1.0 + (self.slope + 2.0 * self.bend * u) ** 2))


def fit_edge(pixels: EdgePixels, start: EdgeLine | None = None) -> EdgeLine:
    """Return where the edge lies.

    Parameters
    ----------
    pixels : EdgePixels
        Around it.
    start : EdgeLine or None
        A line near it; None: found from the areas of dark and bright in strips across it.

    Returns
    -------
    EdgeLine
        By least squares of the pixels against the edge's own mean profile, which weighs each by
        the slope there, whatever the shape of the blur.

    Raises
    ------
    InputError
        If there is no edge to find.
    """
    line = _line_by_areas(pixels) if start is None else start
    for _ in range(ROUNDS if start is None else 2):
        line = _closer(pixels, line)
    return line


def _line_by_areas(pixels: EdgePixels) -> EdgeLine:
    u, v, light = pixels.along_px, pixels.across_px, pixels.light
    reach = min(-np.percentile(v, 3), np.percentile(v, 97))
    dark, bright = (
        np.median(light[side]) if side.sum() > 4 else np.nan
        for side in (v < -0.6 * reach, v > 0.6 * reach)
    )
    scatter = max(
        (float(np.std(light[side])) for side in (v < -0.6 * reach, v > 0.6 * reach)), default=0.0
    )
    if not (bright - dark > LEAST_STEP_TO_SCATTER * scatter):
        raise InputError("there is no clear edge in it", where="edge", hint="Take one edge alone")
    strips = max(3, int(pixels.length_px / 3.0))
    within = (np.abs(v) <= reach) & (np.abs(u) <= pixels.length_px / 2)
    strip = np.floor((u[within] / pixels.length_px + 0.5) * strips).clip(0, strips - 1).astype(int)
    count = np.bincount(strip, minlength=strips)
    full = count > 0.6 * np.median(count)
    mean = np.bincount(strip, light[within], strips)[full] / count[full]
    at = np.bincount(strip, u[within], strips)[full] / count[full]
    off = reach * (bright + dark - 2.0 * mean) / (bright - dark)
    if full.sum() < 3:
        return EdgeLine()
    slope, offset = np.polyfit(at, off, 1)
    return EdgeLine(offset=float(offset), slope=float(slope))


def _closer(pixels: EdgePixels, line: EdgeLine) -> EdgeLine:
    distance = line.distance_px(pixels)
    level, middle, _ = edge_profile(distance, pixels.light)
    smooth = _smooth(level)
    slope = np.gradient(smooth, 1.0 / BINS_PER_PX)
    near = np.abs(distance) <= 2.0 + 1.5 * edge_width_px(level, middle)
    d, u = distance[near], pixels.along_px[near]
    falls = -np.interp(d, middle, slope)
    left = pixels.light[near] - np.interp(d, middle, smooth)
    scale = pixels.length_px / 2
    basis = np.stack([np.ones_like(u), u / scale, (u / scale) ** 2], axis=1) * falls[:, None]
    if len(u) < 12:
        return line
    change, *_ = np.linalg.lstsq(basis, left, rcond=None)
    change = np.clip(change, -3.0, 3.0)  # px; a wild step would lose the edge
    return EdgeLine(
        offset=line.offset + float(change[0]),
        slope=line.slope + float(change[1]) / scale,
        bend=line.bend + float(change[2]) / scale**2,
    )


def edge_width_px(level: FloatArray, middle: FloatArray) -> float:
    """Return the distance between 10 % and 90 % of the step.

    Parameters
    ----------
    level : ndarray
        Light of the bins.
    middle : ndarray
        Theirs, in px.

    Returns
    -------
    float
        Of the smoothed profile, at least a bin.
    """
    smooth = _smooth(level)
    ends = max(2, len(level) // 8)
    dark, bright = np.median(smooth[:ends]), np.median(smooth[-ends:])
    share = np.maximum.accumulate((smooth - dark) / max(bright - dark, 1e-300))
    low, high = (middle[min(int(np.searchsorted(share, s)), len(middle) - 1)] for s in CORE_SHARES)
    return float(max(high - low, 1.0 / BINS_PER_PX))


def edge_profile(
    distance: FloatArray, light: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the light across an edge, in bins as far as both sides go.

    Parameters
    ----------
    distance : ndarray
        Of pixels from the edge, in px.
    light : ndarray
        Theirs.

    Returns
    -------
    tuple of ndarray
        Light, middle in px and number of pixels of each bin; filled in where it has none.

    Raises
    ------
    InputError
        If too few bins have pixels.
    """
    reach = max(min(-np.percentile(distance, 2), np.percentile(distance, 98)), 2.0)
    half = int(reach * BINS_PER_PX)
    index = np.floor(distance * BINS_PER_PX).astype(int) + half
    inside = (index >= 0) & (index < 2 * half)
    count = np.bincount(index[inside], minlength=2 * half).astype(float)
    middle = (np.arange(2 * half) - half + 0.5) / BINS_PER_PX
    full = count > 0
    if full.sum() < 8:
        raise InputError("the edge is not to be found", where="edge", hint="Take one edge alone")
    total = np.bincount(index[inside], light[inside], 2 * half)
    level = np.interp(middle, middle[full], total[full] / count[full])
    lies = np.bincount(index[inside], distance[inside], 2 * half)
    aside = np.where(full, lies / np.maximum(count, 1.0) - middle, 0.0)
    slope = np.gradient(level, 1.0 / BINS_PER_PX)
    return level - slope * aside, middle, count


def _smooth(level: FloatArray) -> FloatArray:
    return np.asarray(np.convolve(np.pad(level, 2, mode="edge"), _TRIANGLE, "valid"))


def without_shading(pixels: EdgePixels, line: EdgeLine) -> EdgePixels:
    """Return the pixels with uneven light along and across the edge taken out.

    Parameters
    ----------
    pixels : EdgePixels
        Around it.
    line : EdgeLine
        Where it lies.

    Returns
    -------
    EdgePixels
        As if lit alike.

    Notes
    -----
    Blur changes light on both sides alike but for its sign, and not along the edge; uneven light
    changes the bright side more. So the slope across is that of the sum of mirrored distances.
    """
    distance = line.distance_px(pixels)
    level, middle, _ = edge_profile(distance, pixels.light)
    reach = min(3.0 + 2.0 * edge_width_px(level, middle), 0.5 * float(middle[-1]))
    far, u = np.abs(distance) > reach, pixels.along_px
    bright = far & (distance > 0)
    if bright.sum() < 20 or (far & ~bright).sum() < 20:
        return pixels
    scale = pixels.length_px / 2
    slope = _certain(u[bright] / scale, pixels.light[bright] / pixels.light[bright].mean())
    half = len(level) // 2
    outer = middle[half:] > reach
    both, apart = level[half:] + level[half - 1 :: -1], level[half:] - level[half - 1 :: -1]
    across = _certain(middle[half:][outer] * apart[outer], both[outer])
    across = float(np.clip(across, -0.02, 0.02))  # a px; more is no shading
    lit = (1.0 + slope * u / scale) * (1.0 + across * distance)
    return replace(pixels, light=pixels.light / np.maximum(lit, 0.2))


def _certain(lever: FloatArray, value: FloatArray) -> float:
    """Return the slope of a straight line where it is no chance, else 0: noise is not light."""
    lever = lever - lever.mean()
    spread = float(lever @ lever)
    if len(lever) < 8 or spread <= 0.0:
        return 0.0
    slope = float(lever @ value) / spread
    left = value - value.mean() - slope * lever
    sd = float(np.sqrt(left @ left / (len(lever) - 2) / spread))
    return slope if abs(slope) > CERTAIN_SDS * sd else 0.0
