"""Perceived sharpness, limits of blur and reach for thousands of settings at once.

The same sums as `perceived_sharpness` and `reach_cm`, on arrays that broadcast; a test holds the
two together.
"""

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics import special
from eyeplane.optics.arguments import above_zero
from eyeplane.optics.reach import SHARP
from eyeplane.optics.sharpness import DETAIL_CONTRAST, FINEST_PER_DEG, sharpness_cells
from eyeplane.optics.spread import NO_SIZE_PX
from eyeplane.optics.transfer import DISC_FIRST_ZERO

FloatArray = NDArray[np.float64]
SingleArray = NDArray[np.float32]

# Blur at which a print is no longer sharp adds up like this power of its parts: 2.03 to 2.13 over
# all prints, apertures and noises tried; our own, see the docs.
BLUR_POWER = 2.07
_CELLS = 48  # of the sum over frequency: error of the sharpness below 1e-3
_STEPS = 40  # most steps of a search
_CLOSE = 1e-4  # of perceived sharpness
_SLOPE = 0.25  # fall of the sharpness, at the threshold, for each e-fold of pixels in a degree
_ROUGH = 5e-3  # of perceived sharpness: farther off, secants are not trusted
_NOTHING = np.float32(1e-30)
_BLOCK = 4096  # settings worked out at once, which bounds the memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreads:
    """Point spreads of many settings; the arrays broadcast against each other.

    Attributes
    ----------
    disc_px, line_px, gaussian_px, airy_px : array_like
        As in `PointSpread`, >= 0.
    noise_contrast : array_like
        Noise over mean, per pixel, linear light, >= 0.
    """

    disc_px: ArrayLike = 0.0
    line_px: ArrayLike = 0.0
    gaussian_px: ArrayLike = 0.0
    airy_px: ArrayLike = 0.0
    noise_contrast: ArrayLike = 0.0

    def columns(self, *more: ArrayLike) -> tuple[FloatArray, ...]:
        """Return all arrays, and more, broadcast against each other and flat.

        Parameters
        ----------
        *more : array_like
            Further arrays.

        Returns
        -------
        tuple of ndarray
            Disc, line, Gaussian, Airy, noise, then the others, all of one length.
        """
        given = (self.disc_px, self.line_px, self.gaussian_px, self.airy_px, self.noise_contrast)
        arrays = np.broadcast_arrays(*(np.asarray(a, float) for a in (*given, *more)))
        return tuple(np.ravel(a) for a in arrays)

    def shape(self, *more: ArrayLike) -> tuple[int, ...]:
        """Return the shape of all arrays together, and of more.

        Parameters
        ----------
        *more : array_like
            Further arrays.

        Returns
        -------
        tuple of int
            As NumPy broadcasts them.
        """
        given = (self.disc_px, self.line_px, self.gaussian_px, self.airy_px, self.noise_contrast)
        return np.broadcast_shapes(*(np.shape(a) for a in (*given, *more)))


def sharpness_of(spreads: Spreads, *, px_per_deg: ArrayLike) -> FloatArray:
    """Return how sharp the near eye looks with each of many spreads, 0..1.

    Parameters
    ----------
    spreads : Spreads
        What blurs the frame.
    px_per_deg : array_like
        Frame pixels in a degree of the viewer's view, > 0.

    Returns
    -------
    ndarray
        As `perceived_sharpness` returns one by one, in the broadcast shape.

    Examples
    --------
    >>> sharpness_of(Spreads(disc_px=[0, 4]), px_per_deg=51.54).round(3)
    array([0.865, 0.534])
    """
    return _sharpness(*spreads.columns(px_per_deg)).reshape(spreads.shape(px_per_deg))


def _sharpness(*columns: FloatArray) -> FloatArray:
    """Return the sharpness of disc, line, Gaussian, Airy, noise and print, block by block.

    In single precision: its error is a thousandth of that of the sum's cells.
    """
    out = np.empty(len(columns[0]))
    for start in range(0, len(out), _BLOCK):
        part = slice(start, start + _BLOCK)
        out[part] = _block_sharpness(*(c[part].astype(np.float32) for c in columns))
    return out


@functools.cache
def _cells() -> tuple[SingleArray, ...]:
    """Return edges, widths, middles and weights of the sum's cells."""
    edges, middles, weights = sharpness_cells(_CELLS)
    columns = (edges, np.diff(edges), middles, weights)
    return tuple(column.astype(np.float32) for column in columns)


