"""The profile across a slanted edge in quarter pixels, and how its slope is transformed.

Across the edge distances grow into the bright side.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.errors import InputError
from eyeplane.measure.slanted_fit import BINS_PER_PX, EdgeLine, edge_profile, edge_width_px
from eyeplane.measure.slanted_pixels import EdgePixels

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

MOST_EMPTY_SHARE = 0.25  # of the bins that matter; more: the edge runs along the pixels
END_WIDTHS, END_LEAST_PX = 3.0, 7.0  # least half window: in widths of the edge; rings lie nearer
END_CYCLES = 3.0  # and of the frequency: tails of diffraction fall with the square only; our own
FLAT_SHARE = 0.5  # of the half window; the rest is a cosine
LEVELS_FROM_SHARE = 0.75  # of the piece's half width: there both levels are read


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
    level, middle, count = edge_profile(distance, pixels.light)
    width = edge_width_px(level, middle)
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
