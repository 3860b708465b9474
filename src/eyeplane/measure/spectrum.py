"""From a window of linear light to its polar periodogram, ready for the fit.

Arrays are [y, x]; directions count counter-clockwise from +x with y up. Frequencies are in cycles
per pixel.
"""

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow
from eyeplane.measure.fill import fill_clipped, hot_pixels
from eyeplane.measure.noise import Noise

ANGLES = 16  # sectors of 11.25 degrees: finer ones hold too few bins at low frequency
BINS = 5  # of a cell at which a model is evaluated, evenly picked
# The Hann window spreads each bin's power over its neighbours: taken as five points
# (exact second moment, 1/3 bin² an axis). It fills the zeros of a model.
SPREAD_BINS = ((0, 0, 1 / 3), (1, 0, 1 / 6), (-1, 0, 1 / 6), (0, 1, 1 / 6), (0, -1, 1 / 6))
TEXTURE_FALL = 2.4  # of power with frequency: more comes from the lower neighbour
LEAST_SIDE_PX = 48  # smaller windows hold fewer than 3 rings below the blur's own frequencies
LARGEST_SIDE_PX = 256  # larger windows are area-averaged to at most this
LOWEST_CYCLES = 2.5  # cycles per window where the rings begin: below it the Hann window leaks
AXIS_CYCLES = 1.5  # bins so near an axis hold the window's own edges
JPEG_FLOOR = 0.35  # of a quantisation step, rms; a uniform error has 1/sqrt(12) = 0.29, and small
# coefficients that are rounded to nothing lose more
TOP_RINGS = 2  # their power bounds the noise where nothing else is known of it: half of it ...
UNKNOWN_SPREAD = 1.5  # ... within a factor of 4 or so (of ln variance)
# Softness of the capture before anything is seen. 0 is a lens and pixels without demosaicking, as
# the fit reads it; camera files of 1 to 12 MP show 0.05 to 0.3 at their sharpest.
USUAL_CAPTURE_PX2, USUAL_CAPTURE_SD_PX2 = 0.08, 0.08
MOST_CLIPPED = 0.25  # share of a window that may be clipped before it says nothing


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Which bins of a transform belong to which cell of the polar periodogram.

    Attributes
    ----------
    taper : ndarray
        [side, side], Hann, mean square 1.
    bins : ndarray
        Flat indices into the half transform.
    cells : ndarray
        Cell of each bin.
    counts : ndarray
        [rings, angles], bins in each cell.
    weight : float
        Independent numbers per bin under this taper.
    frequency : ndarray
        [rings, angles], geometric mean over the cell's bins.
    sample_x, sample_y : ndarray
        [cells, samples], frequencies at which models are evaluated.
    sample_weight : ndarray
        [cells, samples], share of each in its cell's power; they sum to 1.
    """

    taper: NDArray[np.float64]
    bins: NDArray[np.int64]
    cells: NDArray[np.int64]
    counts: NDArray[np.float64]
    weight: float
    frequency: NDArray[np.float64]
    sample_x: NDArray[np.float64]
    sample_y: NDArray[np.float64]
    sample_weight: NDArray[np.float64]

    def mean(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the mean of a value per bin over each cell.

        Parameters
        ----------
        values : ndarray
            One number per bin.

        Returns
        -------
        ndarray
            [rings, angles]; 0 in empty cells.
        """
        sums = np.bincount(self.cells, values, minlength=self.counts.size)
        return np.asarray((sums / np.maximum(self.counts.ravel(), 1)).reshape(self.counts.shape))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """One window as the fit sees it; all powers relative to the square of its mean luma.

    Attributes
    ----------
    side_px : int
        Side of the (area-averaged) window.
    step : int
        Pixels averaged in each direction; 1 for none.
    power : ndarray
        [rings, angles], periodogram.
    floor : ndarray
        [rings, angles], power that the file's own quantisation hides.
    noise : float
        Expected white noise variance per pixel.
    noise_spread : float
        Standard deviation of its natural logarithm.
    texture : float
        Root mean square contrast of what is not noise.
    luma : ndarray
        float32 [y, x], the window at full resolution, filled, over its mean: for the edges.
    capture_px2, capture_sd_px2 : float
        Squared Gaussian spread of the capture itself, each axis, in frame pixels, as expected,
        and the standard deviation of that.
    """

    side_px: int
    step: int
    power: NDArray[np.float64]
    floor: NDArray[np.float64]
    noise: float
    noise_spread: float
    texture: float
    luma: NDArray[np.float32]
    capture_px2: float = USUAL_CAPTURE_PX2
    capture_sd_px2: float = USUAL_CAPTURE_SD_PX2


