"""The parts of a plan: settings with their share of frames that hold, and what stands beside."""

from dataclasses import dataclass

from eyeplane.records.measured import Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """One part of the budget of an eye.

    Attributes
    ----------
    cause : str
        "focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels" or "noise".
    blur_um : float or None
        On the sensor, as the diameter of a disc or the length of a line, in the middle frame; None
        for noise.
    reach_without_cm : float
        Reach of the middle frame without this part.
    """

    cause: str
    blur_um: float | None
    reach_without_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanEye:
    """What is to be expected at one eye.

    Attributes
    ----------
    name : str
        "near", "far", or for a group "row 1", …
    depth_mm : float
        Behind the near iris.
    reach_cm : Measured
        Of the middle frame, and of the middle nine in ten.
    share : Measured
        Of the frames in which this eye holds the print.
    parts : tuple of PlanPart
        Its budget, costliest first.
    """

    name: str
    depth_mm: float
    reach_cm: Measured
    share: Measured
    parts: tuple[PlanPart, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSetting:
    """Settings, and what comes of them.

    Attributes
    ----------
    f_number, shutter_s, iso : float
        What to set.
    flash_power : float or None
        Share of full power, 0..1; None without flash.
    exposure_off_ev : float
        Exposure less the right one; 0 unless everything was settled beforehand.
    share : Measured
        Of frames in which every eye that counts holds the print.
    share_both : Measured or None
        One sitter: of frames in which both eyes hold.
    eyes : tuple of PlanEye
        Near and far, or one a row.
    focus_from_near_iris_mm : float
        Where the focus plane should lie, + behind the near iris (a group: of the front row).
    depth_front_mm, depth_behind_mm : float or None
        Depth of field before and behind the focus plane; None where it has no end.
    background_blur_mm : float or None
        Blur disc at the background, in mm there; None without a background.
    background_blur_share : float or None
        The same over the height of the frame.
    frozen_by_flash : bool
        Whether the flash, not the shutter, ends the exposure.
    ghost_share : float or None
        Ambient light's share of the exposure; None without flash.
    gives_up : str
        Against the best: what this choice gives up and what it gains, in a sentence.
    """

    f_number: float
    shutter_s: float
    iso: float
    flash_power: float | None
    exposure_off_ev: float
    share: Measured
    share_both: Measured | None
    eyes: tuple[PlanEye, ...]
    focus_from_near_iris_mm: float
    depth_front_mm: float | None
    depth_behind_mm: float | None
    background_blur_mm: float | None
    background_blur_share: float | None
    frozen_by_flash: bool
    ghost_share: float | None
    gives_up: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMark:
    """A place on the depth line of a plan.

    Attributes
    ----------
    name : str
        Nose tip, near iris, far ear, row 2, background …
    depth_mm : float
        Behind the near iris of the (first) sitter.
    inside : bool
        Whether the depth of field of the best setting takes it in.
    """

    name: str
    depth_mm: float
    inside: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ShutterPoint:
    """The share of frames that hold at one shutter time.

    Attributes
    ----------
    shutter_s : float
        The time; aperture as in the best setting, ISO as the light asks.
    share : Measured
        Of frames that hold the print.
    motion_share : Measured
        The same by motion alone: focus exact, no noise.
    reciprocal : bool
        Whether the reciprocal rule names this time.
    allowed : bool
        Whether the limits allow it.
    """

    shutter_s: float
    share: Measured
    motion_share: Measured
    reciprocal: bool
    allowed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledShutter:
    """The shutter time that the same sitter needs in another framing.

    Attributes
    ----------
    framing : str
        Head, head-and-shoulders, half, full.
    distance_mm : float
        Where this lens stands for it.
    shutter_s : float or None
        Slowest time at which motion alone leaves the wanted share; None if none does.
    """

    framing: str
    distance_mm: float
    shutter_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightWay:
    """One way to get a stop more light onto the sensor, and what it brings.

    Attributes
    ----------
    way : str
        "now", "more light", "wider aperture", "slower shutter".
    f_number, shutter_s, iso : float
        Settings of that way.
    reach_cm : Measured
        Of the middle frame and of the middle nine in ten.
    share : Measured
        Of frames that hold.
    noise_cost_cm : float
        Reach that noise costs in the middle frame.
    """

    way: str
    f_number: float
    shutter_s: float
    iso: float
    reach_cm: Measured
    share: Measured
    noise_cost_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Recompose:
    """What focusing in the middle of the frame and then turning the camera does.

    Attributes
    ----------
    turn_deg : float
        Angle from the middle to the eye in this framing.
    behind_mm : float
        How far behind the near iris the focus plane then lies.
    share : Measured
        Of frames that still hold.
    text : str
        What to do instead, or that it does no harm.
    """

    turn_deg: float
    behind_mm: float
    share: Measured
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FramesNeeded:
    """How many frames to take.

    Attributes
    ----------
    for_what : str
        "one that holds", "everybody's eyes open", "both".
    frames : int or None
        So many; None where no sensible number does it.
    chance : Measured
        Probability with that many.
    seconds_s : float or None
        Time it takes at the stated pace.
    text : str
        In a sentence, with the rule and its model where there is one.
    """

    for_what: str
    frames: int | None
    chance: Measured
    seconds_s: float | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LightQuality:
    """How hard the light is.

    Attributes
    ----------
    source_deg : float
        Size of the source as the face sees it.
    penumbra_mm : float
        Width of the soft edge of the nose's shadow.
    name : str
        "hard" … "soft".
    falloff_ev : float
        Stops lost from the near to the far side of the face (a group: front to back row).
    text : str
        In a sentence, with what it does to texture and skin.
    """

    source_deg: float
    penumbra_mm: float
    name: str
    falloff_ev: float
    text: str
