"""The mesh of 468 points on one face, in frame pixels.

Points are (x, y) in the upright frame. Numbers of points are those of the net's published mesh;
"left" and "right" here are as seen in the picture of an upright head.
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.nets import MESH, net
from eyeplane.faces.view import FrameView, Square, carry

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.faces.detect import Found

SIDE_PX = 192  # the net's input
MARGIN = 1.5  # the net was made for squares this much larger than the face
LEFT_EYE = (33, 133)  # outer and inner corner of the eye on the picture's left
RIGHT_EYE = (263, 362)  # of the other
LEFT_LIDS = ((160, 144), (159, 145), (158, 153))  # upper, lower
RIGHT_LIDS = ((387, 373), (386, 374), (385, 380))


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Points on a face.

    Attributes
    ----------
    points_px : ndarray of float64, shape (468, 2)
        (x, y), upright frame.
    presence : float
        The net's logit of a face being there; falls below 0 on soft faces too.
    turn_rad : float
        Direction from the left to the right eye, from +x towards +y.
    """

    points_px: "NDArray[np.float64]"
    presence: float
    turn_rad: float


def fit_mesh(view: FrameView, found: "Found") -> Mesh:
    """Return the mesh of a detected face, after a second look through the mesh's own square.

    Parameters
    ----------
    view : FrameView
        The frame.
    found : Found
        Where the detector saw the face.

    Returns
    -------
    Mesh
        In frame pixels.
    """
    left, right = found.points_px[0], found.points_px[1]
    turn = math.atan2(right[1] - left[1], right[0] - left[0])
    square = Square(x_px=found.x_px, y_px=found.y_px, side_px=found.size_px * MARGIN, turn_rad=turn)
    first = _look(view, square)
    return _look(view, _own_square(first))


def _look(view: FrameView, square: Square) -> Mesh:
    crop = view.crop(square, SIDE_PX)
    points, presence = net(MESH).run(crop.astype(np.float32) / 255.0)
    if points.size < presence.size:
        points, presence = presence, points
    flat = points.reshape(468, 3)[:, :2].astype(np.float64)
    placed = carry(square.matrix(SIDE_PX), flat)
    return Mesh(points_px=placed, presence=float(presence[0]), turn_rad=_turn(placed))


def _turn(points: "NDArray[np.float64]") -> float:
    across = points[list(RIGHT_EYE)].mean(axis=0) - points[list(LEFT_EYE)].mean(axis=0)
    return math.atan2(float(across[1]), float(across[0]))


def _own_square(mesh: Mesh) -> Square:
    """Return the square around the mesh's own extent, turned with the eyes."""
    c, s = math.cos(mesh.turn_rad), math.sin(mesh.turn_rad)
    turn = np.array([[c, -s], [s, c]])
    own = mesh.points_px @ turn
    low, high = own.min(axis=0), own.max(axis=0)
    middle = turn @ ((low + high) / 2)
    return Square(
        x_px=float(middle[0]),
        y_px=float(middle[1]),
        side_px=max(8.0, float((high - low).max()) * MARGIN),
        turn_rad=mesh.turn_rad,
    )
