"""Head pose: the standard head laid over the mesh's points by perspective.

The mesh's own depths are not used: at 25° they read 20–21°. Its points in the picture read 23–24°,
so what is left is a small, known shrinking towards the frontal view (`YAW_GAIN`).
Camera axes: x right, y down, z away from the camera. Head axes: see `head`.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from eyeplane.faces.head import EYE_MM, GLOBE_RADIUS_MM, POSE_POINTS
from eyeplane.records import Measured

if TYPE_CHECKING:
    from numpy.typing import NDArray

YAW_GAIN = 1.05  # true yaw over yaw read from the mesh's points; 0.96–1.10 on four rendered builds
YAW_GAIN_SD = 0.05  # spread of that gain from head to head
ANGLE_SD_DEG = 1.5  # asymmetry of faces and points of the mesh, frontal view
PITCH_SD_DEG = 3.5  # faces differ in where their features sit, so zero pitch is a convention
CERTAIN_SDS = 2.0  # yaw must be this many standard deviations from 0 to name a near eye
NINETY = 1.645  # standard deviations on each side of a 90 % interval, normal distribution
_MOST_FACES = 40.0  # focal length in faces beyond which perspective no longer shows
_GLOBES_MM = np.array(
    [[side * EYE_MM[0], EYE_MM[1], EYE_MM[2] - GLOBE_RADIUS_MM] for side in (1, -1)]
)
_FACE = np.diag([1.0, -1.0, -1.0])  # head axes to camera axes for a head that faces the camera


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """How a head is turned.

    Attributes
    ----------
    rotation : ndarray of float64, shape (3, 3)
        From head axes to camera axes, corrected.
    yaw_deg, pitch_deg, roll_deg : float
        As in `eyeplane.records.Face`, corrected.
    yaw_sd_deg, pitch_sd_deg, roll_sd_deg : float
        Standard deviations.
    mm_per_px : float
        Scale at the eyes if this head had the standard head's size.
    misfit : float
        Root mean square distance of mesh and standard head over the distance of the eyes.
    globes_px : ndarray of float64, shape (2, 2)
        Where the eyes' centres of turning lie in the picture, left then right.
    """

    rotation: "NDArray[np.float64]"
    yaw_deg: float
    pitch_deg: float
    roll_deg: float
    yaw_sd_deg: float
    pitch_sd_deg: float
    roll_sd_deg: float
    mm_per_px: float
    misfit: float
    globes_px: "NDArray[np.float64]"


def angles_deg(rotation: "NDArray[np.float64]") -> tuple[float, float, float]:
    """Return yaw, pitch and roll of a rotation from head to camera axes.

    Parameters
    ----------
    rotation : ndarray of float64, shape (3, 3)
        Orthonormal.

    Returns
    -------
    tuple of float
        Yaw + when the picture's left side is nearer, pitch + when the chin is nearer, roll +
        clockwise. The head turns by yaw about its own long axis first, then by pitch, then by roll.
    """
    m = _FACE @ rotation
    yaw = math.degrees(math.atan2(-m[2, 0], m[2, 2]))
    pitch = -math.degrees(math.asin(max(-1.0, min(1.0, m[2, 1]))))
    roll = math.degrees(math.atan2(m[0, 1], m[1, 1]))
    return yaw, pitch, roll


def rotation_of(*, yaw_deg: float, pitch_deg: float, roll_deg: float) -> "NDArray[np.float64]":
    """Return the rotation from head to camera axes; the inverse of `angles_deg`.

    Parameters
    ----------
    yaw_deg, pitch_deg, roll_deg : float
        As `angles_deg` returns them, pitch within ±90°.

    Returns
    -------
    ndarray of float64, shape (3, 3)
        Orthonormal.
    """
    y, p, r = (math.radians(v) for v in (yaw_deg, -pitch_deg, -roll_deg))
    about_y = np.array([[math.cos(y), 0, math.sin(y)], [0, 1, 0], [-math.sin(y), 0, math.cos(y)]])
    about_x = np.array([[1, 0, 0], [0, math.cos(p), -math.sin(p)], [0, math.sin(p), math.cos(p)]])
    about_z = np.array([[math.cos(r), -math.sin(r), 0], [math.sin(r), math.cos(r), 0], [0, 0, 1]])
    turned: NDArray[np.float64] = _FACE @ about_z @ about_x @ about_y
    return turned


def fit_pose(
    points_px: "NDArray[np.float64]", *, focal_px: float, middle_px: tuple[float, float]
) -> Pose:
    """Return the pose of a head from its mesh.

    Parameters
    ----------
    points_px : ndarray of float64, shape (468, 2)
        The mesh, (x, y) in the upright frame.
    focal_px : float
        Focal length over pixel pitch; a guess does where it is unknown, since faces are
        shallow against their distance.
    middle_px : tuple of float
        Where the lens axis meets the frame.

    Returns
    -------
    Pose
        With yaw corrected by `YAW_GAIN`.

    Notes
    -----
    Perspective-n-point (SQPnP, Terzakis and Lourakis 2020), refined by Levenberg-Marquardt.
    """
    indices, head = _pose_points()
    seen = points_px[indices]
    centre = seen.mean(axis=0)
    size_px = max(1e-3, float(np.ptp(seen, axis=0).max()))
    near_focal = min(focal_px, _MOST_FACES * size_px)
    camera = np.array([[near_focal, 0, centre[0]], [0, near_focal, centre[1]], [0, 0, 1.0]])
    _, turn, shift = cv2.solvePnP(head, seen, camera, None, flags=cv2.SOLVEPNP_SQPNP)
    turn, shift = cv2.solvePnPRefineLM(head, seen, camera, None, turn, shift)
    rotation = _towards((centre - middle_px) / focal_px) @ cv2.Rodrigues(turn)[0]
    drawn = np.asarray(
        cv2.projectPoints(np.vstack([head, _GLOBES_MM]), turn, shift, camera, None)[0], np.float64
    ).reshape(-1, 2)
    yaw, pitch, roll = angles_deg(rotation)
    mm_per_px = float(shift.ravel()[2]) / near_focal
    rms_px = float(np.sqrt(np.mean(np.sum((drawn[:-2] - seen) ** 2, axis=1))))
    corrected = max(-90.0, min(90.0, yaw * YAW_GAIN)) if abs(yaw) <= 90.0 else yaw
    slack = 1.0 + 20.0 * max(0.0, rms_px * mm_per_px / 63.0 - 0.05)  # an odd face is less certain
    return Pose(
        rotation=rotation_of(yaw_deg=corrected, pitch_deg=pitch, roll_deg=roll),
        yaw_deg=corrected,
        pitch_deg=pitch,
        roll_deg=roll,
        yaw_sd_deg=slack * math.hypot(ANGLE_SD_DEG, YAW_GAIN_SD * yaw),
        pitch_sd_deg=slack * PITCH_SD_DEG,
        roll_sd_deg=slack * ANGLE_SD_DEG,
        mm_per_px=mm_per_px,
        misfit=rms_px * mm_per_px / 63.0,
        globes_px=drawn[-2:],
    )


def _towards(aside: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Return the rotation that takes the lens axis to the line of sight through a place.

    A head off the axis is seen from its side; its pose is wanted against the axis, along which
    depths are counted.
    """
    length = float(np.hypot(aside[0], aside[1]))
    if length <= 0.0:
        return np.eye(3)
    axis = np.array([-aside[1], aside[0], 0.0]) / length
    return np.asarray(cv2.Rodrigues(axis * math.atan(length))[0], np.float64)


def _pose_points() -> tuple[list[int], "NDArray[np.float64]"]:
    """Return mesh indices and head positions of both sides."""
    rows = [(i, (x, y, z)) for i, _, x, y, z in POSE_POINTS]
    rows += [(j, (-x, y, z)) for i, j, x, y, z in POSE_POINTS if j != i]
    return [i for i, _ in rows], np.array([place for _, place in rows])


def interval(value: float, sd: float) -> Measured:
    """Return a number with the 90 % interval of a normal spread.

    Parameters
    ----------
    value : float
        The number.
    sd : float
        Its standard deviation.

    Returns
    -------
    Measured
        `value` ± 1.645 `sd`.
    """
    return Measured(value=value, low=value - NINETY * sd, high=value + NINETY * sd)
