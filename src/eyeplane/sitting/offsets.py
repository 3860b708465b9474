"""Where the focus lay, frame by frame, with what the file tells of how it was set."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from eyeplane.learn.mixed import Array, spread_of_measured
from eyeplane.records import Exposure, FaceReading, FrameReading, Measured, SittingFrame

FocusPoint = Literal["middle", "aside", ""]

LEAST_ERROR_MM = 0.5  # no offset is known closer: the iris itself is about 1 mm deep, from memory
MIDDLE_SHARE = 0.05  # of the long edge: so close to its middle the focus point is the middle one


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldOffset:
    """The focus of one frame.

    Attributes
    ----------
    number : int
        Place of the frame in the sitting, from 0.
    burst : int
        Its burst.
    offset_mm : Measured
        Focus plane minus near iris, + behind it.
    kit : tuple of str
        Body, its serial number, lens, its serial number; "" where the file does not say.
    f_number : float or None
        Aperture.
    point : {"middle", "aside", ""}
        Where the focus point lay; "" where the file does not say.
    time_s : float or None
        When, in seconds.
    recomposed_mm : float or None
        How far behind the near iris the focus plane would lie, had it been set on this eye in
        the middle of the frame and the camera been turned afterwards; None without the numbers.
    """

    number: int
    burst: int
    offset_mm: Measured
    kit: tuple[str, str, str, str]
    f_number: float | None
    point: FocusPoint
    time_s: float | None
    recomposed_mm: float | None

    @property
    def error_mm(self) -> float:
        """Return the standard deviation of the measuring.

        Returns
        -------
        float
            At least `LEAST_ERROR_MM`.
        """
        return spread_of_measured(self.offset_mm, LEAST_ERROR_MM)


def told_offsets(frames: Sequence[SittingFrame]) -> tuple[ToldOffset, ...]:
    """Return the frames whose focus was told.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of ToldOffset
        Frames of a single sitter only: with several the focus was meant for one of them, and
        nothing tells for which.
    """
    found = []
    for number, frame in enumerate(frames):
        sitters = [
            (face, said)
            for face, said in zip(frame.reading.faces, frame.answer.faces, strict=True)
            if said.sitter
        ]
        if len(sitters) != 1 or frame.burst is None:
            continue
        face, said = sitters[0]
        if said.offset_mm is None:
            continue
        exif = frame.reading.exposure
        found.append(
            ToldOffset(
                number=number,
                burst=frame.burst,
                offset_mm=said.offset_mm,
                kit=kit_of(exif),
                f_number=exif.f_number,
                point=focus_point(frame.reading),
                time_s=exif.captured_s,
                recomposed_mm=recomposed_mm(face, frame.reading),
            )
        )
    return tuple(found)


def most_used_kit(told: Sequence[ToldOffset]) -> tuple[str, str, str, str] | None:
    """Return the kit that most of the frames were shot with.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames whose focus was told.

    Returns
    -------
    tuple of str or None
        None without frames.
    """
    counts = Counter(one.kit for one in told).most_common(1)
    return counts[0][0] if counts else None


def kit_of(exif: Exposure) -> tuple[str, str, str, str]:
    """Return what tells one kit from another.

    Parameters
    ----------
    exif : Exposure
        Of a frame.

    Returns
    -------
    tuple of str
        Body, its serial number, lens, its serial number; "" where the file does not say.
    """
    return exif.body or "", exif.body_serial or "", exif.lens or "", exif.lens_serial or ""


def focus_point(reading: FrameReading) -> FocusPoint:
    """Return whether the focus point was the middle one.

    Parameters
    ----------
    reading : FrameReading
        A frame.

    Returns
    -------
    str
        "middle" or "aside" by EXIF SubjectArea; "" without it, or if it lies outside the frame.

    Notes
    -----
    The area is written for the frame as the sensor lies, so for an upright frame its middle is
    looked for both ways round; which way the camera was turned does not matter there.
    """
    area = reading.exposure.subject_area_px
    if area is None or len(area) < 2 or reading.width_px <= 0:
        return ""
    x, y = area[0], area[1]
    long_edge, short_edge = sorted((reading.width_px, reading.height_px), reverse=True)
    lying = (long_edge, short_edge)
    shapes = {lying, (reading.width_px, reading.height_px)}
    inside = [shape for shape in shapes if 0 <= x <= shape[0] and 0 <= y <= shape[1]]
    if not inside or (x, y) == (0, 0):
        return ""
    off_px = min(math.hypot(x - width / 2, y - height / 2) for width, height in inside)
    return "middle" if off_px <= MIDDLE_SHARE * long_edge else "aside"


def recomposed_mm(face: FaceReading, reading: FrameReading) -> float | None:
    """Return where the focus plane lies after focusing in the middle and turning the camera.

    Parameters
    ----------
    face : FaceReading
        Its near eye was focused on.
    reading : FrameReading
        For pixel pitch and focal length.

    Returns
    -------
    float or None
        Millimetres behind the near iris; None if focal length, pitch or distance is not known.

    Notes
    -----
    The eye at the angle θ from the axis and the distance s from the lens was s away along the
    axis when it was focused on; afterwards it is s cos θ, so the plane lies s (1 − cos θ) behind
    it. The distance that the iris tells is the one along the axis, d = s cos θ, so this is
    d (1 / cos θ − 1). The camera is taken to turn about the middle of the lens.
    """
    focal, pitch, distance = (
        reading.exposure.focal_length_mm,
        reading.pitch_um,
        face.face.distance_mm,
    )
    if not focal or pitch is None or distance is None or distance.value <= focal:
        return None
    eye_x, eye_y = _near_iris_px(face)
    off_px = math.hypot(eye_x - reading.width_px / 2, eye_y - reading.height_px / 2)
    image_mm = focal * distance.value / (distance.value - focal)
    tangent = off_px * pitch.value / 1000.0 / image_mm
    return distance.value * (math.hypot(1.0, tangent) - 1.0)


def values_and_errors(told: Sequence[ToldOffset]) -> tuple[Array, Array]:
    """Return offsets and their measuring errors as arrays.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames.

    Returns
    -------
    tuple of ndarray
        Both in mm.
    """
    return (
        np.array([one.offset_mm.value for one in told], dtype=float),
        np.array([one.error_mm for one in told], dtype=float),
    )


def _near_iris_px(face: FaceReading) -> tuple[float, float]:
    left, right = (eye.iris_px for eye in face.face.eyes)
    if face.face.near is None:
        return (left[0] + right[0]) / 2, (left[1] + right[1]) / 2
    return left if face.face.near == "left" else right
