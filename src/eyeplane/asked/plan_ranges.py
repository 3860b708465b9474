"""Ranges of a plan: their values, in the unit of the request."""

from dataclasses import replace
from typing import cast

from eyeplane.asked.plan_columns import COLUMNS
from eyeplane.asked.plan_given import Given
from eyeplane.asked.plan_light import continuous_ev, flash_guide_number_m
from eyeplane.asked.plan_request import kit_of
from eyeplane.asked.plan_values import Spacing
from eyeplane.asked.spans import (
    MOST_POINTS,
    Span,
    even_values,
    mark_values,
    ratio_values,
    whole_values,
)
from eyeplane.asked.typed import LightGiven, size_of
from eyeplane.errors import InputError
from eyeplane.light import F_NUMBERS, ISOS, SHUTTER_TIMES_S
from eyeplane.plan import shake_from_steadiness

MARKS = {
    "f_number": tuple(map(float, F_NUMBERS)),
    "shutter": tuple(map(float, SHUTTER_TIMES_S)),
    "iso": tuple(map(float, ISOS)),
}


def span_values(given: Given, name: str) -> tuple[float, ...]:
    """Return the values of a range.

    Parameters
    ----------
    given : Given
        What holds.
    name : str
        An option that is a range.

    Returns
    -------
    tuple of float
        In the unit of the option; of light its amount.

    Raises
    ------
    InputError
        If its ends are of two kinds, or its points too many.
    """
    span = cast("Span", given.values[name].value)
    low, high = size_of(span.low), size_of(span.high)
    spacing = _spacing(given, name, span)
    if low is None or high is None:
        raise KeyError(name)
    try:
        if spacing in MARKS:
            return mark_values((low, high), span, MARKS[spacing])
        if spacing == "whole":
            return whole_values((low, high), span)
        if spacing == "ratio" and low > 0 and high > 0:
            return ratio_values((low, high), span)
        return even_values((low, high), span)
    except ValueError as error:
        raise InputError(
            f"{given.values[name].text}: {error}", where=f"--{name}", hint="Give fewer points"
        ) from error


def _spacing(given: Given, name: str, span: Span) -> Spacing:
    if isinstance(span.low, LightGiven) and isinstance(span.high, LightGiven):
        if (span.low.flash, span.low.measure) != (span.high.flash, span.high.measure):
            raise InputError(
                f"{given.values[name].text} goes from one kind of light to another",
                where=f"--{name}",
                hint="Give both ends in one unit, like '200 lx..1600 lx'",
            )
        return {"ev": "even", "meter": "f_number"}.get(span.low.measure, "ratio")  # type: ignore[return-value]  # all are spacings
    option = next(option for option in given.table if option.name == name)
    return option.within.spacing if option.within else "even"


def ranges(given: Given, *, most: int = MOST_POINTS) -> dict[str, tuple[float, ...]]:
    """Return all ranges of a plan as columns of a table have them.

    Parameters
    ----------
    given : Given
        What holds.
    most : int
        Lines that the table may have, >= 1.

    Returns
    -------
    dict of str to tuple of float
        Values by column, in the order of the table.

    Raises
    ------
    InputError
        If there are too many points.
    """
    found: dict[str, tuple[float, ...]] = {}
    count = 1
    for name in given.spans:
        values = span_values(given, name)
        column, converted = _converted(given, name, values)
        found[column] = converted
        count *= len(values)
    if count > most:
        listed = " and ".join(f"--{name}" for name in given.spans)
        raise InputError(
            f"{listed} make a table of {count} lines, and {most} are the most",
            where=f"--{given.spans[0]}",
            hint="Give a step, like '1m..4m by 50cm', or a count, like '1m..4m in 20'",
        )
    return found


def _converted(given: Given, name: str, values: tuple[float, ...]) -> tuple[str, tuple[float, ...]]:
    """Return the column and its values in the unit of the request."""
    light = given["light"]
    if name == "light" and isinstance(light, LightGiven):
        amounts = [replace(light, amount=value) for value in values]
        if light.flash:
            distance_mm = given.number("flash-distance")
            return "guide_number_m", tuple(
                flash_guide_number_m(one, distance_mm) for one in amounts
            )
        return "exposure_ev", tuple(continuous_ev(one) for one in amounts)
    if name == "steadiness":
        kit = kit_of(given)
        return COLUMNS[name], tuple(shake_from_steadiness(kit, time_s=t).value for t in values)
    return COLUMNS[name], values
