"""The set of one sitter from above, to scale: lens, what the frame takes in, head and wall."""

import math
from dataclasses import dataclass

from eyeplane.deliver.plan_drag import Drawing, Handle, View
from eyeplane.deliver.plan_group_view import EYES_BEHIND_FRONT_MM, HEAD_BREADTH_MM, HEAD_DEPTH_MM
from eyeplane.deliver.plan_picture import LEADING, lanes, on_paper
from eyeplane.deliver.plan_words import length_words
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Point, Sheet
from eyeplane.deliver.wording import THIN, far_words
from eyeplane.records.plan import PlanKit, SitterRequest
from eyeplane.records.planned import PlanSetting

BEFORE_SHARE = 0.06  # of the width: room before the lens
BEHIND_MM = 450.0  # shown behind the head, or behind the wall a third of it
LEAST_ASIDE_MM = 330.0  # shown beside the lens axis
TALL = 0.42  # most height of the drawing, over its width
NEAREST_MM, FARTHEST_MM = 300.0, 30_000.0  # as far as a camera is dragged; our own
CLOSEST_WALL_MM, FARTHEST_WALL_MM = 100.0, 30_000.0  # as far as a wall is dragged; our own
EYE_ASIDE_MM = 31.5  # half of 63 mm between pupils, adults, from memory
WALL, HEAD = Pen(ink="soft", width_mm=0.9), Pen(width_mm=0.3)
PLANE = Pen(ink="iris", width_mm=0.4)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScene:
    """What the set is drawn from.

    Attributes
    ----------
    request : SitterRequest
        Kit, turn of the head and wall.
    distance_mm : float
        Lens to near iris.
    setting : PlanSetting
        Whose depth of field is drawn.
    lands_mm : float
        Where the focus lands, behind the plane it is put on.
    """

    request: SitterRequest
    distance_mm: float
    setting: PlanSetting
    lands_mm: float = 0.0

    @property
    def wall_mm(self) -> float | None:
        """Return where the wall is.

        Returns
        -------
        float or None
            From the lens; None without one.
        """
        behind = self.request.background_mm
        return None if behind is None else self.distance_mm + behind

    @property
    def plane_mm(self) -> float:
        """Return where the focus plane is.

        Returns
        -------
        float
            From the lens.
        """
        return self.distance_mm + self.setting.focus_from_near_iris_mm + self.lands_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Room:
    view: View
    axis_mm: float
    top_mm: float
    foot_mm: float
    width_mm: float

    def at(self, distance_mm: float, across_mm: float) -> Point:
        return self.view.x_mm(distance_mm), self.axis_mm + across_mm * self.view.scale


def set_drawing(
    scene: SetScene, *, width_mm: float, size_mm: float, view: View | None = None
) -> Drawing:
    """Return the set from above, to be dragged.

    Parameters
    ----------
    scene : SetScene
        What is drawn.
    width_mm, size_mm : float
        Width of the drawing, and size of its type.
    view : View or None
        What it is to show, while something is being dragged; None: all there is.

    Returns
    -------
    Drawing
        The camera can be dragged, and the wall where there is one.
    """
    view = view or _view(scene, width_mm)
    top = 1.4 * LEADING * size_mm
    half = _aside(scene, view, width_mm) * view.scale
    room = _Room(
        view=view, axis_mm=top + half, top_mm=top, foot_mm=top + 2 * half, width_mm=width_mm
    )
    return Drawing(
        name="The set, from above",
        spoken=_spoken(scene),
        sheet=_drawn(scene, room, size_mm),
        view=view,
        head_mm=room.top_mm,
        axis_mm=room.axis_mm,
        foot_mm=room.foot_mm,
        handles=_handles(scene, view),
    )