@functools.cache
def grid_for(side_px: int) -> Grid:
    """Return the polar grid of a square window.

    Parameters
    ----------
    side_px : int
        Side of the window.

    Returns
    -------
    Grid
        Shared; treat it as read-only.
    """
    rings = round(30 * (side_px / 256) ** 0.55)
    fy = -np.fft.fftfreq(side_px)[:, None]
    fx = np.fft.rfftfreq(side_px)[None]
    radius, fy_all, fx_all = np.hypot(fy, fx), fy + 0 * fx, fx + 0 * fy
    ring = np.digitize(radius, np.geomspace(LOWEST_CYCLES / side_px, 0.5, rings + 1)) - 1
    turn = np.arctan2(fy_all, fx_all) % np.pi / np.pi * ANGLES
    sector = np.minimum(turn.astype(int), ANGLES - 1)
    least = AXIS_CYCLES / side_px
    use = (ring >= 0) & (ring < rings) & (np.abs(fy_all) > least) & (fx_all > least)
    bins = np.flatnonzero(use)
    cells = (ring * ANGLES + sector).ravel()[bins]
    counts = np.bincount(cells, minlength=rings * ANGLES).astype(float)
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(side_px) + 0.5) / side_px)
    taper = np.outer(hann, hann)
    weight = float((taper**2).mean() ** 2 / (taper**4).mean())
    picked = _samples(cells, counts, fx_all.ravel()[bins], fy_all.ravel()[bins])
    samples = _spread(*picked, 1 / side_px)
    logs = np.bincount(cells, np.log(radius.ravel()[bins]), minlength=counts.size)
    return Grid(
        taper=taper / np.sqrt((taper**2).mean()),
        bins=bins,
        cells=cells,
        counts=counts.reshape(rings, ANGLES),
        weight=weight,
        frequency=np.exp(logs / np.maximum(counts, 1)).reshape(rings, ANGLES),
        sample_x=samples[0],
        sample_y=samples[1],
        sample_weight=samples[2],
    )


