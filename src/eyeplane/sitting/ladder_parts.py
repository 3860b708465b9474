"""From what each frame says to the limits of the camera's shake and of the sitter's own motion."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.learn.ladder_fit import SHARES, LadderFit, LimitFit, fit_ladder
from eyeplane.learn.ladder_grid import LadderPrior
from eyeplane.learn.ladder_more import more_frames
from eyeplane.learn.recency import effective_weights
from eyeplane.learn.shares import wilson_interval
from eyeplane.learn.speeds import Q95, Speed, fit_speeds
from eyeplane.light.camera_values import SHUTTER_TIMES_S, nearest_shutter_s
from eyeplane.people.hands import HAND
from eyeplane.people.speeds import UNKNOWN
from eyeplane.records import Measured
from eyeplane.records.ladder import (
    LadderLimit,
    LadderMore,
    LadderMover,
    LadderPart,
    LadderPoint,
    LadderStep,
)
from eyeplane.sitting.ladder_units import Units

WHOLE_S = tuple(1 / n for n in (4000, 2000, 1000, 500, 250, 125, 60, 30, 15, 8, 4, 2, 1))
# Logistic and normal curves that fit the same shares: ratio of their scales, from Bliss's beetles
# (34.270 / 19.728; Dobson, An Introduction to Generalized Linear Models).
LOGIT_OVER_PROBIT = 1.737
CURVE_STEPS = 4  # points of the curve in a stop
BEYOND_STOPS = 1.0  # how far the curve goes beyond what was tried
NEAR_RATIO = 2.3  # beyond what was tried, a little more than a stop: where more may be shot
TELLING = (0.1, 0.985)  # shares between which frames tell something of a limit; no source
UNSURE_LIMIT_STOPS = 3.5  # of the middle belief: a stabiliser, a toddler; from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One frame as it counts for one mover.

    Attributes
    ----------
    number : int
        Of the frame.
    shutter_s : float
        Its shutter time.
    drive : int
        Which drive of the shutter it came in.
    held : bool
        Whether it held.
    counts_share : float
        How much it counts, 0..1, its drive apart.
    """

    number: int
    shutter_s: float
    drive: int
    held: bool
    counts_share: float = 1.0


def part_of(
    mover: LadderMover,
    trials: Sequence[Trial],
    units: Units,
    *,
    wanted_share: float,
    speeds: Sequence[Speed] = (),
) -> tuple[LadderPart, LadderFit]:
    """Return what the frames say of one mover.

    Parameters
    ----------
    mover : {"shake", "sitter", "motion"}
        Who moves.
    trials : sequence of Trial
        Frames that count for it, at least one.
    units : Units
        Of the longest line.
    wanted_share : float
        Share of the frames whose limit matters most.
    speeds : sequence of Speed
        What the lengths of lines say of the same mover; empty where nothing is known.

    Returns
    -------
    part : LadderPart
        With one-sided limits where the frames do not bound them; its `more` is left open.
    fit : LadderFit
        What it rests on.
    """
    weights = effective_weights([one.drive for one in trials])
    fit = fit_ladder(
        [one.shutter_s for one in trials],
        [one.held for one in trials],
        weights=[float(w) * one.counts_share for w, one in zip(weights, trials, strict=True)],
        prior=LadderPrior(half_s=_believed_s(mover, units), half_sd_stops=UNSURE_LIMIT_STOPS),
        shares=sorted({*SHARES, wanted_share}),
    )
    typical, source = _typical(mover, fit, units, speeds)
    part = LadderPart(
        mover=mover,
        steps=_steps(trials),
        limits=tuple(_limit(mover, one, units) for one in fit.limits),
        curve=_curve(fit),
        scale_stops=fit.scale_stops,
        lapse_share=fit.lapse_share,
        typical_deg_per_s=typical if mover == "shake" else None,
        typical_mm_per_s=typical if mover == "sitter" else None,
        typical_from=source,
        more=None,
    )
    return part, fit


def limit_for(part: LadderPart, share: float) -> LadderLimit:
    """Return the limit of one share.

    Parameters
    ----------
    part : LadderPart
        Of one mover.
    share : float
        Of the frames, one of those asked for.

    Returns
    -------
    LadderLimit
        That limit.
    """
    return min(part.limits, key=lambda one: abs(one.share - share))


def best_time_s(limit: LadderLimit) -> float | None:
    """Return the one time that says most of a limit.

    Parameters
    ----------
    limit : LadderLimit
        Any.

    Returns
    -------
    float or None
        Its best answer, or the end that is known.
    """
    if limit.shutter_s is not None:
        return limit.shutter_s.value
    return limit.least_s if limit.least_s is not None else limit.most_s


