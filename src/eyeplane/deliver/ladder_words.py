"""Shutter times, shares and movers of a ladder in words."""

import math
from collections.abc import Sequence

import numpy as np

from eyeplane.deliver.plan_words import share_words
from eyeplane.deliver.wording import THIN, percent
from eyeplane.light.camera_values import SHUTTER_TIMES_S, nearest_shutter_s
from eyeplane.light.camera_words import shutter
from eyeplane.records import Measured
from eyeplane.records.ladder import LadderLimit, LadderPart, LadderResult, LadderStep

FASTEST_S = 1 / 8000  # of mechanical shutters: common practice, no source
NEGLIGIBLE_LAPSE = 0.02  # of the frames; fewer lost at any time leave 9 in 10 as said; no source
PLAIN_SHARES = {0.5: "half of the frames", 0.8: "8 frames in 10", 0.9: "9 frames in 10"}
PLAIN_SHARES[0.95] = "19 frames in 20"
MOVERS = {"shake": "Your hand", "sitter": "The sitter", "motion": "Hand and sitter"}


def many_frames(share: float) -> str:
    """Return a share of frames as it is spoken.

    Parameters
    ----------
    share : float
        In (0, 1).

    Returns
    -------
    str
        "9 frames in 10", "85 % of the frames".
    """
    return PLAIN_SHARES.get(round(share, 6), f"{percent(share)} of the frames")


def setting_words(time_s: float) -> str:
    """Return a shutter time as the camera marks it, not slower than it is.

    Parameters
    ----------
    time_s : float
        Shutter time, > 0 s.

    Returns
    -------
    str
        "1/125 s"; "faster than 1/8000 s" beyond.
    """
    if time_s < FASTEST_S * 0.97:
        return f"faster than {shutter(FASTEST_S)}"
    return shutter(nearest_shutter_s(min(time_s, SHUTTER_TIMES_S[0]), faster=True))


def range_words(time_s: Measured) -> str:
    """Return the ends of a range of shutter times, marked, the fast end not slower than it is.

    Parameters
    ----------
    time_s : Measured
        Shutter time.

    Returns
    -------
    str
        "1/320–1/60"; a fast end beyond all shutters as "faster than 1/8000–1/60".
    """
    slow = shutter(nearest_shutter_s(min(time_s.high, SHUTTER_TIMES_S[0])))
    if time_s.high < FASTEST_S * 0.97:
        return setting_words(time_s.high)
    return f"{setting_words(time_s.low).removesuffix(f'{THIN}s')}–{slow.removesuffix(f'{THIN}s')}"


def limit_words(limit: LadderLimit) -> str:
    """Return a limit in a few words.

    Parameters
    ----------
    limit : LadderLimit
        Any.

    Returns
    -------
    str
        "1/125 s (1/320–1/60)", "at least 1/30 s", "1/1000 s or faster", "cannot tell".
    """
    if limit.shutter_s is not None:
        return f"{setting_words(limit.shutter_s.value)} ({range_words(limit.shutter_s)})"
    if limit.least_s is not None and limit.least_s >= FASTEST_S:
        return f"at least {setting_words(limit.least_s)}"
    if limit.most_s is not None:
        said = setting_words(limit.most_s)
        return said if said.startswith("faster") else f"{said} or faster"
    return "cannot tell"


def lapse_words(part: LadderPart) -> str:
    """Return the frames that a limit leaves out, as the end of a sentence.

    Parameters
    ----------
    part : LadderPart
        Of one mover.

    Returns
    -------
    str
        ", but for the 5 % (0–19) that come off at any time"; empty where they hardly count.
    """
    if part.lapse_share.value < NEGLIGIBLE_LAPSE:
        return ""
    return f", but for the {share_words(part.lapse_share)} that come off at any time"


def step_words(step: LadderStep) -> str:
    """Return how many frames held at one shutter time.

    Parameters
    ----------
    step : LadderStep
        One step.

    Returns
    -------
    str
        "5 of 6".
    """
    return f"{step.held} of {step.frames}"


def limit_at(part: LadderPart, share: float) -> LadderLimit:
    """Return the limit of a share.

    Parameters
    ----------
    part : LadderPart
        Of one mover.
    share : float
        One of those asked for.

    Returns
    -------
    LadderLimit
        That limit.
    """
    return min(part.limits, key=lambda one: abs(one.share - share))


def deciding(result: LadderResult) -> LadderPart:
    """Return the part whose limit asks for the shortest time.

    Parameters
    ----------
    result : LadderResult
        A ladder.

    Returns
    -------
    LadderPart
        Of shake, of the sitter, or of both.
    """

    def order(part: LadderPart) -> tuple[bool, float]:
        limit = limit_at(part, result.wanted_share)
        if limit.shutter_s is not None:
            return False, limit.shutter_s.value
        return limit.most_s is None, limit.most_s or limit.least_s or 0.0

    return min(result.parts, key=order)


def share_at_s(part: LadderPart, time_s: float) -> Measured | None:
    """Return the share of frames that holds at a shutter time, read off the curve.

    Parameters
    ----------
    part : LadderPart
        Of one mover.
    time_s : float
        Shutter time, s.

    Returns
    -------
    Measured or None
        None outside what was tried.
    """
    times = [step.shutter_s for step in part.steps]
    if not times[0] * 0.9 <= time_s <= times[-1] * 1.1:
        return None
    return min(part.curve, key=lambda p: abs(p.shutter_s / time_s - 1)).share


def height_at_s(part: LadderPart, time_s: float) -> float:
    """Return how high the drawn curve stands at a shutter time.

    Parameters
    ----------
    part : LadderPart
        Of one mover.
    time_s : float
        Shutter time, s.

    Returns
    -------
    float
        Share of frames, between the curve's points as it is drawn; its end beyond them.
    """
    stops = [math.log2(point.shutter_s) for point in part.curve]
    shares = [point.share.value for point in part.curve]
    return float(np.interp(math.log2(time_s), stops, shares))


def whose(part: LadderPart) -> str:
    """Return who moves, as a heading.

    Parameters
    ----------
    part : LadderPart
        Of one mover.

    Returns
    -------
    str
        "Your hand", "The sitter", "Hand and sitter".
    """
    return MOVERS[part.mover]


def prints_of(result: LadderResult) -> Sequence[float]:
    """Return the prints that were asked for.

    Parameters
    ----------
    result : LadderResult
        A ladder.

    Returns
    -------
    sequence of float
        Longest edges in cm, the deciding one first.
    """
    others = dict.fromkeys(one.print_cm for one in result.carried)
    return tuple(dict.fromkeys((result.print_cm, *others)))