def takes_in_mm(kit: PlanKit, distance_mm: float) -> tuple[float, float]:
    """Return what the frame takes in at a distance.

    Parameters
    ----------
    kit : PlanKit
        Lens and sensor.
    distance_mm : float
        From the lens, > focal length.

    Returns
    -------
    tuple of float
        (long side, short side): a thin lens focused there.
    """
    gain = (distance_mm - kit.focal_length_mm) / kit.focal_length_mm
    return kit.sensor_long_mm * gain, kit.sensor_short_mm * gain


def _half_slope(scene: SetScene) -> float:
    """Return half the long side of what the frame takes in, over the distance."""
    long, _ = takes_in_mm(scene.request.kit, scene.distance_mm)
    return long / 2 / scene.distance_mm


def _far(scene: SetScene) -> float:
    wall = scene.wall_mm
    behind = scene.distance_mm + BEHIND_MM
    return behind if wall is None else max(behind, wall + BEHIND_MM / 3)


def _view(scene: SetScene, width_mm: float) -> View:
    scale = width_mm * (1.0 - BEFORE_SHARE) / _far(scene)
    return View(start_mm=-BEFORE_SHARE * width_mm / scale, scale=scale)


def _aside(scene: SetScene, view: View, width_mm: float) -> float:
    """Return half of what is shown across, in the world: heads, and the frame as far as it goes."""
    wanted = max(LEAST_ASIDE_MM, 1.15 * _half_slope(scene) * _far(scene))
    return min(wanted, TALL * width_mm / 2 / view.scale)


def _handles(scene: SetScene, view: View) -> tuple[Handle, ...]:
    kit, behind, wall = scene.request.kit, scene.request.background_mm, scene.wall_mm
    camera = Handle(
        what="camera",
        field="distance",
        x_mm=view.x_mm(0.0),
        value_mm=scene.distance_mm,
        per_ratio=-1.0,
        least_mm=max(NEAREST_MM, 2 * kit.focal_length_mm),
        most_mm=FARTHEST_MM,
        step_mm=20.0,
        spoken=f"{far_words(scene.distance_mm)} from the near eye",
        grip="axis",
    )
    if behind is None or wall is None:
        return (camera,)
    return camera, Handle(
        what="wall",
        field="background",
        x_mm=view.x_mm(wall),
        value_mm=behind,
        per_ratio=1.0,
        least_mm=CLOSEST_WALL_MM,
        most_mm=FARTHEST_WALL_MM,
        step_mm=50.0,
        spoken=f"{length_words(behind)} behind the near eye",
        grip="foot",
    )


def _drawn(scene: SetScene, room: _Room, size: float) -> Sheet:
    line, small = LEADING * size, Letters(size_mm=size)
    sheet = Sheet(width_mm=room.width_mm, height_mm=room.foot_mm + 3.6 * line)
    _frame(sheet, scene, room)
    _lens(sheet, room, small)
    _depth(sheet, scene, room)
    _head(sheet, scene, room)
    if scene.wall_mm is not None:
        x = room.view.x_mm(scene.wall_mm)
        sheet.line((x, room.top_mm), (x, room.foot_mm), WALL)
    _labels(sheet, scene, room, small)
    return sheet


def _frame(sheet: Sheet, scene: SetScene, room: _Room) -> None:
    """Draw the lens axis, and what the frame takes in."""
    slope = _half_slope(scene)
    tall = (room.foot_mm - room.top_mm) / 2 / room.view.scale
    end = scene.wall_mm or room.view.start_mm + room.width_mm / room.view.scale
    for side in (-1, 1):
        far = min(end, tall / slope)
        sheet.line(room.at(0.0, 0.0), room.at(far, side * slope * far), HAIRLINE)
    sheet.line(room.at(0.0, 0.0), room.at(end, 0.0), Pen(width_mm=0.15))


def _lens(sheet: Sheet, room: _Room, small: Letters) -> None:
    x, y = room.at(0.0, 0.0)
    size = small.size_mm
    sheet.area(
        [(x, y), (x + 0.9 * size, y - 0.38 * size), (x + 0.9 * size, y + 0.38 * size)], "ink"
    )
    on_paper(sheet, (max(x, 0.0), y + 2.0 * size), "lens", Letters(size_mm=size, ink="soft"))


