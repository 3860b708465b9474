"""The plot of a sweep: what comes of a plan while its inputs change."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

from eyeplane.deliver.page_file import write_whole
from eyeplane.deliver.plan_axis import Quantity, marks, picked, quantity, spaced_by_factors
from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up, niced
from eyeplane.deliver.plan_picture import LEADING
from eyeplane.deliver.sheet import Letters, Pen, Sheet
from eyeplane.deliver.sheet_svg import svg
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import plain_text
from eyeplane.errors import InputError
from eyeplane.records.said import capital
from eyeplane.records.sweep import Sweep

WIDTH_MM, TYPE_MM = 180.0, 3.4
PANEL_SHARE = 0.42  # height of a panel over its width
MARGIN_MM = 6.0
LINES, PANELS = 5, 4  # so many values of a second and of further inputs are drawn
FIRST = ("share", "chance", "reach_cm")  # what is drawn where a table has it
PENS = (
    Pen(ink="iris", width_mm=0.6),
    Pen(ink="ink", width_mm=0.45),
    Pen(ink="iris", width_mm=0.45, dashed=True),
    Pen(ink="ink", width_mm=0.45, dashed=True),
    Pen(ink="soft", width_mm=0.35),
)


# Number across with value, low and high; None where there is none.
_Told = tuple[float, float | None, float | None, float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One course of a panel."""

    name: str
    points: tuple[_Told, ...]


def write_sweep_plot(sweep: Sweep, path: Path) -> None:
    """Write the plot of a sweep as SVG.

    Parameters
    ----------
    sweep : Sweep
        The table.
    path : Path
        Where to, ending in .svg; whole or not there.

    Raises
    ------
    InputError
        If the ending is another, the sweep has nothing to draw, or the file cannot be written.

    Notes
    -----
    The last input runs across, the one before it is drawn line by line, further ones panel by
    panel; where these are many, a few are drawn evenly picked, and the plot says so.
    """
    if path.suffix.lower() != ".svg":
        raise InputError(
            f"a plot is written as .svg, not as {path.suffix or 'a file without ending'!r}",
            where=plain_text(str(path)),
            hint="End its name in .svg",
        )
    sheet = sweep_sheet(sweep)
    inputs = " and ".join(quantity(name).words for name in sweep.names)
    spoken = f"What comes of the plan by {inputs}, {len(sweep)} points."
    write_whole(path, [svg(sheet, spoken=spoken, whole=True), "\n"], what="the plot")


def sweep_sheet(sweep: Sweep) -> Sheet:
    """Return the plot of a sweep.

    Parameters
    ----------
    sweep : Sweep
        The table.

    Returns
    -------
    Sheet
        A panel for each quantity drawn, one below the other.

    Raises
    ------
    InputError
        If no column holds a number to draw, or the input across has fewer than two values.
    """
    across = quantity(sweep.names[-1])
    values = _values(sweep, across.column)
    drawn = [q for q in _drawn(sweep) if any(v is not None for v in sweep.columns[q.column])]
    if len(values) < 2 or not drawn:
        raise InputError(
            "there is nothing to plot",
            where=across.words,
            hint="Give a range of two values or more",
        )
    panels = [(q, fixed) for q in drawn for fixed in _fixed(sweep)]
    sheet = Sheet(width_mm=WIDTH_MM, height_mm=MARGIN_MM)
    for shown, fixed in panels:
        panel = _panel(sweep, (across, values), shown, fixed)
        sheet.place(panel, (MARGIN_MM, sheet.height_mm))
        sheet.height_mm += panel.height_mm + 1.2 * TYPE_MM
    soft = Letters(size_mm=TYPE_MM, ink="soft")
    for note in (*_left_out(sweep), *map(plain_text, sweep.notes)):
        sheet.words((MARGIN_MM, sheet.height_mm), note, soft)
        sheet.height_mm += LEADING * TYPE_MM
    sheet.height_mm += MARGIN_MM - TYPE_MM
    return sheet


def _values(sweep: Sweep, column: str) -> tuple[float, ...]:
    """Return the different values of an input, in order."""
    return tuple(dict.fromkeys(v for v in sweep.columns[column] if v is not None))


def _drawn(sweep: Sweep) -> list[Quantity]:
    outputs = [c for c in sweep.columns if c not in sweep.names]
    wanted = [c for c in FIRST if c in outputs]
    return [quantity(c) for c in wanted or outputs[:1]]


def _fixed(sweep: Sweep) -> list[dict[str, float]]:
    """Return the values of the inputs that neither run across nor line by line, panel by panel."""
    names = sweep.names[:-2]
    all_of_them = list(product(*(_values(sweep, name) for name in names)))
    chosen = picked(range(len(all_of_them)), PANELS)
    return [dict(zip(names, all_of_them[int(k)], strict=True)) for k in chosen]


def _left_out(sweep: Sweep) -> Iterator[str]:
    """Yield what is in the table but not in the plot."""
    if len(sweep.names) > 1:
        lines = quantity(sweep.names[-2])
        count = len(_values(sweep, lines.column))
        if count > LINES:
            yield f"Of {count} values of {lines.words} {LINES} are drawn; the table has all."
    panels = math.prod(len(_values(sweep, name)) for name in sweep.names[:-2])
    if panels > PANELS:
        yield f"Of {panels} panels {PANELS} are drawn; the table has all."