def _believed_s(mover: LadderMover, units: Units) -> float:
    """Return where half of the frames would hold with a usual hand or sitter."""
    shake = math.inf if units.limit_deg is None else units.limit_deg / HAND.median_deg_per_s
    sitter = math.inf if units.limit_mm is None else units.limit_mm / UNKNOWN.median_mm_per_s
    believed = {"shake": shake, "sitter": sitter, "motion": min(shake, sitter)}[mover]
    return believed if math.isfinite(believed) else LadderPrior().half_s


def _steps(trials: Sequence[Trial]) -> tuple[LadderStep, ...]:
    """Return whole frames by shutter time; a frame of unsure owner counts where it is likelier."""
    found = []
    for time_s in sorted({one.shutter_s for one in trials}):
        own = [t for t in trials if t.shutter_s == time_s and t.counts_share >= 0.5]
        held = sum(one.held for one in own)
        if own:
            share = wilson_interval(held, len(own))
            found.append(LadderStep(shutter_s=time_s, held=held, frames=len(own), share=share))
    return tuple(found)


def _limit(mover: LadderMover, one: LimitFit, units: Units) -> LadderLimit:
    best = one.shutter_s.value if one.shutter_s is not None else one.least_s
    setting = None
    if best is not None and SHUTTER_TIMES_S[-1] <= best:
        setting = nearest_shutter_s(min(best, SHUTTER_TIMES_S[0]), faster=True)
    return LadderLimit(
        share=one.share,
        shutter_s=one.shutter_s,
        least_s=one.least_s,
        most_s=one.most_s,
        setting_s=setting,
        shake_deg_per_s=None if mover == "sitter" else _rate(units.limit_deg, one.shutter_s),
        sitter_mm_per_s=None if mover == "shake" else _rate(units.limit_mm, one.shutter_s),
    )


def _rate(length: float | None, time_s: Measured | None) -> Measured | None:
    if length is None or time_s is None:
        return None
    low, value, high = (length / t for t in (time_s.high, time_s.value, time_s.low))
    return Measured(value=value, low=low, high=high)


def _curve(fit: LadderFit) -> tuple[LadderPoint, ...]:
    first, last = (math.log2(float(t)) for t in (fit.times_s[0], fit.times_s[-1]))
    first, last = first - BEYOND_STOPS, last + BEYOND_STOPS
    count = max(round((last - first) * CURVE_STEPS), 2) + 1
    times = [2.0 ** float(x) for x in np.linspace(first, last, count)]
    return tuple(LadderPoint(shutter_s=t, share=fit.posterior.share_at(t)) for t in times)


def _typical(
    mover: LadderMover, fit: LadderFit, units: Units, speeds: Sequence[Speed]
) -> tuple[Measured | None, str]:
    """Return the middle exposure's speed with the middle 90 % of exposures, and its source."""
    if mover == "motion":
        return None, ""
    by_length = fit_speeds(speeds)
    if by_length is not None:
        return by_length.median, "lengths"
    half = fit.limit(0.5).shutter_s
    length = units.limit_deg if mover == "shake" else units.limit_mm
    if half is None or length is None:
        return None, ""
    log_sd = fit.scale_stops.value * math.log(2.0) * LOGIT_OVER_PROBIT
    value = length / half.value
    ratio = math.exp(Q95 * log_sd)
    return Measured(value=value, low=value / ratio, high=value * ratio), "counts"


def more_of(fit: LadderFit, wanted_share: float) -> LadderMore | None:
    """Return how many more frames would make a limit surer.

    Parameters
    ----------
    fit : LadderFit
        What is known.
    wanted_share : float
        Whose limit.

    Returns
    -------
    LadderMore or None
        None where slower or faster times must be tried first.
    """
    if fit.limit(wanted_share).shutter_s is None:
        return None
    first, last = float(fit.times_s[0]) / NEAR_RATIO, float(fit.times_s[-1]) * NEAR_RATIO
    times = [t for t in WHOLE_S if first <= t <= last]
    open_ = [t for t in times if TELLING[0] <= fit.posterior.share_at(t).value <= TELLING[1]]
    found = more_frames(fit, share=wanted_share, times_s=open_ if len(open_) > 1 else times)
    return LadderMore(
        shutters_s=found.shutters_s,
        each=found.each,
        now_stops=found.now_stops,
        then_stops=found.then_stops,
        halves=found.enough,
    )
