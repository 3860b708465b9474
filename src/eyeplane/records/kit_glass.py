"""What a check of the glass found: a veil over the frame, a halo round lights, smudges by place.

Places are (x, y) as shares of the frame's width and height, from the upper left of the upright
frame; zones lie in rows from there.
"""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

GlassWay = Literal["pair", "record pair", "chart", "lamp", "dark"]
GlassVerdict = Literal["clear", "veil", "smudge", "halo", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassHalo:
    """The glow around bright places.

    Attributes
    ----------
    share : Measured or None
        Share of a bright place's light that lands in its halo: from a hundredth to a tenth of the
        long edge away; None where the light itself is not known.
    width_share : Measured or None
        Radius that holds half of the halo's light, as a share of the long edge.
    radius_share : tuple of float
        Distances at which the curve is given, as shares of the long edge.
    light_ratio : tuple of float
        Light at each of these distances around a small bright place: the part of its light that
        lands in each hundredth of the long edge squared.
    low_ratio, high_ratio : tuple of float
        Ends of the 90 % interval of it.
    """

    share: Measured | None
    width_share: Measured | None
    radius_share: tuple[float, ...]
    light_ratio: tuple[float, ...]
    low_ratio: tuple[float, ...]
    high_ratio: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassZone:
    """One zone of the frame.

    Attributes
    ----------
    loss_share : Measured or None
        Share of the contrast of middle-sized detail (about a hundredth of the long edge, an eye's
        size) that the glass takes; None where there is too little detail to tell.
    smudged : bool
        Whether the zone loses clearly more than the frame as a whole.
    """

    loss_share: Measured | None = None
    smudged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassSmudge:
    """A place of the frame that the glass dims more than the rest.

    Attributes
    ----------
    place : str
        Where, in words, as the upright frame is seen.
    at_share : tuple of float
        Its middle (x, y), as shares of width and height.
    zones : tuple of int
        Numbers of its zones.
    loss_share : Measured
        Share of the contrast that is lost there.
    """

    place: str
    at_share: tuple[float, float]
    zones: tuple[int, ...]
    loss_share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassStreak:
    """A glow that runs out from lights along one line: what a wiped smear does.

    Attributes
    ----------
    glow_deg : Measured
        Direction of the glow, counter-clockwise from +x as seen, in [0, 180).
    wiped_deg : float
        Direction in which the smear was wiped: across the glow.
    strength_ratio : float
        Light along the glow over the light across it, at equal distance.
    """

    glow_deg: Measured
    wiped_deg: float
    strength_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassKept:
    """What the kit's own record said when the glass was clean.

    Attributes
    ----------
    done_at : str
        Day and time of that check.
    frame : str
        Its frame.
    veil_share : Measured or None
        Veil then.
    veil_most_share : float or None
        The most that could be a veil then.
    halo_share : Measured or None
        Halo then.
    ink_ratio : Measured or None
        Light of the chart's ink over its paper then.
    clean : bool
        Whether the photographer said that the glass was clean; else it is the best so far.
    """

    done_at: str
    frame: str
    veil_share: Measured | None = None
    veil_most_share: float | None = None
    halo_share: Measured | None = None
    ink_ratio: Measured | None = None
    clean: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class GlassResult:
    """What a check of the glass found.

    Attributes
    ----------
    kit : str
        Body and lens, or the photographer's own name for them.
    way : {"pair", "record pair", "chart", "lamp", "dark"}
        How it was told: from two frames of one view, from a frame and the one kept when the glass
        was clean, from the printed chart, from a light in the frame, or from dark beside bright.
    verdict : {"clear", "veil", "smudge", "halo", "cannot tell"}
        The answer.
    frame : str
        The frame that was checked.
    other : str or None
        The frame it was held against.
    worse : {"now", "before", "neither"}
        Which of the two is veiled more; "now" where there is one frame only.
    focal_length_mm, f_number : float or None
        As the frame says.
    orientation : int
        EXIF Orientation of the frame: a smudge keeps its place in the frame as it is stored.
    columns, rows : int
        Zones across and down the upright frame.
    zones : tuple of GlassZone
        Rows from the upper left; empty where zones cannot be told.
    veil_share : Measured or None
        Share of the frame's light that comes from farther than a tenth of the long edge away.
    veil_most_share : float or None
        Where the veil itself cannot be told: the most that it can be.
    halo : GlassHalo or None
        The glow around bright places; None where none of them can be used.
    smudges : tuple of GlassSmudge
        Largest loss first.
    streak : GlassStreak or None
        A glow along one line.
    ink_ratio : Measured or None
        Where the printed chart was read: light of its black squares over the paper beside them.
    loss_share : Measured or None
        Contrast lost by detail of an eye's size, in the middle zone of all.
    reach_ratio : Measured or None
        Reach with this loss over the reach without, for a frame that is sharp otherwise.
    clipped_share : float
        Share of the frame at its upper end, whose light is not known.
    at_most : bool
        Whether shares are upper ends, since a light that makes the glow is clipped.
    exposure_ev : float or None
        How much brighter the frame is than the other, stops.
    shift_share : float or None
        How far the view moved between the two, as a share of the long edge.
    focus_moved : bool
        Whether fine detail differs as focus does, not as glass does.
    style_changed : bool
        Whether the tone curve differs between the two frames.
    scene_changed_share : float or None
        Share of the frame in which the two show different things.
    kept : GlassKept or None
        The kit's own record.
    clean : bool
        Whether the photographer said that the glass is clean: what later frames are held against.
    taken_at : str or None
        When the frame was taken, as it says itself.
    reasons : tuple of str
        Why something cannot be told, in words.
    left_out : tuple of str
        Frames that were not used, with the reason.
    """

    kit: str
    way: GlassWay
    verdict: GlassVerdict
    frame: str
    other: str | None = None
    worse: Literal["now", "before", "neither"] = "now"
    focal_length_mm: float | None = None
    f_number: float | None = None
    orientation: int = 1
    columns: int = 6
    rows: int = 4
    zones: tuple[GlassZone, ...] = ()
    veil_share: Measured | None = None
    veil_most_share: float | None = None
    halo: GlassHalo | None = None
    smudges: tuple[GlassSmudge, ...] = ()
    streak: GlassStreak | None = None
    ink_ratio: Measured | None = None
    loss_share: Measured | None = None
    reach_ratio: Measured | None = None
    clipped_share: float = 0.0
    at_most: bool = False
    exposure_ev: float | None = None
    shift_share: float | None = None
    focus_moved: bool = False
    style_changed: bool = False
    scene_changed_share: float | None = None
    kept: GlassKept | None = None
    clean: bool = False
    taken_at: str | None = None
    reasons: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
