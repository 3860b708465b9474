"""All that frames say about how the share that holds falls with the shutter time, on a grid.

The share that holds at a shutter time t is (1 − lapse) / (1 + exp((log2 t − log2 half) / scale)):
a logistic curve over stops, with a share of frames that are lost at any shutter time.
"""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from eyeplane.records import Measured

FloatArray = NDArray[np.float64]

STEP_STOPS = 0.1  # of the grid of the middle; intervals are interpolated
BEYOND_STOPS = 10.0  # how far the grid goes beyond what was tried
SCALES = 36  # of the grid of the scale
SCALE_RANGE_STOPS = (0.15, 4.0)  # from a cut within a third stop to hardly any fall; no source
LAPSES = 10  # of the grid of the lapse rate, equally probable before a frame is seen
FAINT = 1e-4  # of the most probable point: fainter ones do not show on a curve
TAILS = (0.05, 0.5, 0.95)
OPEN = math.exp(
    -1.353
)  # likelihood left at an end that frames do not exclude: chi-squared 2.706 / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderPrior:
    """What is believed before a frame is seen.

    Attributes
    ----------
    half_s : float
        Shutter time at which half of the frames hold, the middle belief.
    half_sd_stops : float
        Its standard deviation.
    scale_stops : float
        Scale of the logistic curve, the middle belief.
    scale_log_sd : float
        Standard deviation of its natural logarithm.
    lapse_share : float
        Mean share of frames lost at any shutter time.
    """

    half_s: float = 1 / 60  # s, from memory: a still sitter or a hand at 85 mm on a 60 cm print
    half_sd_stops: float = 3.5  # from memory: 1/3000 (toddler at play) to 1 s (stabilised), 9 in 10
    # Speeds of hands spread by 0.9 and of sitters by 0.7 to 1.4 (people.hands, people.speeds: from
    # memory), natural logarithm: over ln 2 and over 1.7, the logistic curve's own width.
    scale_stops: float = 0.75
    scale_log_sd: float = 0.8  # from memory: 0.2 to 2.8 stops, nine times in ten
    lapse_share: float = 1 / 16  # from memory; with 1/30, 2 % of lapses move limits by .15 stop


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LadderPosterior:
    """The grid and its probabilities.

    Attributes
    ----------
    half_stops : ndarray
        Middles: log2 of the shutter time in s at which half hold, lapses apart.
    scale_stops : ndarray
        Scales.
    lapse_share : ndarray
        Shares lost at any shutter time.
    chance : ndarray
        [middles, scales, lapses], summing to 1.
    open_slow, open_fast : bool
        Whether the frames leave a middle far slower, or far faster, than all they tried possible.
    """

    half_stops: FloatArray
    scale_stops: FloatArray
    lapse_share: FloatArray
    chance: FloatArray
    open_slow: bool
    open_fast: bool

    def limit_stops(self, share: float) -> tuple[float, float, float]:
        """Return where a share of frames holds, lapses apart.

        Parameters
        ----------
        share : float
            In (0, 1).

        Returns
        -------
        tuple of float
            5 %, 50 % and 95 % points of log2 of the shutter time in s.
        """
        values = self.half_stops[:, None] - self.scale_stops[None, :] * float(special.logit(share))
        return _quantiles(values.ravel(), self.chance.sum(axis=2).ravel())

    def scale(self) -> Measured:
        """Return the scale of the logistic curve.

        Returns
        -------
        Measured
            In stops.
        """
        logs = _quantiles(np.log(self.scale_stops), self.chance.sum(axis=(0, 2)))
        low, value, high = (math.exp(one) for one in logs)
        return Measured(value=value, low=low, high=high)

    def lapse(self) -> Measured:
        """Return the share of frames lost at any shutter time.

        Returns
        -------
        Measured
            Of all frames, 0..1.
        """
        low, value, high = _quantiles(self.lapse_share, self.chance.sum(axis=(0, 1)))
        return Measured(value=value, low=low, high=high)

    def share_at(self, time_s: float) -> Measured:
        """Return the share of frames that holds at a shutter time, lapses counted.

        Parameters
        ----------
        time_s : float
            Shutter time, > 0 s.

        Returns
        -------
        Measured
            0..1.
        """
        half, scale, lapse = np.nonzero(self.chance > FAINT * self.chance.max())
        away = (self.half_stops[half] - math.log2(time_s)) / self.scale_stops[scale]
        shares = (1 - self.lapse_share[lapse]) * special.expit(away)
        chance = self.chance[half, scale, lapse]
        low, value, high = _quantiles(shares, chance / chance.sum())
        return Measured(value=value, low=low, high=high)


