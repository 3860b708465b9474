"""A chart for a plan: axes in the photographer's units, bands, lines and labels beside them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.sheet import HAIRLINE, Ink, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm

FRAME = Pen(ink="soft", width_mm=0.18)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """How numbers become places along one side of a chart.

    Attributes
    ----------
    low, high : float
        Numbers at its ends.
    start_mm, end_mm : float
        Where these lie.
    logarithmic : bool
        Whether equal factors take equal room.
    """

    low: float
    high: float
    start_mm: float
    end_mm: float
    logarithmic: bool = False

    def at(self, value: float) -> float:
        """Return where a number lies.

        Parameters
        ----------
        value : float
            What is asked for, > 0 where the scale is logarithmic.

        Returns
        -------
        float
            Millimetres, outside the ends where the number is.
        """
        low, high = self.low, self.high
        if self.logarithmic:
            low, high, value = math.log(low), math.log(high), math.log(value)
        way = (value - low) / (high - low) if high > low else 0.5
        return self.start_mm + way * (self.end_mm - self.start_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A chart's two sides.

    Attributes
    ----------
    across, up : Scale
        To the right, and upwards.
    """

    across: Scale
    up: Scale

    def at(self, point: Point) -> Point:
        """Return where a point of the chart lies on the sheet.

        Parameters
        ----------
        point : Point
            Number across, number up.

        Returns
        -------
        Point
            Millimetres.
        """
        return self.across.at(point[0]), self.up.at(point[1])


def marked_up(
    sheet: Sheet, axes: Axes, values: Sequence[tuple[float, str]], letters: Letters
) -> None:
    """Draw hairlines for numbers on the upright side, named at the left.

    Parameters
    ----------
    sheet : Sheet
        To draw on.
    axes : Axes
        Of the chart.
    values : sequence of (float, str)
        Number and name.
    letters : Letters
        Of the names.
    """
    left, right = axes.across.start_mm, axes.across.end_mm
    for value, name in values:
        y = axes.up.at(value)
        sheet.line((left, y), (right, y), HAIRLINE)
        end = Letters(size_mm=letters.size_mm, ink="soft", anchor="end")
        sheet.words((left - 0.5 * letters.size_mm, y + 0.35 * letters.size_mm), name, end)


def marked_across(
    sheet: Sheet, axes: Axes, values: Sequence[tuple[float, str]], letters: Letters
) -> None:
    """Draw ticks for numbers on the lower side, those named that have room.

    Parameters
    ----------
    sheet : Sheet
        To draw on.
    axes : Axes
        Of the chart.
    values : sequence of (float, str)
        Number and name, from left to right.
    letters : Letters
        Of the names.
    """
    base, size = axes.up.start_mm, letters.size_mm
    sheet.line((axes.across.start_mm, base), (axes.across.end_mm, base), FRAME)
    taken = -math.inf
    for value, name in values:
        x = axes.across.at(value)
        sheet.line((x, base), (x, base + 0.35 * size), FRAME)
        half = width_mm(name, letters) / 2
        if x - half > taken + 0.5 * size:
            middle = Letters(size_mm=size, ink="soft", anchor="middle")
            sheet.words((x, base + 1.35 * size), name, middle)
            taken = x + half


def band(
    sheet: Sheet, axes: Axes, lows: Sequence[Point], highs: Sequence[Point], fill: Ink = "pale"
) -> None:
    """Draw the area between two courses.

    Parameters
    ----------
    sheet : Sheet
        To draw on.
    axes : Axes
        Of the chart.
    lows, highs : sequence of Point
        Numbers across and up, from left to right.
    fill : str
        Its ink.
    """
    sheet.area([axes.at(p) for p in (*lows, *reversed(highs))], fill)


def niced(top_value: float, steps: int = 4) -> tuple[float, ...]:
    """Return round numbers from nought to a little above a number.

    Parameters
    ----------
    top_value : float
        What must be reached, > 0.
    steps : int
        About so many.

    Returns
    -------
    tuple of float
        Multiples of 1, 2 or 5 times a power of ten.

    Examples
    --------
    >>> niced(17.0)
    (0.0, 5.0, 10.0, 15.0, 20.0)
    """
    raw = top_value / steps
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= raw * (1 - 1e-9))
    return tuple(step * k for k in range(math.ceil(top_value / step - 1e-9) + 1))