def _block_sharpness(
    disc: SingleArray,
    line: SingleArray,
    gaussian: SingleArray,
    airy: SingleArray,
    noise: SingleArray,
    px_per_deg: SingleArray,
) -> FloatArray:
    edges, widths, middles, weights = _cells()
    zeros = [np.ones_like(disc)]
    for size, first in ((disc, DISC_FIRST_ZERO), (line, 1.0), (airy, 1.0)):
        zeros.append(np.where(size > NO_SIZE_PX, first / np.maximum(size, NO_SIZE_PX), np.inf))
    zero = np.minimum.reduce(zeros)
    most = int(np.searchsorted(edges[:-1], min(FINEST_PER_DEG, float(px_per_deg.max()) / 2)))
    nyquist = px_per_deg[:, None] / 2
    counted = np.clip((nyquist - edges[:most]) / widths[:most], 0.0, 1.0)
    f = middles[:most] / px_per_deg[:, None]
    counted = counted * (f < zero[:, None])
    # Beyond its first zero a cell does not count: any finite number will do there.
    x = np.float32(np.pi) * np.minimum(f, np.float32(0.999999) * zero[:, None])
    square = np.sin(x) / x
    seen = square.copy()
    seen *= _part(disc, x, lambda y: 2 * special.j1(y) / y)
    seen *= _part(line, x, lambda y: np.sin(y) / y)
    if (gaussian > NO_SIZE_PX).any():
        seen *= np.exp(-2 * (gaussian[:, None] * x) ** 2)
    seen *= _part(airy, x / np.pi, lambda y: 2 / np.pi * (np.arccos(y) - y * np.sqrt(1 - y * y)))
    if (noise > 0).any():
        detail = DETAIL_CONTRAST * np.abs(seen)
        grain = noise[:, None] * f
        seen *= detail / np.sqrt(np.maximum(detail * detail + grain * grain, _NOTHING))
    return np.asarray((weights[:most] * counted * seen * square).sum(axis=1))


def _part(
    size: SingleArray, x: SingleArray, transfer: Callable[[SingleArray], FloatArray | SingleArray]
) -> FloatArray | SingleArray | float:
    if not (size > NO_SIZE_PX).any():
        return 1.0
    return transfer(np.maximum(size[:, None], NO_SIZE_PX) * x)


@dataclass(frozen=True, slots=True, kw_only=True)
class BlurLimits:
    """What blur a print takes at most, for many settings.

    Attributes
    ----------
    disc_px, line_px : ndarray
        Largest disc without motion, and longest line without missed focus; 0 where the print does
        not look sharp even without any.
    acutance : ndarray
        Perceived sharpness without either.
    """

    disc_px: FloatArray
    line_px: FloatArray
    acutance: FloatArray


def blur_limits(spreads: Spreads, *, px_per_deg: ArrayLike, threshold: float = SHARP) -> BlurLimits:
    """Return what blur each print takes beside the other spreads.

    Parameters
    ----------
    spreads : Spreads
        Everything else; its own disc and line are not looked at.
    px_per_deg : array_like
        Frame pixels in a degree of view on the print, > 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    BlurLimits
        In the broadcast shape; right to 0.3 %.

    Examples
    --------
    6000 px on 60 cm, seen from 50 cm:

    >>> limits = blur_limits(Spreads(), px_per_deg=[87.27])
    >>> limits.disc_px.round(1), limits.line_px.round(1)
    (array([2.7]), array([2.3]))
    """
    _, _, gaussian, airy, noise, px = spreads.columns(px_per_deg)
    none = np.zeros_like(px)
    sharp = _sharpness(none, none, gaussian, airy, noise, px)
    good = sharp > threshold
    rest = (gaussian[good], airy[good], noise[good], px[good])
    least = none[good]
    over = sharp[good] - threshold

    def by_disc(square: FloatArray) -> FloatArray:
        return _sharpness(np.sqrt(square), least, *rest) - threshold

    def by_line(square: FloatArray) -> FloatArray:
        return _sharpness(least, np.sqrt(square), *rest) - threshold

    # Where a print is just sharp, squares of the parts add up to that of its scale, roughly.
    room = np.maximum(over, 1e-6) / 0.45 * px[good] ** 2
    shape = spreads.shape(px_per_deg)
    out = {}
    for name, function, weight in (("disc", by_disc, 28.0), ("line", by_line, 24.0)):
        out[name] = none.copy()
        out[name][good] = np.sqrt(_secant(function, over, room / weight**2))
    return BlurLimits(
        disc_px=out["disc"].reshape(shape),
        line_px=out["line"].reshape(shape),
        acutance=sharp.reshape(shape),
    )


def _secant(
    function: Callable[[FloatArray], FloatArray], at_zero: FloatArray, guess: FloatArray
) -> FloatArray:
    """Return where a falling, nearly straight function of x >= 0 crosses 0, in three steps."""
    old, at_old = np.zeros_like(guess), at_zero
    for _ in range(3):
        value = function(guess)
        slope = (value - at_old) / np.where(guess == old, 1.0, guess - old)
        better = guess - value / np.where(slope < 0, slope, -1e-6)
        # Away from the root the function bends: never more than a factor of two and a half.
        better = np.clip(better, 0.4 * guess, 2.5 * guess)
        old, at_old, guess = guess, value, better
    return guess


