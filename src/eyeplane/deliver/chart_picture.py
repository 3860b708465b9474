"""Pictures of a reading of the chart: sharpness against aperture, and the blur across the frame.

Places are points (x, y) in mm, y down.
"""

import math
from collections.abc import Sequence

from eyeplane.deliver.chart_words import aperture_words, lines_words
from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up, niced
from eyeplane.deliver.plan_picture import on_paper
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import stop_words
from eyeplane.records import Measured
from eyeplane.records.kit_chart import ChartAperture, ChartPlace, ChartResult

NAMES = ("middle", "corners")
HEIGHT_SHARE = 0.5  # height of the curve over its width
HALF_GAUSSIAN = 0.187391  # frequency × standard deviation at half contrast: exact
MIDDLE = Pen(ink="iris", width_mm=0.5)
CORNER = Pen(ink="ink", width_mm=0.35, dashed=True)
INTERVAL = Pen(ink="ink", width_mm=0.2)
BLUR = Pen(ink="ink", width_mm=0.2)
COLUMNS, ROWS = 6, 4  # of the chart's squares
ROUND = 40  # corners of a drawn ellipse
CELL_SHARE = 0.42  # of the room between squares that the largest blur takes to each side


def curve_drawing(result: ChartResult) -> CheckDrawing | None:
    """Return sharpness against aperture.

    Parameters
    ----------
    result : ChartResult
        A reading.

    Returns
    -------
    CheckDrawing or None
        None with fewer than two known apertures.
    """
    known = [a for a in result.apertures if a.f_number and a.middle_per_height is not None]
    if len(known) < 2:
        return None

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _curve(known, width_mm, type_mm)

    middles = [f"{stop_words(a.f_number or 0)} {lines_words(a.middle_per_height)}" for a in known]
    corners = [f"{stop_words(a.f_number or 0)} {lines_words(a.corner_per_height)}" for a in known]
    return CheckDrawing(
        name="Line pairs over the frame's short side, at half contrast",
        spoken=f"In the middle: {', '.join(middles)}. In the corners: {', '.join(corners)}.",
        draw=draw,
        note="Higher is sharper. Strokes: the range that holds the truth nine times in ten.",
    )


