"""How a speed spreads over exposures, where frames without visible motion count too."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.learn.mixed import Array
from eyeplane.learn.recency import effective_weights
from eyeplane.people.learned import FEWEST_FRAMES
from eyeplane.records import Measured

Mover = Literal["sitter", "shake"]

FEWEST_SEEN = 3  # frames that show the motion; fewer tell nothing of how it spreads; no source
MIDDLES, WIDTHS = 48, 24  # grid of the distribution's middle and width
WIDTH_RANGE = (0.2, 2.5)  # natural logarithm: from always alike to a hundredfold; no source
BINS = 64  # of the limits of frames without motion: finer changes nothing
Q95 = 1.6449  # 95 % quantile of a normal distribution
Q90 = 1.2816  # 90 % quantile


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """What one frame tells about a speed.

    Attributes
    ----------
    number, burst : int
        The frame and its burst.
    value : float
        Millimetres (sitter) or degrees (shake) a second.
    seen : bool
        True: as fast as that. False: no motion was seen, so at most that.
    unit_per_px : float
        What 1 px is in mm or degrees.
    """

    number: int
    burst: int
    value: float
    seen: bool
    unit_per_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedFit:
    """How fast something moves from exposure to exposure.

    Attributes
    ----------
    median : Measured
        The middle speed and the middle 90 % *of exposures*.
    fast : Measured
        The speed that nine exposures in ten stay below, with its 90 % interval.
    seen, frames : int
        Frames that show the motion, and all that tell something.
    """

    median: Measured
    fast: Measured
    seen: int
    frames: int


def fit_speeds(speeds: Sequence[Speed]) -> SpeedFit | None:
    """Return how a speed spreads over exposures.

    Parameters
    ----------
    speeds : sequence of Speed
        Frames.

    Returns
    -------
    SpeedFit or None
        None with fewer than three frames that show it, from two bursts, or eight that tell
        anything.

    Notes
    -----
    The logarithm of the speed is taken as normal. A frame without motion counts by the
    probability of a speed below what it would have shown (censored below), so that frames that
    came out sharp are not forgotten. Uniform priors on the middle and on the logarithm of the
    width, on a grid; frames of a
    burst count for less than one each.
    """
    seen = [one for one in speeds if one.seen]
    enough = len(seen) >= FEWEST_SEEN and len({one.burst for one in seen}) >= 2
    if not enough or len(speeds) < FEWEST_FRAMES:
        return None
    logs = np.log([max(one.value, 1e-9) for one in speeds])
    shown = np.array([one.seen for one in speeds])
    weights = effective_weights([one.burst for one in speeds])
    middle, width, chance = _posterior(logs, shown, weights)
    fast = _quantiles(middle + Q90 * width, chance)
    typical, spread = float(chance @ middle), float(chance @ width)
    low, value, high = (math.exp(typical + q * spread) for q in (-Q95, 0.0, Q95))
    return SpeedFit(
        median=Measured(value=value, low=low, high=high),
        fast=Measured(value=math.exp(fast[1]), low=math.exp(fast[0]), high=math.exp(fast[2])),
        seen=len(seen),
        frames=len(speeds),
    )


def _posterior(logs: Array, shown: NDArray[np.bool_], weights: Array) -> tuple[Array, Array, Array]:
    """Return middles, widths and probabilities of the grid."""
    span = max(float(np.ptp(logs)), 1.0)
    middles = np.linspace(float(logs.min()) - span, float(logs.max()) + 1.0, MIDDLES)
    widths = np.geomspace(*WIDTH_RANGE, WIDTHS)
    middle, width = (axis.ravel() for axis in np.meshgrid(middles, widths, indexing="ij"))
    own, mass = logs[shown], weights[shown]
    total, first = float(mass.sum()), float(mass @ own)
    second = float(mass @ own**2)
    squares = second - 2 * middle * first + middle**2 * total
    log_chance = -0.5 * squares / width**2 - total * np.log(width)
    limits, counts = _binned(logs[~shown], weights[~shown])
    standard = (limits[None, :] - middle[:, None]) / width[:, None]
    log_chance += special.log_ndtr(standard) @ counts
    chance = np.exp(log_chance - log_chance.max())  # uniform in the width's logarithm
    return middle, width, chance / chance.sum()


def _binned(values: Array, weights: Array) -> tuple[Array, Array]:
    if len(values) <= BINS:
        return values, weights
    counts, edges = np.histogram(values, BINS, weights=weights)
    return (edges[:-1] + edges[1:]) / 2, counts


def _quantiles(values: Array, chance: Array) -> tuple[float, float, float]:
    order = np.argsort(values)
    below = np.cumsum(chance[order]) - chance[order] / 2
    low, middle, high = (float(np.interp(q, below, values[order])) for q in (0.05, 0.5, 0.95))
    return low, middle, high
