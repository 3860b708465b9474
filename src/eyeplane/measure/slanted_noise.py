"""How unsure the contrast across a slanted edge is: the noise that its profile leaves.

Arrays are [y, x].
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.slanted_pixels import EdgePixels
from eyeplane.measure.slanted_spread import Spread

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

LAGS_PX = 3  # how far noise is looked at for its correlation: demosaicking reaches as far
KNOTS_PER_PX = (0.02, 0.08, 0.16, 0.25, 0.35, 0.5, 1.0)  # where the correlation is worked out
CERTAIN_SDS = 2.5  # of a correlation by chance: smaller ones are taken for none
LEAST_PAIRS = 50  # of pixels, to tell a correlation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SharedNoise:
    """How neighbouring pixels share their noise, and what that does to sums over the bins.

    Attributes
    ----------
    lags : tuple of (int, int, float)
        Rows, columns and correlation, for half of the neighbours; empty if none share any.
    row, column, bin_of : ndarray
        Of every pixel.
    weight : ndarray
        Each pixel's noise over the number of pixels in its bin.
    shape : tuple of int
        Of the piece.
    """

    lags: tuple[tuple[int, int, float], ...]
    row: IntArray
    column: IntArray
    bin_of: IntArray
    weight: FloatArray
    shape: tuple[int, ...]

    def growth(self, by_bin: FloatArray) -> float:
        """Return by what factor the variance of one sum over the bins grows.

        Parameters
        ----------
        by_bin : ndarray
            Its weight of each bin.

        Returns
        -------
        float
            1 for independent pixels.
        """
        if not self.lags:
            return 1.0
        field = np.zeros(self.shape)
        field[self.row, self.column] = by_bin[self.bin_of] * self.weight
        own = float(np.sum(field**2))
        if own <= 0.0:
            return 1.0
        shared = sum(2.0 * rho * _shifted_sum(field, dy, dx) for dy, dx, rho in self.lags)
        return max(1.0 + shared / own, 0.1)

    def growth_at(self, spread: Spread, frequency_per_px: float) -> float:
        """Return by what factor the variance of the transform grows, over both phases.

        Parameters
        ----------
        spread : Spread
            The edge's profile and window.
        frequency_per_px : float
            Where, in cycles per px.

        Returns
        -------
        float
            1 for independent pixels.
        """
        row = spread.rows([frequency_per_px])[0]
        factors = [self.growth(row.real), self.growth(row.imag)]
        return float(np.mean(factors))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoiseOfEdge:
    """Noise at an edge.

    Attributes
    ----------
    bin_variance : ndarray
        Variance of each bin's light, as if pixels were independent.
    contrast_to_noise : float
        Step over a pixel's noise.
    shared : SharedNoise
        How pixels share it.
    knots : ndarray
        By what factor the variance of the transform grows so, at `KNOTS_PER_PX`.
    """

    bin_variance: FloatArray
    contrast_to_noise: float
    shared: SharedNoise
    knots: FloatArray

    def growth(self, frequency_per_px: FloatArray) -> FloatArray:
        """Return by what factor the variance of the transform grows.

        Parameters
        ----------
        frequency_per_px : ndarray
            In cycles per px.

        Returns
        -------
        ndarray
            1 for independent pixels.
        """
        return np.asarray(np.interp(frequency_per_px, KNOTS_PER_PX, self.knots))


def residual_noise(pixels: EdgePixels, spread: Spread, shape: tuple[int, ...]) -> NoiseOfEdge:
    """Return the noise that the profile of an edge leaves.

    Parameters
    ----------
    pixels : EdgePixels
        Around the edge.
    spread : Spread
        Its profile.
    shape : tuple of int
        Of the piece they are from.

    Returns
    -------
    NoiseOfEdge
        Apart for the dark side, the edge and the bright side.
    """
    inside, distance = spread.inside, spread.pixel_distance_px[spread.inside]
    left = pixels.light[inside] - np.interp(distance, spread.distance_px, spread.level)
    ends = [-spread.width_px, spread.width_px]
    zone, bin_zone = np.digitize(distance, ends), np.digitize(spread.distance_px, ends)
    variance = np.zeros(3)
    for k in range(3):
        of_zone = left[zone == k]
        fitted = int(np.count_nonzero((bin_zone == k) & (spread.count > 0)))
        variance[k] = float(of_zone @ of_zone) / max(len(of_zone) - fitted, 1)
    variance = np.maximum(variance, 1e-18)
    count = np.maximum(spread.count, 0.5)  # what was filled in is less sure than one pixel
    sd = np.sqrt(variance)[zone]
    row, column = pixels.row[inside], pixels.column[inside]
    shared = SharedNoise(
        lags=_lags(row, column, left / sd, shape),
        row=row,
        column=column,
        bin_of=spread.bin_of,
        weight=sd / count[spread.bin_of],
        shape=shape,
    )
    knots = [shared.growth_at(spread, f) if shared.lags else 1.0 for f in KNOTS_PER_PX]
    noisiest = np.sqrt(np.maximum(variance[0], variance[2]))
    return NoiseOfEdge(
        bin_variance=variance[bin_zone] / count,
        contrast_to_noise=float((spread.bright - spread.dark) / noisiest),
        shared=shared,
        knots=np.array(knots),
    )


def _lags(
    row: IntArray, column: IntArray, standard: FloatArray, shape: tuple[int, ...]
) -> tuple[tuple[int, int, float], ...]:
    """Return the correlations that are no chance, of noise in its own standard deviations."""
    field, there = np.zeros(shape), np.zeros(shape)
    field[row, column], there[row, column] = standard, 1.0
    own = float(np.mean(standard**2))
    found: list[tuple[int, int, float]] = []
    for dy in range(LAGS_PX + 1):
        for dx in range(-LAGS_PX if dy else 1, LAGS_PX + 1):
            pairs = _shifted_sum(there, dy, dx)
            if pairs < LEAST_PAIRS or own <= 0.0:
                continue
            rho = _shifted_sum(field, dy, dx) / pairs / own
            if abs(rho) > CERTAIN_SDS / float(np.sqrt(pairs)):
                found.append((dy, dx, rho))
    return tuple(found)


def _shifted_sum(field: FloatArray, dy: int, dx: int) -> float:
    """Return the sum of a field times itself moved by (dy, dx), dy >= 0."""
    height, width = field.shape
    lower, upper = field[dy:], field[: height - dy]
    if dx >= 0:
        return float(np.einsum("ij,ij->", lower[:, dx:], upper[:, : width - dx]))
    return float(np.einsum("ij,ij->", lower[:, :dx], upper[:, -dx:]))
