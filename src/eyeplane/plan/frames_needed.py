"""How many frames to take: until one holds, until everybody's eyes are open, until both."""

import math

import numpy as np

from eyeplane.light import MOST_FLASHES_PER_S
from eyeplane.people import BLINK_SHARE, RULE_PEOPLE, chance_all_open, rule_frames
from eyeplane.people.learned import Z90
from eyeplane.plan import words
from eyeplane.records import FramesNeeded, Measured, PlanLight

# Middles of nine equally probable parts of a normal distribution: the 1st to 17th eighteenth.
_NODES = (-1.593, -0.967, -0.589, -0.282, 0.0, 0.282, 0.589, 0.967, 1.593)
LEAST = 1e-4  # of a share, so that its odds are finite
WANTED_SHARE = 0.95  # chance that one frame of so many is as wanted; our own
MOST_FRAMES = 60  # more of one pose than this nobody sits through; from memory, 30 to 100
FRAMES_PER_S = 1.0  # focused anew for each frame, at a calm pace; from memory, 0.5 to 2
# Seconds that a flash takes to recycle after full power; from memory: studio heads 1 to 2, small
# ones on batteries 2 to 4. It goes with the power that was used.
RECYCLE_S = 2.0
BLINK_OVER_PER_S = 2.0  # faster frames share a blink; of 0.4 s at most (Stern and others 1984)


def pace_per_s(light: PlanLight, *, flash_power: float | None, wished_per_s: float) -> float:
    """Return how many frames a second can be taken.

    Parameters
    ----------
    light : PlanLight
        Whether flash is used.
    flash_power : float or None
        Share of full power, 0..1; None without flash.
    wished_per_s : float
        Frames a second that the photographer wishes, > 0.

    Returns
    -------
    float
        The wish; with flash no more than recycling allows, and never above three a second.

    Examples
    --------
    >>> pace_per_s(PlanLight(kind="flash"), flash_power=1.0, wished_per_s=8.0)
    0.5
    """
    if light.kind != "flash":
        return wished_per_s
    recycle_s = RECYCLE_S * (1.0 if flash_power is None else flash_power)
    return min(wished_per_s, MOST_FLASHES_PER_S, 1.0 / max(recycle_s, 1e-3))


def frames_for(share: float, *, wanted_share: float = WANTED_SHARE) -> int | None:
    """Return how many frames it takes until one is as wanted.

    Parameters
    ----------
    share : float
        Of frames that are as wanted, 0..1.
    wanted_share : float
        Chance aimed at, in (0, 1).

    Returns
    -------
    int or None
        The least n with 1 − (1 − share)^n >= wanted, frames being independent; None beyond 60.

    Examples
    --------
    >>> frames_for(0.5), frames_for(0.96), frames_for(0.01)
    (5, 1, None)
    """
    if share >= wanted_share:
        return 1
    if share <= 0.0:
        return None
    frames = math.ceil(math.log1p(-wanted_share) / math.log1p(-share) - 1e-9)
    return frames if frames <= MOST_FRAMES else None


def chance_of_one(share: Measured, frames: int) -> Measured:
    """Return the chance that at least one of some frames is as wanted.

    Parameters
    ----------
    share : Measured
        Of frames that are, 0..1, with its interval.
    frames : int
        How many, >= 0.

    Returns
    -------
    Measured
        1 − (1 − share)^n: its mean over what the share may be, and for both ends of the interval.

    Notes
    -----
    Frames are independent once the share is known; unsure is the share of all of them together. So
    the mean is less than the chance at the middle share: who is shaky is so in every frame. What
    the share may be is taken as normal in its log-odds, on either side as wide as the interval.

    Examples
    --------
    >>> found = chance_of_one(Measured(value=0.33, low=0.14, high=0.5), 8)
    >>> round(found.value, 2), round(1 - (1 - 0.33) ** 8, 2)
    (0.92, 0.96)
    """
    low, high = (1.0 - (1.0 - end) ** frames for end in (share.low, share.high))
    value = sum(1.0 - (1.0 - one) ** frames for one in _may_be(share)) / len(_NODES)
    return Measured(value=value, low=min(low, value), high=max(high, value))


def _may_be(share: Measured) -> list[float]:
    """Return shares that are equally probable, where the told one is the middle."""
    if share.low == share.high:
        return [share.value] * len(_NODES)
    low, middle, high = (_log_odds(end) for end in (share.low, share.value, share.high))
    away = [(high - middle if z > 0 else middle - low) * z / Z90 for z in _NODES]
    return [1.0 / (1.0 + math.exp(-middle - one)) for one in away]


def _log_odds(share: float) -> float:
    inside = min(max(share, LEAST), 1.0 - LEAST)
    return math.log(inside / (1.0 - inside))


def _frames_unsure(share: Measured, wanted_share: float) -> int | None:
    """Return the fewest frames that are as sure as wanted, the share being unsure itself."""
    least = frames_for(share.value, wanted_share=wanted_share)
    if least is None:
        return None
    tried = np.arange(least, MOST_FRAMES + 1)
    chances = np.mean(1.0 - (1.0 - np.array(_may_be(share))[:, None]) ** tried, axis=0)
    enough = np.flatnonzero(chances >= wanted_share - 1e-9)
    return int(tried[enough[0]]) if len(enough) else None