def _curve(known: Sequence[ChartAperture], width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    top_value = max(a.middle_per_height.high for a in known if a.middle_per_height)
    values = niced(top_value)
    left = max(width_mm(f"{v:.0f}", small) for v in values) + 0.7 * size
    top = 1.4 * size
    height = max(HEIGHT_SHARE * (width - left), 9.0 * size)
    f_numbers = [a.f_number or 1.0 for a in known]
    axes = Axes(
        across=Scale(
            low=f_numbers[0] / 1.12,
            high=f_numbers[-1],
            start_mm=left,
            end_mm=width - width_mm(NAMES[1], small) - size,
            logarithmic=True,
        ),
        up=Scale(low=0.0, high=values[-1], start_mm=top + height, end_mm=top),
    )
    sheet = Sheet(width_mm=width, height_mm=top + height + 1.9 * size)
    for corner, pen in ((True, CORNER), (False, MIDDLE)):
        course = [
            (f, m)
            for f, a in zip(f_numbers, known, strict=True)
            if (m := a.corner_per_height if corner else a.middle_per_height) is not None
        ]
        if not corner:
            lows, highs = [(f, m.low) for f, m in course], [(f, m.high) for f, m in course]
            band(sheet, axes, lows, highs)
            marked_up(sheet, axes, [(v, f"{v:.0f}") for v in values], small)
            marked_across(sheet, axes, [(f, stop_words(f)) for f in f_numbers], small)
        _course(sheet, axes, course, pen)
    _name_both(sheet, axes, known[-1], small)
    return sheet


def _course(sheet: Sheet, axes: Axes, course: Sequence[tuple[float, Measured]], pen: Pen) -> None:
    sheet.path([axes.at((f, m.value)) for f, m in course], pen)
    for f, m in course:
        x, y = axes.at((f, m.value))
        sheet.line((x, axes.up.at(m.low)), (x, axes.up.at(m.high)), INTERVAL)
        sheet.disc((x, y), 0.7, pen.ink, None)


def _name_both(sheet: Sheet, axes: Axes, last: ChartAperture, small: Letters) -> None:
    """Name both courses beside their last points, apart where these lie close together."""
    ends = [
        (name, axes.up.at(m.value))
        for name, m in zip(NAMES, (last.middle_per_height, last.corner_per_height), strict=True)
        if m is not None
    ]
    if len(ends) == 2:
        (_, first), (_, second) = ends
        more = max(0.0, 1.1 * small.size_mm - abs(second - first)) / 2
        more = more if second >= first else -more
        ends = [(NAMES[0], first - more), (NAMES[1], second + more)]
    for name, y in ends:
        place = (axes.across.end_mm + 0.6 * small.size_mm, y + 0.35 * small.size_mm)
        on_paper(sheet, place, name, Letters(size_mm=small.size_mm, ink="ink"))


def largest_blur_px(apertures: Sequence[ChartAperture]) -> float:
    """Return the largest blur at any place, in either direction.

    Parameters
    ----------
    apertures : sequence of ChartAperture
        Those that are shown side by side.

    Returns
    -------
    float
        Standard deviation; 0 where no place was read.
    """
    return max(
        (
            _sigma(m)
            for aperture in apertures
            for p in aperture.places
            for m in (p.sideways_per_px, p.upright_per_px, p.mtf50_per_px)
            if m is not None
        ),
        default=0.0,
    )


def field_drawing(
    result: ChartResult, aperture: ChartAperture, *, largest_px: float
) -> CheckDrawing | None:
    """Return the blur across the frame at one aperture.

    Parameters
    ----------
    result : ChartResult
        For the frame's shape.
    aperture : ChartAperture
        Which.
    largest_px : float
        Of all drawings that are to have one scale: `largest_blur_px`.

    Returns
    -------
    CheckDrawing or None
        None where no place was read.
    """
    if not aperture.places:
        return None

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _field(result, aperture, largest_px, (width_mm, type_mm))

    spoken = ", ".join(
        f"{_where(p)} {p.mtf50_per_px.value * _short(result):.0f}" for p in aperture.places
    )
    own_px = largest_blur_px([aperture])
    return CheckDrawing(
        name=f"Blur across the frame, {aperture_words(aperture.f_number)}",
        spoken=f"Line pairs over the frame's short side: {spoken}.",
        draw=draw,
        note=(
            "Each mark is the blur there, as wide and as high as it is measured, all at one scale "
            f"(here at most {2.355 * own_px:.1f} px across at half its height); below it the line "
            "pairs over the frame's short side."
        ),
    )


def _short(result: ChartResult) -> int:
    return min(result.width_px, result.height_px)


def _where(place: ChartPlace) -> str:
    across = "left" if place.x_share < -0.3 else "right" if place.x_share > 0.3 else "centre"
    down = "upper" if place.y_share < -0.3 else "lower" if place.y_share > 0.3 else "middle"
    return f"{down} {across}"


def _sigma(measured: Measured) -> float:
    return HALF_GAUSSIAN / measured.value


def _field(
    result: ChartResult, aperture: ChartAperture, largest: float, sizes: tuple[float, float]
) -> Sheet:
    width, size = sizes
    high = width * result.height_px / result.width_px
    sheet = Sheet(width_mm=width, height_mm=high)
    sheet.box((0.1, 0.1), (width - 0.1, high - 0.1), None, HAIRLINE)
    places = aperture.places
    room = CELL_SHARE * min(width / COLUMNS, high / ROWS - 1.4 * size)
    letters = Letters(size_mm=0.85 * size, ink="soft", anchor="middle")
    for place in places:
        x, y = (1 + place.x_share) * width / 2, (1 + place.y_share) * high / 2
        x, y = min(max(x, room), width - room), min(max(y, room + 0.4), high - room - 1.4 * size)
        across = _sigma(place.sideways_per_px or place.mtf50_per_px) / largest * room
        up = _sigma(place.upright_per_px or place.mtf50_per_px) / largest * room
        turns = [2 * math.pi * k / ROUND for k in range(ROUND)]
        ring = [(x + across * math.cos(t), y + up * math.sin(t)) for t in turns]
        sheet.area(ring, "pale", BLUR)
        pairs = f"{place.mtf50_per_px.value * _short(result):.0f}"
        sheet.words((x, y + up + 0.95 * size), pairs, letters)
    return sheet
