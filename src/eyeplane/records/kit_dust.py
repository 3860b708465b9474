"""What a check for dust on the sensor found."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

DustKind = Literal["spot", "hair"]
DustWay = Literal["even surface", "sitting"]
DustSince = Literal["new", "still there", "cannot tell"]
DustShows = Literal["yes", "no", "perhaps"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DustAtWork:
    """What a shadow does at one aperture and on one print.

    Attributes
    ----------
    f_number : float
        Aperture.
    depth_share : Measured
        Share of light lost at its middle.
    diameter_px : Measured
        Of the whole shadow, in pixels of the frame.
    print_mm : Measured
        The same on the print.
    threshold_share : float
        Least share of light lost that this size must have to be seen by half of all viewers from
        the viewing distance, on an even tone.
    shows : {"yes", "no", "perhaps"}
        Whether it would be seen there.
    """

    f_number: float
    depth_share: Measured
    diameter_px: Measured
    print_mm: Measured
    threshold_share: float
    shows: DustShows


@dataclass(frozen=True, slots=True, kw_only=True)
class DustPlace:
    """Where a shadow lies on the sensor, in mm, seen by somebody who faces it through the mount.

    The camera stands level: the sensor's lower edge is the one next to the base plate.

    Attributes
    ----------
    from_left_mm, from_bottom_mm : Measured
        From the sensor's left and lower edge.
    """

    from_left_mm: Measured
    from_bottom_mm: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class DustShadow:
    """One shadow.

    Attributes
    ----------
    number : int
        From 1, the deepest first.
    kind : {"spot", "hair"}
        Round, or long and thin.
    at_share : tuple of float
        (x, y) of its middle in the frame as stored, as shares of width and height from the upper
        left corner.
    field : str
        Ninth of the sensor, as seen by who faces it through the mount: "lower left", "middle"…;
        empty where the frame was cut or turned.
    place : DustPlace or None
        The same in mm; None where the pixel pitch is not known or the frame was cut or turned.
    diameter_px : Measured
        Of the whole shadow; of a hair its breadth.
    length_px : Measured or None
        Of a hair.
    angle_deg : float or None
        Of a hair: its main direction in the frame as stored, counter-clockwise from +x, [0, 180).
    depth_share : Measured
        Share of light lost at its middle.
    lost_px2 : Measured
        Light lost in all, as the number of pixels that would have to be black; the same at every
        aperture.
    particle_um : Measured or None
        Diameter of the particle, or thickness of the hair; None where the pixel pitch is not known.
    particle_px : Measured
        The same in pixels.
    evidence : float
        How far it stands out: 36 is the least that counts.
    frames : int
        In how many frames it was found again on its own.
    since : {"new", "still there", "cannot tell"} or None
        Against the earlier check; None without one.
    at_work : DustAtWork or None
        At the working aperture; None where it cannot be told.
    """

    number: int
    kind: DustKind
    at_share: tuple[float, float]
    field: str
    place: DustPlace | None
    diameter_px: Measured
    length_px: Measured | None
    angle_deg: float | None
    depth_share: Measured
    lost_px2: Measured
    particle_um: Measured | None
    particle_px: Measured
    evidence: float
    frames: int
    since: DustSince | None
    at_work: DustAtWork | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DustGone:
    """A shadow of the earlier check that is no longer there.

    Attributes
    ----------
    at_share : tuple of float
        Where it was, as in `DustShadow`.
    field : str
        Ninth of the sensor.
    depth_share : float
        Share of light it lost then.
    sure : bool
        False where it might be there still, too faint to be found now.
    """

    at_share: tuple[float, float]
    field: str
    depth_share: float
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DustAperture:
    """All shadows at one aperture.

    Attributes
    ----------
    f_number : float
        Aperture.
    deepest_share : Measured
        Share of light that the deepest one loses at its middle.
    widest_px : float
        Diameter of the widest.
    showing, perhaps : int
        How many would be seen on the print, and how many perhaps.
    """

    f_number: float
    deepest_share: Measured
    widest_px: float
    showing: int
    perhaps: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DustLimit:
    """How faint a shadow could have been and still be found.

    Attributes
    ----------
    depth_share : float
        Share of light lost at its middle, in the middling place of the frame.
    worst_share : float
        The same in its worst twentieth.
    particle_um : float or None
        Diameter of the smallest particle that would have been found; None where it cannot be told.
    smallest_px, largest_px : float
        Diameters of shadows that were looked for.
    judged_share : float
        Share of the sensor on which anything can be told at all.
    """

    depth_share: float
    worst_share: float
    particle_um: float | None
    smallest_px: float
    largest_px: float
    judged_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DustLeftOut:
    """A frame that was not used.

    Attributes
    ----------
    path : str
        Where it lies.
    reason : str
        Why, a sentence.
    """

    path: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DustResult:
    """What a check for dust found.

    Attributes
    ----------
    way : {"even surface", "sitting"}
        From frames of an even surface, or from what stays in its place over a whole sitting.
    kit : str
        Body as the frames name it, or the photographer's own name.
    done_at : str or None
        When the latest frame was taken, ISO 8601.
    frames : int
        How many frames the answer rests on.
    views : int
        How many of them show different things.
    paths : tuple of str
        Those frames.
    left_out : tuple of DustLeftOut
        Frames that were not used.
    width_px, height_px : int
        Of the frames as stored.
    orientation : int
        EXIF Orientation of the first.
    pitch_um : Measured or None
        Distance of pixel centres on the sensor.
    f_number : float or None
        Aperture of the frames; None where it is not known.
    cover_air_mm : Measured or None
        Thickness of the glass between dust and sensor over its index; None where it cannot be told.
    cover_measured : bool
        Whether it was told from the shadows; else it is what is usual.
    whole : bool
        False where the frames were cut or turned, so that places on the sensor are not known.
    shadows : tuple of DustShadow
        Those found, deepest first.
    gone : tuple of DustGone
        Those of the earlier check that are not found any more.
    compared_with : str or None
        When the earlier check was done, ISO 8601.
    pupil_scale : float or None
        How much farther from the middle shadows lie than in the earlier check, as a ratio.
    apertures : tuple of DustAperture
        What they would do at each aperture.
    working_f_number : float
        Aperture at which it is judged what shows.
    print_cm, viewing_cm : float
        Print and viewing distance for which it is judged.
    limit : DustLimit or None
        How faint a shadow could be; None where nothing can be told.
    notes : tuple of str
        What limits the answer, whole sentences.
    """

    way: DustWay
    kit: str
    done_at: str | None
    frames: int
    views: int
    paths: tuple[str, ...]
    left_out: tuple[DustLeftOut, ...]
    width_px: int
    height_px: int
    orientation: int
    pitch_um: Measured | None
    f_number: float | None
    cover_air_mm: Measured | None
    cover_measured: bool
    whole: bool
    shadows: tuple[DustShadow, ...]
    gone: tuple[DustGone, ...]
    compared_with: str | None
    pupil_scale: float | None
    apertures: tuple[DustAperture, ...]
    working_f_number: float
    print_cm: float
    viewing_cm: float
    limit: DustLimit | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DustCrop:
    """A piece of the frame around a shadow, contrast raised; beside the result, not in it.

    Attributes
    ----------
    number : int
        Of the shadow.
    png : bytes
        The piece as stored, grey.
    width_px : int
        How many pixels of the frame it is wide.
    black_share, white_share : float
        Light over that of the even surface that is drawn black, and white.
    """

    number: int
    png: bytes
    width_px: int
    black_share: float
    white_share: float
