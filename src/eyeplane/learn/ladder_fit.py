"""The share of frames that hold against the shutter time: fit, limits, one-sided where need be."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.errors import InputError
from eyeplane.learn.ladder_grid import LadderPosterior, LadderPrior, ladder_posterior
from eyeplane.learn.shares import FloatArray, group_counts
from eyeplane.records import Measured

SHARES = (0.5, 0.8, 0.9, 0.95)  # of frames, whose limits are told
FEWEST_FRAMES = 3  # from fewer a one-sided limit would be what was believed before; no source
LONGEST_S, SHORTEST_S = 3600.0, 1e-6  # s; outside is a slip of unit


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitFit:
    """The slowest shutter time at which a share of frames holds, lapses apart.

    Attributes
    ----------
    share : float
        Of the frames.
    shutter_s : Measured or None
        The time, where frames bound it on both sides.
    least_s : float or None
        Where all that was tried held: at least this, 95 times in 100; not slower than a time at
        which frames held; else None.
    most_s : float or None
        Where nothing that was tried held: at most this, 95 times in 100; not faster than a time
        at which frames were lost; else None.
    """

    share: float
    shutter_s: Measured | None
    least_s: float | None = None
    most_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LadderFit:
    """What a ladder says.

    Attributes
    ----------
    times_s, held, frames : ndarray
        Shutter times tried, fast to slow, and how many frames held of how many.
    limits : tuple of LimitFit
        One for each share asked for.
    scale_stops : Measured
        How gradually frames are lost: scale of the logistic curve; from nine in ten that hold to
        one in ten are 4.4 of it.
    lapse_share : Measured
        Share of frames lost at any shutter time.
    posterior : LadderPosterior
        All of it.
    """

    times_s: FloatArray
    held: FloatArray
    frames: FloatArray
    limits: tuple[LimitFit, ...]
    scale_stops: Measured
    lapse_share: Measured
    posterior: LadderPosterior

    def limit(self, share: float) -> LimitFit:
        """Return the limit of any share.

        Parameters
        ----------
        share : float
            Of the frames, in (0, 1).

        Returns
        -------
        LimitFit
            As in `limits`.
        """
        return _limit(self.posterior, share, (self.times_s, self.held, self.frames))


def fit_ladder(
    shutters_s: Sequence[float],
    held: Sequence[bool],
    *,
    weights: Sequence[float] | None = None,
    prior: LadderPrior | None = None,
    shares: Sequence[float] = SHARES,
) -> LadderFit:
    """Return how the share of frames that hold falls with the shutter time.

    Parameters
    ----------
    shutters_s : sequence of float
        Shutter time of each frame, in any order, > 0 s.
    held : sequence of bool
        Whether each frame held.
    weights : sequence of float, optional
        For how much each frame counts, 0 to 1: frames of one drive share their fate. 1 unless
        given.
    prior : LadderPrior, optional
        What is believed before a frame is seen.
    shares : sequence of float
        Whose limits are wanted, each in (0, 1).

    Returns
    -------
    LadderFit
        Few frames give wide intervals. All that held give limits of the kind "at least", none
        that held "at most"; neither from fewer than three frames, nor beyond what was tried.

    Raises
    ------
    InputError
        If there is no frame, or a time, weight or share is impossible.

    Notes
    -----
    A logistic curve over log2 of the time with a lapse rate and no guessing, by Bayes on a grid.
    A limit is that of the curve with lapses apart: a frame lost at any shutter time (pressed as
    the sitter got up) says nothing about which time to set, and with a lapse rate above 5 % no
    time would hold 95 %. So at the 90 % limit, 90 % of the frames hold but for lapses. A limit is
    called open where a middle ten stops beyond all that was tried keeps the likelihood within
    exp(−1.353) of the best (half of the 90 % point of chi-squared).

    References
    ----------
    F. A. Wichmann and N. J. Hill, Percept. Psychophys. 63, 1293-1313, 2001 (lapses; abstract);
    N. Prins, J. Vision 12(6), 25, 2012 (abstract).

    Examples
    --------
    >>> times = [1 / 250] * 5 + [1 / 125] * 5 + [1 / 60] * 5 + [1 / 30] * 5
    >>> held = [True] * 5 + [True] * 5 + [True, True, True, False, False] + [False] * 5
    >>> limit = fit_ladder(times, held).limit(0.5).shutter_s
    >>> round(1 / limit.low), round(1 / limit.value), round(1 / limit.high)
    (77, 54, 36)
    """
    own = [1.0] * len(shutters_s) if weights is None else list(weights)
    _check(shutters_s, held, own, shares)
    known = prior or LadderPrior()
    times, counts, totals = group_counts(shutters_s, held, own)
    there = totals > 0
    times, counts, totals = times[there], counts[there], totals[there]
    posterior = ladder_posterior(np.log2(times), counts, totals, known)
    return LadderFit(
        times_s=times,
        held=counts,
        frames=totals,
        limits=tuple(_limit(posterior, share, (times, counts, totals)) for share in shares),
        scale_stops=posterior.scale(),
        lapse_share=posterior.lapse(),
        posterior=posterior,
    )


def _limit(
    posterior: LadderPosterior, share: float, tried: tuple[FloatArray, FloatArray, FloatArray]
) -> LimitFit:
    low, value, high = (2.0**stops for stops in posterior.limit_stops(share))
    if not posterior.open_slow and not posterior.open_fast:
        return LimitFit(share=share, shutter_s=Measured(value=value, low=low, high=high))
    times, held, frames = tried
    few = float(frames.sum()) < FEWEST_FRAMES - 1e-9
    if few or (posterior.open_slow and posterior.open_fast):
        return LimitFit(share=share, shutter_s=None)
    # Beyond what was tried nothing but what was believed before would speak.
    if posterior.open_slow:
        slowest = float(times[held > 0].max(initial=0.0))
        return LimitFit(share=share, shutter_s=None, least_s=min(low, slowest) or None)
    fastest = float(times[held < frames].min(initial=float(times[-1])))
    return LimitFit(share=share, shutter_s=None, most_s=max(high, fastest))


def _check(
    shutters_s: Sequence[float],
    held: Sequence[bool],
    weights: Sequence[float],
    shares: Sequence[float],
) -> None:
    if not len(shutters_s) or not len(shutters_s) == len(held) == len(weights):
        raise InputError(
            f"{len(shutters_s)} times, {len(held)} outcomes and {len(weights)} weights",
            where="fit_ladder",
            hint="Give one of each for every frame, and at least one frame",
        )
    for time_s in shutters_s:
        if not SHORTEST_S < time_s < LONGEST_S:
            raise InputError(
                f"a shutter time of {time_s:g} s does not exist",
                where="shutters_s",
                hint="Give seconds, such as 1/60",
            )
    if any(not 0 <= w <= 1 for w in weights) or not sum(weights) > 0:
        raise InputError(
            "weights that are not between 0 and 1, or are all 0",
            where="weights",
            hint="Give 1 for a frame that counts whole",
        )
    for share in shares:
        if not 0 < share < 1:
            raise InputError(
                f"a limit for {share:g} of the frames does not exist",
                where="shares",
                hint="Give a share between 0 and 1, such as 0.9",
            )
