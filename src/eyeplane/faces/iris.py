"""The visible iris of one eye: the net's circle, then our own fit to the edge of the iris.

Points are (x, y) in the upright frame; arrays are [y, x].
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.limbus import Expected, look_for_limbus
from eyeplane.faces.mesh import LEFT_EYE, RIGHT_EYE, Mesh
from eyeplane.faces.nets import IRIS, net
from eyeplane.faces.view import FrameView, Square, carry
from eyeplane.people import VISIBLE_IRIS_MM

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.faces.pose import Pose
    from eyeplane.records import Side

SIDE_PX = 64  # the net's input
MARGIN = 2.3  # the net was made for squares this much wider than the eye
_LOWER_LID = slice(0, 9)  # of the net's contour: corner to corner
_UPPER_LID = slice(9, 16)


@dataclass(frozen=True, slots=True, kw_only=True)
class NetEye:
    """One eye as the net sees it, in frame pixels.

    Attributes
    ----------
    middle_px : tuple of float
        Middle of the iris.
    diameter_px : float
        Of the iris, the larger of its two axes.
    lids_px : ndarray of float64, shape (16, 2)
        Lower lid from corner to corner (9 points), then upper lid (7 points).
    """

    middle_px: tuple[float, float]
    diameter_px: float
    lids_px: "NDArray[np.float64]"


def see_iris(view: FrameView, mesh: Mesh, side: "Side") -> NetEye:
    """Return one eye as the iris net sees it.

    Parameters
    ----------
    view : FrameView
        The frame.
    mesh : Mesh
        The face.
    side : {"left", "right"}
        Which eye, as seen in the picture of an upright head.

    Returns
    -------
    NetEye
        In frame pixels.
    """
    corners = mesh.points_px[list(LEFT_EYE if side == "left" else RIGHT_EYE)]
    middle = corners.mean(axis=0)
    square = Square(
        x_px=float(middle[0]),
        y_px=float(middle[1]),
        side_px=max(4.0, float(np.linalg.norm(corners[1] - corners[0])) * MARGIN),
        turn_rad=mesh.turn_rad,
    )
    mirrored = side == "left"  # the net was made for the eye on the picture's right
    crop = view.crop(square, SIDE_PX, mirrored=mirrored)
    first, second = net(IRIS).run(crop.astype(np.float32) / 255.0)
    contour, iris = (first, second) if first.size > second.size else (second, first)
    matrix = square.matrix(SIDE_PX, mirrored=mirrored)
    ring = carry(matrix, iris.reshape(5, 3)[:, :2].astype(np.float64))
    across = float(np.linalg.norm(ring[1] - ring[3]))
    upright = float(np.linalg.norm(ring[2] - ring[4]))
    return NetEye(
        middle_px=(float(ring[0, 0]), float(ring[0, 1])),
        diameter_px=max(across, upright),
        lids_px=carry(matrix, contour.reshape(71, 3)[:16, :2].astype(np.float64)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Iris:
    """The visible iris of one eye.

    Attributes
    ----------
    middle_px : tuple of float
        (x, y).
    diameter_px, sd_px : float
        Long axis of its edge, and the standard deviation of that.
    lids_px : ndarray of float64, shape (16, 2)
        As in `NetEye`.
    fitted : bool
        Whether the edge was fitted; else this is the net's circle.
    contrast : float or None
        As in `eyeplane.faces.limbus.LimbusLook`.
    """

    middle_px: tuple[float, float]
    diameter_px: float
    sd_px: float
    lids_px: "NDArray[np.float64]"
    fitted: bool
    contrast: float | None


NET_SD = 0.14  # relative standard deviation of the net's diameter against edge fits
NET_TURNED_SD = 0.7  # further, times the sine of yaw, for the far eye: the net draws it small
HIDDEN_SD = 0.2  # further for edge fits, times 1 − cosine of yaw: nose and lids cover the far eye


def iris_of(view: FrameView, mesh: Mesh, side: "Side", pose: "Pose") -> Iris:
    """Return the visible iris of one eye, its edge fitted where that can be done.

    Parameters
    ----------
    view : FrameView
        The frame.
    mesh : Mesh
        The face.
    side : {"left", "right"}
        Which eye, as seen in the picture of an upright head.
    pose : Pose
        Of the head.

    Returns
    -------
    Iris
        The net's circle with a wide spread where the edge could not be fitted.
    """
    seen = see_iris(view, mesh, side)
    yaw = math.radians(pose.yaw_deg)
    far = (yaw > 0.0) == (side == "right")
    net_sd = NET_SD + (NET_TURNED_SD * abs(math.sin(yaw)) if far else 0.0)
    expected = Expected(
        middle_px=seen.middle_px,
        diameter_px=VISIBLE_IRIS_MM.mean_mm / pose.mm_per_px,
        turn_rad=mesh.turn_rad,
    )
    look = look_for_limbus(view.picture, expected)
    limbus = look.limbus
    if limbus is None:
        return Iris(
            middle_px=seen.middle_px,
            diameter_px=seen.diameter_px,
            sd_px=net_sd * seen.diameter_px,
            lids_px=seen.lids_px,
            fitted=False,
            contrast=look.contrast,
        )
    edge_sd = limbus.sd_px / limbus.diameter_px + (HIDDEN_SD * (1 - math.cos(yaw)) if far else 0.0)
    share = edge_sd**2 / (edge_sd**2 + net_sd**2)  # hardly anything where the edge is sharp
    diameter = limbus.diameter_px * (seen.diameter_px / limbus.diameter_px) ** share
    return Iris(
        middle_px=limbus.middle_px,
        diameter_px=diameter,
        sd_px=diameter * edge_sd * net_sd / math.hypot(edge_sd, net_sd),
        lids_px=seen.lids_px,
        fitted=True,
        contrast=look.contrast,
    )
