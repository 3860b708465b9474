"""Where a sitter looks, as far as eye corners and irises tell it. Points are (x, y), y down."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.people import EYE_DISTANCE_MM, HEAD_DEPTHS
from eyeplane.records import Face

GLOBE_MM = 10.5  # mm from the iris to the eye's centre of turning; from memory
CORNER_ASIDE_MM = 13.0  # outer corner from the middle of the eye, ± 1.5; canonical face mesh
LENS_SD = 0.09  # sine: sitters look within 5 degrees of the lens; common practice, no source
# Spread of what the corners tell, in sines. Of both corners the half sum cancels how wide the eyes
# are; what stays is 1.5 mm by the mesh's points and by how deep corners lie.
BOTH_SD = 0.15
ONE_SD = 0.22
AVERTED_SDS = 2.2  # beyond it nobody looks into the lens
LARGEST = 0.6  # eyes seldom turn beyond 37 degrees from the lens in a portrait, common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Gaze:
    """The direction of both eyes' lines of sight, by its parts across the lens axis.

    Attributes
    ----------
    x, y : float
        Sines: 0, 0 looks into the lens, + to the picture's right and down.
    sd : float
        Standard deviation of each.
    across : tuple of float
        Unit vector from the eye on the head's picture-left side to the other, as far as it lies
        in the picture: shortened for a turned head.
    """

    x: float
    y: float
    sd: float
    across: tuple[float, float]


def gaze_of(face: Face) -> Gaze:
    """Return where a sitter looks.

    Parameters
    ----------
    face : Face
        With its pose, irises and, where seen, the outer corners of its eyes.

    Returns
    -------
    Gaze
        Into the lens unless the corners say otherwise; without any corner the spread holds both
        the lens and the direction of the head.

    Notes
    -----
    The eye turns about a point 10.5 mm behind its iris. The outer corner lies 13 mm aside of that
    point and 4.5 mm before it on the head, which the pose turns into the picture; what is then left
    between iris and centre of turning, over 10.5 mm, is the sine of the gaze. It is weighed against
    the expectation that a sitter looks into the lens, or stands alone where the two exclude each
    other.
    """
    axes = head_axes(
        yaw_deg=face.yaw_deg.value, pitch_deg=face.pitch_deg.value, roll_deg=face.roll_deg.value
    )
    across = (float(axes[0, 0]), float(axes[1, 0]))
    told = _told_by_corners(face, axes)
    if not told:
        aside = float(np.hypot(axes[0, 2], axes[1, 2]))
        return Gaze(x=0.0, y=0.0, sd=math.hypot(LENS_SD, aside / 2), across=across)
    sd = BOTH_SD if len(told) == 2 else ONE_SD
    sine = np.mean(told, axis=0)
    size = float(np.hypot(*sine))
    if size > AVERTED_SDS * math.hypot(sd, LENS_SD):
        sine = sine * min(1.0, LARGEST / size)
        if len(told) == 1:  # one corner alone may be the mesh's error: between it and the lens
            sine, sd = sine / 2, math.hypot(sd, min(size, LARGEST) / 2)
    else:
        share = LENS_SD**2 / (LENS_SD**2 + sd**2)
        sine, sd = sine * share, sd * math.sqrt(share)
    return Gaze(x=float(sine[0]), y=float(sine[1]), sd=sd, across=across)


def head_axes(*, yaw_deg: float, pitch_deg: float, roll_deg: float) -> NDArray[np.float64]:
    """Return the head's own axes as they lie in the picture.

    Parameters
    ----------
    yaw_deg, pitch_deg, roll_deg : float
        As in `eyeplane.records.Face`.

    Returns
    -------
    ndarray of float64, shape (3, 3)
        Columns: the head's x (to the picture's right on a head that faces the camera), its y (up)
        and the direction in which it faces; rows: x right, y down, z away from the camera.
    """
    y, p, r = (math.radians(v) for v in (yaw_deg, -pitch_deg, -roll_deg))
    yaw = np.array([[math.cos(y), 0, math.sin(y)], [0, 1, 0], [-math.sin(y), 0, math.cos(y)]])
    pitch = np.array([[1, 0, 0], [0, math.cos(p), -math.sin(p)], [0, math.sin(p), math.cos(p)]])
    roll = np.array([[math.cos(r), -math.sin(r), 0], [math.sin(r), math.cos(r), 0], [0, 0, 1]])
    turned: NDArray[np.float64] = np.diag([1.0, -1.0, -1.0]) @ roll @ pitch @ yaw
    return turned


def _told_by_corners(face: Face, axes: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return the sines that each corner in sight tells."""
    at = {mark.name: np.array(mark.at_px) for mark in face.landmarks}
    irises = sorted(
        (np.array(eye.iris_px) for eye in face.eyes), key=lambda p: float(p @ axes[:2, 0])
    )
    near_left = face.yaw_deg.value >= 0.0
    before_mm = GLOBE_MM - HEAD_DEPTHS["outer eye corner"].mean_mm
    size = face.mm_per_px.value * float(np.hypot(*(irises[1] - irises[0])))
    size /= EYE_DISTANCE_MM.mean_mm * max(0.3, float(np.hypot(axes[0, 0], axes[1, 0])))
    size = min(1.2, max(0.7, size))
    told = []
    for name, left in (("near corner", near_left), ("far corner", not near_left)):
        if name in at:
            aside = -CORNER_ASIDE_MM if left else CORNER_ASIDE_MM
            corner_mm = axes @ np.array([aside * size, 0.0, before_mm])
            iris = irises[0] if left else irises[1]
            told.append(((iris - at[name]) * face.mm_per_px.value + corner_mm[:2]) / GLOBE_MM)
    return told
