"""Drawings of a check of the glass: what each zone lost, and the glow around a light.

Places are points (x, y) in mm, y down.
"""

import math

from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up
from eyeplane.deliver.plan_picture import on_paper
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import THIN, number
from eyeplane.records.kit_glass import GlassHalo, GlassResult

STROKE = Pen(ink="soft", width_mm=0.16)
SMUDGED = Pen(ink="iris", width_mm=0.5)
FULL_LOSS = 0.2  # share of the contrast at which the hatching is densest
LEAST_LOSS = 0.01  # from which a zone is hatched
SPARSE_MM, DENSE_MM = 4.5, 0.8  # between strokes at the least loss and at the densest
CURVE = Pen(ink="iris", width_mm=0.5)
BORDER = Pen(ink="soft", width_mm=0.25, dashed=True)
HEIGHT_SHARE = 0.55  # height of the halo's plot over its width
DECADES = 5  # shown below the highest light


def zones_drawing(result: GlassResult) -> CheckDrawing:
    """Return the frame with what each zone lost.

    Parameters
    ----------
    result : GlassResult
        With zones.

    Returns
    -------
    CheckDrawing
        The denser a zone is hatched, the more contrast it lost; the number says it.
    """

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _zones(result, width_mm, type_mm)

    return CheckDrawing(
        name="Contrast lost by place",
        spoken=_spoken_zones(result),
        draw=draw,
        note=(
            "The upright frame in zones. Number: contrast lost by detail of an eye's size, in "
            "percent; the denser the strokes, the more. Thick border: a smudge. Dash: too little "
            "detail to tell."
        ),
    )


def halo_drawing(halo: GlassHalo, *, at_most: bool) -> CheckDrawing:
    """Return the glow around a light.

    Parameters
    ----------
    halo : GlassHalo
        With its curve.
    at_most : bool
        Whether it is an upper end.

    Returns
    -------
    CheckDrawing
        Light over distance, both on logarithmic scales.
    """

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _halo(halo, width_mm, type_mm)

    most = " It is the most that the glass can do: see the notes." if at_most else ""
    return CheckDrawing(
        name="Glow around a small light",
        spoken=_spoken_halo(halo),
        draw=draw,
        note=(
            "Across: distance from the light, in percent of the frame's long edge. Up: share of "
            "its light that lands on a square of 1 % of the long edge. Both scales go by factors "
            f"of ten; the band holds the truth nine times in ten.{most}"
        ),
    )


def _zones(result: GlassResult, width: float, size: float) -> Sheet:
    columns, rows = result.columns, result.rows
    side = min(width / columns, 1.05 * width / rows)
    left = (width - side * columns) / 2
    sheet = Sheet(width_mm=width, height_mm=side * rows + 0.6)
    for number_, zone in enumerate(result.zones):
        row, column = divmod(number_, columns)
        corner = (left + column * side, 0.3 + row * side)
        opposite = (corner[0] + side, corner[1] + side)
        loss = zone.loss_share.value if zone.loss_share is not None else 0.0
        for start, end in _strokes(corner, opposite, loss):
            sheet.line(start, end, STROKE)
        sheet.box(corner, opposite, None, HAIRLINE)
    for number_, zone in enumerate(result.zones):
        row, column = divmod(number_, columns)
        corner = (left + column * side, 0.3 + row * side)
        if zone.smudged:
            inner = 0.03 * side
            sheet.box(
                (corner[0] + inner, corner[1] + inner),
                (corner[0] + side - inner, corner[1] + side - inner),
                None,
                SMUDGED,
            )
        words = "–" if zone.loss_share is None else _percent(zone.loss_share.value)
        letters = Letters(size_mm=size)
        start_x = corner[0] + side / 2 - width_mm(words, letters) / 2
        on_paper(sheet, (start_x, corner[1] + side / 2 + 0.35 * size), words, letters)
    return sheet


def _percent(loss: float) -> str:
    whole = round(100 * loss)
    return "0" if whole == 0 else f"{whole}".replace("-", "−")


