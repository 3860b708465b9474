"""What a plan for one sitter says: the answer, and what each other choice gives up and gains."""

import math

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import power_name
from eyeplane.plan import words
from eyeplane.plan.axes import HALF_STEP_EV
from eyeplane.plan.scene import Settings
from eyeplane.records import Measured, PlanSetting, SitterRequest

FloatArray = NDArray[np.float64]

NOTHING_SHARE = 0.05  # of frames: below this nothing holds; our own
WORTH_SHARE = 0.01  # a difference of one frame in a hundred is worth a word
FEW_SHARE = 0.05  # of frames: what a lower ISO may cost to be told; our own
WORTH_BOTH_SHARE = 0.05
WORTH_GRAIN_EV = 0.5  # stops of ISO: a third of one is not seen as grain; from memory
WORTH_BLUR = 1.2  # ratio of background blurs that is seen; from memory


def dialled(setting: PlanSetting) -> str:
    """Return settings as they are dialled.

    Parameters
    ----------
    setting : PlanSetting
        The setting.

    Returns
    -------
    str
        "f/4 at 1/250 s and ISO 800", or "f/8 at 1/200 s, ISO 100 and flash at 1/4".
    """
    start = f"{words.f_stop(setting.f_number)} at {words.shutter(setting.shutter_s)}"
    iso = words.iso_speed(setting.iso)
    if setting.flash_power is None:
        return f"{start} and {iso}"
    return f"{start}, {iso} and flash at {flash_power(setting.flash_power)}"


def dialled_settings(settings: Settings) -> str:
    """Return the first of some settings as it is dialled.

    Parameters
    ----------
    settings : Settings
        At least one.

    Returns
    -------
    str
        As `dialled`.
    """
    start = f"{words.f_stop(float(settings.f_number[0]))} at "
    start += words.shutter(float(settings.shutter_s[0]))
    iso, power = words.iso_speed(float(settings.iso[0])), float(settings.flash_power[0])
    if math.isnan(power):
        return f"{start} and {iso}"
    return f"{start}, {iso} and flash at {flash_power(power)}"


def flash_power(power: float) -> str:
    """Return a share of full power as it is said.

    Parameters
    ----------
    power : float
        Share of full power, > 0.

    Returns
    -------
    str
        "full power", "1/4", "1/4 + 0.3".
    """
    name = power_name(power)
    return "full power" if name == "1/1" else name


def finer_grain(settings: Settings, shares: FloatArray, best: int) -> str:
    """Return how much lower the ISO may be for few frames less.

    Parameters
    ----------
    settings : Settings
        All that were tried.
    shares : ndarray
        Of frames that hold, one a setting.
    best : int
        Number of the best.

    Returns
    -------
    str
        The lowest ISO that costs five frames in a hundred at most, with its best settings; empty
        where that is less than a stop, or next to nothing holds.
    """
    if shares[best] < NOTHING_SHARE:
        return ""
    enough = np.flatnonzero(shares >= shares[best] - FEW_SHARE)
    iso = settings.iso[enough].min()
    if math.log2(settings.iso[best] / iso) < 1.0 - 1 / 6:
        return ""
    lowest = enough[settings.iso[enough] == iso]
    one = int(lowest[shares[lowest].argmax()])
    return (
        f"Finer grain costs few frames: {dialled_settings(settings.at(one))}, "
        f"{words.percent(float(shares[one]))}."
    )


def sentence(request: SitterRequest, best: PlanSetting) -> str:
    """Return the answer.

    Parameters
    ----------
    request : SitterRequest
        For the print and the eyes that count.
    best : PlanSetting
        The best setting.

    Returns
    -------
    str
        Which settings hold the print, and how often; whether they expose rightly, where they were
        settled.
    """
    goal, eyes = words.print_cm(request.promise.print_cm), ""
    if request.eyes == "both":
        eyes = " in both eyes"
    off = _off(best.exposure_off_ev)
    if best.share.value < NOTHING_SHARE:
        few = _frames(best.share)
        return f"Nothing here holds {goal}{eyes}: {dialled(best)} comes nearest, {few}.{off}"
    told = words.share(best.share, f" hold {goal}{eyes}")
    about = "" if told.startswith("over") else "about "
    return f"{dialled(best)}: {about}{told}.{off}"


def _frames(share: Measured) -> str:
    high = words.percent_ends(share.low, share.high)[1]
    if high <= 0:
        return "and no frame does"
    return f"with {words.percent(share.value)} of frames (0–{high})"


def _off(off_ev: float) -> str:
    if abs(off_ev) < HALF_STEP_EV:
        return ""
    over = "over" if off_ev > 0 else "under"
    return f" They {over}-expose this light by {words.stops(off_ev)}."


def gives_up(best: PlanSetting, other: PlanSetting) -> str:
    """Return what a neighbouring choice gives up against the best, and what it gains.

    Parameters
    ----------
    best, other : PlanSetting
        The two.

    Returns
    -------
    str
        One sentence.
    """
    lost: list[str] = []
    won: list[str] = []
    _both(best, other, lost, won)
    _grain(best, other, lost, won)
    _background(best, other, lost, won)
    more = other.share.value - best.share.value
    frames = [_in_a_hundred(more)] if abs(more) >= WORTH_SHARE else []
    if more < 0:
        lost = frames + lost
    if not lost:
        return _as_good(best, won)
    if more > 0:
        won = frames + won
    gains = f"; gains {words.listed(won)}" if won else " and gains nothing"
    return f"Gives up {words.listed(lost)}{gains}."


def _in_a_hundred(share: float) -> str:
    count = max(round(100 * abs(share)), 1)
    return f"{'one frame' if count == 1 else f'{count} frames'} in a hundred"


def _as_good(best: PlanSetting, won: list[str]) -> str:
    """Return that nothing is given up: were it the better choice, it would be the best."""
    nothing = best.share.value < NOTHING_SHARE
    if not won:
        return "Holds no more often." if nothing else "As good as the best."
    often = "Holds no more often" if nothing else "Holds as often, as near as can be told"
    return f"{often}; gains {words.listed(won)}."


def _both(best: PlanSetting, other: PlanSetting, lost: list[str], won: list[str]) -> None:
    if best.share_both is None or other.share_both is None or best.share_both == best.share:
        return
    more = other.share_both.value - best.share_both.value
    if abs(more) < WORTH_BOTH_SHARE:
        return
    then, now = words.percent(other.share_both.value), words.percent(best.share_both.value)
    said = f"the far eye (both hold in {then} instead of {now})"
    (won if more > 0 else lost).append(said)


def _grain(best: PlanSetting, other: PlanSetting, lost: list[str], won: list[str]) -> None:
    difference_ev = math.log2(other.iso / best.iso)
    if abs(difference_ev) < WORTH_GRAIN_EV:
        return
    text = f"finer grain ({words.iso_speed(other.iso)} instead of {best.iso:.0f})"
    (won if difference_ev < 0 else lost).append(text)


def _background(best: PlanSetting, other: PlanSetting, lost: list[str], won: list[str]) -> None:
    now, then = best.background_blur_share, other.background_blur_share
    if not now or not then:
        return
    ratio = then / now
    if 1 / WORTH_BLUR < ratio < WORTH_BLUR:
        return
    if ratio > 1:
        won.append(f"a background blurred {ratio:.1f} times as much")
    else:
        lost.append(f"background blur (it is {ratio:.1f} times as large)")