def _depth(sheet: Sheet, scene: SetScene, room: _Room) -> None:
    """Draw the depth of field and its plane, as wide as the frame there."""
    front, behind = scene.setting.depth_front_mm, scene.setting.depth_behind_mm
    plane = scene.plane_mm
    half = min(_half_slope(scene) * plane, (room.foot_mm - room.top_mm) / 2 / room.view.scale)
    edge = room.view.start_mm + room.width_mm / room.view.scale
    low = 0.0 if front is None else max(plane - front, 0.0)
    high = edge if behind is None else min(plane + behind, edge)
    if high > low:
        sheet.box(room.at(low, -half), room.at(high, half), "pale")
    sheet.line(room.at(plane, -half), room.at(plane, half), PLANE)


def _head(sheet: Sheet, scene: SetScene, room: _Room) -> None:
    """Draw a head from above, turned, its near eye on the lens axis."""
    turn = math.radians(scene.request.yaw_deg)
    back = HEAD_DEPTH_MM / 2 - EYES_BEHIND_FRONT_MM

    def place(along_mm: float, across_mm: float) -> Point:
        aside = across_mm + EYE_ASIDE_MM * (turn > 0)  # the near eye: the one on the lens axis
        return room.at(
            scene.distance_mm + along_mm * math.cos(turn) + aside * math.sin(turn),
            aside * math.cos(turn) - along_mm * math.sin(turn),
        )

    oval = [
        place(
            back - HEAD_DEPTH_MM / 2 * math.cos(2 * math.pi * k / 36),
            HEAD_BREADTH_MM / 2 * math.sin(2 * math.pi * k / 36),
        )
        for k in range(36)
    ]
    sheet.path([*oval, oval[0]], HEAD)
    sheet.path([place(*p) for p in ((-13.0, -22.0), (-40.0, 0.0), (-13.0, 22.0))], HEAD)


def _labels(sheet: Sheet, scene: SetScene, room: _Room, small: Letters) -> None:
    line, size = LEADING * small.size_mm, small.size_mm
    wall, behind = scene.wall_mm, scene.request.background_mm
    named = [(f"near eye, {far_words(scene.distance_mm)}", room.view.x_mm(scene.distance_mm))]
    if wall is not None and behind is not None:
        named.append((f"wall, {length_words(behind)} behind", room.view.x_mm(wall)))
    ends = (0.0, room.width_mm)
    inside = [(text, min(max(x, 0.0), room.width_mm)) for text, x in named]
    for (_, x), label in zip(inside, lanes(inside, small, ends), strict=True):
        base = room.foot_mm + (label.lane + 1.5) * line
        knee = room.foot_mm + 0.2 * line
        sheet.path([(x, room.foot_mm), (x, knee), (label.x_mm, base - 0.8 * size)], HAIRLINE)
        sheet.words(
            (label.x_mm, base), label.text, Letters(size_mm=size, ink="ink", anchor="middle")
        )
    y = sheet.height_mm - 0.3 * size
    soft = Letters(size_mm=size, ink="soft")
    sheet.words((0.0, y), _takes_in(scene), soft)


def _takes_in(scene: SetScene) -> str:
    long, short = takes_in_mm(scene.request.kit, scene.distance_mm)
    return f"The frame takes in {long / 10:.0f}{THIN}×{THIN}{short / 10:.0f}{THIN}cm at the eyes"


def _spoken(scene: SetScene) -> str:
    behind = scene.request.background_mm
    wall = "no wall given" if behind is None else f"wall {length_words(behind)} behind the near eye"
    return (
        f"The set from above, to scale: lens {far_words(scene.distance_mm)} from the near eye, "
        f"{wall}. {_takes_in(scene)}."
    )
