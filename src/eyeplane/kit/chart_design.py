"""Our chart: 24 slanted squares over a sheet that lies on its side, fiducials between them.

Places are points (x, y) in mm on the paper, from its upper left corner, y down. Every length
follows the paper's width, so the chart looks alike in the frame from any paper; only words and
ruler keep their size.
"""

import math

from eyeplane.errors import InputError
from eyeplane.kit.fiducials import NUMBERS, mark_patches
from eyeplane.records.printed import (
    PAPERS_MM,
    PointMm,
    PrintedEdge,
    PrintedMark,
    PrintedPatch,
    PrintedSheet,
    PrintedWords,
)

TILT_DEG = 5.0  # of edges, as ISO 12233:2017 asks of a slanted edge (5°, cited from memory)
COLUMNS, ROWS = 6, 4
MARGIN_MM = 9.0  # no ink nearer to the border; ordinary printers need 3 to 6, from memory
SIDE_SHARE = 0.0875  # of the paper's width: side of a square, 26 mm on A4
MARK_SHARE = 0.034  # of the paper's width: side of a fiducial, 10 mm on A4
CORNER_SHARE = 0.1  # of a square's side left off at each end of an edge
GREYS = (0.0, 0.18, 0.36, 0.54, 0.72, 1.0)  # levels of the strip, asked of the printer
GREY_SHARE = 0.036  # of the paper's width: side of one grey, 10.7 mm on A4
RULERS_MM = {"A4": 150.0, "A3": 250.0, "Letter": 150.0}
LINE_MM = 0.25  # breadth of the ruler's strokes
TICK_MM = 3.0  # their length at the ruler's ends
WORDS_MM = 3.0  # em of the instructions
TITLE_MM = 4.2  # em of the title
# Gaps (column, row) that hold a fiducial: column c lies left of square c, row r above square r,
# 0 and the last at the paper's border. None in the very corners: squares stand there.
MARKS_AT = (
    (1, 0), (3, 0), (5, 0),
    (0, 1), (1, 1), (2, 1), (4, 1), (5, 1), (6, 1),
    (1, 2), (2, 2), (4, 2), (5, 2),
    (0, 3), (1, 3), (5, 3), (6, 3),
    (1, 4), (3, 4), (5, 4),
)  # fmt: skip


