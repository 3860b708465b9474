"""Numbers as they are said: nothing promised too large, thin spaces, true signs."""

import math

from eyeplane.light import f_stop, shutter
from eyeplane.records.said import THIN, count_word, listed

__all__ = [
    "ORDINALS",
    "THIN",
    "cm",
    "count_word",
    "direction",
    "f_stop",
    "listed",
    "mm",
    "print_cm",
    "px",
    "sentence_case",
    "shutter",
    "signed_mm",
    "um",
    "which_face",
    "whole_reach_cm",
]

ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"),
    "tenth",
)


def whole_reach_cm(reach_cm: float) -> int:
    """Return the reach that is said: rounded down, so that no print is promised too large.

    Parameters
    ----------
    reach_cm : float
        Reach, >= 0 cm.

    Returns
    -------
    int
        Whole centimetres up to 40, multiples of five above.
    """
    # A hair is added so that 60.000000 from a root finder is not said as 55.
    near = reach_cm * (1 + 1e-6)
    return int(5 * math.floor(near / 5)) if near >= 40 else math.floor(near)


def cm(value_cm: float) -> str:
    """Return a length in whole centimetres, rounded down as `whole_reach_cm` does.

    Parameters
    ----------
    value_cm : float
        Length, >= 0 cm.

    Returns
    -------
    str
        For instance "35 cm"; "under 1 cm" below one.
    """
    whole = whole_reach_cm(value_cm)
    return f"{whole}{THIN}cm" if whole >= 1 else f"under 1{THIN}cm"


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
    return f"{value_cm:.1f}".rstrip("0").rstrip(".") + f"{THIN}cm"


def mm(value_mm: float) -> str:
    """Return a length in the sitter's space, without sign.

    Parameters
    ----------
    value_mm : float
        Length in mm; its sign is dropped, since "behind" or "in front" is said in words.

    Returns
    -------
    str
        One decimal below 3 mm, whole to 100 mm, tens above, cm from 1 m.
    """
    size = abs(value_mm)
    if size < 2.95:
        return f"{size:.1f}{THIN}mm"
    if size < 99.5:
        return f"{size:.0f}{THIN}mm"
    if size < 995:
        return f"{10 * round(size / 10):d}{THIN}mm"
    return f"{size / 1000:.1f}{THIN}m"


def um(value_um: float) -> str:
    """Return a length on the sensor.

    Parameters
    ----------
    value_um : float
        Length in micrometres.

    Returns
    -------
    str
        For instance "9 µm".
    """
    return f"{value_um:.0f}{THIN}µm" if value_um >= 0.95 else f"{value_um:.1f}{THIN}µm"


def px(value_px: float) -> str:
    """Return a length in pixels.

    Parameters
    ----------
    value_px : float
        Length in pixels.

    Returns
    -------
    str
        For instance "6 px"; one decimal below 3.
    """
    return f"{value_px:.0f}{THIN}px" if value_px >= 2.95 else f"{value_px:.1f}{THIN}px"


def signed_mm(value_mm: float) -> str:
    """Return an offset with its sign, for tables.

    Parameters
    ----------
    value_mm : float
        Offset in mm, + behind the near iris.

    Returns
    -------
    str
        For instance "+18 mm" or "−4 mm", with a true minus.
    """
    sign = "−" if value_mm < 0 else "+"
    return sign + mm(value_mm)


def direction(angle_deg: float) -> str:
    """Return the direction of a motion in words.

    Parameters
    ----------
    angle_deg : float
        Counter-clockwise from +x, degrees.

    Returns
    -------
    str
        "sideways", "up and down" or "on a slant" (more than 22.5 degrees off either).
    """
    folded = angle_deg % 180.0
    if 67.5 <= folded <= 112.5:
        return "up and down"
    return "on a slant" if 22.5 < folded < 157.5 else "sideways"


def which_face(place: int, count: int) -> str:
    """Return which face is meant, counted from the left.

    Parameters
    ----------
    place : int
        0 for the leftmost.
    count : int
        Number of sitters.

    Returns
    -------
    str
        "the left face" of two, else "the third face from the left" and the like.
    """
    if count == 2:
        return "the left face" if place == 0 else "the right face"
    ordinal = ORDINALS[place] if place < len(ORDINALS) else f"number {place + 1}"
    return f"the {ordinal} face from the left"


def sentence_case(text: str) -> str:
    """Return a text with its first letter raised.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The same text, first letter upper case, the rest untouched.
    """
    return text[:1].upper() + text[1:]
