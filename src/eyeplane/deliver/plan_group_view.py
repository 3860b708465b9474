"""A group seen from above, to scale: lens, rows, faces, focus plane and depth of field."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.plan_picture import LEADING, Label, Picture, lanes, on_paper, within
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import THIN, far_words
from eyeplane.records.plan import PlanKit
from eyeplane.records.plans import GroupPlace, GroupPlan, GroupRow

HEAD_BREADTH_MM, HEAD_DEPTH_MM = 152.0, 190.0  # adult, over and along the head; from memory
EYES_BEHIND_FRONT_MM = 15.0  # irises behind the brow, for drawing only; from memory
MARGIN_MM = 330.0  # shown behind the last row and beside the outermost faces
BEYOND = 3.0  # margins behind the last row at most, where the depth of field goes on
TALL = 0.62  # most height of the drawing, over its width
IN_PEN, OUT_PEN = Pen(width_mm=0.3), Pen(ink="soft", width_mm=0.22, dashed=True)
PLANE = Pen(ink="iris", width_mm=0.5)
ARROW = Pen(ink="ink", width_mm=0.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """One scale along and across the lens axis."""

    scale: float
    axis_mm: float
    top_mm: float
    foot_mm: float
    right_mm: float

    def at(self, distance_mm: float, across_mm: float) -> Point:
        """Return a place: the lens to the left, what the camera sees on its right further down."""
        return distance_mm * self.scale, self.axis_mm + across_mm * self.scale


def group_picture(plan: GroupPlan) -> Picture:
    """Return the top view of a group.

    Parameters
    ----------
    plan : GroupPlan
        The plan.

    Returns
    -------
    Picture
        To scale, lens to the left.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _drawn(plan, width_mm, size_mm)

    return Picture(name="Seating, from above", spoken=_spoken(plan), draw=draw)


