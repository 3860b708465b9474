"""Where a slanted edge lies, as a parabola, and its profile in quarter pixels.

Points are (x, y) in px with pixel centres at .5, arrays are [y, x]. Across the edge distances grow
into the bright side.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.errors import InputError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

BINS_PER_PX = 4  # ISO 12233
LEAST_LENGTH_PX = 12.0  # an edge at 5° then passes each phase of the pixels once
MOST_EMPTY_SHARE = 0.25  # of the bins that matter; more: the edge runs along the pixels
ROUNDS = 4  # of the fit; the third changes less than 0.01 px
LEAST_STEP_TO_SCATTER = 1.5  # step over the scatter of a side; below, no edge is told
CORE_SHARES = (0.1, 0.9)  # of the step: the usual measure of an edge's width
END_WIDTHS, END_LEAST_PX = (
    3.0,
    7.0,
)  # least half window: of the edge's width, and for rings; our own
END_CYCLES = 3.0  # and of the frequency: tails of diffraction fall with the square only; our own
FLAT_SHARE = 0.5  # of the half window; the rest is a cosine
CERTAIN_SDS = 3.0  # of a slope of the light by chance: smaller ones are taken for none
LEVELS_FROM_SHARE = 0.75  # of the piece's half width: there both levels are read
_TRIANGLE = np.array([1.0, 2.0, 3.0, 2.0, 1.0]) / 9.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgePixels:
    """The pixels around an edge, in coordinates along and across it.

    Attributes
    ----------
    row, column : ndarray
        Of each pixel.
    along_px, across_px : ndarray
        Its place from the middle.
    light : ndarray
        Its light.
    normal : ndarray
        Unit vector (x, y) of growing `across_px`, into the bright side.
    length_px : float
        Of the edge.
    """

    row: IntArray
    column: IntArray
    along_px: FloatArray
    across_px: FloatArray
    light: FloatArray
    normal: FloatArray
    length_px: float


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """The profile of an edge in bins of 1/4 px.

    Attributes
    ----------
    distance_px : ndarray
        Middle of each bin, + on the bright side.
    level : ndarray
        Mean light in it.
    count : ndarray
        Pixels in it; 0 where filled in from its neighbours.
    end_px : float
        Least half width of a window that holds the edge.
    pixel_distance_px : ndarray
        Of every pixel.
    inside : ndarray
        bool, pixels that lie in a bin.
    bin_of : ndarray
        Bin of every pixel that lies in one.
    width_px : float
        Between 10 % and 90 % of the step.
    ends : ndarray
        Weight of each bin in the step between the levels, which are read at the piece's ends.
    dark, bright : float
        The levels.
    """

    distance_px: FloatArray
    level: FloatArray
    count: FloatArray
    end_px: float
    pixel_distance_px: FloatArray
    inside: NDArray[np.bool_]
    bin_of: IntArray
    width_px: float
    ends: FloatArray
    dark: float
    bright: float

    def rows(self, frequency_per_px: ArrayLike) -> NDArray[np.complex128]:
        """Return what each bin adds to the transform of the edge's slope.

        Parameters
        ----------
        frequency_per_px : array_like
            In cycles per px, one-dimensional.

        Returns
        -------
        ndarray
            Complex [frequency, bin]. The window is as wide as the edge and the frequency ask
            for, at most the piece; at frequency 0 it is the step between the levels.
        """
        frequency = np.asarray(frequency_per_px, float)[:, None]
        between = self.distance_px[:-1] + 0.5 / BINS_PER_PX
        end = np.maximum(self.end_px, END_CYCLES / np.maximum(frequency, 1e-9))
        end = np.minimum(end, float(self.distance_px[-1]))
        ramp = np.clip((np.abs(between) / end - FLAT_SHARE) / (1.0 - FLAT_SHARE), 0.0, 1.0)
        turned = 0.5 * (1.0 + np.cos(np.pi * ramp)) * np.exp(-2j * np.pi * frequency * between)
        rows = np.zeros((len(frequency), len(self.distance_px)), complex)
        rows[:, 1:] += turned
        rows[:, :-1] -= turned
        rows /= np.sinc(frequency / BINS_PER_PX) ** 2
        rows[frequency[:, 0] == 0.0] = self.ends
        return rows


def edge_pixels(light: FloatArray, corners_px: ArrayLike | None) -> EdgePixels:
    """Return the pixels of a quadrilateral, turned along its edge.

    Parameters
    ----------
    light : ndarray
        Linear light [y, x].
    corners_px : array_like or None
        Corners in order; None: all of it.

    Returns
    -------
    EdgePixels
        With the mean gradient as normal.

    Raises
    ------
    InputError
        If too few pixels are left, or they show no edge.
    """
    inside = _inside(light.shape, corners_px)
    if inside.sum() < 6 * LEAST_LENGTH_PX:
        raise InputError(
            f"only {int(inside.sum())} px lie around the edge",
            where="edge",
            hint="Fill more of the frame with it",
        )
    gradient = np.stack(
        [0.5 * (light[1:-1, 2:] - light[1:-1, :-2]), 0.5 * (light[2:, 1:-1] - light[:-2, 1:-1])]
    )
    core = inside[1:-1, 1:-1]
    mean = gradient[:, core].sum(axis=1)
    size = float(np.hypot(*mean))
    if size == 0.0:
        raise InputError("there is no edge in it", where="edge", hint="Take a piece with an edge")
    normal = mean / size
    row, column = np.nonzero(inside)
    place = np.stack([column + 0.5, row + 0.5])
    weight = np.maximum(normal @ gradient[:, core], 0.0) ** 2
    rows, columns = np.nonzero(core)
    total = max(float(weight.sum()), 1e-300)
    middle = np.array([columns @ weight, rows @ weight]) / total + 1.5
    from_middle = place - middle[:, None]
    along = np.array([-normal[1], normal[0]]) @ from_middle
    near = np.abs(normal @ from_middle) < 2.0
    ends = np.percentile(along[near], [1, 99]) if near.any() else np.zeros(2)
    length = float(np.diff(ends)[0])
    if length < LEAST_LENGTH_PX:
        raise InputError(
            f"the edge is only {length:.0f} px long",
            where="edge",
            hint=f"Take at least {LEAST_LENGTH_PX:.0f} px of it",
        )
    return EdgePixels(
        row=row,
        column=column,
        along_px=along,
        across_px=normal @ from_middle,
        light=light[row, column],
        normal=normal,
        length_px=length,
    )


def _inside(shape: tuple[int, ...], corners_px: ArrayLike | None) -> NDArray[np.bool_]:
    inside = np.ones(shape, bool)
    if corners_px is None:
        return inside
    corners = np.asarray(corners_px, float)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] + 0.5
    turned = np.roll(corners, -1, axis=0)
    area = float(np.sum(corners[:, 0] * turned[:, 1] - turned[:, 0] * corners[:, 1]))
    sense = 1.0 if area >= 0 else -1.0
    for (x0, y0), (x1, y1) in zip(corners, turned, strict=True):
        inside &= sense * ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) >= 0
    return inside


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
    level, middle, _ = _profile(distance, pixels.light)
    smooth = _smooth(level)
    slope = np.gradient(smooth, 1.0 / BINS_PER_PX)
    near = np.abs(distance) <= _core_px(smooth, middle)
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


def _core_px(level: FloatArray, middle: FloatArray) -> float:
    """Return how far from the edge its slope still tells where it lies."""
    return float(2.0 + 1.5 * _width_px(level, middle))


def _width_px(level: FloatArray, middle: FloatArray) -> float:
    """Return the distance between 10 % and 90 % of the step."""
    ends = max(2, len(level) // 8)
    dark, bright = np.median(level[:ends]), np.median(level[-ends:])
    share = np.maximum.accumulate((level - dark) / max(bright - dark, 1e-300))
    low, high = (middle[min(int(np.searchsorted(share, s)), len(middle) - 1)] for s in CORE_SHARES)
    return float(max(high - low, 1.0 / BINS_PER_PX))


def _profile(distance: FloatArray, light: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return light, middles and counts of the bins, from end to end as far as both sides go."""
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
    level, middle, _ = _profile(distance, pixels.light)
    reach = min(3.0 + 2.0 * _width_px(level, middle), 0.5 * float(middle[-1]))
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


