"""How fast hands and sitters move over many sittings: each group with what it borrows."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.learn.hierarchy import Grid, GroupPosterior, Levels, even_nodes, fit_levels
from eyeplane.learn.hierarchy import spread_kernel as kernel_of
from eyeplane.learn.mixed import Array
from eyeplane.learn.recency import effective_weights
from eyeplane.learn.speeds import FEWEST_SEEN, Q90, Q95
from eyeplane.people.learned import FEWEST_FRAMES
from eyeplane.records import Measured

Ints = NDArray[np.intp]

MIDDLES = 160  # nodes of the middle: 0.03 to 0.06 apart in the natural logarithm
SPREADS = np.geomspace(0.2, 2.5, 13)  # nodes, as of one sitting's fit: a factor of 1.23 apart
GROUPS_LOG_SD = 0.2  # how much groups differ in their spread, in its logarithm; from memory
SITTINGS_SD = 0.4  # half-normal: sittings differ by a factor of 1.5; from memory
GROUPS_SD = 0.5  # half-normal: lenses, or kinds of sitters, by a factor of 1.6; from memory
LIMITS = 200  # nodes of the limits of frames without motion
BEYOND = 3.0  # the grid goes on below the lowest number, since limits leave all below them open
FLOOR = 1e-9  # speeds of nothing, before their logarithm is taken


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedLessons:
    """Speeds of many frames, one entry a frame.

    Attributes
    ----------
    values : ndarray
        Speeds, any unit.
    seen : ndarray of bool
        True: as fast as that; False: at most that.
    bursts, sittings, groups : sequence of int
        Burst (numbers may repeat from sitting to sitting), sitting and group, the last two
        counted from 0, none missing; a sitting belongs to one group.
    """

    values: Array
    seen: NDArray[np.bool_]
    bursts: Sequence[int]
    sittings: Sequence[int]
    groups: Sequence[int]


def enough_speeds(lessons: SpeedLessons) -> bool:
    """Return whether anything can be learned.

    Parameters
    ----------
    lessons : SpeedLessons
        Frames.

    Returns
    -------
    bool
        At least eight frames, of which three show the motion, out of two bursts.
    """
    seen = np.flatnonzero(lessons.seen)
    bursts = {(lessons.sittings[n], lessons.bursts[n]) for n in seen.tolist()}
    return len(lessons.values) >= FEWEST_FRAMES and len(seen) >= FEWEST_SEEN and len(bursts) >= 2


def fit_speed_groups(
    lessons: SpeedLessons, sitting_weights: Sequence[float] | None = None
) -> Levels | None:
    """Return how fast each group moves, and one to come.

    Parameters
    ----------
    lessons : SpeedLessons
        Frames.
    sitting_weights : sequence of float or None
        What each sitting counts for, 0..1.

    Returns
    -------
    Levels or None
        In the natural logarithm of the speed; None where `enough_speeds` says no.

    Notes
    -----
    Logarithms of speeds are normal within a sitting. A frame without motion counts by the
    probability of a speed below what it would have shown (censored below); frames of a burst
    count for less than one each.

    References
    ----------
    Tobin, J. (1958), "Estimation of relationships for limited dependent variables", Econometrica
    26, 24-36, for normal numbers of which some are known as limits only.
    """
    if not enough_speeds(lessons):
        return None
    logs = np.log(np.maximum(np.asarray(lessons.values, dtype=float), FLOOR))
    seen = np.asarray(lessons.seen, dtype=bool)
    sittings = np.asarray(lessons.sittings, dtype=np.intp)
    weights = effective_weights(_own_bursts(lessons))
    top = max(float(logs[seen].max()), float(np.median(logs))) + 1.0
    middles = even_nodes(float(logs.min()) - BEYOND, top, MIDDLES)
    at = (int(sittings.max()) + 1, middles)
    tables = _seen_tables(logs[seen], weights[seen], sittings[seen], at)
    tables += _limit_tables(logs[~seen], weights[~seen], sittings[~seen], at)
    grid = Grid(
        middles=middles,
        spreads=SPREADS,
        kernel=kernel_of(SPREADS, SPREADS, log_sd=GROUPS_LOG_SD),
        between_sittings=SITTINGS_SD,
        between_groups=GROUPS_SD,
    )
    of_sitting = np.zeros(at[0], dtype=int)
    of_sitting[sittings] = np.asarray(lessons.groups)
    return fit_levels(tables, [int(group) for group in of_sitting], grid, sitting_weights)


def median_speed(group: GroupPosterior) -> Measured:
    """Return the group's middle speed.

    Parameters
    ----------
    group : GroupPosterior
        Of a fit of logarithms.

    Returns
    -------
    Measured
        With the interval that holds the middle of the group's sittings.
    """
    return _as_speed(group.middle())


def fast_speed(group: GroupPosterior) -> Measured:
    """Return what nine exposures in ten stay below.

    Parameters
    ----------
    group : GroupPosterior
        Of a fit of logarithms.

    Returns
    -------
    Measured
        Over sittings to come.
    """
    return _as_speed(group.beyond(Q90))


def exposures_speed(group: GroupPosterior) -> Measured:
    """Return how exposures to come spread: what a plan takes.

    Parameters
    ----------
    group : GroupPosterior
        Of a fit of logarithms.

    Returns
    -------
    Measured
        The middle speed, and the middle 90 % of exposures. A plan takes a median as unsure as
        eight frames leave it; what is less sure than that widens the exposures.
    """
    middle, total = group.middle().value, group.total()
    unsure = max(group.unsure() ** 2 - total**2 / FEWEST_FRAMES, 0.0)
    half = Q95 * math.sqrt(total**2 + unsure)
    return _as_speed(Measured(value=middle, low=middle - half, high=middle + half))


def _as_speed(logs: Measured) -> Measured:
    return Measured(value=math.exp(logs.value), low=math.exp(logs.low), high=math.exp(logs.high))


def _own_bursts(lessons: SpeedLessons) -> list[int]:
    """Return bursts numbered over all sittings."""
    both = list(zip(lessons.sittings, lessons.bursts, strict=True))
    numbers = {one: n for n, one in enumerate(dict.fromkeys(both))}
    return [numbers[one] for one in both]


def _seen_tables(
    logs: Array, weights: Array, sittings: NDArray[np.intp], at: tuple[int, Array]
) -> Array:
    count, middles = at
    mass, first, second = (
        np.bincount(sittings, weights * logs**power, count)[:, None, None] for power in range(3)
    )
    middle, spread = middles[None, :, None], SPREADS[None, None, :]
    squares = second - 2 * middle * first + middle**2 * mass
    return np.asarray(-0.5 * squares / spread**2 - mass * np.log(spread))


def _limit_tables(
    logs: Array, weights: Array, sittings: NDArray[np.intp], at: tuple[int, Array]
) -> Array:
    """Return the same of limits, each put onto the nearest of evenly spaced nodes."""
    count, middles = at
    if not len(logs):
        return np.zeros((count, len(middles), len(SPREADS)))
    nodes = even_nodes(float(logs.min()), float(logs.max()), LIMITS)
    nearest = np.rint((logs - nodes[0]) / (nodes[1] - nodes[0])).astype(int)
    masses = np.zeros((count, LIMITS))
    np.add.at(masses, (sittings, nearest), weights)
    standard = (nodes[:, None, None] - middles[None, :, None]) / SPREADS[None, None, :]
    return np.asarray(np.tensordot(masses, special.log_ndtr(standard), axes=1))
