"""How differently red and blue are blurred than green: the lens's longitudinal colour.

Frequencies are in cycles per pixel of the frame.
"""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import i1, j1

from eyeplane.imaging import Picture
from eyeplane.light import LUMA_POWER
from eyeplane.measure.channels import (
    SECTORS,
    Channels,
    ChannelSpectra,
    channel_spectra,
    highest_frequency,
)
from eyeplane.measure.noise import Noise
from eyeplane.records import ColourBlur, Measured

FloatArray = NDArray[np.float64]

LEAST_COHERENCE = 0.5  # of a cell: below it more of red is its own, or noise, than shared
SIGNAL_OVER_NOISE = 4.0  # power: noise and rounding may be shared by the channels as well
JPEG_FLOOR = 0.35  # of a quantisation step, rms, as for luma
COLOUR_OF_CHROMA = 2.2  # codes of R - G and B - G for a step of both chroma codes; ITU-T T.871
LEAST_CELLS = 6
# Colour is no property of blur alone: over 118 sharp windows of nine photographs the ratio of the
# channels' detail went with frequency to a power of 0.10 (standard deviation), bent by 0.09 about
# that, and its cells scattered by 0.06; partly noise, but the tails are long.
SLOPE_SD = 0.12
BEND_SD = 0.1
CELL_SD = 0.06
SECTOR_SD = 0.15  # of the log ratio between directions, same windows
UNSHARED_SD = 0.5  # of how what is not shared is parted between a channel and green, -1 to 1
LEVEL_SD = 10.0  # of the log ratio itself: anything
NUISANCE_SD = np.array([*[SECTOR_SD] * SECTORS, LEVEL_SD, SLOPE_SD, BEND_SD, UNSHARED_SD])
PRECISION = np.diag(NUISANCE_SD**-2.0)
MIDDLE_CYCLES = 0.08  # where the slope leaves the ratio alone
OUTLIER_SD = 2.0  # cells beyond this many standard deviations count less
GRID_PX2 = np.sinh(np.linspace(-7.0, 7.0, 91))  # up to 548 px² either way
LUMA_SHARES = (0.21, 0.07)  # of red and blue in the luma, IEC 61966-2-1:1999
HIDDEN_PX2 = 3.0  # squared disc that the luma's reading may have missed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Cells:
    """What the usable cells of one channel tell.

    Log ratio of its contrast to green's, variance of that, nuisances [cell, nuisance], steps in
    which the file stores R - G (or B - G) as a contrast, and contrasts of green and of that
    difference; `codes` is the ratio of the codes that a contrast of 1 spans.
    """

    frequency: FloatArray
    ratio: FloatArray
    variance: FloatArray
    nuisance: FloatArray
    step: FloatArray
    green: FloatArray
    chroma: FloatArray
    codes: float


def colour_at(
    picture: Picture,
    at_px: tuple[float, float],
    side_px: int,
    *,
    noise: Noise | None,
    disc_px: Measured | None,
) -> ColourBlur | None:
    """Return by how much red and blue are blurred more than green around a place of a frame.

    Parameters
    ----------
    picture : Picture
        The frame.
    at_px : tuple of float
        Middle of the window, (x, y).
    side_px : int
        Its side; what lies outside the frame is left off.
    noise : Noise or None
        Of the frame.
    disc_px : Measured or None
        Disc of the luma there.

    Returns
    -------
    ColourBlur or None
        None for grey frames and where the channels tell nothing.
    """
    left, top = (round(c - side_px / 2) for c in at_px)
    windows = picture.channel_windows(left, top, side_px, side_px)
    if windows is None:
        return None
    luma, chroma = picture.quantization, picture.chroma_quantization
    return read_colour(
        windows,
        quantization=None if luma is None or chroma is None else (luma, chroma),
        chroma_step=picture.chroma_step,
        noise=noise,
        disc_px=disc_px,
    )


