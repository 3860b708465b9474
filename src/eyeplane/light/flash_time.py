"""How long a flash glows, what that is worth as a shutter time, and the sync limit.

A tube discharging fully glows like e^(−t/τ) after a quick rise. t.5 is how long it is above half of
its peak, t.1 above a tenth (ISO 2827: effective and total duration): τ ln 2 and τ ln 10. At less
power the discharge is cut off when enough light is out, so that power p ends at −τ ln(1 − p).
"""

import math
from typing import cast

import numpy as np

from eyeplane.light.elementwise import Numbers, above_zero, plain, share_of_one

FULL_POWER_S = 1 / 250  # t.1 of a hot-shoe flash at full power; trade practice, x / 1.5
# t.1 at the least power: the tube's own rise and fall; makers' tables from memory, x / 1.5.
SHORTEST_FLASH_S = 1 / 40_000
# Box that costs as much perceived sharpness as the tail does, over τ: by our own measure of
# sharpness, where a print just holds; 3.46 for equal spread, 2.19 for equal half contrast.
TAIL_AS_BOX = 2.72
# Stops that pulsing costs at the sync limit: a flash cannot pulse at the brightness of its peak.
# Makers' tables, from memory: 2 to 2.5.
PULSING_STOPS = 2.2
LN2, LN10 = math.log(2.0), math.log(10.0)


def t01_from_t05_s(flash_time_s: Numbers) -> Numbers:
    """Return t.1 of a flash whose t.5 is known.

    Parameters
    ----------
    flash_time_s : float or ndarray
        Its t.5: how long it is above half of its peak, > 0 s.

    Returns
    -------
    float or ndarray
        Its t.1: t.5 · ln 10 / ln 2, 3.32 times as long, for a full discharge. One that is cut off
        has t.1 nearer to t.5.

    Raises
    ------
    InputError
        If it is not above zero.

    References
    ----------
    ISO 2827:1988, Determination of light output and of duration (definitions as quoted).

    Examples
    --------
    >>> round(1 / t01_from_t05_s(1 / 1000))
    301
    """
    above_zero(flash_time_s=flash_time_s)
    return flash_time_s * (LN10 / LN2)


def flash_time_s(
    *, power: float | Numbers = 1.0, full_power_s: float | Numbers = FULL_POWER_S
) -> Numbers:
    """Return t.1 of a flash at some power.

    Parameters
    ----------
    power : float or ndarray
        Share of full power, 0..1.
    full_power_s : float or ndarray
        Its t.1 at full power, > 0 s.

    Returns
    -------
    float or ndarray
        −τ ln max(1 − p, 0.1) with τ = t.1 / ln 10 at full power; `SHORTEST_FLASH_S` at least.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    For flashes that cut the discharge off: hot-shoe units and most heads of today. Older studio
    heads charge less instead, and then glow as long or longer at less power: give their t.1 with
    power 1.

    Examples
    --------
    >>> [round(1 / flash_time_s(power=p)) for p in (1, 1 / 2, 1 / 4, 1 / 8)]
    [250, 830, 2001, 4311]
    """
    share_of_one(power=power)
    above_zero(full_power_s=full_power_s)
    glow = -full_power_s / LN10 * np.log(np.maximum(1.0 - power, 0.1))
    return cast("Numbers", plain(np.maximum(glow, SHORTEST_FLASH_S)))


def effective_shutter_s(
    *,
    power: float | Numbers = 1.0,
    full_power_s: float | Numbers = FULL_POWER_S,
    time_s: float | Numbers = 1.0,
) -> Numbers:
    """Return the shutter time that blurs a moving eye as the glow of a flash does.

    Parameters
    ----------
    power : float or ndarray
        Share of full power, 0..1.
    full_power_s : float or ndarray
        Its t.1 at full power, > 0 s.
    time_s : float or ndarray
        The shutter's time, > 0 s: it cuts the tail off.

    Returns
    -------
    float or ndarray
        2.72 τ tanh(T / 2.72 τ), T the end of the glow: its own, or the shutter's.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    A moving point lit by e^(−t/τ) draws a comet, not an even line. The even line that costs as
    much perceived sharpness, where a print just holds, is 2.72 τ long, 1.18 times t.1; of a glow
    that is cut off early it is the glow itself. Equal spread (√12 standard deviations) would say
    3.46 τ: right for blur far below the limit, 27 % too strict at it. For a flash that pulses
    (high-speed sync) the shutter time itself counts.

    Examples
    --------
    >>> round(1 / effective_shutter_s()), round(1 / effective_shutter_s(power=1 / 16))
    (212, 8921)
    """
    share_of_one(power=power)
    above_zero(full_power_s=full_power_s, time_s=time_s)
    decay_s = full_power_s / LN10
    own_s = -decay_s * np.log(np.maximum(1.0 - power, 1e-9))
    box_s = TAIL_AS_BOX * decay_s
    even_s = box_s * np.tanh(np.minimum(own_s, time_s) / box_s)
    return cast("Numbers", plain(np.maximum(even_s, np.minimum(SHORTEST_FLASH_S, time_s))))


def dark_bar_share(*, time_s: float | Numbers, sync_s: float | Numbers) -> Numbers:
    """Return how much of the frame a focal-plane shutter hides from a flash that does not pulse.

    Parameters
    ----------
    time_s : float or ndarray
        Shutter time, > 0 s.
    sync_s : float or ndarray
        Shortest shutter time with flash, > 0 s.

    Returns
    -------
    float or ndarray
        Share of the frame's height, 0 at the sync limit and slower: 1 − t / sync, as if the
        curtains took the sync time to cross; they are a little quicker.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> dark_bar_share(time_s=1 / 400, sync_s=1 / 200), dark_bar_share(time_s=0.01, sync_s=0.005)
    (0.5, 0.0)
    """
    above_zero(time_s=time_s, sync_s=sync_s)
    return cast("Numbers", plain(np.maximum(1.0 - time_s / sync_s, 0.0)))


def high_speed_sync_loss_ev(
    *,
    time_s: float | Numbers,
    sync_s: float | Numbers,
    full_power_s: float | Numbers = FULL_POWER_S,
) -> Numbers:
    """Return how many stops of a flash at full power a shutter time costs.

    Parameters
    ----------
    time_s : float or ndarray
        Shutter time, > 0 s.
    sync_s : float or ndarray
        Shortest shutter time with flash that does not pulse, > 0 s.
    full_power_s : float or ndarray
        Its t.1 at full power, > 0 s.

    Returns
    -------
    float or ndarray
        Stops, >= 0. At the sync limit and slower: what of the tail the shutter cuts off,
        −log2(1 − 10^(−t / t.1)). Faster, the flash pulses through the time in which the curtains
        cross: `PULSING_STOPS` and one stop more for each stop of time beyond the limit, right to
        half a stop or so.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(high_speed_sync_loss_ev(time_s=1 / 200, sync_s=1 / 200), 2)
    0.08
    >>> round(high_speed_sync_loss_ev(time_s=1 / 800, sync_s=1 / 200), 2)
    4.2
    """
    above_zero(time_s=time_s, sync_s=sync_s, full_power_s=full_power_s)
    cut = -np.log2(1.0 - np.power(10.0, -time_s / full_power_s))
    pulsed = PULSING_STOPS + np.log2(sync_s / time_s)
    # Marks of 1/200 s are told in many digits: a hair under the limit is the limit.
    return cast("Numbers", plain(np.where(np.less(time_s, 0.995 * sync_s), pulsed, cut)))
