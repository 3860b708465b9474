"""A group: who is in the depth of field, who is out, and what would have held all."""

from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.remedy import SMALLEST_STOP, STEP
from eyeplane.diagnose.rows import Standing, standings_of
from eyeplane.diagnose.stops import aim_cm, stop_as_focused, stop_with_focus_between
from eyeplane.optics import blur_for_print_px
from eyeplane.records import Finding, FrameReading, Measured

INSIDE_CALLED = 0.8  # probability from which a face is said to be in, or out
FEWEST_FOR_ROWS = 2  # so many faces out on one side make a row


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFace:
    """One sitter as the group's table has it.

    Attributes
    ----------
    index : int
        In the order of the reading's faces.
    name : str
        Which sitter, counted from the left; empty for a single one.
    inside : bool or None
        Whether the near eye lies within the depth of field for the print aimed at; None where it
        cannot be told.
    behind_mm : Measured or None
        Near eye minus focus plane, + farther than the plane; None without the lens's numbers or
        where the plane is not located.
    stop : float or None
        Aperture that would have held this face where the focus lay; None if none would, or none
        is needed.
    """

    index: int
    name: str
    inside: bool | None
    behind_mm: Measured | None
    stop: float | None

    @property
    def offset_mm(self) -> Measured | None:
        """Return the focus plane minus this near eye, where the group tells its side.

        Returns
        -------
        Measured or None
            + behind the near iris, as for a single face; None where the interval holds zero.
        """
        behind = self.behind_mm
        if behind is None or behind.low <= 0.0 <= behind.high:
            return None
        return Measured(value=-behind.value, low=-behind.high, high=-behind.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupStops:
    """Apertures that would have held every sitter.

    Attributes
    ----------
    as_focused : float or None
        With the focus where it lay; None if none down to f/16 would.
    between : float or None
        With the focus plane where nearest and farthest near eye are blurred alike; the aperture
        used or a smaller one; None if none would, or the distances are not known.
    """

    as_focused: float | None
    between: float | None


def group_table(cases: Sequence[FaceCase], reading: FrameReading) -> tuple[GroupFace, ...]:
    """Return who is in the depth of field and who is out.

    Parameters
    ----------
    cases : sequence of FaceCase
        All faces of the frame, in the reading's order.
    reading : FrameReading
        The frame.

    Returns
    -------
    tuple of GroupFace
        Sitters only, from left to right; a single sitter by the face alone.

    Notes
    -----
    Places and stops are told only if the plane is located: somebody is in focus, or somebody's
    own cone calls its side. Else what softens everybody may be no matter of focus at all.
    """
    counted = [i for i, c in enumerate(cases) if c.sitter]
    placed = sorted(counted, key=lambda i: _middle(cases[i]))
    several = len(placed) > 1  # a single face's own offset says all there is to say
    stands = standings_of([cases[i] for i in placed]) if several else (None,) * len(placed)
    inside = [_inside(cases[i], standing) for i, standing in zip(placed, stands, strict=True)]
    located = True in inside or any(cases[i].offset.side for i in placed)
    table = []
    for place, (i, standing) in enumerate(zip(placed, stands, strict=True)):
        size = cases[i].eye.blur.size_px
        out = located and inside[place] is False and size is not None
        table.append(
            GroupFace(
                index=i,
                name=words.which_face(place, len(placed)) if len(placed) > 1 else "",
                inside=inside[place],
                behind_mm=_told_behind(cases[i], standing) if located else None,
                stop=stop_as_focused([(cases[i], size.value)], reading) if out and size else None,
            )
        )
    return tuple(table)


def _told_behind(case: FaceCase, standing: Standing | None) -> Measured | None:
    """Return where a face stands, unless its interval is as deep as the camera is far."""
    if standing is None or case.lens is None:
        own = case.offset.offset_mm if case.offset.side else None
        return own and Measured(value=-own.value, low=-own.high, high=-own.low)
    behind = standing.behind_mm
    return behind if behind.high - behind.low <= case.lens.distance_mm.value else None


def _middle(case: FaceCase) -> float:
    x, _, width, _ = case.reading.face.box_px
    return x + width / 2


def _inside(case: FaceCase, standing: Standing | None) -> bool | None:
    """Return whether a face holds the print aimed at, by its blur and by where it stands.

    A face on which no blur was found is never called out for where it seems to stand.
    """
    reach, aim = case.reach_cm, aim_cm(case)
    if reach is None or case.eye.blur.kind == "line":
        return None
    if reach.low >= aim:
        return True
    if reach.high < aim:
        return False
    if standing is None:
        return None
    circle_px = blur_for_print_px(
        long_edge_px=case.view.long_edge_px,
        print_cm=aim,
        viewing_cm=case.view.viewing_cm,
        noise_contrast=case.noise,
    )
    chance = standing.chance_within(circle_px)
    if chance >= INSIDE_CALLED and reach.value >= aim:
        return True
    out = chance <= 1.0 - INSIDE_CALLED and reach.value < aim and case.eye.blur.kind != "none"
    return False if out else None


def group_stops(cases: Sequence[FaceCase], reading: FrameReading) -> GroupStops:
    """Return the apertures that would have held every sitter.

    Parameters
    ----------
    cases : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        For aperture and pitch.

    Returns
    -------
    GroupStops
        Both None if a sitter's blur is not known or is motion: no aperture helps that.
    """
    counted = [c for c in cases if c.sitter]
    sizes = [(c, c.eye.blur.size_px) for c in counted if c.eye.blur.kind != "line"]
    known = [(c, s.value) for c, s in sizes if s is not None]
    if not counted or len(known) < len(counted):
        return GroupStops(as_focused=None, between=None)
    stands = standings_of(counted)
    eyes = [
        (c, s.plane_mm + s.behind_mm.value)
        for c, s in zip(counted, stands, strict=True)
        if s is not None
    ]
    between = stop_with_focus_between(eyes, reading) if len(eyes) == len(counted) else None
    return GroupStops(as_focused=stop_as_focused(known, reading), between=between)


def stop_for_all(
    cases: Sequence[FaceCase], reading: FrameReading, table: Sequence[GroupFace] | None = None
) -> float | None:
    """Return the aperture that would have held every sitter where the focus lay.

    Parameters
    ----------
    cases : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame.
    table : sequence of GroupFace or None
        What `group_table` says, where that is known already.

    Returns
    -------
    float or None
        None for a single sitter, if nobody is told to be out, or if none down to f/16 would hold
        all. With the focus moved between the rows: `group_stops`.
    """
    if sum(c.sitter for c in cases) < 2:
        return None
    if not _told(group_table(cases, reading) if table is None else table):
        return None
    return group_stops(cases, reading).as_focused


def group_findings(
    cases: Sequence[FaceCase], reading: FrameReading, table: Sequence[GroupFace] | None = None
) -> tuple[Finding, ...]:
    """Return who of a group is in and who is out, and what would have held all.

    Parameters
    ----------
    cases : sequence of FaceCase
        All faces of the frame.
    reading : FrameReading
        The frame.
    table : sequence of GroupFace or None
        What `group_table` says, where that is known already.

    Returns
    -------
    tuple of Finding
        One of kind "group" if somebody is told to be out and the plane is located; else none.
    """
    if sum(c.sitter for c in cases) < 2:
        return ()
    table = group_table(cases, reading) if table is None else table
    out = [face for face in table if face.inside is False]
    if not _told(table):
        return ()
    inside = [face for face in table if face.inside]
    unsure = [face for face in table if face.inside is None]
    aim = min(aim_cm(c) for c in cases if c.sitter)
    said = [f"In, for {words.cm(aim)}: {_listed(inside)}." if inside else ""]
    goal = "" if inside else f", for {words.cm(aim)}"
    said.append(f"Out{goal}: {_out(out, table)}.")
    said.append(f"Cannot be told: {_listed(unsure)}." if unsure else "")
    remedy, advice = _remedy(group_stops(cases, reading), reading)
    said.append(remedy)
    return (Finding(kind="group", text=" ".join(s for s in said if s), advice=advice),)


def _told(table: Sequence[GroupFace]) -> bool:
    """Return whether somebody is out for a reason of depth: another is in, or places are told."""
    out = [face for face in table if face.inside is False]
    located = any(face.inside for face in table) or any(f.behind_mm is not None for f in out)
    return bool(out) and located


def _listed(faces: Sequence[GroupFace]) -> str:
    """Return names with what they share said once: "the first and second from the left"."""
    names = [face.name for face in faces]
    if len(names) > 1 and all(n.endswith(" face from the left") for n in names):
        short = [n.removeprefix("the ").removesuffix(" face from the left") for n in names]
        return f"the {words.listed(short)} from the left"
    return words.listed(names)


def _out(out: Sequence[GroupFace], table: Sequence[GroupFace]) -> str:
    """Return who is out, as a row where all of them stand on one side, and how far off."""
    everyone = len(out) == len(table)
    names = ("both" if len(out) == 2 else "everyone") if everyone else _listed(out)
    told = [f.behind_mm for f in out if f.behind_mm is not None]
    if len(told) < len(out):
        return names
    side = ""
    if all(m.low > 0 for m in told):
        side = "behind"
    elif all(m.high < 0 for m in told):
        side = "in front of"
    if not side:
        return names
    if not everyone and len(out) >= FEWEST_FOR_ROWS:
        names = f"the {'rear' if side == 'behind' else 'front'} row ({names})"
    middle = sum(abs(m.value) for m in told) / len(told)
    ends = [abs(end) for m in told for end in (m.low, m.high)]
    span = f"{words.mm(min(ends))} to {words.mm(max(ends))}"
    number, _, unit = words.mm(min(ends)).rpartition(words.THIN)
    if span.endswith(words.THIN + unit):
        span = f"{number} to {words.mm(max(ends))}"
    return f"{names}, {words.mm(middle)} ({span}) {side} the focus plane"


def _remedy(stops: GroupStops, reading: FrameReading) -> tuple[str, str]:
    """Return what would have held all, and the one thing to change."""
    as_focused, between = stops.as_focused, stops.between
    used = reading.exposure.f_number
    if not used:
        return "", "Stop down, or bring the faces closer together in depth."
    if as_focused is None and between is None:
        smallest = words.f_stop(SMALLEST_STOP)
        nearer = "Bring the faces closer together in depth."
        return f"No aperture down to {smallest} would have held all.", nearer
    ways = [] if as_focused is None else [f"at {words.f_stop(as_focused)}"]
    if between is None:
        return f"All would have held {ways[0]}.", f"Close to {words.f_stop(as_focused or 0.0)}."
    same = between <= used * STEP
    stop = "the same aperture" if same else words.f_stop(between)
    ways.append(f"at {stop} with the focus between nearest and farthest")
    close = "" if same else f", at {words.f_stop(between)}"
    advice = f"Focus a little nearer than the middle of the group{close}."
    return f"All would have held {', or '.join(ways)}.", advice
