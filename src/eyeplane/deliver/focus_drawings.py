"""The depth line of a focus target, and blur against depth; lens to the left, mm to scale."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.plan_picture import LEADING, lanes, within
from eyeplane.deliver.sheet import HAIRLINE, Ink, Letters, Pen, Sheet
from eyeplane.deliver.wording import THIN, far_words, number, offset_words, side_words
from eyeplane.records import Measured
from eyeplane.records.kit_focus import FocusPoint, FocusTargetResult, TargetFrame

SIDES = ("in front of the field", "behind the field", "on the field")
FIELD_HALF_MM = 29.0  # of the printed field: the stroke that stands for it is as high
SHORTEST_MM = 40.0  # to either side of the field that is drawn at least
PLANE = Pen(ink="iris", width_mm=0.6)
HATCHING = Pen(ink="iris", width_mm=0.1)
AXIS = Pen(width_mm=0.18)
CURVE = Pen(ink="iris", width_mm=0.35)
BAR_MM = 20.0
_At = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthPlane:
    """A plane with what surrounds it.

    Attributes
    ----------
    offset_mm : Measured
        + behind the field.
    others_mm : tuple of float
        Planes of single frames.
    depth_front_mm, depth_behind_mm : float or None
        Depth of field in front of it and behind it; None: not known.
    distance_mm : float or None
        From the lens to the field; None: not known.
    """

    offset_mm: Measured
    others_mm: tuple[float, ...]
    depth_front_mm: float | None
    depth_behind_mm: float | None
    distance_mm: float | None


def depth_drawing(plane: DepthPlane) -> CheckDrawing:
    """Return the depth line: the field, the sharpest plane with its interval, the depth of field.

    Parameters
    ----------
    plane : DepthPlane
        What is drawn.

    Returns
    -------
    CheckDrawing
        To scale.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _depth_sheet(plane, width_mm, size_mm)

    away = "" if plane.distance_mm is None else f", {far_words(plane.distance_mm)} away"
    spoken = f"Depth line, to scale, lens to the left{away}: the "
    spoken += f"sharpest plane lies {offset_words(plane.offset_mm, SIDES)}."
    if plane.depth_front_mm is not None and plane.depth_behind_mm is not None:
        spoken += (
            f" Depth of field: {side_words(-plane.depth_front_mm, _OF_PLANE)} and "
            f"{side_words(plane.depth_behind_mm, _OF_PLANE)}."
        )
    note = "Full stroke: sharpest plane; hatched: where it may lie, nine times in ten"
    note += "; pale: depth of field" if plane.depth_front_mm is not None else ""
    note += "; short strokes: single frames." if len(plane.others_mm) > 1 else "."
    return CheckDrawing(name="Where the focus lies", spoken=spoken, draw=draw, note=note)


_OF_PLANE = ("in front of the plane", "behind it", "at it")


def _depth_sheet(plane: DepthPlane, width_mm: float, size_mm: float) -> Sheet:
    offset = plane.offset_mm
    ends = [offset.low, offset.high, *plane.others_mm]
    half = max(SHORTEST_MM, *(abs(v) + 6 for v in ends))
    line = size_mm * LEADING
    scale = width_mm / (2 * half)
    high = min(FIELD_HALF_MM * scale, 0.22 * width_mm)
    top, middle = 2.6 * line, 2.6 * line + high
    foot = middle + high
    sheet = Sheet(width_mm=width_mm, height_mm=foot + 3.2 * line)

    def x(depth_mm: float) -> float:
        return min(max((depth_mm + half) * scale, 0.0), width_mm)

    if plane.depth_front_mm is not None:
        behind = 1e9 if plane.depth_behind_mm is None else plane.depth_behind_mm
        left, right = x(offset.value - plane.depth_front_mm), x(offset.value + behind)
        sheet.box((left, top), (right, foot), "pale")
    sheet.hatch((x(offset.low), top), (x(offset.high), foot), HATCHING)
    sheet.line((0.0, middle), (width_mm, middle), AXIS)
    tip = 0.9 * size_mm
    sheet.area([(0.0, middle), (tip, middle - 0.4 * tip), (tip, middle + 0.4 * tip)], "ink")
    for other in plane.others_mm:
        sheet.line(
            (x(other), middle - 0.5 * size_mm),
            (x(other), middle + 0.5 * size_mm),
            Pen(ink="soft", width_mm=0.25),
        )
    sheet.line((x(0.0), top), (x(0.0), foot), Pen(width_mm=0.7))
    sheet.line((x(offset.value), top - 0.3 * size_mm), (x(offset.value), foot), PLANE)
    words = f"focus {side_words(offset.value, ('in front', 'behind', 'on the field'))}"
    iris = Letters(size_mm=size_mm, ink="iris", anchor="middle")
    at = within(x(offset.value), words, iris, (0.0, width_mm))
    sheet.words((at, top - 0.6 * size_mm), words, iris)
    plain = Letters(size_mm=size_mm, anchor="middle")
    sheet.words((x(0.0), foot + 1.1 * line), "the field", plain)
    away = "" if plane.distance_mm is None else f", {far_words(plane.distance_mm)}"
    _scale_bar(sheet, scale, size_mm, f"lens{away}")
    return sheet


