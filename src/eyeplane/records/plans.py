"""Whole plans: for one sitter, for a group, for a lean-in."""

from dataclasses import dataclass

from eyeplane.records.measured import Measured
from eyeplane.records.plan import BurstRequest, GroupRequest, SitterRequest
from eyeplane.records.planned import (
    FramesNeeded,
    LightQuality,
    LightWay,
    PlanMark,
    PlanSetting,
    Recompose,
    ScaledShutter,
    ShutterPoint,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SitterPlan:
    """A plan for one sitter.

    Attributes
    ----------
    request : SitterRequest
        What it was made for.
    distance_mm : float
        Lens to near iris.
    field_height_mm : float
        What the frame's height takes in at the sitter.
    framing : str
        The framing, or the nearest to it.
    far_iris_mm : float
        Depth of the far iris behind the near one.
    settings : tuple of PlanSetting
        Best first: at most three.
    marks : tuple of PlanMark
        Depth line, near to far.
    curve : tuple of ShutterPoint
        Share of frames by shutter time, fast to slow.
    scaling : tuple of ScaledShutter
        Shutter by framing.
    ways : tuple of LightWay
        Side by side, "now" first.
    recompose : Recompose or None
        Of this framing.
    frames : tuple of FramesNeeded
        How many frames.
    light : LightQuality or None
        Where the source is known.
    background : str
        Trade between aperture and distance to the background; empty without one.
    limits : tuple of str
        What holds the plan back, each in a sentence.
    sentence, advice : str
        The answer, and the one thing to change.
    cautions : tuple of str
        That apply.
    notes : tuple of str
        On what it rests: which numbers are learned, which are usual ones.
    """

    request: SitterRequest
    distance_mm: float
    field_height_mm: float
    framing: str
    far_iris_mm: float
    settings: tuple[PlanSetting, ...]
    marks: tuple[PlanMark, ...]
    curve: tuple[ShutterPoint, ...]
    scaling: tuple[ScaledShutter, ...]
    ways: tuple[LightWay, ...]
    recompose: Recompose | None
    frames: tuple[FramesNeeded, ...]
    light: LightQuality | None
    background: str
    limits: tuple[str, ...]
    sentence: str
    advice: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPlace:
    """Where one face of a group is.

    Attributes
    ----------
    row, place : int
        From 1, front row first, left to right as the camera sees them.
    across_mm : float
        Beside the lens axis, + to the right.
    distance_mm : float
        From the lens, along its axis.
    inside : bool
        Whether the depth of field takes the near iris in where it is, before any leaning.
    lean_mm : float
        How far to move to be inside, + towards the camera; where the plan has people lean, what it
        asks of them: that much, or more for more frames that hold. 0 for whoever stays.
    """

    row: int
    place: int
    across_mm: float
    distance_mm: float
    inside: bool
    lean_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """One row.

    Attributes
    ----------
    row : int
        From 1, the front row.
    distance_mm : float
        Its eyes from the lens along the axis (the middle of an arc's depths).
    inside : bool
        Whether all its faces are, before any leaning.
    lean_cm : float
        The most that anybody of it is to move to be inside, + towards the camera. Where the plan
        has people lean, what it asks of them: that much, or more for more frames that hold, so that
        those who are inside already may be asked too.
    share : Measured
        Of frames in which the whole row holds.
    """

    row: int
    distance_mm: float
    inside: bool
    lean_cm: float
    share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupStop:
    """What one aperture does to a group.

    Attributes
    ----------
    f_number : float
        The aperture, focus at its best plane.
    out : tuple of int
        Rows that fall out, from 1.
    share : Measured
        Of frames in which everybody holds.
    """

    f_number: float
    out: tuple[int, ...]
    share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPlan:
    """A plan for a group.

    Attributes
    ----------
    request : GroupRequest
        What it was made for.
    settings : tuple of PlanSetting
        Best first: at most three.
    focus_distance_mm : float
        Best focus plane from the lens.
    focus_into_share : float
        How far into the group's depth it lies, 0 the front row, 1 the last.
    rows : tuple of GroupRow
        Front first.
    places : tuple of GroupPlace
        Everybody.
    stops : tuple of GroupStop
        At f/2.8, 4, 5.6 and 8.
    f_number_without_lean : float or None
        Widest aperture that takes everybody in if nobody leans; None if none does.
    arc_cost_mm : float
        Depth that the arc adds over straight rows; negative where this lens's field makes it pay.
    marks, curve, ways, frames, recompose, light : as in `SitterPlan`
        Of the best setting.
    limits : tuple of str
        What holds the plan back.
    sentence, advice : str
        The answer, and the one thing to change.
    cautions, notes : tuple of str
        As in `SitterPlan`.
    """

    request: GroupRequest
    settings: tuple[PlanSetting, ...]
    focus_distance_mm: float
    focus_into_share: float
    rows: tuple[GroupRow, ...]
    places: tuple[GroupPlace, ...]
    stops: tuple[GroupStop, ...]
    f_number_without_lean: float | None
    arc_cost_mm: float
    marks: tuple[PlanMark, ...]
    curve: tuple[ShutterPoint, ...]
    ways: tuple[LightWay, ...]
    frames: tuple[FramesNeeded, ...]
    recompose: Recompose | None
    light: LightQuality | None
    limits: tuple[str, ...]
    sentence: str
    advice: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstStep:
    """One number of frames of a lean-in.

    Attributes
    ----------
    frames : int
        So many, spread over the sweep.
    from_mm, to_mm : float
        Focus plane at the first and the last frame, behind the near iris: it moves towards the
        camera when the photographer leans back, away from it when leaning in.
    chance : Measured
        That at least one frame holds.
    seconds_s : float
        How long it takes.
    """

    frames: int
    from_mm: float
    to_mm: float
    chance: Measured
    seconds_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstPlan:
    """A plan for a lean-in.

    Attributes
    ----------
    request : BurstRequest
        What it was made for.
    setting : PlanSetting
        The settings it is shot with.
    start_mm, end_mm : float
        Where the focus plane starts and ends, behind the near iris.
    travel_mm : float
        How far the photographer leans.
    frames : int or None
        So many; None if not even the most would do.
    seconds_s : float
        How long it takes.
    chance : Measured
        That at least one holds.
    still_chance : Measured
        The same number of frames without leaning, focused anew for each.
    steps : tuple of BurstStep
        Chance by number of frames.
    limits : tuple of str
        What holds it back.
    sentence, advice : str
        The answer, and the one thing to change.
    cautions, notes : tuple of str
        As in `SitterPlan`.
    """

    request: BurstRequest
    setting: PlanSetting
    start_mm: float
    end_mm: float
    travel_mm: float
    frames: int | None
    seconds_s: float
    chance: Measured
    still_chance: Measured
    steps: tuple[BurstStep, ...]
    limits: tuple[str, ...]
    sentence: str
    advice: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
