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
    """

    kind: BlurKind
    size_px: Measured | None
    angle_deg: float | None
    disc_px: Measured | None
    line_px: Measured | None
    line_angle_deg: float | None
    line_gain: float
    sharp_gain: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeReading:
    """Blur at a named place.

    Attributes
    ----------
    name : str
        A landmark's name, or "background".
    at_px : tuple of float
        (x, y), upright frame.
    depth_mm, depth_sd_mm : float or None
        Relative to the near iris, + farther; None where unknown (background).
    blur : Blur
        What was measured there.
    """

    name: str
    at_px: tuple[float, float]
    depth_mm: float | None
    depth_sd_mm: float | None
    blur: Blur


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeReading:
    """One eye with its blur.

    Attributes
    ----------
    side : {"left", "right"}
        As seen in the picture.
    blur : Blur
        At iris, lashes and lids of this eye.
    """

    side: Side
    blur: Blur


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
    """

    face: Face
    eyes: tuple[EyeReading, EyeReading]
    probes: tuple[ProbeReading, ...]
    together: Blur
    noise_contrast: Measured | None
    view: EyeView | None


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