def read_colour(
    windows: Channels,
    *,
    quantization: tuple[NDArray[np.float64], NDArray[np.float64]] | None,
    chroma_step: int,
    noise: Noise | None,
    disc_px: Measured | None,
) -> ColourBlur | None:
    """Return by how much red and blue are blurred more than green.

    Parameters
    ----------
    windows : tuple of LumaWindow
        Red, green and blue of one place, as `Picture.channel_windows` gives them.
    quantization : tuple of ndarray or None
        JPEG tables [v, u] of luma and of chroma; None if not a JPEG.
    chroma_step : int
        Pixels of the frame along each side of a pixel of the windows.
    noise : Noise or None
        Expected noise of the frame.
    disc_px : Measured or None
        Disc of the luma at this place; None is taken as little.

    Returns
    -------
    ColourBlur or None
        None where the channels share too little detail, or the window is small or clipped.

    Notes
    -----
    The channels see one texture, each through its own disc, so the ratio of their powers, cell by
    cell, is free of it: ½ ln(P_red / P_green) = k + β ln f + c ln² f + ρ (−½ ln γ²) +
    L((πf)² D_red²) − L((πf)² D_green²), L(x²) = ln |2 J₁(x) / x|. k (one a direction), β, c and ρ
    have priors and are integrated out; γ² is the coherence after a shift of the channel (lateral
    colour) is undone.
    What is left is a likelihood of D_red² − D_green². A file that rounds small chroma to nothing
    makes the channels alike; how much of it survives is foretold as for a Laplacian variable
    (R. C. Reininger and J. D. Gibson, IEEE Trans. Commun. 31, 1983), so that "alike" then
    excludes little.
    """
    luma_px = 0.0 if disc_px is None else disc_px.value
    seen = channel_spectra(windows, chroma_step=chroma_step, disc_px=luma_px)
    if seen is None:
        return None
    luma_table, chroma_table = quantization if quantization is not None else (None, None)
    floor = JPEG_FLOOR**2 * _step_power(seen, luma_table, samples_px=1)
    if noise is not None:
        level = float(seen.level[1])
        floor += (noise.read + noise.photon * level) / (level * seen.scale) ** 2 / LUMA_POWER
    usable = (seen.frequency <= seen.highest) & (seen.power[1] > SIGNAL_OVER_NOISE * floor)
    step = COLOUR_OF_CHROMA * np.sqrt(_step_power(seen, chroma_table, samples_px=chroma_step))
    cells = [_cells(seen, channel, usable, step) for channel in (0, 2)]
    high_px = 0.0 if disc_px is None else disc_px.high
    # The luma's disc holds all three colours: its square is the mean of theirs.
    most_px2 = high_px**2 / (1.0 - sum(LUMA_SHARES)) + HIDDEN_PX2
    first = _both(cells, luma_px**2, (0.0, 0.0), most_px2)
    if first is None:
        return None
    red_px2, blue_px2 = first.red_px2.value, first.blue_px2.value
    green_px2 = luma_px**2 - LUMA_SHARES[0] * red_px2 - LUMA_SHARES[1] * blue_px2
    return _both(cells, max(green_px2, 0.0), (max(red_px2, 0.0), max(blue_px2, 0.0)), most_px2)


def _both(
    cells: list[_Cells], green_px2: float, above_px2: tuple[float, float], most_px2: float
) -> ColourBlur | None:
    """Return both differences; `above_px2` and the rest as `_difference` takes them."""
    red, blue = (
        _difference(c, green_px2=green_px2, above_px2=a, most_px2=most_px2)
        for c, a in zip(cells, above_px2, strict=True)
    )
    return None if red is None or blue is None else ColourBlur(red_px2=red, blue_px2=blue)


def _step_power(
    seen: ChannelSpectra, table: NDArray[np.float64] | None, *, samples_px: int
) -> FloatArray:
    """Return the squared steps of a JPEG table per cell, as powers of green's contrast.

    `samples_px` is the side of the samples on which the table was used.
    """
    if table is None or seen.codes is None:
        return np.zeros(seen.frequency.shape)
    index = np.minimum(seen.frequency * 16 * samples_px / math.sqrt(2), 7).round().astype(int)
    steps = np.asarray(table, float)[index, index] * samples_px / seen.scale
    return np.asarray(np.square(steps / float(seen.codes[1])))


def _cells(
    seen: ChannelSpectra, channel: int, usable: NDArray[np.bool_], step: FloatArray
) -> _Cells:
    """Return what the usable cells of a channel say, noise taken out as their coherence tells."""
    coherence = seen.coherence(channel)
    use = usable & (coherence > LEAST_COHERENCE)
    layout, shared = seen.layout, coherence[use]
    power, green = seen.power[channel][use], seen.power[1][use]
    codes = 1.0 if seen.codes is None else float(seen.codes[channel] / seen.codes[1])
    chroma = layout.mean(np.abs(codes * seen.transforms[channel] - seen.transforms[1]) ** 2)[use]
    # What is not shared is taken for photon noise, whose contrast goes with 1 / level.
    noisier = seen.level[1] / seen.level[channel] * green / power
    unshared = -0.5 * np.log(shared)
    count = np.maximum(layout.counts[use] * layout.weight, 1.0)
    rounding = np.minimum(np.square(JPEG_FLOOR * step[use]) / green, 1.0)
    frequency = seen.frequency[use]
    octave = np.log(frequency / MIDDLE_CYCLES)
    return _Cells(
        frequency=frequency,
        ratio=0.5 * np.log(power / green) - unshared * (noisier - 1.0) / (noisier + 1.0),
        variance=CELL_SD**2 + (1.02 - shared + rounding) / (2 * count),
        nuisance=np.column_stack(
            [layout.sectors[use] == n for n in range(SECTORS)]
            + [np.ones(shared.size), octave, octave**2, unshared]
        ).astype(float),
        step=np.maximum(step[use], 1e-9),
        green=np.sqrt(green),
        chroma=np.sqrt(chroma),
        codes=codes,
    )


