"""Rows of intervals: what is known of each kit or kind of sitter, one under the other."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.plan_chart import Scale
from eyeplane.deliver.plan_picture import within
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import balanced
from eyeplane.deliver.wording import number
from eyeplane.records import Measured

INTERVAL = Pen(ink="iris", width_mm=0.5)
ZERO = Pen(ink="soft", width_mm=0.25, dashed=True)
ROW_TYPES, AXIS_TYPES = 2.6, 2.4  # heights of a row's mark and of the axis, in sizes of type
DOT_TYPES = 0.22  # radius of the dot
ROOM = 1.15  # the axis goes beyond the outermost end by this factor, or share of its length
STEPS = (1.0, 2.0, 5.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalRow:
    """One row.

    Attributes
    ----------
    name : str
        Of which kit or sitter.
    known : Measured
        The number, with what is not known of it.
    exposures : Measured or None
        Where the middle 90 % of exposures lie.
    """

    name: str
    known: Measured
    exposures: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalAxis:
    """What the rows are measured along.

    Attributes
    ----------
    name, unit : str
        Of the quantity.
    by_factors : bool
        Whether equal factors take equal room; else zero is marked.
    """

    name: str
    unit: str
    by_factors: bool


def intervals_drawing(
    axis: IntervalAxis, rows: Sequence[IntervalRow], *, note: str
) -> CheckDrawing:
    """Return the rows as a drawing.

    Parameters
    ----------
    axis : IntervalAxis
        What they are measured along.
    rows : sequence of IntervalRow
        At least one.
    note : str
        How to read it.

    Returns
    -------
    CheckDrawing
        Names above their lines, so that it fits a phone too.
    """

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _drawn(axis, rows, width_mm, type_mm)

    said = "; ".join(
        f"{row.name}: {number(row.known.value)} {axis.unit}, between {number(row.known.low)} and "
        f"{number(row.known.high)}"
        for row in rows
    )
    return CheckDrawing(name=axis.name, spoken=f"{axis.name}. {said}.", draw=draw, note=note)


def _drawn(axis: IntervalAxis, rows: Sequence[IntervalRow], width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    scale = _scale(axis, rows, (size, width - size))
    named = [(row, balanced(row.name, small, width)) for row in rows]
    heights = [(1.25 * len(lines) + ROW_TYPES) * size for _, lines in named]
    foot = sum(heights)
    sheet = Sheet(width_mm=width, height_mm=foot + AXIS_TYPES * size)
    ends = (0.0, width)
    for value in _marks(axis, scale):
        x = scale.at(value)
        zero = not axis.by_factors and value == 0
        sheet.line((x, 0.0), (x, foot), ZERO if zero else HAIRLINE)
        text = number(value, 1)
        sheet.words((within(x, text, small, ends), foot + 1.1 * size), text, _middled(size))
    sheet.words((width, foot + 2.25 * size), axis.unit, Letters(size_mm=size, anchor="end"))
    top = 0.0
    for (row, lines), height in zip(named, heights, strict=True):
        _row(sheet, row, lines, (scale, top, size))
        top += height
    return sheet


def _row(
    sheet: Sheet, row: IntervalRow, lines: Sequence[str], at: tuple[Scale, float, float]
) -> None:
    scale, top, size = at
    for n, line in enumerate(lines):
        place: Point = (0.0, top + (1.0 + 1.25 * n) * size)
        sheet.box((0.0, place[1] - 0.9 * size), (sheet.width_mm, place[1] + 0.3 * size), "paper")
        sheet.words(place, line, Letters(size_mm=size))
    y = top + (1.25 * len(lines) + 0.45 * ROW_TYPES) * size
    if row.exposures is not None:
        left, right = scale.at(row.exposures.low), scale.at(row.exposures.high)
        sheet.box((left, y - 0.45 * size), (right, y + 0.45 * size), "pale")
    sheet.line((scale.at(row.known.low), y), (scale.at(row.known.high), y), INTERVAL)
    sheet.disc((scale.at(row.known.value), y), DOT_TYPES * size, "ink", None)


def _middled(size: float) -> Letters:
    return Letters(size_mm=size, anchor="middle")


def _scale(axis: IntervalAxis, rows: Sequence[IntervalRow], ends_mm: tuple[float, float]) -> Scale:
    every = [one for row in rows for one in (row.known, row.exposures) if one is not None]
    low, high = min(one.low for one in every), max(one.high for one in every)
    if axis.by_factors:
        low, high = low / ROOM, high * ROOM
    else:
        low, high = min(low, 0.0), max(high, 0.0)
        room = (ROOM - 1.0) * max(high - low, 1.0)
        low, high = low - room, high + room
    return Scale(
        low=low,
        high=high,
        start_mm=ends_mm[0],
        end_mm=ends_mm[1],
        logarithmic=axis.by_factors,
    )


def _marks(axis: IntervalAxis, scale: Scale) -> list[float]:
    if axis.by_factors:
        decades = range(-6, 7)
        every = [step * 10.0**decade for decade in decades for step in STEPS]
        inside = [one for one in every if scale.low <= one <= scale.high]
        return inside if len(inside) <= 8 else inside[:: len(inside) // 6 + 1]
    span = scale.high - scale.low
    step = next(s * 10.0**d for d in range(-3, 6) for s in STEPS if span / (s * 10.0**d) <= 6)
    first = int(scale.low / step) - 1
    every = [step * n for n in range(first, first + 12)]
    return [one for one in every if scale.low <= one <= scale.high]
