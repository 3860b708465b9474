"""The depth line of a plan: the head along the lens axis, the plane and the depth to be had."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.deliver.depthline import MINOR, PROMINENT
from eyeplane.deliver.plan_drag import Drawing, Handle, View
from eyeplane.deliver.plan_picture import LEADING, Label, Picture, lanes, on_paper, within
from eyeplane.deliver.plan_words import length_words, place_words, plane_words
from eyeplane.deliver.profile import BOTTOM_MM, TOP_MM, head_outline
from eyeplane.deliver.sheet import HAIRLINE, Ink, Letters, Pen, Sheet
from eyeplane.deliver.wording import far_words, side_words
from eyeplane.records.planned import PlanMark, PlanSetting

NEAR_MM, FAR_MM = -62.0, 172.0  # a head at any yaw, as on the depth line of a frame
LIMIT_MM = 420.0  # what lies farther is named, not drawn
# Placed, but not named on the drawing, where they would only crowd.
UNNAMED = MINOR | {"near outer eye corner", "far outer eye corner", "far glasses"}
MOST_LANDS_MM = 200.0  # farther off than a head is deep nobody's focus lands; our own
CLOSE_MM = 3.0  # places closer than this share one label
BAR_MM = 20.0
OUTLINE = Pen(ink="soft", width_mm=0.25)
HATCHING = Pen(ink="iris", width_mm=0.1)
NINE_IN_TEN = 1.645  # standard deviations that hold the middle 90 % of a normal distribution
PLANE = Pen(ink="iris", width_mm=0.6)


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthScene:
    """What a depth line is drawn from.

    Attributes
    ----------
    distance_mm : float
        Lens to near iris.
    yaw_deg : float
        Turn of the head.
    marks : tuple of PlanMark
        Near to far.
    setting : PlanSetting
        Whose plane and depth are drawn.
    scatter_mm : float or None
        Learned standard deviation of where autofocus puts the plane; None: none is drawn.
    lands_mm : float
        Where the focus lands, behind the plane it is put on: there plane and depth are drawn.
    """

    distance_mm: float
    yaw_deg: float
    marks: tuple[PlanMark, ...]
    setting: PlanSetting
    scatter_mm: float | None = None
    lands_mm: float = 0.0

    @property
    def plane_mm(self) -> float:
        """Return where the plane is drawn.

        Returns
        -------
        float
            Behind the near iris.
        """
        return self.setting.focus_from_near_iris_mm + self.lands_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    """Where everything lies on the sheet: one scale along and across the axis."""

    left_mm: float
    right_mm: float
    near_mm: float
    scale: float
    top_mm: float

    def x(self, depth_mm: float) -> float:
        return self.left_mm + (depth_mm - self.near_mm) * self.scale

    def y(self, down_mm: float) -> float:
        return self.top_mm + (down_mm - TOP_MM) * self.scale


def depth_picture(scene: DepthScene) -> Picture:
    """Return the depth line of a plan.

    Parameters
    ----------
    scene : DepthScene
        What is drawn.

    Returns
    -------
    Picture
        To scale in both directions, lens to the left.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _drawn(scene, width_mm, size_mm)

    return Picture(name="Where the focus lies", spoken=_spoken(scene), draw=draw, share=0.53)


def depth_drawing(
    scene: DepthScene, *, width_mm: float, size_mm: float, view: View | None = None
) -> Drawing:
    """Return the depth line of a plan, to be dragged.

    Parameters
    ----------
    scene : DepthScene
        What is drawn; what of the head lies in the depth of field is told anew where the focus
        lands elsewhere than it is put.
    width_mm, size_mm : float
        Width of the drawing, and size of its type.
    view : View or None
        What it is to show, while something is being dragged; None: all there is.

    Returns
    -------
    Drawing
        Its focus plane can be dragged: where the focus lands.
    """
    scene = _landed(scene)
    near, far = (
        _ends(scene) if view is None else (view.start_mm, view.start_mm + width_mm / view.scale)
    )
    room = _room(near, far, width_mm, size_mm)
    plane = Handle(
        what="plane",
        field="focus-bias",
        x_mm=room.x(scene.plane_mm),
        value_mm=scene.lands_mm,
        per_ratio=1.0,
        least_mm=-MOST_LANDS_MM,
        most_mm=MOST_LANDS_MM,
        step_mm=1.0,
        spoken=place_words(scene.plane_mm),
    )
    return Drawing(
        name="Where the focus lies",
        spoken=_spoken(scene),
        sheet=_drawn(scene, width_mm, size_mm, room),
        view=View(start_mm=near, scale=room.scale),
        head_mm=room.top_mm,
        axis_mm=room.y(0.0),
        foot_mm=room.y(BOTTOM_MM),
        handles=(plane,),
    )


