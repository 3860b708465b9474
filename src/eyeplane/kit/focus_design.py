"""Our own focus target: a sheet whose middle faces the camera and whose four wings slant past it.

Two cuts and two folds. The middle panel carries the field to focus on; the upper left and the
lower right wing come forward, the other two go back, so that depths on either side of the field
are seen on either side of it: a tilted image field cancels. Points are (x, y) mm on the flat
paper, y down.
"""

import math
from collections.abc import Iterator

from eyeplane.kit.fiducials import mark_patches
from eyeplane.kit.focus_layout import FORWARD, WINGS, FocusLayout, Panel, focus_layout
from eyeplane.records.printed import (
    PointMm,
    PrintedEdge,
    PrintedMark,
    PrintedPatch,
    PrintedSheet,
    PrintedWords,
)

MARK_MM = 18.0  # side of a fiducial
INSET_MM = 6.0  # of fiducials from folds and cuts
RIM_MM = 9.0  # of fiducials from the paper's edge: printers leave 4 to 6 mm bare, from memory
FOOT_MM = 11.0  # the same below, where the ruler lies, on A4
SQUARE_MM, PITCH_MM = 8.0, 15.0  # of the slanted squares on the wings
SQUARE_TURN_DEG = 7.0  # so that an edge crosses pixel rows at many phases
FIELD_TURN_DEG = 5.0
# Breadths of the field's columns and rows: uneven, since a pattern that repeats lets an autofocus
# that compares two views lock on one period beside (common practice, no source).
COLUMNS_MM = (6.0, 9.0, 5.0, 8.0, 11.0, 6.0, 8.0, 5.0)
ROWS_MM = (8.0, 5.0, 11.0, 6.0, 9.0, 5.0, 8.0, 6.0)
TRIM_MM = 1.1  # of an edge at either end: corners blur otherwise than edges
QUIET_MM = 3.5  # bare paper around a fiducial
LINE_MM = 0.25
DASH_MM, DASH_STEP_MM = 3.0, 5.0
WING_CLEAR_MM = 3.5  # to either side of an edge, half way to the next one
FIELD_CLEAR_MM = 2.4
RULER_MM = {"A4": 200.0, "A3": 300.0, "Letter": 200.0}


def focus_sheet(paper: str) -> PrintedSheet:
    """Return the focus target as it is printed.

    Parameters
    ----------
    paper : str
        "A4", "A3" or "Letter".

    Returns
    -------
    PrintedSheet
        On its side. Edges of square 0 belong to the field to focus on; those of squares 1, 2, …
        to the wings.

    Raises
    ------
    InputError
        If the paper is unknown.

    Examples
    --------
    >>> sheet = focus_sheet("A4")
    >>> len(sheet.marks), sheet.marks[0].number
    (20, 60)
    """
    layout = focus_layout(paper)
    patches: list[PrintedPatch] = []
    marks: list[PrintedMark] = []
    for number, corner in _mark_places(layout):
        ink, mark = mark_patches(number, corner, MARK_MM * layout.scale)
        patches += ink
        marks.append(mark)
    field, edges = _field(layout)
    patches += field
    for square, middle in enumerate(_squares(layout, marks), start=1):
        turn = SQUARE_TURN_DEG if square % 2 else -SQUARE_TURN_DEG
        corners = _turned_box(middle, SQUARE_MM * layout.scale, turn)
        patches.append(PrintedPatch(corners_mm=corners))
        edges += _sides(corners, square, TRIM_MM * layout.scale)
    patches += _lines(layout)
    ruler, ticks = _ruler(layout)
    return PrintedSheet(
        kind="focus",
        paper=paper,
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        patches=(*patches, *ticks),
        words=tuple(_words(layout)),
        marks=tuple(marks),
        edges=tuple(edges),
        ruler_mm=ruler,
    )


def _foot_mm(layout: FocusLayout) -> float:
    """Return the room below the fiducials: for the ruler, and a cell of bare paper."""
    return FOOT_MM * (0.6 + 0.4 * layout.scale)


def _mark_places(layout: FocusLayout) -> Iterator[tuple[int, PointMm]]:
    """Yield numbers and upper left corners of fiducials, clockwise on each panel."""
    side, inset = MARK_MM * layout.scale, INSET_MM * layout.scale
    number = layout.first_mark
    for panel in ("middle", *WINGS):
        left, top, right, bottom = layout.bounds_mm(panel)
        rim = [inset if x in {layout.left_mm, layout.right_mm} else RIM_MM for x in (left, right)]
        above = RIM_MM if top == 0.0 else inset
        below = _foot_mm(layout) if bottom == layout.height_mm else inset
        x0, x1 = left + rim[0], right - rim[1] - side
        y0, y1 = top + above, bottom - below - side
        for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)):
            yield number, corner
            number += 1


