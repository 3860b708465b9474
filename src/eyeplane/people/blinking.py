"""How often and how long eyes are closed, and how many frames show everybody's eyes open."""

import math
from typing import Literal

from eyeplane.errors import InputError

# Blinks a second and seconds each, calm and nervous: 10 a minute of 0.25 s (as Svenson and Barnes
# of CSIRO reckoned, 2006), 15 a minute of 0.35 s. Published: gazing ahead in silence 8 to 21 a
# minute, talking 10.5 to 32.5 (Doughty, Optom. Vis. Sci. 78, 712-725, 2001); at rest 17, talking
# 26, reading 4.5, n = 150 (Bentivoglio and others, Movement Disorders 12, 1028-1034, 1997). 0.1 to
# 0.4 s each: Stern, Walrath and Goldstein 1984, as quoted.
CALM_BLINKS_PER_S, CALM_BLINK_S = 10 / 60, 0.25
NERVOUS_BLINKS_PER_S, NERVOUS_BLINK_S = 15 / 60, 0.35
REST_BLINKS_PER_S = 17 / 60  # Bentivoglio 1997
TALKING_BLINKS_PER_S = 26 / 60  # Bentivoglio 1997
BLINK_SHARE = (0.04, 0.09)  # of the time that one person's lids are closed: calm, nervous
OPEN_CHANCE = 0.99  # of one frame with open eyes that a number of frames aims at
RULE_PEOPLE = 20  # the published rule is for fewer
RULE_DIVISOR = {"good": 3.0, "poor": 2.0}  # people over frames, by the light


def blink_share(*, blinks_per_s: float, blink_s: float, exposure_s: float = 0.0) -> float:
    """Return the share of frames in which one person's lids are caught down.

    Parameters
    ----------
    blinks_per_s : float
        Blinks a second, >= 0.
    blink_s : float
        How long one lasts, >= 0 s.
    exposure_s : float
        Shutter time, >= 0 s: a frame is spoilt by a blink in any part of it.

    Returns
    -------
    float
        Rate times the two times together, at most 1.

    Raises
    ------
    InputError
        If one is negative or not a number.

    References
    ----------
    P. Barnes and N. Svenson, CSIRO 2006.

    Examples
    --------
    >>> round(blink_share(blinks_per_s=10 / 60, blink_s=0.25, exposure_s=0.008), 3)
    0.043
    """
    for name, value in (
        ("blinks_per_s", blinks_per_s),
        ("blink_s", blink_s),
        ("exposure_s", exposure_s),
    ):
        if not 0.0 <= value < math.inf:
            raise InputError(f"{value} is no {name}", where=name, hint="Give 0 or more")
    return min(blinks_per_s * (blink_s + exposure_s), 1.0)


def chance_all_open(*, people: int, frames: int = 1, share_closed: float = BLINK_SHARE[0]) -> float:
    """Return the chance that at least one frame shows everybody with open eyes.

    Parameters
    ----------
    people : int
        How many, >= 1.
    frames : int
        How many frames, >= 0, far enough apart that a blink is over: half a second.
    share_closed : float
        Of the time that one person's lids are down, 0..1.

    Returns
    -------
    float
        1 − (1 − (1 − share)^people)^frames: people blink each on their own.

    Raises
    ------
    InputError
        If a number is out of range.

    Examples
    --------
    >>> round(chance_all_open(people=15, frames=5), 3)
    0.98
    """
    _check(people, share_closed)
    if frames < 0:
        raise InputError(f"{frames} frames cannot be taken", where="frames", hint="Give 0 or more")
    all_open = (1.0 - share_closed) ** people
    return float(1.0 - (1.0 - all_open) ** frames)


def frames_for_open(
    *, people: int, chance: float = OPEN_CHANCE, share_closed: float = BLINK_SHARE[0]
) -> int | None:
    """Return how many frames it takes until one shows everybody with open eyes.

    Parameters
    ----------
    people : int
        How many, >= 1.
    chance : float
        Wanted for that, in (0, 1).
    share_closed : float
        Of the time that one person's lids are down, 0..1.

    Returns
    -------
    int or None
        The least number, at least 1; None where eyes are always closed or it would take more than
        a million.

    Raises
    ------
    InputError
        If a number is out of range.

    Examples
    --------
    >>> frames_for_open(people=15), frames_for_open(people=15, share_closed=0.0875)
    (6, 16)
    """
    _check(people, share_closed)
    if not 0.0 < chance < 1.0:
        raise InputError(f"a chance of {chance} is out of range", where="chance", hint="0 to 1")
    all_open = (1.0 - share_closed) ** people
    if all_open >= chance:
        return 1
    if all_open < 1e-6:
        return None
    return math.ceil(math.log1p(-chance) / math.log1p(-all_open) - 1e-9)


def rule_frames(*, people: int, light: Literal["good", "poor"] = "good") -> int | None:
    """Return the number of frames of the published rule for groups.

    Parameters
    ----------
    people : int
        How many, >= 1.
    light : {"good", "poor"}
        Poor light asks for longer shutter times, which catch more blinks.

    Returns
    -------
    int or None
        People over 3, in poor light over 2, rounded up; None from 20 people on, for which it was
        not made.

    Raises
    ------
    InputError
        If nobody is there, or the light is neither.

    Notes
    -----
    Its own model (`blink_share`, `chance_all_open`) gives it 95 to 98 % for a calm group; a
    nervous one needs far more.

    References
    ----------
    N. Svenson and P. Barnes, CSIRO, Velocity, 2006, as quoted in the press.

    Examples
    --------
    >>> rule_frames(people=8), rule_frames(people=8, light="poor")
    (3, 4)
    """
    _check(people, 0.0)
    if light not in RULE_DIVISOR:
        raise InputError(f"'{light}' is no light", where="light", hint="Use good or poor")
    if people >= RULE_PEOPLE:
        return None
    return math.ceil(people / RULE_DIVISOR[light])


def _check(people: int, share_closed: float) -> None:
    if people < 1:
        raise InputError(f"{people} people cannot sit", where="people", hint="Give 1 or more")
    if not 0.0 <= share_closed <= 1.0:
        raise InputError(
            f"{share_closed} is no share of the time", where="share_closed", hint="Give 0 to 1"
        )
