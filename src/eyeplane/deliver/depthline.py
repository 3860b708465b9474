"""The depth line of one face: everything along the lens axis, wholly to scale.

Drawing units are those of the SVG's view box, x along the lens axis (lens to the left), y down; one
scale, `units_per_mm`, holds in both directions.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.profile import BOTTOM_MM, TOP_MM, head_outline
from eyeplane.deliver.wording import far_words, offset_words, side_words
from eyeplane.records import DepthMark, FaceAnswer, FaceReading

WIDTH = 400.0
MARGIN = 6.0
NEAR_MM, FAR_MM = -62.0, 172.0  # drawn when nothing lies beyond: the same scale on every frame
LIMIT_MM = 420.0  # what lies farther is named with its distance, not drawn
HEAD_TOP = 26.0  # below the name of the focus plane
LANE = 15.0
LETTER = 5.9  # mean width of a letter of the small type, in drawing units: for placing labels only
PROMINENT = ("near iris", "far iris")
CLOSE_MM = 3.0  # places closer than this share one label
# Measured but not named on the drawing, where they would only crowd; the list of numbers has them.
MINOR = frozenset(
    {"near brow", "far brow", "near cheek", "far cheek", "near corner", "far corner"}
    | {"mouth", "chin", "forehead", "far lashes"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """How a depth line is drawn.

    Attributes
    ----------
    top_mm, bottom_mm : float
        How much of the head, from the irises, + down.
    type_ratio : float
        How large its type is, over that of a report.
    """

    top_mm: float = TOP_MM
    bottom_mm: float = BOTTOM_MM
    type_ratio: float = 1.0


WHOLE = Drawn()
AT_ARMS_LENGTH = Drawn(top_mm=-16.0, bottom_mm=30.0, type_ratio=1.35)  # brow to upper lip


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """A named place on the line.

    Attributes
    ----------
    name : str
        What lies there.
    x, label_x, label_y : float
        Place of the tick and of its name.
    others : tuple of float
        Ticks of places that share the name.
    held : bool
        Whether it lies inside the depth of field.
    strong : bool
        True for the irises.
    """

    name: str
    x: float
    others: tuple[float, ...]
    label_x: float
    label_y: float
    held: bool
    strong: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """An interval along the line, clipped to the drawing.

    Attributes
    ----------
    x, width : float
        Its left end and length, drawing units.
    """

    x: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthLine:
    """All that the drawing needs.

    Attributes
    ----------
    height, axis_y, head_y, foot_y : float
        Of the drawing, the lens axis, and the upper and lower end of the head.
    units_per_mm : float
        The one scale.
    ticks : tuple of Tick
        Near to far.
    beyond : tuple of str
        What lies outside the drawing, in words.
    plane_x : float or None
        The focus plane; None where it cannot be told or lies outside.
    plane_words : str
        Its place in words, or why it cannot be told.
    plane_label_x : float
        Where these words stand (middle).
    interval, field : Span or None
        Uncertainty of the plane; depth of field around it.
    face_path, back_path : str
        Outline of the head, SVG path data.
    lens_words : str
        Distance of the lens, empty if unknown.
    bar_mm : int
        Length of the scale bar.
    spoken : str
        The whole drawing in a sentence, for who cannot see it.
    """

    height: float
    axis_y: float
    head_y: float
    foot_y: float
    units_per_mm: float
    ticks: tuple[Tick, ...]
    beyond: tuple[str, ...]
    plane_x: float | None
    plane_words: str
    plane_label_x: float
    interval: Span | None
    field: Span | None
    face_path: str
    back_path: str
    lens_words: str
    bar_mm: int
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """The part of the lens axis that is drawn.

    Attributes
    ----------
    near_mm, far_mm : float
        Its ends, relative to the near iris.
    """

    near_mm: float
    far_mm: float

    @property
    def scale(self) -> float:
        """Return drawing units per mm.

        Returns
        -------
        float
            The same along the axis and across it.
        """
        return (WIDTH - 2 * MARGIN) / (self.far_mm - self.near_mm)

    def x(self, depth_mm: float) -> float:
        """Return where a depth lies in the drawing.

        Parameters
        ----------
        depth_mm : float
            Relative to the near iris.

        Returns
        -------
        float
            Drawing units from the left edge.
        """
        return MARGIN + (depth_mm - self.near_mm) * self.scale

    def holds(self, depth_mm: float) -> bool:
        """Return whether a depth is drawn.

        Parameters
        ----------
        depth_mm : float
            Relative to the near iris.

        Returns
        -------
        bool
            True between the ends.
        """
        return self.near_mm <= depth_mm <= self.far_mm

    def span(self, low_mm: float, high_mm: float) -> Span | None:
        """Return an interval as far as it is drawn.

        Parameters
        ----------
        low_mm, high_mm : float
            Its ends; may be infinite.

        Returns
        -------
        Span or None
            None if nothing of it is drawn.
        """
        low, high = max(low_mm, self.near_mm), min(high_mm, self.far_mm)
        if low >= high:
            return None
        return Span(x=self.x(low), width=(high - low) * self.scale)


def depth_line(reading: FaceReading, answer: FaceAnswer, *, drawn: Drawn = WHOLE) -> DepthLine:
    """Return the depth line of one face.

    Parameters
    ----------
    reading : FaceReading
        What was measured.
    answer : FaceAnswer
        What it means.
    drawn : Drawn
        How much of the head, and how large the type.

    Returns
    -------
    DepthLine
        Without plane, interval and field where the offset cannot be told.
    """
    axis = _axis(answer)
    foot_y = HEAD_TOP + (drawn.bottom_mm - drawn.top_mm) * axis.scale
    axis_y = HEAD_TOP - drawn.top_mm * axis.scale
    ticks, lanes = _ticks(answer, axis, foot_y + 4, drawn.type_ratio)
    offset, told = answer.offset_mm, _plane_words(answer, axis)
    room = (WIDTH - 2 * MARGIN) / (LETTER * drawn.type_ratio)
    words = told if len(told) <= room else re.sub(r" \([^()]*\)", "", told)  # hatched all the same
    half = len(words) * LETTER * drawn.type_ratio / 2
    at = WIDTH / 2 if offset is None else axis.x(offset.value)
    paths = _head_paths(reading, answer, axis, drawn)
    return DepthLine(
        height=foot_y + 4 + lanes * LANE * drawn.type_ratio + 24,
        axis_y=axis_y,
        head_y=HEAD_TOP,
        foot_y=foot_y,
        units_per_mm=axis.scale,
        ticks=ticks,
        beyond=_beyond(answer, axis),
        plane_x=axis.x(offset.value) if offset and axis.holds(offset.value) else None,
        plane_words=words,
        plane_label_x=max(min(at, WIDTH - MARGIN - half), MARGIN + half),
        interval=axis.span(offset.low, offset.high) if offset else None,
        field=_field(answer, axis),
        face_path=paths[0],
        back_path=paths[1],
        lens_words=_lens_words(reading),
        bar_mm=20 if axis.scale > 0.9 else 50,
        spoken=_spoken(answer, told),
    )


def _axis(answer: FaceAnswer) -> Axis:
    """Return what is drawn: always the head, and marks and focus plane unless they lie far off."""
    wanted = [m.depth_mm for m in answer.marks]
    if answer.offset_mm is not None:
        wanted += [answer.offset_mm.low, answer.offset_mm.value, answer.offset_mm.high]
    drawn = [d for d in wanted if abs(d) <= LIMIT_MM]
    return Axis(
        near_mm=min([NEAR_MM, *(d - 8 for d in drawn)]),
        far_mm=max([FAR_MM, *(d + 8 for d in drawn)]),
    )


def _ticks(
    answer: FaceAnswer, axis: Axis, top: float, type_ratio: float
) -> tuple[tuple[Tick, ...], int]:
    """Return the ticks, their names in lanes so that none overlaps, and the number of lanes."""
    ends: list[float] = []
    ticks = []
    for group in _groups(answer, axis):
        name = joined([m.name for m in group])
        half = len(name) * LETTER * type_ratio / 2
        x = axis.x(group[0].depth_mm)
        label_x = min(max(x, MARGIN + half), WIDTH - MARGIN - half)
        lane = next((k for k, end in enumerate(ends) if label_x - half > end + 6), len(ends))
        ends[lane : lane + 1] = [label_x + half]
        ticks.append(
            Tick(
                name=name,
                x=x,
                others=tuple(axis.x(m.depth_mm) for m in group[1:]),
                label_x=label_x,
                label_y=top + (lane + 1) * LANE * type_ratio,
                held=_held(answer, group[0].depth_mm),
                strong=group[0].name in PROMINENT,
            )
        )
    return tuple(ticks), len(ends)


def _groups(answer: FaceAnswer, axis: Axis) -> list[list[DepthMark]]:
    """Return what is drawn, near to far; places too close share a name, an iris first."""
    groups: list[list[DepthMark]] = []
    drawn = [m for m in answer.marks if axis.holds(m.depth_mm) and m.name not in MINOR]
    for mark in sorted(drawn, key=lambda m: m.depth_mm):
        close = groups and mark.depth_mm - groups[-1][-1].depth_mm < CLOSE_MM
        if close:
            groups[-1].append(mark)
        else:
            groups.append([mark])
    return [sorted(g, key=lambda m: (m.name not in PROMINENT, m.depth_mm)) for g in groups]


def joined(names: Sequence[str]) -> str:
    """Return names on one label, what they begin with alike said once.

    Parameters
    ----------
    names : sequence of str
        One or more.

    Returns
    -------
    str
        "near iris and lashes" for "near iris" and "near lashes".
    """
    first, *rest = names
    side = first.split(" ")[0] + " "
    return " and ".join([first, *(n.removeprefix(side) for n in rest)])


def _held(answer: FaceAnswer, depth_mm: float) -> bool:
    limits = _limits_mm(answer)
    return limits is None or limits[0] <= depth_mm <= limits[1]


def _limits_mm(answer: FaceAnswer) -> tuple[float, float] | None:
    """Return near and far limit of the depth of field, relative to the near iris."""
    if answer.offset_mm is None or answer.depth_front_mm is None or answer.depth_back_mm is None:
        return None
    plane = answer.offset_mm.value
    return plane - answer.depth_front_mm, plane + answer.depth_back_mm


def _field(answer: FaceAnswer, axis: Axis) -> Span | None:
    limits = _limits_mm(answer)
    return None if limits is None else axis.span(*limits)


def _beyond(answer: FaceAnswer, axis: Axis) -> tuple[str, ...]:
    """Return what is named but not drawn, since it lies too far off for this scale."""
    far = sorted((m for m in answer.marks if not axis.holds(m.depth_mm)), key=lambda m: m.depth_mm)
    return tuple(
        f"{m.name}, {far_words(abs(m.depth_mm))} {'further' if m.depth_mm > 0 else 'nearer'}"
        for m in far
    )


def _plane_words(answer: FaceAnswer, axis: Axis) -> str:
    if answer.offset_mm is None:
        return "focus plane: cannot tell"
    words = f"focus plane {offset_words(answer.offset_mm)}"
    if axis.holds(answer.offset_mm.value):
        return words
    return f"← {words}" if answer.offset_mm.value < 0 else f"{words} →"


def _lens_words(reading: FaceReading) -> str:
    distance = reading.face.distance_mm
    return "to the lens" if distance is None else f"to the lens, {far_words(distance.value)}"


def _head_paths(
    reading: FaceReading, answer: FaceAnswer, axis: Axis, drawn: Drawn
) -> tuple[str, str]:
    nose = next((m.depth_mm for m in answer.marks if m.name == "nose tip"), None)
    lines = head_outline(yaw_deg=reading.face.yaw_deg.value, nose_tip_mm=nose)
    paths = []
    for line in lines:
        points = (
            f"{axis.x(z):.1f} {HEAD_TOP + (y - drawn.top_mm) * axis.scale:.1f}"
            for z, y in line
            if drawn.top_mm <= y <= drawn.bottom_mm
        )
        paths.append("M" + "L".join(points))
    return paths[0], paths[1]


def _spoken(answer: FaceAnswer, words: str) -> str:
    places = ", ".join(
        m.name if m.depth_mm == 0 else f"{m.name} {side_words(m.depth_mm)}" for m in answer.marks
    )
    limits = _limits_mm(answer)
    band = ""
    if limits is not None:
        band = f" Depth of field from {side_words(limits[0])} to {side_words(limits[1])}."
    return f"Depth line: {words}.{band} Along the lens axis: {places}."
