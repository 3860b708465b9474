"""One kit held against another at the print: what each holds, why, and which prints show it."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

Side = Literal["A", "B"]
Sharper = Literal["A", "B", "neither"]
Seen = Literal["yes", "no", "cannot tell"]
WayKind = Literal["best of each", "same aperture", "same depth", "frames", "best frames"]
PartName = Literal["pixels", "glass", "aperture", "noise", "focus", "motion", "focus and glass"]
AgainstPartOfHabit = Literal["focus", "shake", "sitter", "depth", "motion"]
GlassSource = Literal["measured", "typed", "usual", "in the frames"]
Verdict = Literal["shown", "not shown", "cannot tell", "nothing sold named"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstKit:
    """One of the two kits.

    Attributes
    ----------
    name : str
        As it was typed, or body and lens as the frames name them.
    long_edge_px, short_edge_px : int
        Pixels of a whole frame.
    sensor_long_mm : float or None
        Long side of the sensor; None where frames do not tell it.
    glass : {"measured", "typed", "usual", "in the frames"}
        Where the blur of its lens comes from: a chart, the photographer, a usual lens of that
        kind, or it is part of the blur measured in the frames.
    frames : int
        Frames it rests on; 0 where it was described by numbers.
    field_mm : Measured or None
        How wide the frames are along their long edge where the face is: the middle frame, and the
        middle nine in ten. None where no frames were taken.
    """

    name: str
    long_edge_px: int
    short_edge_px: int
    sensor_long_mm: float | None
    glass: GlassSource
    frames: int = 0
    field_mm: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstPart:
    """What one part of the kit makes of the difference.

    Attributes
    ----------
    part : str
        Which part.
    change_cm : Measured
        By how much it alone brings B's reach above A's, averaged over every order in which the
        parts can be exchanged: all parts together make the whole difference.
    """

    part: PartName
    change_cm: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenFrom:
    """From which print size on viewers tell the two kits apart.

    Attributes
    ----------
    smallest_cm : float or None
        Long edge of the smallest print that shows it; None if none up to `up_to_cm` does.
    low_cm, high_cm : float or None
        Ends of its 90 % interval; None: no print up to `up_to_cm`.
    up_to_cm : float
        Longest edge that was looked at.
    """

    smallest_cm: float | None
    low_cm: float | None
    high_cm: float | None
    up_to_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstPrint:
    """What viewers see of the difference on one print.

    Attributes
    ----------
    long_cm, short_cm : float
        Its sides.
    step_ratio : Measured
        Difference in sharpness over the smallest that viewers just see, above 0 where B is
        sharper.
    seen : {"yes", "no", "cannot tell"}
        Whether they see it: "cannot tell" where the interval of `step_ratio` holds both answers.
    a_holds, b_holds : {"yes", "no", "cannot tell"}
        Whether the near eye looks sharp on it with A, with B.
    """

    long_cm: float
    short_cm: float
    step_ratio: Measured
    seen: Seen
    a_holds: Seen
    b_holds: Seen


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstWay:
    """The two kits used in one way.

    Attributes
    ----------
    kind : {"best of each", "same aperture", "same depth", "frames", "best frames"}
        How they are used: each at its sharpest aperture, both at one aperture, both with the same
        depth of field, or as the frames were shot: the middle frame of each, or the one that only
        a tenth of them better.
    a_f_number, b_f_number : float or None
        Apertures; None for frames shot at several.
    a_iso, b_iso : float or None
        ISO in the same light with the same shutter time; None for frames shot at several.
    a_reach_cm, b_reach_cm : Measured
        Longest print edge up to which a near eye in focus looks sharp to a viewer at 50 cm or the
        distance typed; for frames, that of a frame as it was shot, at the width of view that
        both were brought to.
    difference_cm : Measured
        B's reach less A's.
    sharper : {"A", "B", "neither"}
        Which reaches farther; "neither" where the interval holds nought.
    parts : tuple of AgainstPart
        Where the difference comes from, largest first; parts that are alike in both are left out.
    seen_from : SeenFrom
        From which print on viewers tell them apart.
    sold : tuple of AgainstPrint
        The prints this photographer sells, smallest first.
    """

    kind: WayKind
    a_f_number: float | None
    b_f_number: float | None
    a_iso: float | None
    b_iso: float | None
    a_reach_cm: Measured
    b_reach_cm: Measured
    difference_cm: Measured
    sharper: Sharper
    parts: tuple[AgainstPart, ...]
    seen_from: SeenFrom
    sold: tuple[AgainstPrint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstPoint:
    """How sharp both look on prints of one size.

    Attributes
    ----------
    print_cm : float
        Long edge.
    a_acutance, b_acutance : Measured
        Perceived sharpness, 0..1.
    """

    print_cm: float
    a_acutance: Measured
    b_acutance: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstHabit:
    """What a change of habit brings beside a change of kit.

    Attributes
    ----------
    part : {"focus", "shake", "sitter", "depth", "motion"}
        What costs the most reach with A besides the kit itself.
    a_reach_cm, b_reach_cm : Measured
        Reach of the middle frame with focus and motion as they are, and of the middle nine in ten.
    a_without_cm : float
        Reach of A's middle frame if that part were gone.
    known : bool
        Whether it rests on this photographer's own numbers; False: on usual ones.
    """

    part: AgainstPartOfHabit
    a_reach_cm: Measured
    b_reach_cm: Measured
    a_without_cm: float
    known: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AgainstResult:
    """One kit held against another.

    Attributes
    ----------
    a, b : AgainstKit
        The two.
    viewing_cm : float or None
        The viewer's distance; None: 1.5 times the print's diagonal.
    reach_viewing_cm : float
        The distance that reaches are told for.
    ways : tuple of AgainstWay
        The first is the one that was asked for, else each kit at its best.
    curve : tuple of AgainstPoint
        Of the first way, small prints first.
    verdict : {"shown", "not shown", "cannot tell", "nothing sold named"}
        Whether any of the prints sold shows the difference in the first way.
    best_sold_step_ratio : float or None
        The largest difference on any print sold, over the smallest that viewers just see, in any
        way looked at; None where no prints were named.
    habit : AgainstHabit or None
        What else would help; None where nothing is known of it, or the kit itself costs more.
    common_field_mm : float or None
        Frames only: the width of view along the long edge that both were brought to.
    notes : tuple of str
        What limits the answer.
    """

    a: AgainstKit
    b: AgainstKit
    viewing_cm: float | None
    reach_viewing_cm: float
    ways: tuple[AgainstWay, ...]
    curve: tuple[AgainstPoint, ...]
    verdict: Verdict
    best_sold_step_ratio: float | None
    habit: AgainstHabit | None
    common_field_mm: float | None
    notes: tuple[str, ...]