def _drawn(plan: GroupPlan, width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    line = LEADING * size
    last = max(p.distance_mm for p in plan.places)
    far = max(last + MARGIN_MM, min(_limits(plan)[1] + MARGIN_MM / 3, last + BEYOND * MARGIN_MM))
    aside = max(abs(p.across_mm) for p in plan.places) + 0.6 * MARGIN_MM
    scale = min(width / far, TALL * width / (2 * aside))
    top = 1.4 * line
    room = _Room(
        scale=scale,
        axis_mm=top + aside * scale,
        top_mm=top,
        foot_mm=top + 2 * aside * scale,
        right_mm=far * scale,
    )
    rows = _row_labels(plan, room, small, width)
    deep = 2 * max(label.lane for label in rows) + max(len(_row_lines(r)) for r in plan.rows)
    sheet = Sheet(width_mm=width, height_mm=room.foot_mm + (deep + 2.1) * line)
    _depth(sheet, plan, room)
    _frame_edges(sheet, plan, room)
    _lens(sheet, room, small)
    for place in plan.places:
        _face(sheet, room, place)
    _plane(sheet, plan, room, small)
    for place in plan.places:
        _lean(sheet, room, place, small)
    for row, label in zip(plan.rows, rows, strict=True):
        _row(sheet, room, row, label, small)
    _bar(sheet, room, small)
    return sheet


def _row_labels(plan: GroupPlan, room: _Room, small: Letters, width: float) -> tuple[Label, ...]:
    named = []
    for row in plan.rows:
        lines = _row_lines(row)
        widest = max(lines, key=lambda text: width_mm(text, small))
        named.append((widest, room.at(row.distance_mm, 0.0)[0]))
    return lanes(named, small, (0.0, width))


def _row_lines(row: GroupRow) -> tuple[str, ...]:
    first = f"row {row.row}, {far_words(row.distance_mm)}"
    if not row.lean_cm:
        return (first,)
    return first, lean_words(10 * row.lean_cm)


def _row(sheet: Sheet, room: _Room, row: GroupRow, label: Label, small: Letters) -> None:
    size, line = small.size_mm, LEADING * small.size_mm
    x = room.at(row.distance_mm, 0.0)[0]
    base = room.foot_mm + (2 * label.lane + 1.5) * line
    knee = room.foot_mm + 0.2 * line
    sheet.path([(x, room.foot_mm), (x, knee), (label.x_mm, base - 0.8 * size)], HAIRLINE)
    for k, text in enumerate(_row_lines(row)):
        middle = Letters(size_mm=size, anchor="middle", ink="soft" if k else "ink")
        sheet.words((label.x_mm, base + k * line), text, middle)


def _limits(plan: GroupPlan) -> tuple[float, float]:
    """Return both ends of the depth of field from the lens; without end, far off."""
    front, behind = plan.settings[0].depth_front_mm, plan.settings[0].depth_behind_mm
    return (
        0.0 if front is None else plan.focus_distance_mm - front,
        math.inf if behind is None else plan.focus_distance_mm + behind,
    )


def _depth(sheet: Sheet, plan: GroupPlan, room: _Room) -> None:
    low, high = (min(end * room.scale, room.right_mm) for end in _limits(plan))
    if high > low:
        sheet.box((low, room.top_mm), (high, room.foot_mm), "pale")


def _frame_edges(sheet: Sheet, plan: GroupPlan, room: _Room) -> None:
    """Draw what the frame takes in: from the pupil to both ends of its long side."""
    half = _half_width(plan.request.kit, plan.focus_distance_mm)
    reach = room.right_mm / room.scale
    for side in (-1, 1):
        far = min(reach, (room.foot_mm - room.top_mm) / 2 / room.scale / half)
        sheet.line(room.at(0.0, 0.0), room.at(far, side * half * far), HAIRLINE)
    sheet.line(room.at(0.0, 0.0), room.at(reach, 0.0), Pen(width_mm=0.15))


def _half_width(kit: PlanKit, focus_mm: float) -> float:
    """Return half the width of what the frame takes in, over the distance: a thin lens."""
    image_mm = kit.focal_length_mm * focus_mm / (focus_mm - kit.focal_length_mm)
    return kit.sensor_long_mm / 2 / image_mm


def _lens(sheet: Sheet, room: _Room, small: Letters) -> None:
    x, y = room.at(0.0, 0.0)
    size = small.size_mm
    sheet.area(
        [(x, y), (x + 0.9 * size, y - 0.38 * size), (x + 0.9 * size, y + 0.38 * size)], "ink"
    )
    on_paper(sheet, (x, y + 2.0 * size), "lens", Letters(size_mm=size, ink="soft"))


def _face(sheet: Sheet, room: _Room, place: GroupPlace) -> None:
    """Draw a head from above: an oval with the eyes near its front, and a nose."""
    back = HEAD_DEPTH_MM / 2 - EYES_BEHIND_FRONT_MM
    oval = [
        room.at(
            place.distance_mm + back - HEAD_DEPTH_MM / 2 * math.cos(angle),
            place.across_mm + HEAD_BREADTH_MM / 2 * math.sin(angle),
        )
        for angle in (2 * math.pi * k / 36 for k in range(36))
    ]
    nose = [
        room.at(place.distance_mm + along, place.across_mm + across)
        for along, across in ((-13.0, -22.0), (-40.0, 0.0), (-13.0, 22.0))
    ]
    pen = IN_PEN if place.inside else OUT_PEN
    sheet.area(oval, "paper", pen)
    sheet.path(nose, pen)


def _plane(sheet: Sheet, plan: GroupPlan, room: _Room, small: Letters) -> None:
    x = room.at(plan.focus_distance_mm, 0.0)[0]
    size = small.size_mm
    if x <= room.right_mm:
        sheet.line((x, room.top_mm - 0.3 * size), (x, room.foot_mm), PLANE)
    words = f"focus plane {far_words(plan.focus_distance_mm)}"
    letters = Letters(size_mm=size, ink="iris", anchor="middle")
    at = within(x, words, letters, (0.0, sheet.width_mm))
    sheet.words((at, room.top_mm - 0.6 * size), words, letters)


def _lean(sheet: Sheet, room: _Room, place: GroupPlace, small: Letters) -> None:
    """Draw which way a face has to move, how far, and where its eyes then are."""
    if not place.lean_mm:
        return
    size = small.size_mm
    x, y = room.at(place.distance_mm, place.across_mm)
    end, _ = room.at(place.distance_mm - place.lean_mm, place.across_mm)
    way = math.copysign(1.0, end - x)
    tip = max(min(0.45 * size, abs(end - x)), 0.2 * size)
    sheet.line((x, y), (end, y), ARROW)
    sheet.area(
        [(end, y), (end - way * tip, y - 0.5 * tip), (end - way * tip, y + 0.5 * tip)], "ink"
    )


def _bar(sheet: Sheet, room: _Room, small: Letters) -> None:
    size = small.size_mm
    y = sheet.height_mm - 0.3 * size
    metre = 1000.0 * room.scale
    sheet.line((0.0, y - 0.3 * size), (metre, y - 0.3 * size), Pen(ink="soft", width_mm=0.4))
    sheet.words((metre + 0.5 * size, y), f"1{THIN}m", Letters(size_mm=size, ink="soft"))
    words = "broken outline: out of the depth of field"
    letters = Letters(size_mm=size, ink="soft", anchor="end")
    if width_mm(words, letters) + metre + 6 * size < sheet.width_mm:
        sheet.words((sheet.width_mm, y), words, letters)


def lean_words(lean_mm: float) -> str:
    """Return which way somebody leans and how far.

    Parameters
    ----------
    lean_mm : float
        + towards the camera.

    Returns
    -------
    str
        "lean 8 cm forward", "lean 3 cm back", "as seated"; whole cm, rounded up.
    """
    if not lean_mm:
        return "as seated"
    way = "forward" if lean_mm > 0 else "back"
    return f"lean {math.ceil(abs(lean_mm) / 10 - 1e-9)}{THIN}cm {way}"


def _spoken(plan: GroupPlan) -> str:
    rows = "; ".join(_row_words(plan.places, r.row, r.distance_mm) for r in plan.rows)
    low, high = _limits(plan)
    depth = f"from {far_words(low)} " + ("on" if math.isinf(high) else f"to {far_words(high)}")
    return (
        f"Seating from above, to scale: {rows}. Focus plane {far_words(plan.focus_distance_mm)} "
        f"from the lens, depth of field {depth}."
    )


def _row_words(places: Sequence[GroupPlace], row: int, distance_mm: float) -> str:
    mine = [p for p in places if p.row == row]
    out = sum(not p.inside for p in mine)
    lean = max((p.lean_mm for p in mine), key=abs)
    told = "all inside" if not out else f"{out} of {len(mine)} outside"
    moves = f", {lean_words(lean)}" if lean else ""
    return f"row {row} at {far_words(distance_mm)}, {told}{moves}"
