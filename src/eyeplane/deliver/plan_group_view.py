"""A group seen from above, to scale: lens, rows, faces, focus plane and depth of field."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeplane.deliver.plan_drag import Drawing, Handle, View
from eyeplane.deliver.plan_picture import LEADING, Label, Picture, lanes, on_paper, within
from eyeplane.deliver.plan_words import length_words
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
BEFORE_SHARE = 0.06  # of the width: room before the lens where it can be dragged
MOST_LANDS_MM = 500.0  # as far as a focus may be said to land off
NEAREST_MM, FARTHEST_MM = 300.0, 30_000.0  # as far as a camera is dragged; our own
CLOSEST_ROWS_MM, WIDEST_ROWS_MM = 50.0, 3000.0  # as far as rows are dragged; our own
ARROW = Pen(ink="ink", width_mm=0.3)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """One scale along and across the lens axis."""

    view: View
    axis_mm: float
    top_mm: float
    foot_mm: float
    right_mm: float

    @property
    def scale(self) -> float:
        return self.view.scale

    def at(self, distance_mm: float, across_mm: float) -> Point:
        """Return a place: the lens to the left, what the camera sees on its right further down."""
        return self.view.x_mm(distance_mm), self.axis_mm + across_mm * self.scale


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


def group_drawing(
    plan: GroupPlan,
    *,
    width_mm: float,
    size_mm: float,
    lands_mm: float = 0.0,
    view: View | None = None,
) -> Drawing:
    """Return the top view of a group, to be dragged.

    Parameters
    ----------
    plan : GroupPlan
        The plan.
    width_mm, size_mm : float
        Width of the drawing, and size of its type.
    lands_mm : float
        Where the focus lands, behind the plane it is put on: there plane and depth are drawn.
    view : View or None
        What it is to show, while something is being dragged; None: all there is.

    Returns
    -------
    Drawing
        The camera, the focus plane and the rear row can be dragged.
    """
    plan = _landed(plan, lands_mm)
    room = _room(plan, width_mm, size_mm, view or _view(plan, width_mm, BEFORE_SHARE))
    return Drawing(
        name="Seating, from above",
        spoken=_spoken(plan),
        sheet=_drawn(plan, width_mm, size_mm, room),
        view=room.view,
        head_mm=room.top_mm,
        axis_mm=room.axis_mm,
        foot_mm=room.foot_mm,
        handles=_handles(plan, room, lands_mm),
    )


def _landed(plan: GroupPlan, lands_mm: float) -> GroupPlan:
    """Return the plan with its plane where the focus lands, and who is then inside."""
    if not lands_mm:
        return plan
    plan = replace(plan, focus_distance_mm=plan.focus_distance_mm + lands_mm)
    if plan.request.kit.field_radius_mm is not None:
        return plan  # who is inside of a bent field cannot be told from distances along the axis
    low, high = _limits(plan)
    places = tuple(replace(p, inside=low <= p.distance_mm <= high) for p in plan.places)
    return replace(plan, places=places)


def _handles(plan: GroupPlan, room: _Room, lands_mm: float) -> tuple[Handle, ...]:
    asked, plane = plan.request, plan.focus_distance_mm
    near = plan.rows[0].distance_mm
    camera = Handle(
        what="camera",
        field="distance",
        x_mm=room.view.x_mm(0.0),
        value_mm=asked.distance_mm,
        per_ratio=-1.0,
        least_mm=max(NEAREST_MM, 2 * asked.kit.focal_length_mm),
        most_mm=FARTHEST_MM,
        step_mm=50.0,
        spoken=f"{far_words(asked.distance_mm)} before the front row",
        grip="axis",
    )
    focus = Handle(
        what="plane",
        field="focus-bias",
        x_mm=room.view.x_mm(plane),
        value_mm=lands_mm,
        per_ratio=1.0,
        least_mm=-MOST_LANDS_MM,
        most_mm=MOST_LANDS_MM,
        step_mm=10.0,
        spoken=f"{far_words(plane)} from the lens, {_from_row(plane - near)}",
    )
    if asked.rows < 2:
        return camera, focus
    rear = Handle(
        what="row",
        field="row-spacing",
        x_mm=room.view.x_mm(asked.distance_mm + (asked.rows - 1) * asked.row_spacing_mm),
        value_mm=asked.row_spacing_mm,
        per_ratio=1.0 / (asked.rows - 1),
        least_mm=CLOSEST_ROWS_MM,
        most_mm=WIDEST_ROWS_MM,
        step_mm=10.0,
        spoken=f"{length_words(asked.row_spacing_mm)} from row to row",
        grip="foot",
    )
    return camera, focus, rear


def _from_row(behind_mm: float) -> str:
    if abs(behind_mm) < 5.0:
        return "on the front row"
    return f"{length_words(abs(behind_mm))} {'behind' if behind_mm > 0 else 'before'} the front row"


def _drawn(plan: GroupPlan, width: float, size: float, room: _Room | None = None) -> Sheet:
    room = room or _room(plan, width, size, _view(plan, width, 0.0))
    small = Letters(size_mm=size)
    line = LEADING * size
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


def _far(plan: GroupPlan) -> float:
    """Return how far the drawing goes."""
    last = max(p.distance_mm for p in plan.places)
    return max(last + MARGIN_MM, min(_limits(plan)[1] + MARGIN_MM / 3, last + BEYOND * MARGIN_MM))


def _aside(plan: GroupPlan) -> float:
    return max(abs(p.across_mm) for p in plan.places) + 0.6 * MARGIN_MM


def _view(plan: GroupPlan, width: float, before_share: float) -> View:
    inner = width * (1.0 - before_share)
    scale = min(inner / _far(plan), TALL * width / (2 * _aside(plan)))
    return View(start_mm=-before_share * width / scale, scale=scale)


def _room(plan: GroupPlan, width: float, size: float, view: View) -> _Room:
    top = 1.4 * LEADING * size
    half = _aside(plan) * view.scale
    return _Room(
        view=view,
        axis_mm=top + half,
        top_mm=top,
        foot_mm=top + 2 * half,
        right_mm=min(max(view.x_mm(_far(plan)), 0.0), width),
    )


def _row_labels(plan: GroupPlan, room: _Room, small: Letters, width: float) -> tuple[Label, ...]:
    named = []
    for row in plan.rows:
        lines = _row_lines(row)
        widest = max(lines, key=lambda text: width_mm(text, small))
        named.append((widest, min(max(room.at(row.distance_mm, 0.0)[0], 0.0), width)))
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
    low, high = (min(max(room.view.x_mm(end), 0.0), room.right_mm) for end in _limits(plan))
    if high > low:
        sheet.box((low, room.top_mm), (high, room.foot_mm), "pale")


def _frame_edges(sheet: Sheet, plan: GroupPlan, room: _Room) -> None:
    """Draw what the frame takes in: from the pupil to both ends of its long side."""
    half = _half_width(plan.request.kit, plan.focus_distance_mm)
    reach = room.view.start_mm + room.right_mm / room.scale
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
