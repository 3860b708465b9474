"""Where the focus lies over many sittings: bias and spread of each kit and setting."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.learn.hierarchy import (
    SCATTER_REACH,
    Grid,
    GroupPosterior,
    even_nodes,
    levels_of,
    spread_kernel,
)
from eyeplane.learn.mixed import Array, set_aside
from eyeplane.records import Measured

FEWEST_FRAMES = 5  # with fewer told frames nothing is said of a kit; no source
FEWEST_BURSTS = 3  # a burst is one event of focusing: fewer say nothing of scatter; no source
# One frame may always lie far off the others; more than this are part of the scatter: no source.
ASIDE_SHARE = 0.1
# Error that all offsets of one sitting share (size of this sitter's iris, the mesh on this head),
# standard deviation; measured on rendered heads at f/2.8 and wider, rounded up from 0.9 mm.
SHARED_ERROR_MM = 1.0
MIDDLES = 121  # nodes of the mean offset
TOTALS = 28  # nodes of the spread, a factor of 1.22 apart
TOTAL_RANGE = (0.25, 50.0)  # mm; ends of those nodes
SHARES = (0.0, 0.5, 1.0)  # of the spread's square that a burst shares; all alike
USUAL_LOG_SD = 0.7  # how much kits differ in their spread, in its logarithm; from memory
SITTINGS_MM = 2.0  # half-normal: sittings differ in what the focus point covers; from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusLessons:
    """Offsets of many frames, one entry a frame.

    Attributes
    ----------
    values_mm, errors_mm : ndarray
        Focus plane minus near iris, and the standard deviation of measuring it, > 0.
    bursts, sittings, groups : sequence of int
        Burst (numbers may repeat from sitting to sitting), sitting and group, the last two
        counted from 0, none missing; a sitting belongs to one group.
    parts : sequence of int or None
        Way of setting the focus: whether a frame lies far off is judged among those of its own.
    """

    values_mm: Array
    errors_mm: Array
    bursts: Sequence[int]
    sittings: Sequence[int]
    groups: Sequence[int]
    parts: Sequence[int] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusGroup:
    """The focus of one kit and setting.

    Attributes
    ----------
    bias_mm, spread_mm : Measured
        Mean offset, and standard deviation from frame to frame without measuring error.
    chance_behind : float
        Probability that the mean lies behind the near iris.
    aside : int
        Frames far off all others, left out.
    """

    bias_mm: Measured
    spread_mm: Measured
    chance_behind: float
    aside: int


def fit_focus_groups(
    lessons: FocusLessons, sitting_weights: Sequence[float] | None = None
) -> tuple[FocusGroup | None, ...]:
    """Return where the focus of each group lies.

    Parameters
    ----------
    lessons : FocusLessons
        Frames.
    sitting_weights : sequence of float or None
        What each sitting counts for, 0..1.

    Returns
    -------
    tuple of FocusGroup or None
        One a group; None with fewer than five frames out of three bursts.

    Notes
    -----
    The mean offset of a group rests on its own frames alone: a lens is not adjusted because of
    what others do. Only the spreads borrow from each other. Each sitting adds an error that all
    of its frames share, at least `SHARED_ERROR_MM`; within a sitting the spread is that of
    bursts and of frames within them, in shares that are averaged over.
    """
    group_of = np.asarray(lessons.groups)
    count = int(group_of.max()) + 1
    kept = np.ones(len(group_of), dtype=bool)
    parts = group_of if lessons.parts is None else np.asarray(lessons.parts)
    for group in range(count):
        own = group_of == group
        kept[own] = _kept(lessons.values_mm[own], lessons.errors_mm[own], parts[own])
    told = [_told(lessons, kept & (group_of == group)) for group in range(count)]
    posteriors = _posteriors(lessons, kept, sitting_weights)
    return tuple(
        _group(posterior, int((~kept & (group_of == group)).sum())) if said else None
        for group, (posterior, said) in enumerate(zip(posteriors, told, strict=True))
    )


def _group(posterior: GroupPosterior, aside: int) -> FocusGroup:
    return FocusGroup(
        bias_mm=posterior.middle(),
        spread_mm=posterior.spread(),
        chance_behind=posterior.above(0.0),
        aside=aside,
    )


def few_aside(kept: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return which numbers go with the others, all of them where many would be left out.

    Parameters
    ----------
    kept : ndarray of bool
        False for those far off.

    Returns
    -------
    ndarray of bool
        The same, or all True: what happens to more than one frame in ten is how it scatters.
    """
    if np.sum(~kept) > max(1.0, ASIDE_SHARE * len(kept)):
        return np.ones_like(kept)
    return kept