def _strokes(corner: Point, opposite: Point, loss: float) -> list[tuple[Point, Point]]:
    """Return strokes at 45 degrees over a rectangle, the denser the more is lost."""
    if loss < LEAST_LOSS:
        return []
    part = min(math.sqrt(loss / FULL_LOSS), 1.0)
    step = math.sqrt(2) * SPARSE_MM * (DENSE_MM / SPARSE_MM) ** part
    (left, top), (right, bottom) = corner, opposite
    strokes = []
    for k in range(math.ceil((left + top) / step), math.floor((right + bottom) / step) + 1):
        start, end = max(left, k * step - bottom), min(right, k * step - top)
        if end > start:
            strokes.append(((start, k * step - start), (end, k * step - end)))
    return strokes


def _spoken_zones(result: GlassResult) -> str:
    lines = []
    for row in range(result.rows):
        cells = result.zones[row * result.columns : (row + 1) * result.columns]
        told = [
            "cannot tell"
            if one.loss_share is None
            else f"{_percent(one.loss_share.value)} %{' (smudge)' if one.smudged else ''}"
            for one in cells
        ]
        lines.append(f"row {row + 1} from the top: {', '.join(told)}")
    return f"Contrast lost by place, left to right: {'; '.join(lines)}."


def _halo(halo: GlassHalo, width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    top = max(*halo.high_ratio, 1e-6)
    high = 10.0 ** math.ceil(math.log10(top))
    low = high / 10.0**DECADES
    names = [(10.0**k * high, _power(10.0**k * high)) for k in range(-DECADES, 1)]
    left = max(width_mm(name, small) for _, name in names) + 0.8 * size
    head = 1.8 * size
    height = max(HEIGHT_SHARE * (width - left), 9.0 * size)
    axes = Axes(
        across=Scale(
            low=halo.radius_share[0],
            high=halo.radius_share[-1],
            start_mm=left,
            end_mm=width - 1.2 * size,
            logarithmic=True,
        ),
        up=Scale(low=low, high=high, start_mm=head + height, end_mm=head, logarithmic=True),
    )
    sheet = Sheet(width_mm=width, height_mm=head + height + 2.0 * size)
    marked_up(sheet, axes, names, small)
    floored = [
        (r, *(max(v, low) for v in values))
        for r, *values in zip(
            halo.radius_share, halo.light_ratio, halo.low_ratio, halo.high_ratio, strict=True
        )
    ]
    band(sheet, axes, [(r, lo) for r, _, lo, _ in floored], [(r, hi) for r, _, _, hi in floored])
    ticks = (0.01, 0.02, 0.05, 0.1, 0.2, 0.4)
    named = [(t, f"{number(100 * t, 1)}{THIN}%") for t in ticks if _seen(t, halo)]
    marked_across(sheet, axes, named, small)
    sheet.path([axes.at((r, value)) for r, value, _, _ in floored], CURVE)
    x = axes.across.at(0.1)
    sheet.line((x, axes.up.start_mm), (x, axes.up.end_mm), BORDER)
    soft = Letters(size_mm=size, ink="soft", anchor="end")
    sheet.words((x - 0.4 * size, head - 0.5 * size), "halo", soft)
    sheet.words((x + 0.4 * size, head - 0.5 * size), "veil", Letters(size_mm=size, ink="soft"))
    return sheet


def _seen(tick: float, halo: GlassHalo) -> bool:
    return halo.radius_share[0] * 0.99 <= tick <= halo.radius_share[-1] * 1.01


def _power(value: float) -> str:
    """Return a power of ten as a share in percent, such as 1 % or 0.0001 %."""
    return f"{number(100 * value, 1)}{THIN}%"


def _spoken_halo(halo: GlassHalo) -> str:
    told = [
        f"at {number(100 * r)} % of the long edge {number(100 * value)} %"
        for r, value in list(zip(halo.radius_share, halo.light_ratio, strict=True))[::6]
    ]
    return f"Light that lands on a square of 1 % of the long edge: {', '.join(told)}."