def _squares(layout: FocusLayout, marks: list[PrintedMark]) -> Iterator[PointMm]:
    """Yield middles of squares on the wings: rows shifted, so that few share a depth."""
    pitch, half = PITCH_MM * layout.scale, SQUARE_MM * layout.scale * 0.58
    taken = [(*m.corners_mm[0], *m.corners_mm[2]) for m in marks]
    for panel in WINGS:
        left, top, right, bottom = layout.bounds_mm(panel)
        y = top + (RIM_MM if top == 0.0 else 0.0) + pitch / 2
        row = 0
        while y + half < bottom - (_foot_mm(layout) if bottom == layout.height_mm else 1.0):
            x = left + RIM_MM + half + (row % 4) * pitch / 4
            while x + half < right - RIM_MM / 2:
                if _is_free((x, y), half + QUIET_MM * layout.scale, taken) and not _is_titled(
                    layout, panel, (x, y)
                ):
                    yield x, y
                x += pitch
            y, row = y + pitch, row + 1


def _is_free(
    middle: PointMm, half_mm: float, taken: list[tuple[float, float, float, float]]
) -> bool:
    x, y = middle
    return all(
        x + half_mm < left or x - half_mm > right or y + half_mm < top or y - half_mm > bottom
        for left, top, right, bottom in taken
    )


def _is_titled(layout: FocusLayout, panel: Panel, middle: PointMm) -> bool:
    """Return whether a square would lie in the words that say which way a wing goes."""
    x0, top, _, bottom = layout.bounds_mm(panel)
    half = SQUARE_MM * layout.scale * 0.58
    x, y = middle
    if not x0 + 26.0 * layout.scale - half < x < x0 + 74.0 * layout.scale + half:
        return False
    base = _title_mm(layout, top, bottom)
    return base - 6.0 * layout.scale - half < y < base + 3.0 * layout.scale + half


def _title_mm(layout: FocusLayout, top_mm: float, bottom_mm: float) -> float:
    """Return the base line of those words: by the outer fiducials."""
    if top_mm == 0.0:
        return RIM_MM + 9.0 * layout.scale
    return bottom_mm - _foot_mm(layout) - 6.0 * layout.scale


def _field(layout: FocusLayout) -> tuple[list[PrintedPatch], list[PrintedEdge]]:
    """Return the field to focus on: an uneven checkerboard, slightly turned."""
    xs = _places(COLUMNS_MM, layout.scale)
    ys = _places(ROWS_MM, layout.scale)
    trim = TRIM_MM * layout.scale
    patches, edges = [], []

    def at(*point: float) -> PointMm:
        return _turned((point[0], point[1]), FIELD_TURN_DEG, layout.middle_mm)

    def across(*point: float) -> PointMm:
        return _turned((point[0], point[1]), FIELD_TURN_DEG, (0.0, 0.0))

    for i in range(len(COLUMNS_MM)):
        for j in range(len(ROWS_MM)):
            dark = (i + j) % 2 == 0
            box = ((xs[i], ys[j]), (xs[i + 1], ys[j]), (xs[i + 1], ys[j + 1]), (xs[i], ys[j + 1]))
            if dark:
                patches.append(PrintedPatch(corners_mm=tuple(at(*p) for p in box)))
            sign = -1.0 if dark else 1.0
            if i + 1 < len(COLUMNS_MM):
                ends = at(xs[i + 1], ys[j] + trim), at(xs[i + 1], ys[j + 1] - trim)
                edges.append(_edge(ends, across(sign, 0.0), 0))
            if j + 1 < len(ROWS_MM):
                ends = at(xs[i] + trim, ys[j + 1]), at(xs[i + 1] - trim, ys[j + 1])
                edges.append(_edge(ends, across(0.0, sign), 0))
    return patches, edges


def _places(steps_mm: tuple[float, ...], scale: float) -> list[float]:
    """Return the borders between steps, about nought."""
    total = sum(steps_mm)
    return [scale * (sum(steps_mm[:k]) - total / 2) for k in range(len(steps_mm) + 1)]


def _edge(ends: tuple[PointMm, PointMm], dark: PointMm, square: int) -> PrintedEdge:
    return PrintedEdge(from_mm=ends[0], to_mm=ends[1], dark_mm=dark, square=square)


def _turned(point: PointMm, turn_deg: float, middle: PointMm) -> PointMm:
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    x, y = point
    return middle[0] + c * x - s * y, middle[1] + s * x + c * y


