"""Spectra of the three channels of one window, cell by cell, and how much they share.

Arrays are [y, x]; directions count counter-clockwise from +x with y up.
"""

import functools
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.fft import rfft2

from eyeplane.imaging import LumaWindow

FloatArray = NDArray[np.float64]
Channels = tuple[LumaWindow, LumaWindow, LumaWindow]

SECTORS = 4  # of 45 degrees: edges of one direction share a colour contrast
RING_RATIO = 1.3  # from one ring to the next
LEAST_SIDE_PX = 32  # of the transform; smaller windows hold fewer than three rings
LARGEST_SIDE_PX = 128  # larger windows are averaged, and beyond what the blur allows, cut
LOWEST_CYCLES = 2.5  # a window, where the rings begin: below it the Hann window leaks
AXIS_CYCLES = 1.5  # bins so near an axis hold the window's own edges
LEAST_BINS = 4  # of a cell
# Demosaicking copies the finest detail of red and blue from green, so it tells nothing: half of
# what a colour's own pixels, every second in each direction, could hold is 0.25; from memory.
HIGHEST_CYCLES = 0.2
HIGHEST_OF_SAMPLES = 0.4  # cycles a sample, where colour or averaging has made pixels fewer
FIRST_ZERO = 1.22  # of a disc of one pixel, cycles per pixel: of the Airy pattern's function
HIGHEST_OF_ZERO = 0.6  # of that zero: beyond, leaks fill in what the disc takes away
MOST_CLIPPED = 0.25  # share of a window
FILL_PX = (11, 51)  # sides of the means that fill clipped places, the first that reaches
SHIFT_STAGES = (0.4, 0.7, 1.0)  # of the highest frequency: a shift of 2 px is found without a slip


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """Which bins of a transform belong to which cell; cells with too few bins are left out.

    Attributes
    ----------
    taper : ndarray
        [side, side], Hann, mean square 1.
    bins : ndarray
        Flat indices into the half transform.
    x, y : ndarray
        Frequency of each bin, cycles a sample.
    cells : ndarray
        Cell of each bin.
    counts : ndarray
        Bins in each cell.
    sectors : ndarray
        Sector of each cell.
    frequency : ndarray
        Of each cell, geometric mean, cycles a sample.
    weight : float
        Independent numbers per bin under this taper.
    """

    taper: NDArray[np.float32]
    bins: NDArray[np.int64]
    x: FloatArray
    y: FloatArray
    cells: NDArray[np.int64]
    counts: FloatArray
    sectors: NDArray[np.int64]
    frequency: FloatArray
    weight: float

    def mean(self, values: FloatArray) -> FloatArray:
        """Return the mean of a value per bin over each cell.

        Parameters
        ----------
        values : ndarray
            One number per bin.

        Returns
        -------
        ndarray
            One number per cell.
        """
        return np.asarray(np.bincount(self.cells, values, self.counts.size) / self.counts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChannelSpectra:
    """The channels of one window as contrasts, each over its own mean.

    Attributes
    ----------
    layout : Layout
        Shared; read-only.
    scale : int
        Pixels of the frame along each side of a sample.
    highest : float
        Highest frequency that tells anything, cycles per pixel of the frame.
    level : ndarray
        [channel], mean linear light.
    codes : ndarray or None
        [channel], 8-bit codes that a contrast of 1 spans; None for finer coding.
    transforms : ndarray
        [channel, bin].
    power : ndarray
        [channel, cell], mean power.
    """

    layout: Layout
    scale: int
    highest: float
    level: FloatArray
    codes: FloatArray | None
    transforms: NDArray[np.complex64]
    power: FloatArray

    @property
    def frequency(self) -> FloatArray:
        """Return cycles per pixel of the frame at each cell.

        Returns
        -------
        ndarray
            One number per cell.
        """
        return self.layout.frequency / self.scale

    def coherence(self, channel: int) -> FloatArray:
        """Return how much of a channel goes with green, a shift between the two undone.

        Parameters
        ----------
        channel : int
            0 red, 2 blue.

        Returns
        -------
        ndarray
            [cell], squared coherence, 0 to 1, less what strangers reach by chance.
        """
        layout = self.layout
        cross = self.transforms[channel] * np.conj(self.transforms[1])
        strength, angle = np.abs(cross), np.angle(cross)
        shift = _shift(layout, strength, angle, self.highest * self.scale)
        angle = angle - 2 * np.pi * (shift[0] * layout.x + shift[1] * layout.y)
        shared = layout.mean(strength * np.cos(angle)) ** 2
        shared += layout.mean(strength * np.sin(angle)) ** 2
        found = shared / np.maximum(self.power[channel] * self.power[1], 1e-30)
        few = 1.0 / np.maximum(layout.counts * layout.weight, 1.5)
        return np.asarray(np.clip((found - few) / (1.0 - few), 1e-3, 1.0 - 1e-6))


def _shift(
    layout: Layout, strength: FloatArray, angle: FloatArray, highest_per_px: float
) -> NDArray[np.float64]:
    """Return how far a channel lies beside green, (x, y) in samples, from low frequencies up."""
    shift = np.zeros(2)
    radius2 = layout.x**2 + layout.y**2
    for stage in SHIFT_STAGES:
        near = radius2 <= (stage * highest_per_px) ** 2
        x, y, weight = layout.x[near], layout.y[near], strength[near]
        turn = angle[near] / (2 * np.pi) - shift[0] * x - shift[1] * y
        turn -= np.round(turn)
        xx, xy, yy = (weight * x * x).sum(), (weight * x * y).sum(), (weight * y * y).sum()
        along, down = (weight * x * turn).sum(), (weight * y * turn).sum()
        spread = max(float(xx * yy - xy * xy), 1e-30)
        shift += np.array([yy * along - xy * down, xx * down - xy * along]) / spread
    return shift


def highest_frequency(disc_px: float) -> float:
    """Return the highest frequency at which a disc of this size leaves something to compare.

    Parameters
    ----------
    disc_px : float
        Diameter, >= 0.

    Returns
    -------
    float
        Cycles per pixel.
    """
    return min(HIGHEST_CYCLES, HIGHEST_OF_ZERO * FIRST_ZERO / max(disc_px, 1.0))


def channel_spectra(
    windows: Channels, *, chroma_step: int, disc_px: float
) -> ChannelSpectra | None:
    """Return the spectra of a window's middle.

    Parameters
    ----------
    windows : tuple of LumaWindow
        Red, green and blue, as `Picture.channel_windows` gives them.
    chroma_step : int
        Pixels of the frame along each side of a pixel of the windows.
    disc_px : float
        Disc of the luma, in pixels of the frame.

    Returns
    -------
    ChannelSpectra or None
        None where the window is too small, dark or mostly clipped.
    """
    highest = highest_frequency(disc_px)
    side, step = _side_and_step(windows, chroma_step, highest)
    if side < LEAST_SIDE_PX:
        return None
    top, left = ((n - side * step) // 2 for n in windows[1].luma.shape)
    cut = (slice(top, top + side * step), slice(left, left + side * step))
    clipped = windows[1].clipped[cut]
    if clipped.mean() > MOST_CLIPPED:
        return None
    light = np.stack([w.luma[cut] for w in windows])
    if clipped.any():
        light = _filled(light, clipped)
    if step > 1:
        size = (side, side)
        light = np.stack([cv2.resize(c, size, interpolation=cv2.INTER_AREA) for c in light])
    level = light.mean(axis=(1, 2)).astype(float)
    if level.min() < 1e-4:
        return None
    scale = step * chroma_step
    layout = layout_for(side, min(HIGHEST_CYCLES * scale, HIGHEST_OF_SAMPLES))
    planes = light / level.astype(np.float32)[:, None, None]
    planes -= ((planes * layout.taper).mean(axis=(1, 2)) / layout.taper.mean())[:, None, None]
    planes *= layout.taper
    transforms = rfft2(planes).reshape(3, -1)[:, layout.bins] / side
    return ChannelSpectra(
        layout=layout,
        scale=scale,
        highest=min(highest, HIGHEST_OF_SAMPLES / scale),
        level=level,
        codes=_codes(windows, cut, level),
        transforms=transforms,
        power=np.array([layout.mean(t.real**2 + t.imag**2) for t in transforms]),
    )


def _side_and_step(windows: Channels, chroma_step: int, highest: float) -> tuple[int, int]:
    """Return the transform's side, and how many pixels of the windows make one of its samples."""
    least = min(windows[1].luma.shape)
    step = 1
    while (
        least // step > LARGEST_SIDE_PX
        and HIGHEST_OF_SAMPLES / (2 * step * chroma_step) >= 0.6 * highest
    ):
        step *= 2
    return min(least // step, LARGEST_SIDE_PX) // 16 * 16, step


def _codes(windows: Channels, cut: tuple[slice, slice], level: FloatArray) -> FloatArray | None:
    slopes = [w.encoding_slope for w in windows]
    squares = [float(np.square(s[cut]).mean()) for s in slopes if s is not None]
    return level / np.sqrt(squares) if len(squares) == 3 else None


def _filled(planes: NDArray[np.float32], clipped: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Return the channels with clipped pixels replaced by means of what lies around them."""
    hole = cv2.dilate(clipped.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    if hole.all():
        return planes
    known = (~hole).astype(np.float32)
    seen = np.ascontiguousarray((planes * known).transpose(1, 2, 0))
    filled = seen.copy()
    for side in FILL_PX:
        share = cv2.blur(known, (side, side))
        reach = hole & (share > 0.05)
        filled[reach] = cv2.blur(seen, (side, side))[reach] / share[reach][:, None]
        hole = hole & ~reach
    if hole.any():
        filled[hole] = seen[known > 0].mean(axis=0)
    return np.ascontiguousarray(filled.transpose(2, 0, 1))


@functools.lru_cache(maxsize=32)
def layout_for(side_px: int, highest_per_px: float) -> Layout:
    """Return the cells of a square window.

    Parameters
    ----------
    side_px : int
        Side of the window.
    highest_per_px : float
        Where the rings end, cycles a sample.

    Returns
    -------
    Layout
        Shared; treat it as read-only.
    """
    lowest = LOWEST_CYCLES / side_px
    rings = max(2, round(np.log(highest_per_px / lowest) / np.log(RING_RATIO)))
    fy, fx = np.broadcast_arrays(-np.fft.fftfreq(side_px)[:, None], np.fft.rfftfreq(side_px)[None])
    radius = np.hypot(fy, fx)
    ring = np.digitize(radius, np.geomspace(lowest, highest_per_px, rings + 1)) - 1
    sector = np.minimum((np.arctan2(fy, fx) % np.pi / np.pi * SECTORS).astype(int), SECTORS - 1)
    least = AXIS_CYCLES / side_px
    use = (ring >= 0) & (ring < rings) & (np.abs(fy) > least) & (fx > least)
    number = np.where(use, ring * SECTORS + sector, 0)
    counts = np.bincount(number[use], minlength=rings * SECTORS)
    use &= counts[number] >= LEAST_BINS
    kept = np.flatnonzero(counts >= LEAST_BINS)
    bins = np.flatnonzero(use)
    cells = np.searchsorted(kept, number.ravel()[bins])
    logs = np.bincount(cells, np.log(radius.ravel()[bins]), kept.size)
    hann = 0.5 - 0.5 * np.cos(2 * np.pi * (np.arange(side_px) + 0.5) / side_px)
    taper = np.outer(hann, hann)
    return Layout(
        taper=(taper / np.sqrt((taper**2).mean())).astype(np.float32),
        bins=bins,
        x=fx.ravel()[bins],
        y=fy.ravel()[bins],
        cells=cells,
        counts=counts[kept].astype(float),
        sectors=kept % SECTORS,
        frequency=np.exp(logs / counts[kept]),
        weight=float((taper**2).mean() ** 2 / (taper**4).mean()),
    )
