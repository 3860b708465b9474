"""What frames of our printed chart told about a kit's sharpness."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

ChartZone = Literal["middle", "sides", "corner"]
ChartExplained = Literal["lens or camera", "chart tilt may be it", "cannot tell"]
ChartExposure = Literal["right", "overexposed", "underexposed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPlace:
    """Sharpness at one square of the chart, at one aperture, in the frame best focused there.

    Attributes
    ----------
    square : int
        Number of the square, row by row from the chart's upper left.
    x_share, y_share : float
        Its place in the frame: 0 at the middle, −1 and 1 at the left and right (upper and lower)
        border.
    radius_share : float
        Its distance from the middle over half the frame's diagonal.
    zone : {"middle", "sides", "corner"}
        Within half of that; beyond; one of the four outermost squares.
    mtf50_per_px : Measured
        Frequency of half the contrast, mean of its edges.
    sideways_per_px, upright_per_px : Measured or None
        The same of detail that varies from left to right, and up and down.
    radial_per_px, tangential_per_px : Measured or None
        The same towards the frame's middle and across that; None where the square's edges stand
        between the two.
    edges : int
        Edges that were read.
    frame : str
        Name of the frame.
    """

    square: int
    x_share: float
    y_share: float
    radius_share: float
    zone: ChartZone
    mtf50_per_px: Measured
    sideways_per_px: Measured | None
    upright_per_px: Measured | None
    radial_per_px: Measured | None
    tangential_per_px: Measured | None
    edges: int
    frame: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartAperture:
    """Sharpness at one aperture.

    Attributes
    ----------
    f_number : float or None
        Aperture; None: the frames do not say.
    frames : tuple of str
        Names of its frames.
    middle_per_px, corner_per_px : Measured or None
        Mean frequency of half the contrast in the middle and in the four corners.
    middle_per_mm, corner_per_mm : Measured or None
        The same in cycles per mm on the sensor; None where the size of its pixels is not known.
    middle_per_height, corner_per_height : Measured or None
        The same in line pairs over the frame's short side.
    glass_um, glass_corner_um : Measured or None
        What the lens adds to pixel and diffraction, in the middle and in the corners: Gaussian
        spread on the sensor, standard deviation. A usual print's own edges are taken out, the
        interval allows for softer and sharper ones. None where it cannot be told.
    refocused_ratio : float or None
        Middle of its best frame over the middle of its worst: how much focus counts; None with one
        frame.
    sharpened : bool
        Whether the frames were sharpened in the camera: contrast beyond what pixel and diffraction
        let through, or edges that overshoot.
    shaken : bool
        Whether all its frames are softer in one direction everywhere.
    places : tuple of ChartPlace
        Squares that could be read.
    """

    f_number: float | None
    frames: tuple[str, ...]
    middle_per_px: Measured | None
    corner_per_px: Measured | None
    middle_per_mm: Measured | None
    corner_per_mm: Measured | None
    middle_per_height: Measured | None
    corner_per_height: Measured | None
    glass_um: Measured | None
    glass_corner_um: Measured | None
    refocused_ratio: float | None
    sharpened: bool
    shaken: bool
    places: tuple[ChartPlace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartFault:
    """A corner or side that is clearly softer than its opposite.

    Attributes
    ----------
    f_number : float or None
        Aperture at which it shows.
    where : str
        "upper left corner", "right side" and so on, in the frame.
    ratio : Measured
        Its frequency of half the contrast over that of its opposite.
    explained : {"lens or camera", "chart tilt may be it", "cannot tell"}
        What can be behind it; the last where pixels or distance are not known.
    """

    f_number: float | None
    where: str
    ratio: Measured
    explained: ChartExplained


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartFrame:
    """One frame of the chart.

    Attributes
    ----------
    name : str
        Of its file.
    f_number : float or None
        Aperture.
    tilt_deg : float or None
        How far the chart stood from square to the camera; None where the focal length or the size
        of the pixels is not known.
    scale_px_per_mm : float
        Pixels of the frame for a millimetre of the chart, in its middle.
    edges : int
        Edges that were read, of 96.
    exposure : {"right", "overexposed", "underexposed"}
        Of paper and ink.
    shake_px : float
        Length of the stroke by which one direction is softer everywhere; 0 where none shows.
    shake_upright : bool
        Whether that stroke stands upright.
    sharpened : bool
        Whether the camera sharpened it.
    """

    name: str
    f_number: float | None
    tilt_deg: float | None
    scale_px_per_mm: float
    edges: int
    exposure: ChartExposure
    shake_px: float
    shake_upright: bool
    sharpened: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartResult:
    """Sharpness of a kit from our printed chart.

    Attributes
    ----------
    kit : str
        Body and lens as the frames name them; empty if they do not.
    paper : str
        What the chart was printed on.
    focal_length_mm : float or None
        Of the lens; None if the frames do not say.
    width_px, height_px : int
        Of the frames, as held.
    pitch_um : float or None
        Distance of pixel centres; None if not known.
    frames : tuple of ChartFrame
        Frames that were read.
    left_out : tuple of str
        Frames that were not, and why: a sentence each.
    apertures : tuple of ChartAperture
        Widest first, an unknown one last.
    sharpest_f_number : float or None
        Aperture at which the middle is sharpest.
    sharpest_among : tuple of float
        Apertures that cannot be told apart from it, itself among them, in order.
    corners_f_number : float or None
        Aperture at which the corners are sharpest.
    corners_among : tuple of float
        Apertures that cannot be told apart from that.
    faults : tuple of ChartFault
        Corners and sides that are clearly softer than their opposites.
    field_curved : bool or None
        Whether the corners were sharpest in another frame than the middle; None without several
        frames at one aperture.
    glass_best_um, glass_wide_um : Measured or None
        For plans: the glass at its best, and what it adds at `glass_widest_f_number`, squared
        spreads that add. None where the frames do not tell.
    glass_widest_f_number : float or None
        Aperture of the second.
    print_um : float or None
        What a usual print's own edges count for on the sensor, standard deviation; taken out of
        the glass.
    notes : tuple of str
        What limits the answer and what to shoot instead.
    """

    kit: str
    paper: str
    focal_length_mm: float | None
    width_px: int
    height_px: int
    pitch_um: float | None
    frames: tuple[ChartFrame, ...]
    left_out: tuple[str, ...]
    apertures: tuple[ChartAperture, ...]
    sharpest_f_number: float | None
    sharpest_among: tuple[float, ...]
    corners_f_number: float | None
    corners_among: tuple[float, ...]
    faults: tuple[ChartFault, ...]
    field_curved: bool | None
    glass_best_um: Measured | None
    glass_wide_um: Measured | None
    glass_widest_f_number: float | None
    print_um: float | None
    notes: tuple[str, ...]
