"""Motion of one face: its line, and whose it was."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from eyeplane.diagnose.lines import Motion, line_of, places_of
from eyeplane.diagnose.whose import CALLED, shake_over_sitter
from eyeplane.records import Exposure, FaceReading, FrameReading, counting_eye

__all__ = [
    "Motion",
    "Whose",
    "contradicts",
    "flash_alone",
    "line_of",
    "motion_of",
    "plausible",
    "shake_rate_deg_per_s",
    "whose",
    "whose_log_odds",
]

Whose = Literal["shake", "sitter", "motion"]

SAME_ANGLE_DEG = 25.0  # lines this close in direction are one motion (angle error 2.7 deg median,
SAME_RATIO = 1.6  # length error .05 median, .16 at 90 %: measuring.md; wide, since depth differs)

# What is plausible, as a sanity check on the image's evidence.
# 20 deg/s: 5.5 times the 3.6 deg/s of a 63 um blur at the reciprocal rule (AS ISO 20954-1:2019).
SHAKE_LIMIT_DEG_PER_S = 20.0
SITTER_LIMIT_MM_PER_S = 2235.0  # 5 mph, a brisk walk across: NAVEDTRA 14209 (1993), table 4-2
SHORT_TIME_S = 1 / 1000  # at this and shorter, hand tremor of 6 to 12 Hz does not show
# With flash, settings for a scene this bright leave a room black: interiors are EV 5 to 8
# (ANSI PH2.7-1986), three stops under.
DARK_AMBIENT_EV = 11.0


def motion_of(reading: FaceReading) -> Motion | None:
    """Return the motion seen on a face.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    Motion or None
        From the whole face where it shows the line too, or shows another one more clearly; else
        from the eye. None where there is no line, or where eye and face contradict each other.
    """
    eye = line_of(counting_eye(reading).blur)
    face = line_of(reading.together)
    if eye is None:
        undecided = counting_eye(reading).blur.kind == "cannot tell"
        return face if undecided else None
    if face is None:
        return None if reading.together.kind in ("disc", "none") else eye
    clearer = reading.together.line_gain >= counting_eye(reading).blur.line_gain
    return face if clearer or _same(face, eye) else eye


def _same(first: Motion, second: Motion) -> bool:
    turn = abs(first.angle_deg - second.angle_deg) % 180.0
    sizes = (max(first.length_px.value, 0.1), max(second.length_px.value, 0.1))
    return min(turn, 180.0 - turn) <= SAME_ANGLE_DEG and max(sizes) <= SAME_RATIO * min(sizes)


def contradicts(reading: FaceReading) -> bool:
    """Return whether the eye shows a line and the face as a whole does not.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    bool
        True: focus or motion cannot be told.
    """
    return counting_eye(reading).blur.kind == "line" and motion_of(reading) is None


def whose(
    motion: Motion, face: FaceReading, reading: FrameReading, others: Sequence[FaceReading]
) -> Whose:
    """Return whose motion it was: yours, the sitter's, or not to be told.

    Parameters
    ----------
    motion : Motion
        Of the face in question.
    face : FaceReading
        That face.
    reading : FrameReading
        Its background and EXIF are used, and hair and clothes of its people.
    others : sequence of FaceReading
        The other sitters.

    Returns
    -------
    str
        "shake" or "sitter" if the odds are `eyeplane.diagnose.whose.CALLED` or better and EXIF
        does not make it improbable; else "motion".
    """
    odds = whose_log_odds(motion, face, reading, others)
    verdict: Whose = "motion"
    if abs(odds) >= CALLED:
        verdict = "shake" if odds > 0 else "sitter"
    return verdict if plausible(verdict, motion, face, reading) else "motion"


def whose_log_odds(
    motion: Motion, face: FaceReading, reading: FrameReading, others: Sequence[FaceReading]
) -> float:
    """Return the odds that a motion was the camera's and not the sitter's, by the picture alone.

    Parameters
    ----------
    motion : Motion
        Of the face in question.
    face : FaceReading
        That face.
    reading : FrameReading
        For its background.
    others : sequence of FaceReading
        The other sitters.

    Returns
    -------
    float
        Natural logarithm, even odds beforehand: + shake, - sitter, 0 where nothing tells.
    """
    people = (face, *(other for other in others if other is not face))
    return shake_over_sitter(motion, 0, places_of(replace(reading, faces=people)))


def plausible(whose_is: Whose, motion: Motion, face: FaceReading, reading: FrameReading) -> bool:
    """Return whether EXIF allows what the image says about a motion.

    Parameters
    ----------
    whose_is : str
        What the image says.
    motion : Motion
        The line.
    face : FaceReading
        The face it was seen on, for its scale.
    reading : FrameReading
        For shutter time, flash, focal length and pixel pitch.

    Returns
    -------
    bool
        False for shake at 1/1000 s or shorter or faster than `SHAKE_LIMIT_DEG_PER_S`, for a
        sitter faster than `SITTER_LIMIT_MM_PER_S`, and for either when flash did all the
        lighting. True where EXIF does not say.
    """
    if whose_is == "motion":
        return True
    if flash_alone(reading.exposure):
        return False
    time_s = reading.exposure.exposure_time_s
    if not time_s:
        return True
    if whose_is == "sitter":
        return motion.length_px.low * face.face.mm_per_px.value / time_s <= SITTER_LIMIT_MM_PER_S
    return time_s > SHORT_TIME_S * 1.01 and _hand_could(motion, reading, time_s)


def _hand_could(motion: Motion, reading: FrameReading, time_s: float) -> bool:
    """Return whether a hand turns the camera this fast; True where EXIF does not say."""
    exif = reading.exposure
    if reading.pitch_um is None or not exif.focal_length_mm:
        return True
    length_mm = motion.length_px.low * reading.pitch_um.value / 1000.0
    rate = shake_rate_deg_per_s(
        length_mm=length_mm, focal_length_mm=exif.focal_length_mm, time_s=time_s
    )
    return rate <= SHAKE_LIMIT_DEG_PER_S


def shake_rate_deg_per_s(*, length_mm: float, focal_length_mm: float, time_s: float) -> float:
    """Return how fast the camera turned for a line of this length.

    Parameters
    ----------
    length_mm : float
        Length on the sensor.
    focal_length_mm, time_s : float
        Focal length and exposure time, > 0.

    Returns
    -------
    float
        Degrees a second, for a far subject.
    """
    return math.degrees(length_mm / (focal_length_mm * time_s))


def flash_alone(exif: Exposure) -> bool:
    """Return whether flash did all the lighting, judged by the settings.

    Parameters
    ----------
    exif : Exposure
        Flash, aperture, time, sensitivity.

    Returns
    -------
    bool
        True if it fired and the settings ask for a scene of `DARK_AMBIENT_EV` or brighter.
    """
    if not exif.flash_fired or not (exif.f_number and exif.exposure_time_s and exif.iso):
        return False
    ev = math.log2(exif.f_number**2 / exif.exposure_time_s) - math.log2(exif.iso / 100.0)
    return ev >= DARK_AMBIENT_EV
