"""From a likelihood profile over sizes to a size with its 90 % interval."""

import itertools

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Measured

TAIL = 0.05  # left out at each end of a 90 % interval
EDGE_MASS = 0.3  # likelihood of the smallest size over the best above which it is not excluded
FINE = 16  # steps between two sizes of the bank in which the profile is drawn


def measured_size(sizes_px: NDArray[np.float64], logs: NDArray[np.float64]) -> Measured:
    """Return the best size and its interval.

    Parameters
    ----------
    sizes_px : ndarray
        Rising, >= 0.
    logs : ndarray
        Logarithm (natural) of the tempered likelihood of each, with any prior.

    Returns
    -------
    Measured
        Mode of the profile; the interval holds 90 % of its mass, taken as even in
        ln(size + 1 px), and always the mode.
    """
    scale = np.log1p(sizes_px)
    fine = np.concatenate(
        [np.linspace(a, b, FINE, endpoint=False) for a, b in itertools.pairwise(scale)]
        + [scale[-1:]]
    )
    drawn = _smooth(scale, logs, fine)
    mass = np.exp(drawn - drawn.max())
    steps = np.diff(fine)
    total = np.concatenate([[0.0], np.cumsum(steps * (mass[1:] + mass[:-1]) / 2)])
    total /= total[-1]
    value = float(fine[int(np.argmax(drawn))])
    low, high = np.interp([TAIL, 1 - TAIL], total, fine)
    if mass[0] > EDGE_MASS:  # the profile runs into the smallest size: leave out above only
        low, high = fine[0], np.interp(1 - 2 * TAIL, total, fine)
    return Measured(
        value=float(np.expm1(value)),
        low=float(np.expm1(max(0.0, min(low, value)))),
        high=float(np.expm1(max(high, value))),
    )


def _smooth(
    x: NDArray[np.float64], y: NDArray[np.float64], at: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return a curve through the points with continuous slope (cubic, Catmull-Rom slopes)."""
    slope = np.gradient(y, x)
    k = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    width = x[k + 1] - x[k]
    t = (at - x[k]) / width
    return np.asarray(
        (1 + 2 * t) * (1 - t) ** 2 * y[k]
        + t * (1 - t) ** 2 * width * slope[k]
        + t**2 * (3 - 2 * t) * y[k + 1]
        + t**2 * (t - 1) * width * slope[k + 1]
    )