def _difference(
    cells: _Cells, *, green_px2: float, above_px2: float, most_px2: float
) -> Measured | None:
    """Return a channel's squared disc less green's, from cells below the zeros of both.

    `above_px2` is how much larger the channel's squared disc is, as far as known; `most_px2` how
    large green's may be.
    """
    use = cells.frequency <= highest_frequency(math.sqrt(green_px2 + above_px2))
    if np.count_nonzero(use) < LEAST_CELLS:
        return None
    grid = GRID_PX2[-most_px2 <= GRID_PX2]
    gap = cells.ratio[use] - _expected(cells, use, green_px2=green_px2, grid_px2=grid)
    variance = cells.variance[use]
    logs, residual = _profile(gap, cells.nuisance[use], 1.0 / variance)
    off = residual[logs.argmax()] ** 2 / variance / OUTLIER_SD**2  # such cells count less
    logs, residual = _profile(gap, cells.nuisance[use], 1.0 / (variance * (1.0 + off)))
    off = residual[logs.argmax()] ** 2 / variance
    misfit = float((off / (1.0 + off / OUTLIER_SD**2)).sum()) / max(off.size - 4.0, 1.0)
    return _interval(grid, logs / max(misfit, 1.0))


def _expected(
    cells: _Cells, use: NDArray[np.bool_], *, green_px2: float, grid_px2: FloatArray
) -> FloatArray:
    """Return the log ratio [grid, cell] that each difference would leave in the file."""
    square = (np.pi * cells.frequency[use]) ** 2
    drawn = _log_transfer(square * (green_px2 + grid_px2[:, None]))
    drawn -= _log_transfer(square * green_px2)
    apart = cells.codes * np.exp(drawn) - 1.0
    strength = np.maximum(np.abs(apart) * cells.green[use], cells.chroma[use]) / cells.step[use]
    kept = np.interp(strength, *_survival())
    return np.asarray(np.log(np.maximum(1.0 + kept * apart, 1e-4) / cells.codes))


@functools.cache
def _survival() -> tuple[FloatArray, FloatArray]:
    """Return rms over step, and the share of a Laplacian variable that rounding leaves.

    The share is the slope of the regression of the rounded on the true: twice the sum over
    n = ½, 1½, … of the integral of x p(x) beyond n, over the variance.
    """
    rms = np.linspace(0.01, 3.0, 300)
    edges = np.arange(0.5, 60.0)
    width = rms[:, None] / math.sqrt(2.0)
    share = ((edges + width) * np.exp(-edges / width)).sum(axis=1) / rms**2
    return rms, np.minimum(share, 1.0)


def _log_transfer(square: FloatArray) -> FloatArray:
    """Return ln |2 J1(x) / x| by x²; negative x² by I1, straight on beyond the table."""
    at, value = _transfer_table()
    steep = (value[-1] - value[-2]) / (at[-1] - at[-2])
    inside = np.interp(square, at, value)
    return np.asarray(inside + steep * np.maximum(square - at[-1], 0.0))


@functools.cache
def _transfer_table() -> tuple[FloatArray, FloatArray]:
    square = np.linspace(-40.0, 9.0, 1961)
    x = np.sqrt(np.maximum(np.abs(square), 1e-9))
    return square, np.log(2 * np.where(square < 0, i1(x), np.abs(j1(x))) / x)


def _profile(
    gap: FloatArray, nuisance: FloatArray, weight: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the log-likelihood of each row of gaps, and what remains of it."""
    weighted = nuisance * weight[:, None]
    normal = nuisance.T @ weighted + PRECISION
    residual = gap - gap @ weighted @ np.linalg.solve(normal, nuisance.T)
    return -0.5 * (gap * weight * residual).sum(axis=1), residual


def _interval(grid: FloatArray, logs: FloatArray) -> Measured:
    """Return median and 90 % interval of a likelihood over a grid, under a flat prior."""
    mass = np.exp(logs - logs.max()) * np.gradient(grid)
    total = np.cumsum(mass)
    middle = (total - 0.5 * mass) / total[-1]
    low, value, high = (float(v) for v in np.interp([0.05, 0.5, 0.95], middle, grid))
    return Measured(value=value, low=low, high=high)