def ladder_posterior(
    stops: FloatArray, held: FloatArray, frames: FloatArray, prior: LadderPrior
) -> LadderPosterior:
    """Return what counts of frames say, together with what was believed before.

    Parameters
    ----------
    stops : ndarray
        Binary logarithms of the shutter times in s, rising, at least one.
    held, frames : ndarray
        How many held of how many at each.
    prior : LadderPrior
        What was believed.

    Returns
    -------
    LadderPosterior
        On a grid that reaches `BEYOND_STOPS` beyond the times tried and the middle belief.
    """
    middle = math.log2(prior.half_s)
    first, last = (
        min(float(stops[0]), middle) - BEYOND_STOPS,
        max(float(stops[-1]), middle) + BEYOND_STOPS,
    )
    halves = np.arange(first, last + STEP_STOPS / 2, STEP_STOPS)
    scales = np.geomspace(*SCALE_RANGE_STOPS, SCALES)
    lapses = _lapses(prior.lapse_share)
    likely = _log_likelihood((halves, scales, lapses), stops, held, frames)
    off = np.log(scales / prior.scale_stops) / prior.scale_log_sd
    likely = likely - 0.5 * off[None, :, None] ** 2
    top = float(likely.max())
    profile = np.exp(likely - top).sum(axis=(1, 2))
    belief = -0.5 * ((halves - middle) / prior.half_sd_stops) ** 2
    chance = np.exp(likely + belief[:, None, None] - (likely + belief[:, None, None]).max())
    return LadderPosterior(
        half_stops=halves,
        scale_stops=scales,
        lapse_share=lapses,
        chance=chance / chance.sum(),
        open_slow=bool(profile[-1] > OPEN * profile.max()),
        open_fast=bool(profile[0] > OPEN * profile.max()),
    )


def _log_likelihood(
    grid: tuple[FloatArray, FloatArray, FloatArray],
    stops: FloatArray,
    held: FloatArray,
    frames: FloatArray,
) -> FloatArray:
    halves, scales, lapses = grid
    away = (halves[:, None, None] - stops) / scales[None, :, None]
    log_share = special.log_expit(away)
    share = np.exp(log_share)
    total = (log_share @ held)[:, :, None] + float(held.sum()) * np.log1p(-lapses)
    lost = frames - held
    there = lost > 0
    if there.any():
        own = share[:, :, there]
        for number, lapse in enumerate(lapses):
            total[:, :, number] += np.log1p(-(1 - lapse) * own) @ lost[there]
    return np.asarray(total)


@functools.lru_cache(maxsize=8)
def _lapse_nodes(mean: float) -> tuple[float, ...]:
    tries = 1.0 / mean - 1.0  # Beta(1, tries) has this mean: most probable is no lapse at all
    levels = (np.arange(LAPSES) + 0.5) / LAPSES
    return tuple(float(v) for v in -np.expm1(np.log1p(-levels) / tries))


def _lapses(mean: float) -> FloatArray:
    return np.array(_lapse_nodes(mean))


def _quantiles(values: ArrayLike, chance: FloatArray) -> tuple[float, float, float]:
    own = np.asarray(values, dtype=float)
    order = np.argsort(own)
    weight = chance[order]
    below = np.cumsum(weight) - weight / 2
    low, middle, high = (float(np.interp(q, below, own[order])) for q in TAILS)
    return low, middle, high
