"""Where the difference between two kits comes from: parts exchanged in every order.

Each part is worth what it changes on average over all orders in which the parts can be exchanged
(L. S. Shapley, A value for n-person games, 1953). No order is preferred, and the parts add up to
the whole difference.
"""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import Spreads, reaches_cm
from eyeplane.optics.kit_blur import as_sharpened
from eyeplane.records.kit_against import PartName

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What one kit is made of, at one setting, under many beliefs; each part can be exchanged.

    Attributes
    ----------
    pixels : tuple of (float, ndarray)
        Pixels along the long edge, and what sharpening in the camera gives back of squared spread
        in px².
    glass : mapping of float to ndarray
        Spread of the lens over the long side of its sensor, by f-number.
    aperture : tuple of float
        f-number, and wavelength times f-number over the long side of the sensor: how far the lens
        is opened, and what diffraction makes of that on a print.
    noise : ndarray
        As `frame_noise` returns it.

    Notes
    -----
    All is told as a share of the frame, since that is what a print enlarges: a smaller sensor shows
    as more diffraction and noise, and needs a lens that is finer by as much.
    """

    pixels: tuple[float, FloatArray]
    glass: Mapping[float, FloatArray]
    aperture: tuple[float, float]
    noise: FloatArray


NAMES: tuple[PartName, ...] = ("pixels", "glass", "aperture", "noise")


def spreads_of(parts: Parts) -> Spreads:
    """Return what blurs and covers the frame of a kit, or of one put together of two.

    Parameters
    ----------
    parts : Parts
        The kit.

    Returns
    -------
    Spreads
        In px, one entry a belief; less what the camera's own sharpening gives back, as measured
        frames are judged.
    """
    (long_px, given_back), (f_number, diffraction) = parts.pixels, parts.aperture
    glass = np.asarray(parts.glass[f_number])
    gaussian, airy = as_sharpened(glass * long_px, diffraction * long_px, given_back)
    return Spreads(gaussian_px=gaussian, airy_px=airy, noise_contrast=parts.noise * long_px)


def reach_of(parts: Parts, *, viewing_cm: float) -> FloatArray:
    """Return the reach of a kit under every belief.

    Parameters
    ----------
    parts : Parts
        The kit.
    viewing_cm : float
        Distance from eye to print.

    Returns
    -------
    ndarray
        Longest print edge in cm that looks sharp.
    """
    return reaches_cm(spreads_of(parts), long_edge_px=parts.pixels[0], viewing_cm=viewing_cm)


def different(a: Parts, b: Parts) -> tuple[PartName, ...]:
    """Return which parts differ.

    Parameters
    ----------
    a, b : Parts
        The two kits.

    Returns
    -------
    tuple of str
        Names; a lens counts as the same where its spread is at all apertures and beliefs.
    """
    found: list[PartName] = []
    for name in NAMES:
        one, other = getattr(a, name), getattr(b, name)
        if name == "glass":
            one, other = (np.stack(list(lens.values())) for lens in (one, other))
        if name == "pixels":
            one, other = one[0], other[0]
        if not np.allclose(one, other, rtol=1e-9, atol=0.0):
            found.append(name)
    return tuple(found)


def shares_of_difference(
    worth: Callable[[frozenset[PartName]], FloatArray], names: Sequence[PartName]
) -> dict[PartName, FloatArray]:
    """Return what each part makes of a difference.

    Parameters
    ----------
    worth : callable
        What is worth how much once the named parts are B's and the others A's.
    names : sequence of str
        The parts that differ.

    Returns
    -------
    dict of str to ndarray
        They sum to worth(all) − worth(none), exactly but for rounding.

    References
    ----------
    L. S. Shapley, A value for n-person games, in Contributions to the Theory of Games II, 1953.

    Examples
    --------
    >>> shares_of_difference(lambda has: np.asarray(3.0 ** len(has)), ("pixels", "glass"))
    {'pixels': np.float64(4.0), 'glass': np.float64(4.0)}
    """
    count = len(names)
    values = {
        frozenset(some): worth(frozenset(some))
        for size in range(count + 1)
        for some in itertools.combinations(names, size)
    }
    out: dict[PartName, FloatArray] = {}
    for name in names:
        others = [one for one in names if one != name]
        total = np.zeros_like(values[frozenset()])
        for size in range(count):
            weight = math.factorial(size) * math.factorial(count - size - 1)
            for some in itertools.combinations(others, size):
                has = frozenset(some)
                total = total + weight * (values[has | {name}] - values[has])
        out[name] = total / math.factorial(count)
    return out


def exchanged(a: Parts, b: Parts, has: frozenset[PartName]) -> Parts:
    """Return A with some of B's parts.

    Parameters
    ----------
    a, b : Parts
        The two kits.
    has : frozenset of str
        Which parts are B's.

    Returns
    -------
    Parts
        Put together.
    """
    taken = {name: getattr(b if name in has else a, name) for name in NAMES}
    return Parts(**taken)
