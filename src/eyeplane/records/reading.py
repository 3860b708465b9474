"""What was measured in one frame: numbers from pixels, no judgement yet. This is what is stored."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.exposure import Exposure
from eyeplane.records.face import Face, Side
from eyeplane.records.measured import Measured

BlurKind = Literal["disc", "line", "none", "cannot tell"]
FrameStatus = Literal["measured", "nobody", "unreadable"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Blur:
    """The point spread at one place, beyond what pixel and demosaicking always do.

    Attributes
    ----------
    kind : {"disc", "line", "none", "cannot tell"}
        "none": no blur larger than the interval's upper end.
    size_px : Measured or None
        Diameter of the disc or length of the line, by `kind`; for "none" a small disc whose
        interval reaches down to 0; for "cannot tell" the size of the disc of equal blur, or None
        where there is not enough texture to say anything.
    angle_deg : float or None
        Direction of the line, counter-clockwise from +x, in [0, 180); None unless a line.
    disc_px : Measured or None
        Best disc, whatever the kind.
    line_px : Measured or None
        Best line, whatever the kind.
    line_angle_deg : float or None
        Its direction.
    line_gain : float
        Log-likelihood (natural) of the best line minus that of the best disc.
    sharp_gain : float
        Log-likelihood (natural) of no blur minus that of the best blur, <= 0.
    disc_beside_px : Measured or None
        Of a line: the disc that blurs besides; None where none can be told.
    """

    kind: BlurKind
    size_px: Measured | None
    angle_deg: float | None
    disc_px: Measured | None
    line_px: Measured | None
    line_angle_deg: float | None
    line_gain: float
    sharp_gain: float
    disc_beside_px: Measured | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourBlur:
    """How differently the colours are blurred at one place: the lens's longitudinal colour.

    Attributes
    ----------
    red_px2, blue_px2 : Measured
        Squared disc diameter of red and of blue, each less that of green; + more blurred.
    """

    red_px2: Measured
    blue_px2: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Ghost:
    """A core frozen by flash, with the ghost that steady light drew while something moved.

    Attributes
    ----------
    core_share : Measured
        Share of the light that drew the core, 0..1.
    length_px : Measured
        Length of the ghost.
    angle_deg : float
        Its direction, counter-clockwise from +x, [0, 180).
    gain : float
        Log-likelihood (natural) over the best single blur.
    """

    core_share: Measured
    length_px: Measured
    angle_deg: float
    gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Catchlight:
    """One highlight on a cornea.

    Attributes
    ----------
    at_px : tuple of float
        (x, y) of its middle, upright frame.
    width_px, height_px : Measured
        Its extent along x and y with the blur of the eye taken out; low is 0 where the blur hides
        its size.
    share : float
        Of the light of all highlights of this eye, 0..1; 1 for a single one.
    """

    at_px: tuple[float, float]
    width_px: Measured
    height_px: Measured
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Veil:
    """How dark and how clear a frame is, zone by zone, in rows from the top left.

    The zones lie as the frame is stored, which is how the sensor lay: a smudge on the front element
    keeps its place there when the camera is turned upright.

    Attributes
    ----------
    columns, rows : int
        Number of zones across and down the stored frame.
    darkest : tuple of float
        Linear light of the darkest hundredth of each zone, white = 1.
    coarse, fine : tuple of float
        Contrast (standard deviation over mean) of coarse and of fine detail in each zone.
    level : tuple of float
        Mean linear light of each zone, white = 1.
    orientation : int
        EXIF Orientation: how the stored frame is turned to stand upright.
    """

    columns: int
    rows: int
    darkest: tuple[float, ...]
    coarse: tuple[float, ...]
    fine: tuple[float, ...]
    level: tuple[float, ...] = ()
    orientation: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeReading:
    """Blur at a named place.

    Attributes
    ----------
    name : str
        A landmark's name, "hair", "clothes", "glasses", or "background".
    at_px : tuple of float
        (x, y), upright frame.
    depth_mm, depth_sd_mm : float or None
        Relative to the near iris, + farther; None where unknown (background).
    blur : Blur
        What was measured there.
    colour : ColourBlur or None
        None where the colours tell nothing.
    """

    name: str
    at_px: tuple[float, float]
    depth_mm: float | None
    depth_sd_mm: float | None
    blur: Blur
    colour: ColourBlur | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeReading:
    """One eye with its blur.

    Attributes
    ----------
    side : {"left", "right"}
        As seen in the picture.
    blur : Blur
        At iris, lashes and lids of this eye.
    colour : ColourBlur or None
        None where the colours tell nothing.
    catchlights : tuple of Catchlight
        Highlights on the cornea, brightest first.
    """

    side: Side
    blur: Blur
    colour: ColourBlur | None = None
    catchlights: tuple[Catchlight, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeView:
    """The near eye cut out of the frame, for showing.

    Attributes
    ----------
    jpeg : bytes
        A small JPEG, sRGB, upright.
    mm_per_px : float
        Millimetres of face per pixel of it.
    """

    jpeg: bytes
    mm_per_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceReading:
    """One face with all that was measured on it.

    Attributes
    ----------
    face : Face
        Where it is.
    eyes : tuple of EyeReading
        Left then right as seen in the picture.
    probes : tuple of ProbeReading
        Blur at other places of this head, depths known.
    together : Blur
        One point spread fitted to the whole face: for motion, which is alike everywhere.
    noise_contrast : Measured or None
        Standard deviation of the noise over the mean, per pixel, linear light, at this face.
    view : EyeView or None
        The near eye, for showing.
    ghost : Ghost or None
        None where nothing was frozen by flash and smeared besides.
    level : float or None
        Median linear luma at the eyes, white = 1.
    glasses : bool or None
        Whether the sitter wears glasses; None where it cannot be told.
    """

    face: Face
    eyes: tuple[EyeReading, EyeReading]
    probes: tuple[ProbeReading, ...]
    together: Blur
    noise_contrast: Measured | None
    view: EyeView | None
    ghost: Ghost | None = None
    level: float | None = None
    glasses: bool | None = None


def counting_eye(reading: FaceReading) -> EyeReading:
    """Return the eye whose sharpness counts: the near one, or the sharper if neither is nearer.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    EyeReading
        If `face.near` is None, the eye of smaller blur; an eye without a size loses, a closed eye
        loses to an open one.
    """
    left, right = reading.eyes
    if reading.face.near is not None:
        return left if left.side == reading.face.near else right
    shut = {eye.side: eye.open is False for eye in reading.face.eyes}

    def badness(eye: EyeReading) -> tuple[bool, bool, float]:
        size = eye.blur.size_px
        return shut.get(eye.side, False), size is None, 0.0 if size is None else size.value

    return min((left, right), key=badness)


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotReading:
    """Blur at a place the photographer asked for.

    Attributes
    ----------
    at_px : tuple of float
        (x, y), upright frame.
    blur : Blur
        What was measured there.
    """

    at_px: tuple[float, float]
    blur: Blur


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameReading:
    """All that was measured in one frame.

    Attributes
    ----------
    path : str
        Where the frame lay when it was measured.
    sha256 : str
        Of the file's bytes; empty if it could not be read at all.
    size_bytes, mtime_ns : int
        Of the file.
    status : {"measured", "nobody", "unreadable"}
        "nobody": readable, no face found.
    reason : str
        In plain words, why a frame is unreadable; else empty.
    width_px, height_px : int
        Of the upright frame; 0 if unreadable.
    exposure : Exposure
        EXIF.
    pitch_um : Measured or None
        Distance of pixel centres on the sensor, for the pixels as counted in `width_px`.
    pitch_source : str
        "focal plane resolution", "35 mm equivalent", "kit table" or "" (cannot tell).
    faces : tuple of FaceReading
        Largest first.
    background : tuple of ProbeReading
        Places away from faces that have texture, for telling shake from a moving sitter.
    spots : tuple of SpotReading
        In the order asked for.
    veil : Veil or None
        How dark and clear the frame is; None if it was not read.
    """

    path: str
    sha256: str
    size_bytes: int
    mtime_ns: int
    status: FrameStatus
    reason: str
    width_px: int
    height_px: int
    exposure: Exposure
    pitch_um: Measured | None
    pitch_source: str
    faces: tuple[FaceReading, ...]
    background: tuple[ProbeReading, ...]
    spots: tuple[SpotReading, ...]
    veil: Veil | None = None