def edge_spread(pixels: EdgePixels, line: EdgeLine, *, airy_px: float) -> Spread:
    """Return the profile across the edge, with the window for its slope.

    Parameters
    ----------
    pixels : EdgePixels
        Around it.
    line : EdgeLine
        Where it lies.
    airy_px : float
        Wavelength times f-number, or 0: what diffraction scatters beyond the piece is added.

    Returns
    -------
    Spread
        In bins of 1/4 px.

    Raises
    ------
    InputError
        If bins stay empty, or the piece ends before the blur does.
    """
    distance = line.distance_px(pixels)
    level, middle, count = _profile(distance, pixels.light)
    width = _width_px(_smooth(level), middle)
    reach = float(middle[-1])
    if width > 0.9 * reach:
        raise InputError(
            f"the edge is blurred over {width:.0f} px, as wide as the piece around it",
            where="edge",
            hint="Focus nearer to it, or take a larger piece",
        )
    end = min(max(END_LEAST_PX, END_WIDTHS * width), reach)
    if np.mean(count[np.abs(middle) <= FLAT_SHARE * end] == 0) > MOST_EMPTY_SHARE:
        raise InputError(
            "the edge runs along the pixels, so that they do not sample it finely",
            where="edge",
            hint="Turn the camera or the chart by about 5 degrees",
        )
    half = len(middle) // 2
    index = np.floor(distance * BINS_PER_PX).astype(int) + half
    inside = (index >= 0) & (index < len(middle))
    weight = np.where(np.abs(middle) > LEVELS_FROM_SHARE * reach, count, 0.0)
    bright, dark = (np.where(side, weight, 0.0) for side in (middle > 0, middle < 0))
    ends = bright / bright.sum() - dark / dark.sum()
    # An edge of a perfect lens nears its levels as 2 λN / (π³ x) on either side: the kink of its
    # transfer at frequency 0, whose slope is −4 λN / π.
    beyond = 4.0 * airy_px / np.pi**3 * float((weight / np.abs(middle)).sum() / weight.sum())
    return Spread(
        distance_px=middle,
        level=level,
        count=count,
        end_px=end,
        pixel_distance_px=distance,
        inside=inside,
        bin_of=index[inside],
        width_px=width,
        ends=ends * (1.0 + beyond),
        dark=float(-level[ends < 0] @ ends[ends < 0]),
        bright=float(level[ends > 0] @ ends[ends > 0]),
    )
