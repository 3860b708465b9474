"""What a sitting is planned from: kit, light, sitter, photographer and the print promised."""

from dataclasses import dataclass, field
from typing import Literal

from eyeplane.records.measured import Measured
from eyeplane.records.settings import STANDARD_PRINT_CM, STANDARD_VIEWING_CM

LightKind = Literal["continuous", "flash"]
Mood = Literal["resting", "still", "talking", "laughing", "fidgeting", "toddling", "walking"]
Framing = Literal["head", "head-and-shoulders", "half", "full"]
Support = Literal["hand", "tripod"]
Eyes = Literal["near", "both"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanKit:
    """A body with a lens, and what it can do.

    Attributes
    ----------
    focal_length_mm : float
        Focal length.
    sensor_long_mm, sensor_short_mm : float
        Sides of the sensor.
    long_edge_px, short_edge_px : int
        Pixels along them.
    widest_f_number, smallest_f_number : float
        Aperture limits: the widest is the lens's own, since its glass is softest there; the
        smallest the lens's, or what the photographer sets.
    near_limit_mm : float or None
        Nearest subject distance of the lens, from the lens.
    fastest_s, slowest_s : float
        Shutter limits.
    sync_s : float
        Shortest shutter time with flash.
    base_iso, highest_iso : float
        Lowest and highest ISO that may be used.
    stabiliser_stops : float
        Stops by which a stabiliser slows the camera's shake; 0 without one.
    glass_um : float or None
        Gaussian spread (standard deviation on the sensor) of the lens at its best aperture; None:
        a usual one.
    glass_wide_um : float or None
        What the glass adds to that at its widest aperture, as a Gaussian spread whose square adds;
        None: a usual one.
    glass_range_um, glass_wide_range_um : tuple of float or None
        Ends of the interval that holds each of them nine times in ten; None: none was given, a
        number counts as known to 8 %.
    field_radius_mm : float or None
        Radius of the surface in focus, + where its edges bend towards the camera; None: flat.
    focus_bias_mm, focus_spread_mm : Measured or None
        Where autofocus puts the plane relative to the near iris, and how much that scatters
        (standard deviation); None: usual ones.
    """

    focal_length_mm: float
    sensor_long_mm: float = 36.0
    sensor_short_mm: float = 24.0
    long_edge_px: int = 6000
    short_edge_px: int = 4000
    widest_f_number: float = 1.4
    smallest_f_number: float = 16.0
    near_limit_mm: float | None = None
    fastest_s: float = 1 / 8000
    slowest_s: float = 1 / 15
    sync_s: float = 1 / 200
    base_iso: float = 100.0
    highest_iso: float = 1600.0  # usual for natural light; common practice, no source
    stabiliser_stops: float = 0.0
    glass_um: float | None = None
    glass_wide_um: float | None = None
    glass_range_um: tuple[float, float] | None = None
    glass_wide_range_um: tuple[float, float] | None = None
    field_radius_mm: float | None = None
    focus_bias_mm: Measured | None = None
    focus_spread_mm: Measured | None = None

    @property
    def pitch_um(self) -> float:
        """Return the distance of pixel centres.

        Returns
        -------
        float
            Micrometres.
        """
        return 1000.0 * self.sensor_long_mm / self.long_edge_px


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLight:
    """The light at the face.

    Attributes
    ----------
    kind : {"continuous", "flash"}
        What lights the face.
    exposure_ev : float or None
        Exposure value at ISO 100 of the continuous light; with flash that of the room, None for a
        dark one.
    guide_number_m : float or None
        Guide number in metres at ISO 100 and full power; flash only.
    flash_distance_mm : float or None
        Flash to face; None: as far as the camera.
    full_power_s : float or None
        How long the flash glows at full power (t.1); None: a usual one.
    high_speed_sync : bool
        Whether the flash may pulse through times shorter than the sync limit, at its loss.
    source_size_mm, source_distance_mm : float or None
        Diameter of the source as the face sees it, and its distance: for how hard it is.
    """

    kind: LightKind = "continuous"
    exposure_ev: float | None = None
    guide_number_m: float | None = None
    flash_distance_mm: float | None = None
    full_power_s: float | None = None
    high_speed_sync: bool = False
    source_size_mm: float | None = None
    source_distance_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSitter:
    """Who sits.

    Attributes
    ----------
    age_years : float or None
        None: an adult.
    mood : str or None
        How they move; None: as usual at that age.
    glasses : bool
        Whether they wear them.
    speed_mm_per_s : Measured or None
        Learned of this client: median, and the middle 90 % of exposures.
    """

    age_years: float | None = None
    mood: Mood | None = None
    glasses: bool = False
    speed_mm_per_s: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanHand:
    """Who photographs.

    Attributes
    ----------
    support : {"hand", "tripod"}
        What holds the camera.
    shake_deg_per_s : Measured or None
        Learned of this photographer, without stabiliser: median, and the middle 90 %.
    """

    support: Support = "hand"
    shake_deg_per_s: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPrint:
    """The print promised.

    Attributes
    ----------
    print_cm, viewing_cm : float
        Longest edge, and the viewer's distance.
    """

    print_cm: float = STANDARD_PRINT_CM
    viewing_cm: float = STANDARD_VIEWING_CM


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChoice:
    """What the photographer has settled already; None leaves it to the plan.

    Attributes
    ----------
    f_number, shutter_s, iso : float or None
        Aperture, shutter time, ISO.
    """

    f_number: float | None = None
    shutter_s: float | None = None
    iso: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SitterRequest:
    """One sitter to plan for.

    Attributes
    ----------
    kit, light, sitter, hand, promise, choice : records
        What there is and what is settled.
    distance_mm : float or None
        Lens to near iris; None: by the framing.
    framing : str or None
        How much of the sitter fills the frame's height; None: by the distance.
    yaw_deg : float
        How far the head is turned, 0 to 90.
    background_mm : float or None
        Near iris to background.
    eyes : {"near", "both"}
        Which eyes must hold the print.
    """

    kit: PlanKit
    light: PlanLight
    sitter: PlanSitter = field(default_factory=PlanSitter)
    hand: PlanHand = field(default_factory=PlanHand)
    promise: PlanPrint = field(default_factory=PlanPrint)
    choice: PlanChoice = field(default_factory=PlanChoice)
    distance_mm: float | None = None
    framing: Framing | None = None
    yaw_deg: float = 0.0
    background_mm: float | None = None
    eyes: Eyes = "near"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRequest:
    """A group to plan for.

    Attributes
    ----------
    kit, light, sitter, hand, promise, choice : records
        As for one sitter; `sitter` stands for everybody (the one that moves most).
    distance_mm : float
        Lens to the eyes of the front row, along the lens axis.
    rows, faces_per_row : int
        How many.
    row_spacing_mm, face_spacing_mm : float
        Depth between rows, and from face to face in a row.
    standing : bool
        Whether the rows behind stand; the front row then sits.
    lean : bool
        Whether people may lean towards the focus plane.
    arc_radius_mm : float or None
        Radius of the curve on which each row stands, its middle farthest from the camera (all
        about equally far from it); None: straight rows.
    """

    kit: PlanKit
    light: PlanLight
    distance_mm: float
    rows: int = 2
    faces_per_row: int = 4
    row_spacing_mm: float = 600.0
    face_spacing_mm: float = 550.0
    standing: bool = True
    lean: bool = False
    arc_radius_mm: float | None = None
    sitter: PlanSitter = field(default_factory=PlanSitter)
    hand: PlanHand = field(default_factory=PlanHand)
    promise: PlanPrint = field(default_factory=PlanPrint)
    choice: PlanChoice = field(default_factory=PlanChoice)


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstRequest:
    """A lean-in to plan: a burst while the photographer leans slowly towards the sitter.

    Attributes
    ----------
    sitting : SitterRequest
        Everything else; its choice must settle what is to be used, or the best is taken.
    lean_mm_per_s : float
        How fast the photographer leans.
    frames_per_s : float
        How fast the camera fires.
    wanted_share : float
        Probability, 0..1, that at least one frame holds.
    caught : {"iris", "lashes", "brow", "glasses"}
        What autofocus catches.
    """

    sitting: SitterRequest
    lean_mm_per_s: float = 40.0
    frames_per_s: float = 8.0
    wanted_share: float = 0.95
    caught: Literal["iris", "lashes", "brow", "glasses"] = "iris"
