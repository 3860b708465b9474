"""How many more frames, at which shutter time, would make a limit surer: asked of the posterior."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy import special

from eyeplane.learn.ladder_fit import LadderFit
from eyeplane.learn.shares import FloatArray

POINTS = 1000  # drawn from the posterior, evenly by its probability
TRIED = (
    1,
    2,
    3,
    4,
    5,
    6,
    8,
    10,
    12,
    15,
    20,
    25,
    30,
    40,
    50,
    60,
    80,
    100,
    120,
    160,
)  # frames at each time
FIRST_LOOK = 5  # frames at each time, to find the times that tell most
BEST_PAIRS = 2  # of times that are worked out to the end


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreFrames:
    """What more frames would bring.

    Attributes
    ----------
    shutters_s : tuple of float
        Shutter times to shoot at, one or two, fast to slow.
    each : int
        So many frames at each.
    now_stops, then_stops : float
        Width of the limit's 90 % interval now, and as expected then.
    enough : bool
        Whether that is as narrow as wanted; False where even the most frames tried are not.
    """

    shutters_s: tuple[float, ...]
    each: int
    now_stops: float
    then_stops: float
    enough: bool

    @property
    def frames(self) -> int:
        """Return how many frames that is together.

        Returns
        -------
        int
            Over all times.
        """
        return self.each * len(self.shutters_s)


def more_frames(
    fit: LadderFit, *, share: float, times_s: Sequence[float], ratio: float = 0.5
) -> MoreFrames:
    """Return how many more frames, at which shutter times, narrow the interval of a limit.

    Parameters
    ----------
    fit : LadderFit
        What is known.
    share : float
        Whose limit, in (0, 1).
    times_s : sequence of float
        Shutter times that could be shot at, at least one.
    ratio : float
        Wanted width over the present one.

    Returns
    -------
    MoreFrames
        The fewest frames, at one time or shared evenly between two, for which the width to be
        expected is as narrow; up to 320 at one, 160 at each of two.

    Notes
    -----
    For every count that could come out, the posterior with it, the width of its interval, and how
    probable that count is by the posterior of now (D. V. Lindley, Ann. Math. Stat. 27, 986-1005,
    1956, from memory); no simulation, so the answer is always the same. An interval that reaches
    beyond what was tried rests on what was believed beforehand.
    """
    points = _points(fit, share)
    now = float(_width(points[0], np.ones((1, POINTS)))[0])
    times = sorted(set(times_s))
    pairs = sorted((_expected(points, pair, FIRST_LOOK), pair) for pair in combinations(times, 2))
    single = min((_expected(points, (t,), 2 * FIRST_LOOK), t) for t in times)[1]
    good: list[tuple[float, ...]] = [*(pair for _, pair in pairs[:BEST_PAIRS]), (single,)]
    found = [_fewest(points, pair, ratio * now) for pair in good]
    best = min(
        zip(found, good, strict=True),
        key=lambda one: (not one[0][2], one[0][0] * len(one[1]), one[0][1]),
    )
    (each, then, enough), shutters = best
    return MoreFrames(shutters_s=shutters, each=each, now_stops=now, then_stops=then, enough=enough)


_Points = tuple[FloatArray, FloatArray, FloatArray, FloatArray]


def _points(fit: LadderFit, share: float) -> _Points:
    """Return limits (rising), middles, scales and lapses of points of equal probability."""
    grid = fit.posterior
    below = np.cumsum(grid.chance.ravel())
    at = np.searchsorted(below, (np.arange(POINTS) + 0.5) / POINTS * below[-1])
    half, scale, lapse = np.unravel_index(at, grid.chance.shape)
    middles, scales = grid.half_stops[half], grid.scale_stops[scale]
    limits = middles - scales * float(special.logit(share))
    order = np.argsort(limits, kind="stable")
    return limits[order], middles[order], scales[order], grid.lapse_share[lapse][order]


def _expected(points: _Points, times_s: tuple[float, ...], each: int) -> float:
    """Return the width to be expected after so many more frames at each of one or two times."""
    likely = _outcomes(points, times_s[0], each)
    if len(times_s) == 1:
        return float(likely.mean(axis=1) @ _width(points[0], likely))
    total = 0.0
    for one in _outcomes(points, times_s[1], each):
        both = likely * one
        total += float(both.mean(axis=1) @ _width(points[0], both))
    return total


def _outcomes(points: _Points, time_s: float, frames: int) -> FloatArray:
    """Return how likely each count of frames that hold is, [counts, points]."""
    _, middles, scales, lapses = points
    holds = (1 - lapses) * special.expit((middles - math.log2(time_s)) / scales)
    counts = np.arange(frames + 1)[:, None]
    choose = (
        special.gammaln(frames + 1)
        - special.gammaln(counts + 1)
        - special.gammaln(frames - counts + 1)
    )
    logs = special.xlogy(counts, holds) + special.xlog1py(frames - counts, -holds)
    return np.asarray(np.exp(logs + choose))


def _width(limits: FloatArray, weights: FloatArray) -> FloatArray:
    """Return the width of the 90 % interval of rising values, for each row of weights."""
    below = np.cumsum(weights, axis=1)
    below /= np.maximum(below[:, -1:], 1e-300)
    low = np.minimum((below < 0.05).sum(axis=1), len(limits) - 1)
    high = np.minimum((below < 0.95).sum(axis=1), len(limits) - 1)
    return np.asarray(limits[high] - limits[low])


def _fewest(points: _Points, times_s: tuple[float, ...], wanted: float) -> tuple[int, float, bool]:
    """Return frames at each time, the width to be expected, and whether it is narrow enough."""
    tried = [n * (2 if len(times_s) == 1 else 1) for n in TRIED]
    low, high = 0, len(tried) - 1
    width = _expected(points, times_s, tried[high])
    if width > wanted:
        return tried[high], width, False
    while low < high:  # more frames never make the width to be expected larger
        middle = (low + high) // 2
        then = _expected(points, times_s, tried[middle])
        if then <= wanted:
            high, width = middle, then
        else:
            low = middle + 1
    return tried[high], width, True
