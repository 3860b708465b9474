"""A ladder: how the share of frames that hold falls with the shutter time, and what it means."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

LadderMover = Literal["shake", "sitter", "motion"]
LadderVerdict = Literal["holds", "shake", "sitter", "motion", "left out"]
LadderSubject = Literal["sitter", "chart"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderFrame:
    """One frame of a ladder.

    Attributes
    ----------
    name : str
        Of its file.
    shutter_s : float or None
        Its shutter time; None where the file does not tell it.
    verdict : str
        "holds" as far as motion goes; whose motion lost it ("shake", "sitter", or "motion" where
        that cannot be told); or "left out".
    why : str
        Why it was left out; else empty.
    line_px : Measured or None
        Line of motion, where one was measured.
    """

    name: str
    shutter_s: float | None
    verdict: LadderVerdict
    why: str
    line_px: Measured | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderStep:
    """The frames of one shutter time.

    Attributes
    ----------
    shutter_s : float
        The shutter time.
    held, frames : int
        How many held, of how many that count.
    share : Measured
        Held over frames, with Wilson's 90 % interval.
    """

    shutter_s: float
    held: int
    frames: int
    share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderLimit:
    """The slowest shutter time at which a share of frames holds, frames lost at any time apart.

    Attributes
    ----------
    share : float
        Of the frames.
    shutter_s : Measured or None
        The time; None where frames do not bound it on both sides.
    least_s : float or None
        It is at least this (95 times in 100), where hardly anything that was tried was lost; not
        slower than a time at which frames held. None from fewer than three frames.
    most_s : float or None
        It is at most this (95 times in 100), where hardly anything that was tried held; not
        faster than a time at which frames were lost. None from fewer than three frames.
    setting_s : float or None
        The marked shutter time to set: not slower than the best answer, or than `least_s`.
    shake_deg_per_s : Measured or None
        How fast the camera turns at most in that share of frames: carries over to other focal
        lengths and prints. None for a sitter's own motion, or where it cannot be told.
    sitter_mm_per_s : Measured or None
        How fast the sitter moves at most in that share of frames. None for camera shake, or where
        it cannot be told.
    """

    share: float
    shutter_s: Measured | None
    least_s: float | None
    most_s: float | None
    setting_s: float | None
    shake_deg_per_s: Measured | None
    sitter_mm_per_s: Measured | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderPoint:
    """A point of the fitted curve.

    Attributes
    ----------
    shutter_s : float
        Shutter time.
    share : Measured
        Share of frames that hold there, frames lost at any time counted.
    """

    shutter_s: float
    share: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderMore:
    """How many more frames would make the wanted limit surer.

    Attributes
    ----------
    shutters_s : tuple of float
        At which shutter times.
    each : int
        So many frames at each.
    now_stops, then_stops : float
        Width of the limit's 90 % interval now, and as expected with them.
    halves : bool
        Whether that halves it.
    """

    shutters_s: tuple[float, ...]
    each: int
    now_stops: float
    then_stops: float
    halves: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderPart:
    """One thing that moved: the camera, the sitter, or either where that cannot be told.

    Attributes
    ----------
    mover : str
        "shake", "sitter" or "motion".
    steps : tuple of LadderStep
        Fast to slow.
    limits : tuple of LadderLimit
        Rising by share; the wanted share is among them.
    curve : tuple of LadderPoint
        Fast to slow, for a plot.
    scale_stops : Measured
        How gradually frames are lost: from nine in ten that hold to one in ten are 4.4 of it.
    lapse_share : Measured
        Share of frames lost at any shutter time.
    typical_deg_per_s : Measured or None
        How fast the camera turns: the middle exposure and the middle 90 % of exposures.
    typical_mm_per_s : Measured or None
        How fast the sitter moves: likewise.
    typical_from : str
        What these rest on: "lengths" of lines measured, "counts" of frames that hold, or "".
    more : LadderMore or None
        Frames that would make the wanted limit surer; None where another time must be tried
        first, and for the part that does not decide.
    """

    mover: LadderMover
    steps: tuple[LadderStep, ...]
    limits: tuple[LadderLimit, ...]
    curve: tuple[LadderPoint, ...]
    scale_stops: Measured
    lapse_share: Measured
    typical_deg_per_s: Measured | None
    typical_mm_per_s: Measured | None
    typical_from: str
    more: LadderMore | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderCarried:
    """The wanted limit at another focal length or print.

    Attributes
    ----------
    mover : str
        "shake", "sitter" or "motion".
    focal_length_mm : float
        Of the lens.
    print_cm : float
        Longest edge of the print.
    shutter_s : Measured or None
        Slowest time at which the wanted share holds; None where only `least_s` is known.
    least_s : float or None
        It is at least this.
    rule_s : float
        The reciprocal rule's time.
    """

    mover: LadderMover
    focal_length_mm: float
    print_cm: float
    shutter_s: Measured | None
    least_s: float | None
    rule_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderResult:
    """All that a ladder tells.

    Attributes
    ----------
    name : str
        Of the folder.
    kit : str
        Body and lens.
    body, lens : str
        As the files name them; empty where they do not.
    subject : str
        "sitter" or "chart".
    sitter : str
        The photographer's own label of who sat; empty if none was given.
    stabiliser : str
        As typed; empty if not said.
    focal_length_mm : float or None
        None where the files do not tell it.
    print_cm, viewing_cm : float
        For which print, and from where it is looked at.
    limit_um : float or None
        Longest line on the sensor that still looks sharp there.
    limit_mm : float or None
        The same at the sitter.
    wanted_share : float
        Share of the frames whose limit was asked for.
    rule_s : float or None
        Reciprocal rule for this lens and sensor.
    shot_on : str
        Day of the first frame, as YYYY-MM-DD; empty where unknown.
    frames : tuple of LadderFrame
        In order of time.
    parts : tuple of LadderPart
        Shake before sitter; one part "motion" where they cannot be told apart.
    carried : tuple of LadderCarried
        The wanted limits at other prints, and that of shake at other focal lengths.
    advice : str
        What to shoot next.
    notes : tuple of str
        What limits the answer.
    """

    name: str
    kit: str
    body: str
    lens: str
    subject: LadderSubject
    sitter: str
    stabiliser: str
    focal_length_mm: float | None
    print_cm: float
    viewing_cm: float
    limit_um: float | None
    limit_mm: float | None
    wanted_share: float
    rule_s: float | None
    shot_on: str
    frames: tuple[LadderFrame, ...]
    parts: tuple[LadderPart, ...]
    carried: tuple[LadderCarried, ...]
    advice: str
    notes: tuple[str, ...]
