"""Bias and spread of a kit's focus over frames, and what they are at another distance."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.people.aim import FOCUS_IMAGE_UM
from eyeplane.records import Measured

Array = NDArray[np.float64]

FEWEST = 3  # told frames: two cannot tell an offset from scatter
SPREADS = 160  # of the grid
LEAST_RATIO, MOST_RATIO = 0.01, 60.0  # ends of that grid over the usual spread
PRIOR_RATIO = 2.0  # scale of what is believed of the spread, over the usual one
Z90 = 1.6449


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusFit:
    """Mean and spread of offsets.

    Attributes
    ----------
    bias_mm : Measured
        Mean.
    spread_mm : Measured
        Standard deviation from frame to frame, without the measuring's own error.
    """

    bias_mm: Measured
    spread_mm: Measured


def fit_focus(offsets_mm: Sequence[Measured], *, usual_mm: float) -> FocusFit | None:
    """Return mean and spread of offsets, each known to its own interval.

    Parameters
    ----------
    offsets_mm : sequence of Measured
        One a frame, the focus set anew before each.
    usual_mm : float
        Usual spread at that distance, > 0: half of all spreads are believed to lie below twice it.

    Returns
    -------
    FocusFit or None
        None with fewer than three.

    Notes
    -----
    Offset = mean + scatter + error of measuring, normal; the spread on a grid under a half-Cauchy
    prior, the mean under a flat one, integrated over the spread: few frames give wide intervals.

    References
    ----------
    Gelman, A. (2006), "Prior distributions for variance parameters in hierarchical models",
    Bayesian Analysis 1, 515-534.

    Examples
    --------
    >>> near = [Measured(value=v, low=v - 1, high=v + 1) for v in (9.0, 10.0, 11.0, 10.0, 10.5)]
    >>> fit = fit_focus(near, usual_mm=3.0)
    >>> 9 < fit.bias_mm.low < fit.bias_mm.value < fit.bias_mm.high < 11.5
    True
    """
    if len(offsets_mm) < FEWEST:
        return None
    values = np.array([one.value for one in offsets_mm])
    errors = np.array([(one.high - one.low) / (2 * Z90) for one in offsets_mm])
    spreads = np.geomspace(LEAST_RATIO * usual_mm, MOST_RATIO * usual_mm, SPREADS)
    variance = spreads[:, None] ** 2 + errors**2
    mass = (1 / variance).sum(axis=1)
    means = (values / variance).sum(axis=1) / mass
    squares = ((values - means[:, None]) ** 2 / variance).sum(axis=1)
    logs = -0.5 * (np.log(variance).sum(axis=1) + np.log(mass) + squares)
    logs += np.log(spreads)  # the grid is even in the logarithm
    logs -= np.log1p((spreads / (PRIOR_RATIO * usual_mm)) ** 2)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    return FocusFit(
        bias_mm=_mixture(means, 1 / np.sqrt(mass), weights),
        spread_mm=_from_grid(spreads, weights),
    )


def _mixture(means: Array, sds: Array, weights: Array) -> Measured:
    """Return median and middle 90 % of normal distributions, each with its weight."""
    ends = float(np.min(means - 9 * sds)), float(np.max(means + 9 * sds))

    def quantile(share: float) -> float:
        low, high = ends
        for _ in range(60):
            middle = (low + high) / 2
            below = float(weights @ special.ndtr((middle - means) / sds))
            low, high = (middle, high) if below < share else (low, middle)
        return (low + high) / 2

    return Measured(value=quantile(0.5), low=quantile(0.05), high=quantile(0.95))


def _from_grid(spreads: Array, weights: Array) -> Measured:
    below = np.cumsum(weights) - weights / 2
    low, value, high = (
        float(np.exp(np.interp(share, below, np.log(spreads)))) for share in (0.05, 0.5, 0.95)
    )
    return Measured(value=value, low=low, high=high)


def usual_scatter_mm(*, focal_length_mm: float | None, distance_mm: float) -> float:
    """Return how much a usual autofocus scatters on a still target.

    Parameters
    ----------
    focal_length_mm : float or None
        Of the lens; None: 85 mm.
    distance_mm : float
        From the lens, above the focal length.

    Returns
    -------
    float
        Standard deviation in mm: the usual error behind the lens over the magnification squared.
    """
    focal = focal_length_mm or 85.0
    magnification = focal / max(distance_mm - focal, focal)
    return FOCUS_IMAGE_UM / 1000 / magnification**2


def image_shift_um(*, focal_length_mm: float, distance_mm: float, offset_mm: float) -> float:
    """Return an offset as a shift of the image behind the lens.

    Parameters
    ----------
    focal_length_mm : float
        Of the lens, > 0.
    distance_mm : float
        From the lens to what was focused on, > focal length.
    offset_mm : float
        Of the sharpest plane, + behind it.

    Returns
    -------
    float
        In µm, + for a plane behind: f s / (s − f) at the mark less that at the plane.

    Examples
    --------
    >>> round(image_shift_um(focal_length_mm=85, distance_mm=1500, offset_mm=14), 1)
    50.0
    """
    there = max(distance_mm + offset_mm, focal_length_mm * 1.001)
    return 1000 * (_image_mm(focal_length_mm, distance_mm) - _image_mm(focal_length_mm, there))


def carried_offset_mm(*, focal_length_mm: float, distance_mm: float, shift_um: float) -> float:
    """Return the offset that a shift of the image behind the lens makes at a distance.

    Parameters
    ----------
    focal_length_mm : float
        Of the lens, > 0.
    distance_mm : float
        From the lens to what is focused on, > focal length.
    shift_um : float
        As `image_shift_um` gives it.

    Returns
    -------
    float
        In mm, + behind; infinite where the plane would lie past infinity.

    Examples
    --------
    >>> round(carried_offset_mm(focal_length_mm=85, distance_mm=3000, shift_um=49.5), 1)
    59.4
    """
    image = _image_mm(focal_length_mm, distance_mm) - shift_um / 1000
    if image <= focal_length_mm:
        return math.inf
    return focal_length_mm * image / (image - focal_length_mm) - distance_mm


def _image_mm(focal_mm: float, distance_mm: float) -> float:
    return focal_mm * distance_mm / (distance_mm - focal_mm)