def reaches_cm(
    spreads: Spreads, *, long_edge_px: ArrayLike, viewing_cm: ArrayLike, threshold: float = SHARP
) -> FloatArray:
    """Return the reach of each of many spreads.

    Parameters
    ----------
    spreads : Spreads
        What blurs the frame at the near eye.
    long_edge_px : array_like
        Long edge of the whole frame, in pixels, > 0.
    viewing_cm : array_like
        Distance from eye to print, > 0.
    threshold : float
        Least perceived sharpness, in (0, 1).

    Returns
    -------
    ndarray
        Centimetres, as `reach_cm` returns one by one.

    Raises
    ------
    InputError
        If a length is not above zero.

    Examples
    --------
    >>> reaches_cm(Spreads(disc_px=[0, 6]), long_edge_px=6000, viewing_cm=50).round()
    array([112.,  30.])
    """
    above_zero(long_edge_px=float(np.min(long_edge_px)), viewing_cm=float(np.min(viewing_cm)))
    disc, line, gaussian, airy, noise, edge, view = spreads.columns(long_edge_px, viewing_cm)
    blur = np.hypot(disc, line)
    squares = 2180.0 + 800.0 * disc**2 + 1087.0 * line**2 + 11_900.0 * gaussian**2
    squares += 2507.0 * airy + 4693.0 * airy**2
    squares += noise * (2077.0 + 72_600.0 * noise + 1912.0 * blur)

    def under(log_px_per_deg: FloatArray, at: NDArray[np.bool_]) -> FloatArray:
        px = np.exp(log_px_per_deg)
        return threshold - _sharpness(disc[at], line[at], gaussian[at], airy[at], noise[at], px)

    least = _root(under, 0.5 * np.log(squares))
    reach = edge * view * math.radians(1) / np.exp(least)
    return reach.reshape(spreads.shape(long_edge_px, viewing_cm))


def _root(
    function: Callable[[FloatArray, NDArray[np.bool_]], FloatArray], guess: FloatArray
) -> FloatArray:
    """Return where a falling function crosses 0: by secants from a good guess, else by bracket.

    The guess is a fit of our own, right to 6 %; there the function falls by 0.17 to 0.28 for each
    e-fold, so three looks are enough. Whatever they leave is bracketed.
    """
    everywhere = np.ones(len(guess), bool)
    value = function(guess, everywhere)
    old, at_old, found = guess, value, guess + value / _SLOPE
    for _ in range(2):
        value = function(found, everywhere)
        slope = (value - at_old) / np.where(found == old, 1.0, found - old)
        step = value / np.where(slope < -0.05, -slope, _SLOPE)
        old, at_old, found = found, value, found + np.clip(step, -0.3, 0.3)
    wrong = np.abs(value) > _ROUGH
    if wrong.any():
        found[wrong] = _bracketed(function, guess, wrong)
    return found


def _bracketed(
    function: Callable[[FloatArray, NDArray[np.bool_]], FloatArray],
    guess: FloatArray,
    which: NDArray[np.bool_],
) -> FloatArray:
    places = np.flatnonzero(which)

    def some(values: FloatArray, at: NDArray[np.bool_]) -> FloatArray:
        mask = np.zeros(len(guess), bool)
        mask[places[at]] = True
        return function(values, mask)

    everywhere = np.ones(len(places), bool)
    low, high = guess[places] - 0.05, guess[places] + 0.05
    at_low, at_high = some(low, everywhere), some(high, everywhere)
    for end, value, step in ((low, at_low, -0.15), (high, at_high, 0.15)):
        while (wrong := value * step > 0).any():
            end[wrong] += step
            value[wrong] = some(end[wrong], wrong)
    return _crossing(some, (low, high), (at_low, at_high))


def _crossing(
    function: Callable[[FloatArray, NDArray[np.bool_]], FloatArray],
    ends: tuple[FloatArray, FloatArray],
    values: tuple[FloatArray, FloatArray],
) -> FloatArray:
    """Return where a falling function crosses 0, by false position after Illinois.

    Where it does not lie above 0 at the lower end, that end is returned.
    """
    (low, high), (at_low, at_high) = (a.copy() for a in ends), (a.copy() for a in values)
    found, side = low.copy(), np.zeros(len(low))
    left = at_low > 0
    for _ in range(_STEPS):
        if not left.any():
            break
        share = at_low[left] / (at_low[left] - at_high[left])
        middle = low[left] + (high[left] - low[left]) * share
        value = function(middle, left)
        found[left] = middle
        up = value > 0
        # An end that is kept twice counts for half, so that both ends come in.
        at_high[left] = np.where(up, np.where(side[left] > 0, 0.5, 1.0) * at_high[left], value)
        at_low[left] = np.where(up, value, np.where(side[left] < 0, 0.5, 1.0) * at_low[left])
        low[left] = np.where(up, middle, low[left])
        high[left] = np.where(up, high[left], middle)
        side[left] = np.where(up, 1.0, -1.0)
        done = np.zeros(len(left), bool)
        done[left] = np.abs(value) < _CLOSE
        left &= ~done
    return found