def _kept(values: Array, errors: Array, parts: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Return which frames count: those of a way of focusing are judged among themselves.

    Else a way that scatters little would leave out the frames of one that scatters much, as if
    they had been focused on something else, and the kit would be told far too sure.
    """
    kept = np.ones(len(values), dtype=bool)
    if len(values) < FEWEST_FRAMES:
        return kept
    kept = set_aside(values, errors, np.ones((len(values), 1)))
    for part in np.unique(parts):
        own = parts == part
        if own.sum() >= FEWEST_FRAMES:
            kept[own] = few_aside(set_aside(values[own], errors[own], np.ones((own.sum(), 1))))
    return few_aside(kept)


def _told(lessons: FocusLessons, own: NDArray[np.bool_]) -> bool:
    """Return whether there is enough to say something of a group."""
    bursts = {(lessons.sittings[n], lessons.bursts[n]) for n in np.flatnonzero(own).tolist()}
    return int(own.sum()) >= FEWEST_FRAMES and len(bursts) >= FEWEST_BURSTS


def _posteriors(
    lessons: FocusLessons, kept: NDArray[np.bool_], weights: Sequence[float] | None
) -> tuple[GroupPosterior, ...]:
    values, errors = lessons.values_mm[kept], lessons.errors_mm[kept]
    sittings = np.asarray(lessons.sittings)
    totals = np.geomspace(*TOTAL_RANGE, TOTALS)
    spreads = np.repeat(totals, len(SHARES))
    share = np.tile(np.array(SHARES), TOTALS)
    kernel = np.repeat(spread_kernel(totals, totals, log_sd=USUAL_LOG_SD), len(SHARES), axis=1)
    own = np.asarray(lessons.groups)[kept]
    middles = [_middles(values[own == group]) for group in range(max(lessons.groups) + 1)]
    grid = Grid(
        middles=middles[0],  # each group has its own: nothing of a mean is borrowed
        spreads=spreads,
        kernel=kernel / len(SHARES),
        between_sittings=SITTINGS_MM,
        between_groups=float("inf"),
        least_between=SHARED_ERROR_MM,
    )
    count = int(sittings.max()) + 1
    squares = _squares(
        (values, errors, sittings[kept], np.asarray(lessons.bursts)[kept]), (spreads, share), count
    )
    of_sitting = np.zeros(count, dtype=int)
    of_sitting[sittings] = np.asarray(lessons.groups)
    power = np.ones(count) if weights is None else np.asarray(weights, dtype=float)
    found = levels_of(_logs(squares, (grid, middles), of_sitting, power), grid).groups
    return tuple(replace(one, middles=at) for one, at in zip(found, middles, strict=True))


def _middles(values: Array) -> Array:
    """Return nodes that hold a group's mean, however far its few sittings may lie from it."""
    room = float(np.std(values)) + SCATTER_REACH * float(np.hypot(SITTINGS_MM, SHARED_ERROR_MM))
    return even_nodes(float(values.min()) - room, float(values.max()) + room, MIDDLES)


def _squares(
    frames: tuple[Array, Array, NDArray[np.intp], NDArray[np.intp]],
    spreads: tuple[Array, Array],
    count: int,
) -> tuple[Array, Array, Array]:
    """Return what each sitting's offsets say of its middle m, bursts' own means summed out.

    The logarithm of the likelihood is -(second - 2 first m + mass m²) / 2; each of the three has
    a row a sitting and a column a spread.
    """
    values, errors, sittings, bursts = frames
    total, share = spreads
    order = np.lexsort((bursts, sittings))
    y, at = values[order], sittings[order]
    turn = (np.diff(at, prepend=-1) != 0) | (np.diff(bursts[order], prepend=-1) != 0)
    starts = np.flatnonzero(turn)
    weight = 1.0 / (((1 - share) * total**2)[:, None] + errors[order] ** 2)
    mass, first, second = (np.add.reduceat(weight * y**power, starts, axis=1) for power in range(3))
    logs = np.add.reduceat(np.log(weight), starts, axis=1)
    second, first, mass = _shrunk((second - logs, first, mass), (share * total**2)[:, None])

    def summed(part: Array) -> Array:
        return np.stack([np.bincount(at[starts], row, count) for row in part], axis=1)

    return summed(second), summed(first), summed(mass)


def _shrunk(squares: tuple[Array, Array, Array], between: Array) -> tuple[Array, Array, Array]:
    """Return what numbers say of the mean of their middle, which scatters about it."""
    second, first, mass = squares
    part = 1.0 + between * mass
    return second - between * first**2 / part + np.log(part), first / part, mass / part


def _logs(
    squares: tuple[Array, Array, Array],
    at: tuple[Grid, Sequence[Array]],
    of_sitting: NDArray[np.intp],
    power: Array,
) -> Array:
    """Return the likelihood of each group's offsets for every node of its grid."""
    grid, count = at[0], int(of_sitting.max()) + 1
    scatters = grid.scatters()
    logs = np.zeros((count, MIDDLES, len(grid.spreads), len(scatters)))
    for n, scatter in enumerate(scatters):
        second, first, mass = _shrunk(squares, np.asarray(scatter**2))
        for group in range(count):
            own = of_sitting == group
            middles = at[1][group][:, None]
            a, b, c = (power[own] @ part[own] for part in (second, first, mass))
            logs[group, ..., n] = -0.5 * (a - 2 * middles * b + middles**2 * c)
    return logs