def _landed(scene: DepthScene) -> DepthScene:
    """Return the scene with its places inside or outside the depth where the focus lands."""
    if not scene.lands_mm:
        return scene
    low, high = _limits(scene)
    marks = tuple(replace(m, inside=low <= m.depth_mm <= high) for m in scene.marks)
    return replace(scene, marks=marks)


def _room(near_mm: float, far_mm: float, width_mm: float, size_mm: float) -> _Room:
    return _Room(
        left_mm=0.0,
        right_mm=width_mm,
        near_mm=near_mm,
        scale=width_mm / (far_mm - near_mm),
        top_mm=1.3 * size_mm * LEADING,
    )


def _drawn(scene: DepthScene, width_mm: float, size_mm: float, room: _Room | None = None) -> Sheet:
    room = room or _room(*_ends(scene), width_mm, size_mm)
    near, far = room.near_mm, room.near_mm + width_mm / room.scale
    line = size_mm * LEADING
    foot = room.y(BOTTOM_MM)
    small = Letters(size_mm=size_mm)
    groups = _groups(scene.marks, near, far)
    named = [(_joined([m.name for m in g]), room.x(g[0].depth_mm)) for g in groups]
    labels = lanes(named, small, (0.0, width_mm))
    rows = 1 + max((label.lane for label in labels), default=0)
    sheet = Sheet(width_mm=width_mm, height_mm=foot + (rows + 2.1) * line)
    _depth(sheet, scene, room, foot)
    _scatter(sheet, scene, room, foot)
    _head(sheet, scene, room)
    _axis(sheet, scene, room, small)
    for group, label in zip(groups, labels, strict=True):
        _tick(sheet, room, group, label, (foot, line, small))
    _plane(sheet, scene, room, small)
    _foot(sheet, scene, room, small)
    return sheet


def _ends(scene: DepthScene) -> tuple[float, float]:
    plane = scene.plane_mm
    depths = [plane, *(m.depth_mm for m in scene.marks)]
    drawn = [d for d in depths if abs(d) <= LIMIT_MM]
    ends = [float(z) for outline in _outlines(scene) for z in outline[:, 0]]
    near = min([NEAR_MM, *(d - 8 for d in drawn), min(ends) - 2])
    return near, max([FAR_MM, *(d + 8 for d in drawn), max(ends) + 2])


def _groups(marks: Sequence[PlanMark], near_mm: float, far_mm: float) -> list[list[PlanMark]]:
    """Return what is named on the drawing, near to far; an iris comes first in its group."""
    groups: list[list[PlanMark]] = []
    drawn = [m for m in marks if near_mm <= m.depth_mm <= far_mm and m.name not in UNNAMED]
    for mark in sorted(drawn, key=lambda m: m.depth_mm):
        if groups and mark.depth_mm - groups[-1][-1].depth_mm < CLOSE_MM:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    return [sorted(g, key=lambda m: (m.name not in PROMINENT, m.depth_mm)) for g in groups]


def _joined(names: Sequence[str]) -> str:
    """Return names on one label, the side they share said once."""
    first, *rest = names
    side = first.split(" ")[0] + " "
    return ", ".join([first, *(name.removeprefix(side) for name in rest)])


def _limits(scene: DepthScene) -> tuple[float, float]:
    """Return both ends of the depth of field behind the near iris; without end, far off."""
    plane = scene.plane_mm
    front, behind = scene.setting.depth_front_mm, scene.setting.depth_behind_mm
    return (
        -1e9 if front is None else plane - front,
        1e9 if behind is None else plane + behind,
    )


def _depth(sheet: Sheet, scene: DepthScene, room: _Room, foot_mm: float) -> None:
    low, high = _limits(scene)
    left = max(room.x(low), room.left_mm)
    right = min(room.x(high), room.right_mm)
    if right > left:
        sheet.box((left, room.top_mm), (right, foot_mm), "pale")


def _scatter(sheet: Sheet, scene: DepthScene, room: _Room, foot_mm: float) -> None:
    """Hatch where autofocus puts the plane nine times in ten."""
    if scene.scatter_mm is None:
        return
    plane, half = scene.plane_mm, NINE_IN_TEN * scene.scatter_mm
    left = max(room.x(plane - half), room.left_mm)
    right = min(room.x(plane + half), room.right_mm)
    if right > left:
        sheet.hatch((left, room.top_mm), (right, foot_mm), HATCHING)