def _lines(sweep: Sweep, shown: Quantity, fixed: dict[str, float]) -> list[_Line]:
    """Return the lines of a panel; those that run alike are one, with all their names."""
    across = sweep.names[-1]
    low, high = _ends(sweep, shown.column)
    rows = [
        k
        for k in range(len(sweep))
        if all(sweep.columns[name][k] == value for name, value in fixed.items())
    ]
    if len(sweep.names) == 1:
        groups = [("", rows)]
    else:
        second = quantity(sweep.names[-2])
        column = sweep.columns[second.column]
        groups = [
            (second.said(value), [k for k in rows if column[k] == value])
            for value in picked(_values(sweep, second.column), LINES)
        ]
    drawn: dict[tuple[_Told, ...], str] = {}
    for name, mine in groups:
        points = tuple(
            (x, sweep.columns[shown.column][k], low[k], high[k])
            for k in mine
            if (x := sweep.columns[across][k]) is not None
        )
        drawn[points] = f"{drawn[points]}, {name}" if points in drawn else name
    return [_Line(name=name, points=points) for points, name in drawn.items()]


def _ends(sweep: Sweep, column: str) -> tuple[Sequence[float | None], Sequence[float | None]]:
    """Return the columns with the ends of a number's interval, of Nones where there are none."""
    stem, _, unit = column.rpartition("_")
    nothing = (None,) * len(sweep)
    found = []
    for end in ("low", "high"):
        names = (f"{column}_{end}", f"{stem}_{end}_{unit}" if stem else "")
        found.append(next((sweep.columns[n] for n in names if n in sweep.columns), nothing))
    return found[0], found[1]


def _panel(
    sweep: Sweep,
    across: tuple[Quantity, tuple[float, ...]],
    shown: Quantity,
    fixed: dict[str, float],
) -> Sheet:
    named, values = across
    lines = _lines(sweep, shown, fixed)
    small = Letters(size_mm=TYPE_MM)
    room = WIDTH_MM - 2 * MARGIN_MM
    up = _up(lines, shown)
    left = max(width_mm(shown.said(v), small) for v in up) + 0.8 * TYPE_MM
    right = max(width_mm(line.name, small) for line in lines) + 1.2 * TYPE_MM
    top, height = 2.2 * TYPE_MM, PANEL_SHARE * (room - left - right)
    axes = Axes(
        across=Scale(
            low=min(values),
            high=max(values),
            start_mm=left,
            end_mm=room - right,
            logarithmic=spaced_by_factors(named.column, values),
        ),
        up=Scale(low=up[0], high=up[-1], start_mm=top + height, end_mm=top),
    )
    sheet = Sheet(width_mm=room, height_mm=top + height + 2 * TYPE_MM)
    by = " and ".join([named.words, *(quantity(n).words for n in sweep.names[-2:-1])])
    title = ", ".join([f"{capital(shown.words)} by {by}", *_said(fixed)])
    sheet.words((0.0, TYPE_MM), title, Letters(face="serif", size_mm=1.2 * TYPE_MM))
    marked_up(sheet, axes, [(v, shown.said(v)) for v in up], small)
    named_at = marks(named.column, sorted(values))
    marked_across(sheet, axes, [(v, named.said(v)) for v in named_at], small)
    if len(lines) == 1:
        _bands(sheet, axes, lines[0])
    for line, pen in zip(lines, PENS, strict=False):
        _course(sheet, axes, line, pen)
    _names(sheet, axes, lines, small)
    return sheet


def _said(fixed: dict[str, float]) -> list[str]:
    return [
        f"{q.words} {q.said(value)}" for q, value in ((quantity(n), v) for n, v in fixed.items())
    ]


def _up(lines: Sequence[_Line], shown: Quantity) -> tuple[float, ...]:
    """Return the numbers named on the upright side."""
    if shown.column.endswith(("share", "chance")):
        return (0.0, 0.25, 0.5, 0.75, 1.0)
    single = len(lines) == 1
    ends = [
        v for line in lines for _, *three in line.points for v in (three if single else three[:1])
    ]
    numbers = [v for v in ends if v is not None]
    top, bottom = max(numbers), min(numbers)
    if bottom >= 0:
        return niced(top or 1.0)
    reach = niced(max(abs(top), abs(bottom)), 2)
    return (*(-v for v in reversed(reach[1:])), *reach)


def _bands(sheet: Sheet, axes: Axes, line: _Line) -> None:
    for run in _runs(line):
        lows = [(x, low) for x, _, low, _ in run if low is not None]
        highs = [(x, high) for x, _, _, high in run if high is not None]
        if len(lows) > 1 and len(lows) == len(highs):
            band(sheet, axes, lows, highs)


def _course(sheet: Sheet, axes: Axes, line: _Line, pen: Pen) -> None:
    for run in _runs(line):
        points = [axes.at((x, value)) for x, value, _, _ in run if value is not None]
        if len(points) == 1:
            sheet.disc(points[0], 0.25 * TYPE_MM, pen.ink, None)
        sheet.path(points, pen)


def _runs(
    line: _Line,
) -> Iterator[list[_Told]]:
    """Yield the stretches of a line without a gap, from left to right."""
    run: list[_Told] = []
    for point in sorted(line.points, key=lambda p: p[0]):
        if point[1] is None:
            if run:
                yield run
            run = []
        else:
            run.append(point)
    if run:
        yield run


def _names(sheet: Sheet, axes: Axes, lines: Sequence[_Line], small: Letters) -> None:
    """Name every line at its right end, none over another."""
    ends = []
    for line, pen in zip(lines, PENS, strict=False):
        told = [(x, v) for x, v, _, _ in line.points if v is not None]
        if told and line.name:
            x, y = axes.at(max(told))
            ends.append((y, x, line.name, pen.ink))
    lowest = -math.inf
    for y, x, name, ink in sorted(ends):
        base = max(y + 0.35 * small.size_mm, lowest)
        sheet.words((x + 0.5 * small.size_mm, base), name, Letters(size_mm=small.size_mm, ink=ink))
        lowest = base + 1.15 * small.size_mm
