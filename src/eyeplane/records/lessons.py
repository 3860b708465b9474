"""What one frame teaches, and what all of them say together."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

LEARN_VERSION = "2"  # raised when a fit changes: what a store keeps of an older one is fitted anew
LessonKind = Literal["shake", "sitter", "focus"]
Stabiliser = Literal["on", "off", "tripod", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingLabels:
    """What the photographer says of a sitting, in words of their own; empty where nothing is said.

    Attributes
    ----------
    sitter : str
        What kind of sitter it was, e.g. "child 3"; nobody is identified by it.
    stabiliser : {"on", "off", "tripod", ""}
        Whether a stabiliser was on; "tripod": nobody held the camera, so it teaches no shake.
    focus_setting : str
        How the focus was set, e.g. "eye detection, single".
    kit : str
        Their own name for the body with the lens.
    """

    sitter: str = ""
    stabiliser: Stabiliser = ""
    focus_setting: str = ""
    kit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What one frame teaches of one thing.

    Attributes
    ----------
    sha256 : str
        The frame's content.
    kind : {"shake", "sitter", "focus"}
        How fast the camera turned, how fast the sitter moved, or where the focus lay.
    sitting : str
        The folder it lay in when it was measured.
    captured_s : float or None
        When, in seconds since 1970 by the camera's clock; None where the file does not say.
    burst : int
        The same number for frames of one burst: when it began, or which one it was.
    value : float
        Shake: degrees a second. Sitter: millimetres a second across the lens axis. Focus: mm from
        the near iris to the focus plane, + behind it.
    seen : bool
        True: the value is what was measured. False: no motion was seen, so the speed was at most
        the value.
    owned : bool
        Whether it is known whose motion it was; True where none was seen.
    error_mm : float or None
        Focus: standard deviation of the measuring; None for speeds.
    unit_per_px : float or None
        Speeds: what one pixel is, in degrees or millimetres; None for focus.
    exposure_time_s, f_number, focal_length_mm : float or None
        As the file has them.
    distance_mm : float or None
        From the lens to the near iris, measured.
    point : {"middle", "aside", ""}
        Where the focus point lay, if the file says it.
    kit : tuple of str
        Body, its serial number, lens, its serial number; "" where the file does not say.
    labels : SittingLabels
        Of its sitting; `kit` in them also where another sitting gave this body and lens a name.
    """

    sha256: str
    kind: LessonKind
    sitting: str
    captured_s: float | None
    burst: int
    value: float
    seen: bool = True
    owned: bool = True
    error_mm: float | None = None
    unit_per_px: float | None = None
    exposure_time_s: float | None = None
    f_number: float | None = None
    focal_length_mm: float | None = None
    distance_mm: float | None = None
    point: str = ""
    kit: tuple[str, str, str, str] = ("", "", "", "")
    labels: SittingLabels = SittingLabels()


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedCounts:
    """What a learned number rests on.

    Attributes
    ----------
    frames : int
        Frames that tell something.
    seen : int
        Of those, how many show the motion; for focus all of them.
    bursts, sittings : int
        Bursts and sittings they come from; a folder shot on two days is two sittings.
    weight : float
        Frames that they count for where old sittings count less; else as `frames`.
    """

    frames: int
    seen: int
    bursts: int
    sittings: int
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedShake:
    """How fast the camera turns in these hands.

    Attributes
    ----------
    kit : str
        Body and lens; empty: a lens that was not measured yet, by all that were.
    names : tuple of str
        By what else a plan may name this kit: the photographer's own name, and the file's.
    focal_length_mm : float or None
        Of the frames, the middle one; None without.
    stabiliser : {"on", "off", "tripod", ""}
        As labelled; empty where nothing was said, and over all kits.
    median_deg_per_s : Measured
        The middle speed over sittings, with what is not known of it.
    exposures_deg_per_s : Measured
        The same middle, and the middle 90 % of exposures to come: what a plan takes.
    fast_deg_per_s : Measured
        What nine exposures in ten stay below.
    counts : LearnedCounts
        What it rests on.
    """

    kit: str
    names: tuple[str, ...]
    focal_length_mm: float | None
    stabiliser: Stabiliser
    median_deg_per_s: Measured
    exposures_deg_per_s: Measured
    fast_deg_per_s: Measured
    counts: LearnedCounts


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedSitter:
    """How fast a kind of sitter moves across the lens axis.

    Attributes
    ----------
    sitter : str
        The photographer's own word; empty: sittings without one, or by all who sat.
    median_mm_per_s, exposures_mm_per_s, fast_mm_per_s : Measured
        As for `LearnedShake`; of the next sitter of this kind.
    counts : LearnedCounts
        What it rests on.
    """

    sitter: str
    median_mm_per_s: Measured
    exposures_mm_per_s: Measured
    fast_mm_per_s: Measured
    counts: LearnedCounts


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedFocus:
    """Where the focus of a kit lies.

    Attributes
    ----------
    kit : str
        Body and lens.
    names : tuple of str
        By what else a plan may name this kit.
    setting : str
        How the focus was set, as labelled; empty: the kit as a whole.
    bias_mm : Measured
        Mean offset, + behind the near iris.
    spread_mm : Measured
        Standard deviation from frame to frame, measuring error taken out.
    chance_behind : float
        Probability that the mean lies behind the near iris, 0..1.
    aside : int
        Frames far off all others, left out of bias and spread.
    correction : str
        What to adjust, and what to look at first; empty where the interval of the bias does not
        exclude zero or adjusting would not help.
    counts : LearnedCounts
        What it rests on.
    """

    kit: str
    names: tuple[str, ...]
    setting: str
    bias_mm: Measured
    spread_mm: Measured
    chance_behind: float
    aside: int
    correction: str
    counts: LearnedCounts


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedNumbers:
    """Everything that all lessons say together.

    Attributes
    ----------
    version : str
        Of the fits.
    half_life_days : float or None
        Age beyond the newest sitting at which a sitting counts half; None: all count alike.
    frames, sittings : int
        Frames that teach anything, and their sittings.
    newest : str
        Day of the newest frame, YYYY-MM-DD by the camera's clock; empty where none says.
    any_shake : LearnedShake or None
        With a lens that was not measured yet.
    shake : tuple of LearnedShake
        One a kit and stabiliser, most frames first.
    any_sitter : LearnedSitter or None
        Of a kind that has not sat yet.
    sitters : tuple of LearnedSitter
        One a kind, most frames first.
    focus : tuple of LearnedFocus
        Most frames first; a kit as a whole before its settings.
    notes : tuple of str
        What could not be learned, and why.
    """

    version: str
    half_life_days: float | None
    frames: int
    sittings: int
    newest: str
    any_shake: LearnedShake | None = None
    shake: tuple[LearnedShake, ...] = ()
    any_sitter: LearnedSitter | None = None
    sitters: tuple[LearnedSitter, ...] = ()
    focus: tuple[LearnedFocus, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnedExport:
    """Everything that was learned, to be kept or read elsewhere.

    Attributes
    ----------
    numbers : LearnedNumbers
        What all lessons say together.
    lessons : tuple of Lesson
        What each frame taught, with the labels of its sitting.
    forgotten : int
        Frames that were forgotten: they teach nothing again until they are asked to.
    """

    numbers: LearnedNumbers
    lessons: tuple[Lesson, ...]
    forgotten: int
