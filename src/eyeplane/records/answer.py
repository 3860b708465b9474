"""What a reading means for a print: cause, offset, reach and the one thing to change."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

Cause = Literal[
    "focus",
    "depth",
    "shake",
    "sitter",
    "motion",
    "noise",
    "glass",
    "pixels",
    "none",
    "cannot tell",
]
FindingKind = Literal[
    "caught",
    "elsewhere",
    "far eye",
    "group",
    "ghost",
    "rotation",
    "dark",
    "noise",
    "closed",
    "glasses",
    "veil",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseChance:
    """How probable one cause is, and what makes it so.

    Attributes
    ----------
    cause : str
        One of the causes.
    prior : float
        Probability by shutter, aperture, focal length, distance, flash and what was learned, 0..1.
    evidence : float
        How much better than the best other cause the pixels fit this one: natural logarithm of
        the likelihood ratio.
    chance : float
        Probability by both, 0..1; all causes of a face sum to 1.
    because : str
        What the prior rests on, in a photographer's words.
    """

    cause: str
    prior: float
    evidence: float
    chance: float
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something else worth knowing about a frame, with its own remedy.

    Attributes
    ----------
    kind : str
        What it is about.
    text : str
        One sentence with its numbers.
    advice : str
        The one thing to change; empty if nothing need be changed.
    """

    kind: FindingKind
    text: str
    advice: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LightSource:
    """A light as its catchlight tells it.

    Attributes
    ----------
    clock_hours : float
        Where on the cornea, as on a clock seen in the picture: 12 above, 3 to the right; (0, 12].
    off_axis_deg : Measured
        Angle between the direction to the camera and to the light, at the eye.
    width_deg, height_deg : Measured
        How large it looks from the sitter.
    share : float
        Of the light of all sources seen, 0..1.
    hardness : str
        "hard", "fairly hard", "fairly soft", "soft", or "" where its size cannot be told.
    """

    clock_hours: float
    off_axis_deg: Measured
    width_deg: Measured
    height_deg: Measured
    share: float
    hardness: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BudgetPart:
    """One part of the blur at the near eye.

    Attributes
    ----------
    cause : str
        One of the causes, or "diffraction".
    blur_um : Measured or None
        Size on the sensor (disc diameter or line length); None without pixel pitch or for noise.
    blur_px : Measured or None
        The same in pixels.
    reach_without_cm : float or None
        What the reach would be if this part alone were gone.
    """

    cause: str
    blur_um: Measured | None
    blur_px: Measured | None
    reach_without_cm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthMark:
    """A tick on the depth line.

    Attributes
    ----------
    name : str
        What lies there.
    depth_mm : float
        Relative to the near iris, + farther from the camera.
    """

    name: str
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceAnswer:
    """What is said about one face.

    Attributes
    ----------
    sitter : bool
        False for faces much smaller than the largest: bystanders, who do not count.
    reach_cm : Measured or None
        Longest print edge up to which the near eye looks sharp.
    holds_diagonal : bool or None
        Whether it looks sharp on any print seen from 1.5 times its diagonal.
    offset_mm : Measured or None
        Focus plane minus near iris, + behind it; None: cannot tell.
    offset_why : str
        Why the offset cannot be told; empty if it can.
    cause : str
        The part of the budget that costs the most reach.
    motion_um, motion_mm : Measured or None
        Length of the motion on the sensor, and at the sitter, if motion was found.
    motion_angle_deg : float or None
        Its direction, counter-clockwise from +x.
    budget : tuple of BudgetPart
        Largest cost first.
    marks : tuple of DepthMark
        For the depth line, near to far.
    depth_front_mm, depth_back_mm : float or None
        Depth of field for the promised print (or the reach asked), from the focus plane
        to the camera's side and away from it; None without the optics' numbers.
    eyes_open : bool or None
        Both eyes; None where it cannot be told.
    name : str
        Which sitter, e.g. "the second face from the left"; empty for bystanders.
    inside : bool or None
        Whether this face's near eye lies within the depth of field for the print aimed at.
    behind_mm : Measured or None
        Near eye minus focus plane, + farther than the plane, as all faces of a group tell it
        together; None for a single sitter and where it cannot be told.
    stop : float or None
        Aperture that would have held this face where the focus lay; None if none would, or
        nothing need be changed.
    chances : tuple of CauseChance
        Most probable first; empty where no cause is asked for.
    findings : tuple of Finding
        Most telling first.
    lights : tuple of LightSource
        Strongest first.
    """

    sitter: bool
    reach_cm: Measured | None
    holds_diagonal: bool | None
    offset_mm: Measured | None
    offset_why: str
    cause: Cause
    motion_um: Measured | None
    motion_mm: Measured | None
    motion_angle_deg: float | None
    budget: tuple[BudgetPart, ...]
    marks: tuple[DepthMark, ...]
    depth_front_mm: float | None
    depth_back_mm: float | None
    eyes_open: bool | None
    name: str = ""
    inside: bool | None = None
    behind_mm: Measured | None = None
    stop: float | None = None
    chances: tuple[CauseChance, ...] = ()
    findings: tuple[Finding, ...] = ()
    lights: tuple[LightSource, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameAnswer:
    """What is said about one frame; the face that holds least among the sitters decides.

    Attributes
    ----------
    reach_cm : Measured or None
        Of the deciding face; None if nobody was found or nothing can be told.
    holds_diagonal : bool or None
        Of the deciding face.
    cause : str
        Of the deciding face.
    sentence : str
        What and why, one or two short sentences, ready to be shown.
    advice : str
        The one thing to change; empty if nothing need be changed.
    deciding : int or None
        Index of the deciding face in `faces`.
    faces : tuple of FaceAnswer
        In the order of the reading's faces.
    findings : tuple of Finding
        About the frame as a whole, most telling first.
    stop_for_all : float or None
        Aperture that would have held every sitter; None if none would or all are held.
    """

    reach_cm: Measured | None
    holds_diagonal: bool | None
    cause: Cause
    sentence: str
    advice: str
    deciding: int | None
    faces: tuple[FaceAnswer, ...]
    findings: tuple[Finding, ...] = ()
    stop_for_all: float | None = None