def _turned_box(middle: PointMm, side_mm: float, turn_deg: float) -> tuple[PointMm, ...]:
    half = side_mm / 2
    box = ((-half, -half), (half, -half), (half, half), (-half, half))
    return tuple(_turned(corner, turn_deg, middle) for corner in box)


def _sides(corners: tuple[PointMm, ...], square: int, trim_mm: float) -> list[PrintedEdge]:
    found = []
    for k in range(4):
        (x0, y0), (x1, y1) = corners[k], corners[(k + 1) % 4]
        long = math.hypot(x1 - x0, y1 - y0)
        along = ((x1 - x0) / long, (y1 - y0) / long)
        ends = (
            (x0 + trim_mm * along[0], y0 + trim_mm * along[1]),
            (x1 - trim_mm * along[0], y1 - trim_mm * along[1]),
        )
        found.append(_edge(ends, (-along[1], along[0]), square))  # clockwise: inside is right
    return found


def _lines(layout: FocusLayout) -> list[PrintedPatch]:
    """Return the dashed fold lines and the full cut lines."""
    found = []
    for x in (layout.left_mm, layout.right_mm):
        y = 1.0
        while y < layout.height_mm:
            found.append(_box(x - LINE_MM / 2, y, LINE_MM, min(DASH_MM, layout.height_mm - y)))
            y += DASH_STEP_MM
    y = layout.cut_mm - LINE_MM / 2
    found.append(_box(0.0, y, layout.left_mm, LINE_MM))
    found.append(_box(layout.right_mm, y, layout.width_mm - layout.right_mm, LINE_MM))
    return found


def _box(x: float, y: float, width_mm: float, height_mm: float) -> PrintedPatch:
    return PrintedPatch(
        corners_mm=(
            (x, y),
            (x + width_mm, y),
            (x + width_mm, y + height_mm),
            (x, y + height_mm),
        )
    )


def _ruler(layout: FocusLayout) -> tuple[tuple[PointMm, PointMm], list[PrintedPatch]]:
    long, y = RULER_MM[layout.paper], layout.height_mm - 5.5
    start = layout.width_mm / 2 - long / 2
    ticks = [_box(start, y - LINE_MM / 2, long, LINE_MM)]
    for k in range(round(long / 10) + 1):
        high = 2.4 if k % 5 == 0 else 1.4
        ticks.append(_box(start + 10 * k - LINE_MM / 2, y - high, LINE_MM, high))
    return ((start, y), (start + long, y)), ticks


def _words(layout: FocusLayout) -> Iterator[PrintedWords]:
    """Yield title and instructions; the longest line fits the middle panel."""
    scale, left = layout.scale, layout.left_mm
    size = 2.95 * scale
    mark_end = left + (INSET_MM + MARK_MM + 3.0) * scale
    yield PrintedWords(at_mm=(mark_end, 17.0 * scale), text="Focus target", size_mm=5.0 * scale)
    yield PrintedWords(
        at_mm=(mark_end, 23.0 * scale), text=f"{layout.paper}, thick paper", size_mm=2.8 * scale
    )
    middle = layout.cut_mm
    for block, start in ((_FOLD, RIM_MM + 24.0 * scale), (_SHOOT, middle + 38.0 * scale)):
        for row, line in enumerate(block):
            text = line.format(ruler=f"{RULER_MM[layout.paper]:.0f}")
            yield PrintedWords(
                at_mm=(left + 5.0 * scale, start + 4.6 * scale * row), text=text, size_mm=size
            )
    for panel in WINGS:
        x0, top, _, bottom = layout.bounds_mm(panel)
        way = "towards the camera" if panel in FORWARD else "away from the camera"
        y = _title_mm(layout, top, bottom)
        yield PrintedWords(at_mm=(x0 + 31.0 * scale, y), text=way, size_mm=3.4 * scale)


_FOLD = (
    "1  Print at 100 %: the ruler at the foot measures {ruler} mm.",
    "2  Cut both full lines, from the outside up to the dashed lines.",
    "3  Fold the wings at the dashed lines by about 45°, upper left and",
    "    lower right towards the camera, the other two away from it.",
    "4  Stand it up; this middle part faces the camera squarely.",
    "5  Focus here, with one small point, on the field below:",
)
_SHOOT = (
    "6  Camera on a tripod, level with the field, as far off as from a",
    "    sitter: the sheet fills a quarter to a half of the frame's width.",
    "7  Widest aperture first, then others; a short shutter time.",
    "8  Ten frames at each: turn the focus away, near and far in turn,",
    "    and focus anew before every frame.",
)
