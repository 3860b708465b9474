"""Named places on a head with their depths from the near iris, by pose and a standard head."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.head import EYE_MM, GLOBE_RADIUS_MM, PLACES, Place
from eyeplane.records import Landmark, Side

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.faces.pose import Pose
    from eyeplane.faces.scale import Scale

# Yaw beyond which a place on the far side is hidden by nose, brow or cheek (from memory).
_HIDDEN_BEYOND_DEG = {"ear": 8.0, "cheek": 30.0, "corner": 32.0, "lashes": 40.0, "brow": 50.0}
_POINT_SD_MM = 2.0  # how far the mesh's points lie off along the face; on a slope that is depth
_SMALL = ("iris", "nose tip", "mouth")
_MOST_ASIDE = 0.6  # eyes rarely turn beyond 37° from the lens in a portrait, common practice
_NEAR_EAR_TO_DEG = 75.0  # beyond it the head is seen from the side and behind


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadFit:
    """What places on a head are computed from.

    Attributes
    ----------
    points_px : ndarray of float64, shape (468, 2)
        The mesh.
    irises_px : tuple of (float, float)
        Of the eye on the picture's left of an upright head, and of the other.
    pose : Pose
        How the head is turned.
    scale : Scale
        At the eyes.
    near : {"left", "right"}
        The side (of an upright head) from which depths count.
    """

    points_px: "NDArray[np.float64]"
    irises_px: tuple[tuple[float, float], tuple[float, float]]
    pose: "Pose"
    scale: "Scale"
    near: Side


def landmarks_of(head: HeadFit) -> tuple[Landmark, ...]:
    """Return the named places that can be seen, near iris first.

    Parameters
    ----------
    head : HeadFit
        Mesh, pose and scale of one head.

    Returns
    -------
    tuple of Landmark
        Depths relative to the near iris, + farther from the camera.

    Notes
    -----
    A place's depth is its offset from the near eye's centre of turning on the standard head,
    brought to this head's size and turned by its pose, less that of the iris, which lies before
    that centre towards wherever the eye looks. Heads that are small differ less in how
    far the nose stands out than in how wide they are, so offsets along the head's z axis grow with
    the root of the size.
    The far iris needs no standard head: its depth follows from the irises' distance in the picture.
    """
    marks = []
    far: Side = "right" if head.near == "left" else "left"
    for place in PLACES:
        if not place.paired:
            marks.append(_mark(head, place, "left", place.name))
            continue
        if place.name != "ear" or abs(head.pose.yaw_deg) < _NEAR_EAR_TO_DEG:
            marks.append(_mark(head, place, head.near, f"near {place.name}"))
        if abs(head.pose.yaw_deg) <= _HIDDEN_BEYOND_DEG.get(place.name, 90.0):
            marks.append(_mark(head, place, far, f"far {place.name}"))
    return tuple(marks)


def head_size(head: HeadFit) -> float:
    """Return the size of a head over the standard head's, within what people have.

    Parameters
    ----------
    head : HeadFit
        Mesh, pose and scale of one head.

    Returns
    -------
    float
        0.7 to 1.2.
    """
    return min(1.2, max(0.7, head.scale.mm_per_px / head.pose.mm_per_px))


def _mark(head: HeadFit, place: Place, side: Side, name: str) -> Landmark:
    offset = _offset_mm(head, place, side)
    turned = head.pose.rotation @ offset
    depth = 0.0 if name == "near iris" else float(turned[2]) - _iris_from_globe_mm(head)[2]
    spread = place.sd_mm if name == "near iris" else _spread_mm(head, place, turned)
    if name == "far iris":
        depth = _far_iris_mm(head)
    return Landmark(
        name=name, at_px=_at_px(head, place, side, turned), depth_mm=depth, depth_sd_mm=spread
    )


def _offset_mm(head: HeadFit, place: Place, side: Side) -> "NDArray[np.float64]":
    """Return the place minus the near eye's centre of turning, in head axes, in mm of this head."""
    size = head_size(head)
    x = place.at_mm[0] if side == "left" else -place.at_mm[0]
    near_x = EYE_MM[0] if head.near == "left" else -EYE_MM[0]
    beyond_iris = (place.at_mm[2] - EYE_MM[2]) * math.sqrt(size)
    return np.array(
        [(x - near_x) * size, (place.at_mm[1] - EYE_MM[1]) * size, beyond_iris + GLOBE_RADIUS_MM]
    )


def _iris_from_globe_mm(head: HeadFit) -> "NDArray[np.float64]":
    """Return the near iris minus its eye's centre of turning, in camera axes.

    Both eyes look the same way, so the mean of their offsets in the picture is taken; what the
    standard head places wrongly by some millimetres changes the depth by less than one.
    """
    shift = (np.array(head.irises_px) - head.pose.globes_px).mean(axis=0) * head.scale.mm_per_px
    aside = min(float(np.hypot(*shift)), _MOST_ASIDE * GLOBE_RADIUS_MM)
    ahead = -math.sqrt(GLOBE_RADIUS_MM**2 - aside**2)
    return np.array([float(shift[0]), float(shift[1]), ahead])


def _spread_mm(head: HeadFit, place: Place, turned: "NDArray[np.float64]") -> float:
    """Return the standard deviation of a depth: this head, its pose, its scale."""
    slope = abs(math.tan(math.radians(max(-60.0, min(60.0, head.pose.yaw_deg)))))
    along = _POINT_SD_MM * slope * (1.0 if place.name in _SMALL else 1.5)
    yaw = math.radians(head.pose.yaw_sd_deg) * float(turned[0])
    pitch = math.radians(head.pose.pitch_sd_deg) * float(turned[1])
    scale = head.scale.relative_sd * float(turned[2])
    return math.sqrt(place.sd_mm**2 + along**2 + yaw**2 + pitch**2 + scale**2)


def _far_iris_mm(head: HeadFit) -> float:
    left, right = np.array(head.irises_px)
    axis = head.pose.rotation[:, 0]
    shown = math.hypot(axis[0], axis[1])
    apart_mm = float(np.hypot(*(right - left))) * head.scale.mm_per_px
    towards_right = apart_mm * float(axis[2]) / max(shown, 0.2)
    return towards_right if head.near == "left" else -towards_right


def _at_px(
    head: HeadFit, place: Place, side: Side, turned: "NDArray[np.float64]"
) -> tuple[float, float]:
    if place.name == "iris":
        return head.irises_px[0 if side == "left" else 1]
    points = place.points if side == "left" else place.mirror
    if points:
        middle = head.points_px[list(points)].mean(axis=0)
        return float(middle[0]), float(middle[1])
    globe = head.pose.globes_px[0 if head.near == "left" else 1]
    x, y = globe + turned[:2] / head.scale.mm_per_px
    return float(x), float(y)