def _scale_bar(sheet: Sheet, scale: float, size_mm: float, lens: str) -> None:
    y = sheet.height_mm - 0.35 * size_mm
    soft = Letters(size_mm=size_mm, ink="soft")
    sheet.words((0.0, y - 1.25 * size_mm), f"← {lens}", soft)
    right = sheet.width_mm
    start = right - BAR_MM * scale
    pen = Pen(ink="soft", width_mm=0.4)
    sheet.line((start, y - 0.3 * size_mm), (right, y - 0.3 * size_mm), pen)
    end = Letters(size_mm=size_mm, ink="soft", anchor="end")
    sheet.words((start - 0.5 * size_mm, y), f"{BAR_MM:.0f}{THIN}mm", end)


def curve_drawing(frame: TargetFrame) -> CheckDrawing:
    """Return blur against depth of one frame, with the curve through it.

    Parameters
    ----------
    frame : TargetFrame
        With points; blur in µm on the sensor where the pitch is known, else in px.

    Returns
    -------
    CheckDrawing
        Discs for edges that run up and down, rings for those that run across.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _curve_sheet(points, frame.offset_mm, unit, (width_mm, size_mm))

    points = frame.points
    unit, each = ("µm", frame.pitch_um) if frame.pitch_um else ("px", 1.0)
    points = tuple(
        replace(p, spread_px=p.spread_px * each, fitted_px=p.fitted_px * each) for p in points
    )
    least, most = (pick(p.spread_px for p in points) for pick in (min, max))
    first, last = points[0].behind_mm, points[-1].behind_mm
    where = (
        f"least where the plane is: {offset_words(frame.offset_mm, SIDES)}"
        if frame.offset_mm is not None
        else f"falling all the way to what lies {frame.beyond}"
    )
    return CheckDrawing(
        name="Blur against depth, one frame",
        spoken=f"Blur of the printed edges from {number(least)} to {number(most)}{THIN}{unit} over "
        f"{side_words(first, SIDES)} to {side_words(last, SIDES)}; {where}.",
        draw=draw,
        note="Each dot is some edges of nearly one depth: discs run up and down, rings across. The "
        "line is what a lens with one sharpest plane does; blur as a standard deviation on the "
        "sensor.",
    )


def _curve_sheet(
    points: Sequence[FocusPoint], offset: Measured | None, unit: str, size: tuple[float, float]
) -> Sheet:
    width_mm, size_mm = size
    line = size_mm * LEADING
    left, right = 3.6 * size_mm, width_mm - 0.6 * size_mm
    top, foot = 2.2 * line, 2.2 * line + 0.42 * width_mm
    sheet = Sheet(width_mm=width_mm, height_mm=foot + 2.6 * line)
    first, last = min(p.behind_mm for p in points), max(p.behind_mm for p in points)
    step = _step(max(p.spread_px for p in points) / 4)
    most = step * math.ceil(max(max(p.spread_px, p.fitted_px) for p in points) / step)

    def at(depth_mm: float, blur_value: float) -> tuple[float, float]:
        return (
            left + (right - left) * (depth_mm - first) / max(last - first, 1e-6),
            foot - (foot - top) * blur_value / most,
        )

    soft = Letters(size_mm=size_mm, ink="soft", anchor="end")
    for k in range(round(most / step) + 1):
        y = at(first, k * step)[1]
        sheet.line((left, y), (right, y), HAIRLINE)
        sheet.words((left - 0.5 * size_mm, y + 0.35 * size_mm), number(k * step), soft)
    sheet.words((0.0, top - 0.8 * line), f"blur, {unit}", Letters(size_mm=size_mm, ink="soft"))
    if offset is not None:
        low, high = (min(max(v, first), last) for v in (offset.low, offset.high))
        sheet.hatch((at(low, 0)[0], top), (at(high, 0)[0], foot), HATCHING)
        sheet.line(at(offset.value, 0), at(offset.value, most), PLANE)
        words = side_words(offset.value, ("in front", "behind", "on the field"))
        iris = Letters(size_mm=size_mm, ink="iris", anchor="middle")
        x = within(at(offset.value, 0)[0], words, iris, (5 * size_mm, right))
        sheet.words((x, top - 0.5 * size_mm), words, iris)
    for upright in (True, False):
        own = [p for p in points if p.upright == upright]
        _curve(sheet, own, at)
    _depth_axis(sheet, (first, last), at, (foot, line, size_mm))
    return sheet


def _curve(sheet: Sheet, points: Sequence[FocusPoint], at: _At) -> None:
    sheet.path([at(p.behind_mm, p.fitted_px) for p in points], CURVE)
    for p in points:
        fill: Ink = "ink" if p.upright else "paper"
        sheet.disc(at(p.behind_mm, p.spread_px), 0.7, fill, Pen(width_mm=0.22))


def _depth_axis(
    sheet: Sheet, ends: tuple[float, float], at: _At, below: tuple[float, float, float]
) -> None:
    foot, line, size = below
    step = _step((ends[1] - ends[0]) / 5)
    places = [k * step for k in range(math.ceil(ends[0] / step), math.floor(ends[1] / step) + 1)]
    letters = Letters(size_mm=size)
    texts = [f"{abs(place):g}" if place else "the field" for place in places]
    labels = lanes(
        [(text, at(place, 0)[0]) for text, place in zip(texts, places, strict=True)],
        letters,
        (0.0, sheet.width_mm),
    )
    for place, label in zip(places, labels, strict=True):
        x = at(place, 0)[0]
        sheet.line((x, foot), (x, foot + 0.4 * size), AXIS)
        if label.lane == 0:
            sheet.words(
                (label.x_mm, foot + 1.1 * line), label.text, Letters(size_mm=size, anchor="middle")
            )
    soft = Letters(size_mm=size, ink="soft")
    sheet.words((at(ends[0], 0)[0], foot + 2.2 * line), "← mm in front", soft)
    end = Letters(size_mm=size, ink="soft", anchor="end")
    sheet.words((at(ends[1], 0)[0], foot + 2.2 * line), "mm behind →", end)


def _step(rough: float) -> float:
    """Return a round number near a rough one: 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(max(rough, 1e-6)))
    return power * min((1, 2, 5, 10), key=lambda k: abs(math.log(k * power / max(rough, 1e-6))))


def shown_frame(result: FocusTargetResult) -> TargetFrame | None:
    """Return the frame whose blur is drawn: the middle one of the main group.

    Parameters
    ----------
    result : FocusTargetResult
        Of the check.

    Returns
    -------
    TargetFrame or None
        None if none has points.
    """
    usable = [f for f in result.frames if f.points and not f.problem]
    told = [f for f in usable if f.offset_mm is not None]
    if result.main is not None:
        group = result.groups[result.main]
        told = [f for f in told if f.f_number == group.f_number] or told
    told.sort(key=lambda f: f.offset_mm.value if f.offset_mm is not None else 0.0)
    if told:
        return told[len(told) // 2]
    return usable[0] if usable else None
