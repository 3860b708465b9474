"""The inputs of a sweep on an axis: what they are called, how their values are said and spaced."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from eyeplane.deliver.plan_words import ENGRAVED_S
from eyeplane.deliver.wording import THIN, far_words, percent, stop_words
from eyeplane.light.camera_words import shutter

UNITS = {  # endings of names, longest first, and how a value with such a one is said
    "_mm_per_s": lambda v: f"{_short(v)}{THIN}mm/s",
    "_deg_per_s": lambda v: f"{_short(v)}°/s",
    "_per_s": lambda v: f"{_short(v)} a second",
    "_years": lambda v: f"{_short(v)} years",
    "_stops": lambda v: f"{_short(v)} stops",
    "_deg": lambda v: f"{_short(v)}°",
    "_lux": lambda v: f"{_short(v)}{THIN}lx",
    "_cm": lambda v: f"{_short(v)}{THIN}cm",
    "_mm": far_words,
    "_um": lambda v: f"{_short(v)}{THIN}µm",
    "_px": lambda v: f"{_short(v)}{THIN}px",
    "_ev": lambda v: f"EV {_short(v)}",
    "_m": lambda v: f"{_short(v)}{THIN}m",
    "_s": shutter,
}
LOGARITHMIC = ("f_number", "iso", "shutter_s")  # set in stops
SPAN = 4.0  # other lengths and sizes are spaced by factors where they span more than this
MARKS = 9  # named values along an axis at most
WHOLE = {  # whole stops as engraved
    "f_number": (1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32),
    "iso": tuple(25.0 * 2**k for k in range(13)),
    "shutter_s": ENGRAVED_S,
}
SHARES = ("share", "chance", "power")


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A column of a sweep.

    Attributes
    ----------
    column : str
        Its name in the table.
    words : str
        What it is called.
    said : callable
        Turns a value into words.
    """

    column: str
    words: str
    said: Callable[[float], str]


def _short(value: float) -> str:
    """Return a number with three digits at most, none of them an idle nought."""
    return f"{float(f'{value:.3g}'):g}".replace("-", "−")


def quantity(column: str) -> Quantity:
    """Return how a column is called and said.

    Parameters
    ----------
    column : str
        Name with its unit at the end.

    Returns
    -------
    Quantity
        A name without a known unit is said as a bare number.
    """
    if column == "f_number" or column.endswith("_f_number"):
        return Quantity(column=column, words=_plain(column, "_f_number"), said=stop_words)
    if column == "iso" or column.endswith("_iso"):
        return Quantity(column=column, words="ISO", said=lambda v: f"ISO {v:.0f}")
    if column.endswith(SHARES):
        return Quantity(column=column, words=_plain(column, ""), said=percent)
    for unit, said in UNITS.items():
        if column.endswith(unit):
            return Quantity(column=column, words=_plain(column, unit), said=said)
    return Quantity(column=column, words=_plain(column, ""), said=_short)


def _plain(column: str, unit: str) -> str:
    named = {
        "f_number": "aperture",
        "shutter_s": "shutter time",
        "share": "share of frames that hold",
    }
    return named.get(column, column.removesuffix(unit).replace("_", " "))


def spaced_by_factors(column: str, values: Sequence[float]) -> bool:
    """Return whether values are best spaced by factors.

    Parameters
    ----------
    column : str
        Name of the input.
    values : sequence of float
        Its values.

    Returns
    -------
    bool
        True for what is set in stops, and for lengths that span a factor of four.
    """
    low, high = min(values), max(values)
    if low <= 0 or not math.isfinite(high):
        return False
    return column in LOGARITHMIC or (
        column.endswith(("_mm", "_cm", "_m", "_lux", "_s")) and high / low > SPAN
    )


def marks(column: str, values: Sequence[float]) -> tuple[float, ...]:
    """Return which values are named along an axis.

    Parameters
    ----------
    column : str
        Name of the input.
    values : sequence of float
        Its values, rising.

    Returns
    -------
    tuple of float
        Whole stops where they are set in stops and there are three of them, else a few.
    """
    whole = tuple(v for v in values if column in WHOLE and _among(v, WHOLE[column]))
    return whole if len(whole) > 2 else picked(values, MARKS)


def _among(value: float, stops: Sequence[float]) -> bool:
    return any(abs(value / stop - 1) < 0.02 for stop in stops)


def picked(values: Sequence[float], count: int) -> tuple[float, ...]:
    """Return a few of many values, the first and the last among them.

    Parameters
    ----------
    values : sequence of float
        In order.
    count : int
        So many at most, >= 2.

    Returns
    -------
    tuple of float
        Evenly picked.
    """
    if len(values) <= count:
        return tuple(values)
    step = (len(values) - 1) / (count - 1)
    return tuple(values[round(k * step)] for k in range(count))