def frames_to_hold(
    share: Measured, *, wanted_share: float = WANTED_SHARE, frames_per_s: float = FRAMES_PER_S
) -> FramesNeeded:
    """Return how many frames to take until one holds the print.

    Parameters
    ----------
    share : Measured
        Of frames that hold, 0..1.
    wanted_share : float
        Chance aimed at, in (0, 1).
    frames_per_s : float
        Pace, > 0.

    Returns
    -------
    FramesNeeded
        "one that holds"; frames None where more than 60 are asked for, and then the chance with 60.

    Notes
    -----
    Frames count as independent: focus anew for each. In a burst on one focus they are not.
    """
    frames = _frames_unsure(share, wanted_share)
    careful = frames_for(share.low, wanted_share=wanted_share)
    if frames is None:
        text = (
            f"Not even {MOST_FRAMES} frames are likely to bring one that holds: change the "
            "settings or the light first."
        )
    else:
        text = (
            f"{_frames(frames)}{', focused anew for each,' if frames > 1 else ''} for one that "
            f"holds ({_sure(wanted_share, frames, frames_per_s)}){_careful(frames, careful)}."
        )
    return _needed("one that holds", frames, share, text, frames_per_s)


def open_share_of(people: int) -> Measured:
    """Return the share of frames in which everybody's eyes are open.

    Parameters
    ----------
    people : int
        How many, >= 1.

    Returns
    -------
    Measured
        (1 − p)^people: from the p of nervous people, low, to that of calm ones, high; the value
        half-way between by ratio.

    Examples
    --------
    >>> round(open_share_of(8).value, 2)
    0.61
    """
    calm, nervous = BLINK_SHARE
    shares = (nervous, math.sqrt(calm * nervous), calm)
    low, value, high = (chance_all_open(people=people, share_closed=p) for p in shares)
    return Measured(value=value, low=low, high=high)


def frames_for_eyes(
    people: int, *, wanted_share: float = WANTED_SHARE, frames_per_s: float = FRAMES_PER_S
) -> FramesNeeded:
    """Return how many frames to take until everybody's eyes are open in one.

    Parameters
    ----------
    people : int
        How many, >= 1.
    wanted_share : float
        Chance aimed at, in (0, 1).
    frames_per_s : float
        Pace, > 0.

    Returns
    -------
    FramesNeeded
        "everybody's eyes open", by the model; the text has the published rule beside it.
    """
    open_share = open_share_of(people)
    frames = _frames_unsure(open_share, wanted_share)
    careful = frames_for(open_share.low, wanted_share=wanted_share)
    pace = min(frames_per_s, BLINK_OVER_PER_S)
    if frames is None:
        text = (
            f"With {people} people somebody blinks in nearly every frame: take one of the group "
            "and a few more for single faces, or have all close their eyes and open them on a "
            "count."
        )
    else:
        text = (
            f"{_frames(frames)} for {_eyes(people)} open ({_sure(wanted_share, frames, pace)})"
            f"{_careful(frames, careful, _nervous(people))}{_rule(people)}."
        )
    return _needed("everybody's eyes open", frames, open_share, text, pace)


def frames_for_both(
    share: Measured,
    people: int,
    *,
    wanted_share: float = WANTED_SHARE,
    frames_per_s: float = FRAMES_PER_S,
) -> FramesNeeded:
    """Return how many frames to take until one holds and has everybody's eyes open.

    Parameters
    ----------
    share : Measured
        Of frames that hold, 0..1.
    people : int
        How many, >= 1.
    wanted_share : float
        Chance aimed at, in (0, 1).
    frames_per_s : float
        Pace, > 0.

    Returns
    -------
    FramesNeeded
        "both"; blinking and blur count as independent.
    """
    eyes = open_share_of(people)
    both = Measured(
        value=share.value * eyes.value, low=share.low * eyes.low, high=share.high * eyes.high
    )
    frames = _frames_unsure(both, wanted_share)
    careful = frames_for(both.low, wanted_share=wanted_share)
    pace = min(frames_per_s, BLINK_OVER_PER_S)
    if frames is None:
        text = f"Not even {MOST_FRAMES} frames are likely to bring one with both."
    else:
        text = (
            f"{_frames(frames)} for one that holds with {_eyes(people)} open "
            f"({_sure(wanted_share, frames, pace)}){_careful(frames, careful)}: "
            f"{words.percent(both.value)} of frames do."
        )
    return _needed("both", frames, both, text, pace)


def _needed(
    what: str, frames: int | None, share: Measured, text: str, frames_per_s: float
) -> FramesNeeded:
    return FramesNeeded(
        for_what=what,
        frames=frames,
        chance=chance_of_one(share, frames or MOST_FRAMES),
        seconds_s=None if frames is None else frames / frames_per_s,
        text=text,
    )


def _sure(wanted_share: float, frames: int, frames_per_s: float) -> str:
    """Return how sure one is, and how long it takes."""
    return f"{words.percent(wanted_share)} sure, {words.seconds(frames / frames_per_s)}"


def _eyes(people: int) -> str:
    return "the eyes" if people == 1 else "everybody's eyes"


def _nervous(people: int) -> str:
    return "if the sitter is nervous" if people == 1 else "if people are nervous"


def _frames(count: int) -> str:
    return "One frame" if count == 1 else f"{count} frames"


def _careful(
    frames: int, careful: int | None, when: str = "if the numbers are at their worst"
) -> str:
    """Return what a careful photographer takes instead, where that is more."""
    if careful is None:
        return f", over {MOST_FRAMES} {when}"
    return f", {careful} {when}" if careful > frames else ""


def _rule(people: int) -> str:
    """Return what the published rule says beside the model."""
    good, poor = rule_frames(people=people), rule_frames(people=people, light="poor")
    if people == 1:
        return ""
    if good is None or poor is None:
        return f"; the published rule is for fewer than {RULE_PEOPLE} people"
    calm = words.percent(chance_all_open(people=people, frames=good))
    return (
        f"; the published rule, people over three, says {good} ({calm} with calm people), in poor "
        f"light {poor}"
    )
