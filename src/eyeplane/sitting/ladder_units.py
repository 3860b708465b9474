"""What blur a print takes, in the frame and in the world, and the reciprocal rule beside it."""

from dataclasses import dataclass

from eyeplane.diagnose.motion import shake_rate_deg_per_s
from eyeplane.errors import InputError
from eyeplane.optics import Spreads, blur_limits, px_per_deg
from eyeplane.people.hands import RULE_DIAGONAL_MM, reciprocal_rule_s
from eyeplane.records import FrameReading
from eyeplane.sitting.ladder_asked import LadderAsked


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What blur the print takes beside nothing else.

    Attributes
    ----------
    disc_px, line_px : float
        Largest disc, longest line; 0 where the pixels alone do not hold the print.
    """

    disc_px: float
    line_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """What the longest line that the print takes is in the world.

    Attributes
    ----------
    limit_deg : float or None
        As a turn of the camera.
    limit_mm : float or None
        At the sitter.
    """

    limit_deg: float | None
    limit_mm: float | None


def print_limits(reading: FrameReading, *, print_cm: float, viewing_cm: float) -> Limits:
    """Return what blur a print of a frame takes.

    Parameters
    ----------
    reading : FrameReading
        For its pixels.
    print_cm : float
        Longest edge of the print.
    viewing_cm : float
        From where it is looked at.

    Returns
    -------
    Limits
        Without grain, glass and diffraction: motion alone is asked for, and these differ from
        step to step of a ladder with aperture and ISO.
    """
    edge = max(reading.width_px, reading.height_px)
    scale = px_per_deg(long_edge_px=edge, print_cm=print_cm, viewing_cm=viewing_cm)
    found = blur_limits(Spreads(), px_per_deg=[scale])
    return Limits(disc_px=float(found.disc_px[0]), line_px=float(found.line_px[0]))


def limits_of(reading: FrameReading, asked: LadderAsked, *, where: str) -> Limits:
    """Return what blur the deciding print takes.

    Parameters
    ----------
    reading : FrameReading
        One of the frames, for its pixels.
    asked : LadderAsked
        For print and viewer.
    where : str
        The ladder's folder.

    Returns
    -------
    Limits
        Above zero.

    Raises
    ------
    InputError
        If these pixels do not hold the print even at rest.
    """
    limits = print_limits(reading, print_cm=asked.print_cm, viewing_cm=asked.viewing_cm)
    if limits.line_px <= 0:
        edge = max(reading.width_px, reading.height_px)
        raise InputError(
            f"frames of {edge} px do not hold {asked.print_cm:g} cm seen from "
            f"{asked.viewing_cm:g} cm even when nothing moves",
            where=where,
            hint="Ask for a smaller print with --print-cm, or for a viewer farther away",
        )
    return limits


def limit_deg(reading: FrameReading, limits: Limits) -> float | None:
    """Return the turn of the camera that draws the longest line the print takes.

    Parameters
    ----------
    reading : FrameReading
        For focal length and pixels.
    limits : Limits
        For the line.

    Returns
    -------
    float or None
        Degrees; None where the file does not tell focal length or pixel pitch.
    """
    focal, pitch = reading.exposure.focal_length_mm, reading.pitch_um
    if not focal or pitch is None:
        return None
    length_mm = limits.line_px * pitch.value / 1000.0
    return shake_rate_deg_per_s(length_mm=length_mm, focal_length_mm=focal, time_s=1.0)


def rule_s(reading: FrameReading) -> float | None:
    """Return the reciprocal rule's time for a frame.

    Parameters
    ----------
    reading : FrameReading
        For focal length and sensor.

    Returns
    -------
    float or None
        By the focal length of equal view on 36 × 24 mm; None where the file does not tell it.
    """
    exif, pitch = reading.exposure, reading.pitch_um
    equal = exif.focal_length_35mm_mm
    if not equal and exif.focal_length_mm and pitch is not None:
        diagonal = (reading.width_px**2 + reading.height_px**2) ** 0.5 * pitch.value / 1000.0
        equal = exif.focal_length_mm * RULE_DIAGONAL_MM / diagonal
    equal = equal or exif.focal_length_mm
    return reciprocal_rule_s(focal_length_mm=equal) if equal else None