def _outlines(scene: DepthScene) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    nose = next((m.depth_mm for m in scene.marks if m.name == "nose tip"), None)
    return head_outline(yaw_deg=scene.yaw_deg, nose_tip_mm=nose)


def _head(sheet: Sheet, scene: DepthScene, room: _Room) -> None:
    for outline in _outlines(scene):
        sheet.path([(room.x(float(z)), room.y(float(y))) for z, y in outline], OUTLINE)


def _axis(sheet: Sheet, scene: DepthScene, room: _Room, small: Letters) -> None:
    y, size = room.y(0.0), small.size_mm
    sheet.line((room.left_mm, y), (room.right_mm, y), Pen(width_mm=0.18))
    x = room.left_mm
    sheet.area(
        [(x, y), (x + 0.9 * size, y - 0.38 * size), (x + 0.9 * size, y + 0.38 * size)], "ink"
    )
    soft = Letters(size_mm=size, ink="soft")
    on_paper(sheet, (x, y + 1.5 * size), f"lens, {far_words(scene.distance_mm)}", soft)


def _tick(
    sheet: Sheet,
    room: _Room,
    group: Sequence[PlanMark],
    label: Label,
    below: tuple[float, float, Letters],
) -> None:
    foot, line, small = below
    strong = group[0].name in PROMINENT
    inside = group[0].inside
    pen = Pen(ink="ink" if inside else "soft", width_mm=0.5 if strong else 0.25)
    y, reach = room.y(0.0), small.size_mm * (0.9 if strong else 0.6)
    for mark in group:
        x = room.x(mark.depth_mm)
        sheet.line((x, y - reach), (x, y + reach), pen)
    x, base = room.x(group[0].depth_mm), foot + (label.lane + 1.6) * line
    knee = foot + 0.2 * line
    sheet.path([(x, y + reach), (x, knee), (label.x_mm, base - 0.8 * small.size_mm)], HAIRLINE)
    ink: Ink = "ink" if inside else "soft"
    sheet.words(
        (label.x_mm, base), label.text, Letters(size_mm=small.size_mm, ink=ink, anchor="middle")
    )


def _plane(sheet: Sheet, scene: DepthScene, room: _Room, small: Letters) -> None:
    offset = scene.plane_mm
    words = plane_words(offset)
    letters = Letters(size_mm=small.size_mm, ink="iris", anchor="middle")
    x = room.x(offset)
    if room.left_mm <= x <= room.right_mm:
        sheet.line((x, room.top_mm - 0.3 * small.size_mm), (x, room.y(BOTTOM_MM)), PLANE)
    at = within(x, words, letters, (room.left_mm, room.right_mm))
    sheet.words((at, room.top_mm - 0.6 * small.size_mm), words, letters)


def _foot(sheet: Sheet, scene: DepthScene, room: _Room, small: Letters) -> None:
    """Draw the scale, and name what lies beyond the drawing."""
    size = small.size_mm
    y = sheet.height_mm - 0.3 * size
    end = room.left_mm + BAR_MM * room.scale
    sheet.line((room.left_mm, y - 0.3 * size), (end, y - 0.3 * size), Pen(ink="soft", width_mm=0.4))
    sheet.words((end + 0.5 * size, y), length_words(BAR_MM), Letters(size_mm=size, ink="soft"))
    beyond = [m for m in scene.marks if room.x(m.depth_mm) > room.right_mm]
    if beyond:
        told = ", ".join(f"{m.name} {length_words(m.depth_mm)} behind" for m in beyond)
        letters = Letters(size_mm=size, ink="soft", anchor="end")
        sheet.words((room.right_mm, y), f"{told} →", letters)


def _spoken(scene: DepthScene) -> str:
    low, high = _limits(scene)
    ends = [
        "without end"
        if abs(end) > 1e8
        else side_words(end)  # the near iris is what it is told from
        for end in (low, high)
    ]
    places = ", ".join(
        f"{m.name} {side_words(m.depth_mm) if m.depth_mm else ''}".strip()
        + ("" if m.inside else ", outside")
        for m in scene.marks
    )
    return (
        f"Depth line, to scale: {plane_words(scene.plane_mm)}. "
        f"Depth of field from {ends[0]} to {ends[1]}. Along the lens axis: {places}."
    )