def _samples(
    cells: NDArray[np.int64],
    counts: NDArray[np.float64],
    x: NDArray[np.float64],
    y: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return frequencies of the picked bins of each cell; those of empty cells are 0."""
    order = np.argsort(cells, kind="stable")
    ends = np.cumsum(counts).astype(int)
    sample_x = np.zeros((counts.size, BINS))
    sample_y = np.zeros((counts.size, BINS))
    for cell, (end, count) in enumerate(zip(ends, counts.astype(int), strict=True)):
        if count:
            picks = ((np.arange(BINS) + 0.5) * count / BINS).astype(int)
            chosen = order[end - count + picks]
            sample_x[cell], sample_y[cell] = x[chosen], y[chosen]
    return sample_x, sample_y


def _spread(
    x: NDArray[np.float64], y: NDArray[np.float64], bin_width: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return frequencies and weights of the bins and the neighbours that leak into them."""
    parts = np.array(SPREAD_BINS)
    wide_x = (x[:, :, None] + parts[:, 0] * bin_width).reshape(len(x), -1)
    wide_y = (y[:, :, None] + parts[:, 1] * bin_width).reshape(len(x), -1)
    power = np.maximum(np.hypot(wide_x, wide_y), bin_width) ** -TEXTURE_FALL
    weight = np.tile(parts[:, 2], x.shape[1]) * power
    return wide_x, wide_y, weight / weight.sum(axis=1, keepdims=True)


def window_spectrum(
    window: LumaWindow, *, quantization: NDArray[np.float64] | None, noise: Noise | None
) -> Spectrum | None:
    """Return what the fit needs to know of one window.

    Parameters
    ----------
    window : LumaWindow
        Linear light; its central square is used, at most 256 px after area-averaging.
    quantization : ndarray or None
        Luma JPEG table [v, u], natural order; None if the file is not a JPEG.
    noise : Noise or None
        Expected noise of the frame; None if nothing is known.

    Returns
    -------
    Spectrum or None
        None where the window is too small (under 48 px), dark or mostly clipped.

    Notes
    -----
    The JPEG floor is the file's own table, taken as (0.35 q)² per coefficient and carried to
    linear light by the square of the encoding slope averaged over the window.
    """
    side, step = _side_and_step(window.luma.shape)
    if side < LEAST_SIDE_PX:
        return None
    cut = _central(window.luma.shape, side * step)
    luma, clipped = np.asarray(window.luma[cut], float), window.clipped[cut]
    level = float(luma.mean())
    if level < 1e-4 or clipped.mean() > MOST_CLIPPED:
        return None
    luma /= level
    slope2 = 0.0
    if window.encoding_slope is not None:
        slope2 = float((np.asarray(window.encoding_slope[cut], float) ** 2).mean()) / level**2
    contrast2 = slope2 / 12
    spread = UNKNOWN_SPREAD
    if noise is not None:
        measured = noise.contrast_at(level)
        contrast2 += measured.value**2
        spread = max(0.5, np.log(measured.high / max(measured.low, 1e-9)) / 3.3)
    grain = float(np.sqrt(contrast2 + 0.5 * slope2))
    luma = fill_clipped(luma, clipped, hot_pixels(luma, grain))
    small = luma
    if step > 1:
        small = luma.reshape(side, step, side, step).mean(axis=(1, 3))
        contrast2 /= step**2
    grid = grid_for(side)
    flat = (small - (small * grid.taper).sum() / grid.taper.sum()) * grid.taper
    transform = np.fft.rfft2(flat).ravel()[grid.bins]
    power = grid.mean((transform.real**2 + transform.imag**2) / side**2)
    if noise is None:
        contrast2 = max(contrast2, float(np.median(power[-TOP_RINGS:])) / 2)
    floor = np.full_like(power, 1e-12)
    if quantization is not None and slope2 > 0:
        table = quantization.astype(float)
        floor += slope2 * _jpeg_power(side, step, table.tobytes()) / step**2
    return Spectrum(
        side_px=side,
        step=step,
        power=power,
        floor=floor,
        noise=max(contrast2, 1e-10),
        noise_spread=float(spread),
        texture=float(np.sqrt(max(small.var() - contrast2, 0.0))),
        luma=luma.astype(np.float32),
    )


def _side_and_step(shape: tuple[int, ...]) -> tuple[int, int]:
    least = min(shape)
    step = 1
    while least // step > LARGEST_SIDE_PX:
        step *= 2
    return least // step // 16 * 16, step


def _central(shape: tuple[int, ...], size: int) -> tuple[slice, slice]:
    top, left = (shape[0] - size) // 2, (shape[1] - size) // 2
    return slice(top, top + size), slice(left, left + size)


@functools.lru_cache(maxsize=64)
def _jpeg_power(side_px: int, step: int, table: bytes) -> NDArray[np.float64]:
    """Return the mean of (0.35 q)² over each cell; the table comes as bytes to be hashable."""
    steps = np.frombuffer(table, float).reshape(8, 8)
    grid = grid_for(side_px)
    u = np.minimum(np.abs(grid.sample_x) * 16 / step, 7).round().astype(int)
    v = np.minimum(np.abs(grid.sample_y) * 16 / step, 7).round().astype(int)
    power = (JPEG_FLOOR * steps[v, u]) ** 2
    mean = (power * grid.sample_weight).sum(axis=1)
    return np.asarray(mean.reshape(grid.counts.shape))
