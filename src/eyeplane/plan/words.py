"""Numbers as a plan says them: thin spaces before units, shares with their interval."""

import math

from eyeplane.light import f_stop, shutter
from eyeplane.records import Measured
from eyeplane.records.said import THIN, capital, count_word, listed, percent_ends
from eyeplane.records.said import share_percent as percent

__all__ = [
    "THIN",
    "capital",
    "count_word",
    "f_stop",
    "iso_speed",
    "length",
    "listed",
    "percent",
    "percent_ends",
    "print_cm",
    "seconds",
    "share",
    "shutter",
    "stops",
    "whole_cm",
]


def iso_speed(iso: float) -> str:
    """Return a sensitivity.

    Parameters
    ----------
    iso : float
        Sensitivity, > 0.

    Returns
    -------
    str
        For instance "ISO 800".
    """
    return f"ISO {iso:.0f}"


def seconds(time_s: float) -> str:
    """Return how long something takes, roughly.

    Parameters
    ----------
    time_s : float
        Time, >= 0.

    Returns
    -------
    str
        For instance "about 3 s" or "about 2 minutes"; whole seconds, at least one.
    """
    if time_s < 90:
        return f"about {max(1, round(time_s))}{THIN}s"
    return f"about {round(time_s / 60)} minutes"


def length(size_mm: float) -> str:
    """Return a length in the sitter's space, without sign.

    Parameters
    ----------
    size_mm : float
        Millimetres; the sign is dropped, since "behind" or "in front" is said in words.

    Returns
    -------
    str
        One decimal below 3 mm, whole mm to 10 cm, whole cm to 1 m, metres above.
    """
    size = abs(size_mm)
    if size < 2.95:
        return f"{size:.1f}{THIN}mm"
    if size < 99.5:
        return f"{size:.0f}{THIN}mm"
    if size < 995:
        return f"{size / 10:.0f}{THIN}cm"
    return f"{size / 1000:.1f}{THIN}m"


def print_cm(value_cm: float) -> str:
    """Return the edge of a promised print as the photographer gave it.

    Parameters
    ----------
    value_cm : float
        Longest edge in cm.

    Returns
    -------
    str
        For instance "60 cm" or "76.2 cm".
    """
    return f"{value_cm:.1f}".removesuffix(".0") + f"{THIN}cm"


def whole_cm(reach_cm: float) -> str:
    """Return a reach rounded down, so that no print is promised too large.

    Parameters
    ----------
    reach_cm : float
        Reach, >= 0 cm.

    Returns
    -------
    str
        Whole centimetres up to 40, multiples of five above; "under 1 cm" below one.
    """
    near = reach_cm * (1 + 1e-6)  # a hair, so that 60.000000 of a root finder is not said as 55
    whole = 5 * math.floor(near / 5) if near >= 40 else math.floor(near)
    return f"{whole}{THIN}cm" if whole >= 1 else f"under 1{THIN}cm"


def share(of_frames: Measured, what: str = "") -> str:
    """Return a share of frames with its interval.

    Parameters
    ----------
    of_frames : Measured
        0..1.
    what : str
        What they do, with a space before it: stands behind the interval, which else would be
        taken for that of a length in it.

    Returns
    -------
    str
        For instance "78 % of frames (65–86)"; the interval is rounded outwards.
    """
    low, high = percent_ends(of_frames.low, of_frames.high)
    return f"{percent(of_frames.value)} of frames ({low}–{high}){what}"


def stops(count_ev: float) -> str:
    """Return a number of stops, to the third.

    Parameters
    ----------
    count_ev : float
        Stops, without sign.

    Returns
    -------
    str
        For instance "a stop", "two stops", "1⅓ stops", "⅔ of a stop".
    """
    thirds = round(3 * abs(count_ev))
    whole, rest = divmod(thirds, 3)
    if whole == 0:
        return f"{' ⅓⅔'[rest]} of a stop" if rest else "no stop"
    if rest:
        return f"{whole}{' ⅓⅔'[rest]} stops"
    return "a stop" if whole == 1 else f"{count_word(whole)} stops"