def chart_sheet(paper: str) -> PrintedSheet:
    """Return our chart for a paper.

    Parameters
    ----------
    paper : {"A4", "A3", "Letter"}
        What it is printed on.

    Returns
    -------
    PrintedSheet
        Wider than high. Squares are numbered from 0, row by row from the upper left; each has four
        edges, all of full ink on bare paper. Every second one leans the other way, so that a sheet
        that hangs crooked by 5° still has slanted edges.

    Raises
    ------
    InputError
        For another paper.

    Notes
    -----
    Ink is solid: printers make greys of dots, whose edges no lens check can use. The greys of the
    strip serve to see clipping only.

    References
    ----------
    ISO 12233:2017, edge-based spatial frequency response (principle and slant, from memory).

    Examples
    --------
    >>> sheet = chart_sheet("A4")
    >>> sheet.width_mm, len(sheet.marks), len(sheet.edges)
    (297.0, 20, 96)
    """
    if paper not in PAPERS_MM:
        raise InputError(
            f"there is no chart for the paper {paper!r}",
            where="--paper",
            hint=f"The papers are {', '.join(PAPERS_MM)}",
        )
    height, width = PAPERS_MM[paper]
    columns, rows = _middles(width, width, COLUMNS), _middles(width, height, ROWS)
    squares = [(x, y) for y in rows for x in columns]
    patches: list[PrintedPatch] = []
    edges: list[PrintedEdge] = []
    for number, middle in enumerate(squares):
        lean = TILT_DEG if (number + number // COLUMNS) % 2 == 0 else -TILT_DEG
        ring = _square(middle, SIDE_SHARE * width, lean)
        patches.append(PrintedPatch(corners_mm=ring))
        edges += _edges(ring, number)
    marks: list[PrintedMark] = []
    for k, middle in enumerate(_mark_middles(columns, rows, (width, height))):
        half = MARK_SHARE * width / 2
        ink, mark = mark_patches(
            NUMBERS["chart", paper] + k, (middle[0] - half, middle[1] - half), 2 * half
        )
        patches += ink
        marks.append(mark)
    ruler, strokes, measured = _ruler(paper, width, (rows[2] + rows[3]) / 2)
    words = _words(paper, columns[2] - SIDE_SHARE * width / 2, height / 2)
    return PrintedSheet(
        kind="chart",
        paper=paper,
        width_mm=width,
        height_mm=height,
        patches=(*patches, *_strip(width, (rows[0] + rows[1]) / 2), *strokes),
        words=(*words, measured),
        marks=tuple(marks),
        edges=tuple(edges),
        ruler_mm=ruler,
    )


def grey_patches(sheet: PrintedSheet) -> tuple[PrintedPatch, ...]:
    """Return the grey strip of a chart, from ink to paper.

    Parameters
    ----------
    sheet : PrintedSheet
        Of `chart_sheet`.

    Returns
    -------
    tuple of PrintedPatch
        Its levels are what the printer was asked for, not what it gave; none for another sheet.

    Examples
    --------
    >>> [patch.level for patch in grey_patches(chart_sheet("Letter"))]
    [0.0, 0.18, 0.36, 0.54, 0.72, 1.0]
    """
    greys = [k for k, patch in enumerate(sheet.patches) if 0.0 < patch.level < 1.0]
    if not greys:
        return ()
    return sheet.patches[greys[0] - 1 : greys[-1] + 2]


def _middles(width_mm: float, length_mm: float, count: int) -> list[float]:
    """Return evenly spaced middles of squares, the outer ones up to the margin."""
    lean = math.radians(TILT_DEG)
    half = SIDE_SHARE * width_mm / 2 * (math.cos(lean) + math.sin(lean))
    first, last = MARGIN_MM + half, length_mm - MARGIN_MM - half
    return [first + k * (last - first) / (count - 1) for k in range(count)]


def _square(middle: PointMm, side_mm: float, lean_deg: float) -> tuple[PointMm, ...]:
    c, s = math.cos(math.radians(lean_deg)), math.sin(math.radians(lean_deg))
    half = side_mm / 2
    ring = ((-half, -half), (half, -half), (half, half), (-half, half))
    return tuple((middle[0] + c * x - s * y, middle[1] + s * x + c * y) for x, y in ring)


def _edges(ring: tuple[PointMm, ...], number: int) -> list[PrintedEdge]:
    found = []
    for k, start in enumerate(ring):
        end = ring[(k + 1) % 4]
        along = (end[0] - start[0], end[1] - start[1])
        long = math.hypot(*along)
        cut = CORNER_SHARE
        found.append(
            PrintedEdge(
                from_mm=(start[0] + cut * along[0], start[1] + cut * along[1]),
                to_mm=(end[0] - cut * along[0], end[1] - cut * along[1]),
                dark_mm=(-along[1] / long, along[0] / long),  # to the right of the way round
                square=number,
            )
        )
    return found


def _mark_middles(
    columns: list[float], rows: list[float], size_mm: tuple[float, float]
) -> list[PointMm]:
    half = MARK_SHARE * size_mm[0] / 2
    return [
        (_gap(columns, column, size_mm[0], half), _gap(rows, row, size_mm[1], half))
        for column, row in MARKS_AT
    ]


def _gap(middles: list[float], number: int, length_mm: float, half_mm: float) -> float:
    if number == 0:
        return MARGIN_MM + half_mm
    if number == len(middles):
        return length_mm - MARGIN_MM - half_mm
    return (middles[number - 1] + middles[number]) / 2


def _strip(width_mm: float, middle_mm: float) -> list[PrintedPatch]:
    """Return the greys in the middle of the sheet, in a gap between rows."""
    side = GREY_SHARE * width_mm
    left, top = width_mm / 2 - len(GREYS) * side / 2, middle_mm - side / 2
    return [
        PrintedPatch(corners_mm=_box(left + k * side, top, side, side), level=level)
        for k, level in enumerate(GREYS)
    ]


def _box(left: float, top: float, wide: float, high: float) -> tuple[PointMm, ...]:
    return ((left, top), (left + wide, top), (left + wide, top + high), (left, top + high))


def _ruler(
    paper: str, width_mm: float, middle_mm: float
) -> tuple[tuple[PointMm, PointMm], list[PrintedPatch], PrintedWords]:
    """Return the ruler's ends, its ink, and what is written under it."""
    long = RULERS_MM[paper]
    left, line = width_mm / 2 - long / 2, middle_mm - 1.5
    strokes = [PrintedPatch(corners_mm=_box(left, line - LINE_MM / 2, long, LINE_MM))]
    for k in range(0, round(long) + 1, 10):
        tick = TICK_MM if k in (0, round(long)) else TICK_MM / 2
        # The outer strokes' outer sides are the ruler's ends.
        at = left + k - LINE_MM * k / long
        strokes.append(PrintedPatch(corners_mm=_box(at, line - tick, LINE_MM, 2 * tick)))
    text = f"This line is {long:.0f} mm long: measure it. If it is not, print again at 100 %."
    words = PrintedWords(at_mm=(left + 2.0, line + 4.6), text=text, size_mm=WORDS_MM)
    return ((left, line), (left + long, line)), strokes, words


def _words(paper: str, left_mm: float, middle_mm: float) -> list[PrintedWords]:
    """Return what the sheet is and how it is used, in the free middle."""
    told = (
        (f"eyeplane chart · {paper}", TITLE_MM, -2.8),
        ("Flat, in even light without shine; the camera square to it,", WORDS_MM, 2.2),
        ("on a tripod, with the self-timer. Fill the frame with it.", WORDS_MM, 6.2),
    )
    return [
        PrintedWords(at_mm=(left_mm, middle_mm + down), text=text, size_mm=em)
        for text, em, down in told
    ]
