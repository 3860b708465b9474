"""Every face of a frame: place, pose, eyes, scale and depths. Never who."""

import math
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.detect import BEYOND, SIDE_PX, look, overlap
from eyeplane.faces.iris import Iris, iris_of
from eyeplane.faces.landmarks import HeadFit, landmarks_of
from eyeplane.faces.lids import EyeSigns, are_open
from eyeplane.faces.mesh import Mesh, fit_mesh
from eyeplane.faces.pose import CERTAIN_SDS, Pose, fit_pose, interval
from eyeplane.faces.scale import Scale, distance_mm, relative_interval, scale_at_eyes
from eyeplane.faces.tiles import search
from eyeplane.faces.view import FrameView, Square
from eyeplane.records import Eye, Face, Side

if TYPE_CHECKING:
    from eyeplane.faces.detect import Found
    from eyeplane.imaging import Picture

# Sides of further looks at a doubtful find over its size, and how far aside of it they are centred
# (in its size). The least score of real faces in profile was .56, that of accidents .00–.20.
_AGAIN = ((2.2, 0.2), (3.0, 0.0), (3.0, 0.2), (4.5, 0.0))
AGAIN_SCORE = 0.35
PLAINLY_ABSENT = -7.0  # the mesh's logit above which one of the looks may miss, as tiny faces do
_UNKNOWN_FOCAL = 1.4  # focal length over the long edge where it is unknown: 50 mm on 36 mm


def find_faces(picture: "Picture") -> tuple[Face, ...]:
    """Return every face of a frame, largest first.

    Parameters
    ----------
    picture : Picture
        The frame; only read.

    Returns
    -------
    tuple of Face
        Empty if nobody is there. Faces are located, never identified.

    Notes
    -----
    One look at the whole frame; tiles for smaller faces, turned frames for missing
    orientation tags, only where needed (`eyeplane.faces.tiles`).
    """
    if min(picture.width_px, picture.height_px) < 2:
        return ()
    view = FrameView(picture)
    fitted = [(found, fit_mesh(view, found)) for found in search(view)]
    faces = [_face(view, found, mesh) for found, mesh in fitted if _believed(view, found, mesh)]
    return tuple(sorted(faces, key=lambda f: -f.box_px[2] * f.box_px[3]))


def _believed(view: FrameView, found: "Found", mesh: Mesh) -> bool:
    """Return whether a find is a face.

    The mesh's own logit falls below zero on soft, tiny and averted faces as well as on no faces,
    so it alone throws nothing away: the detector looks again, closer, from slightly different
    places. It sees a face every time and an accident hardly ever.
    """
    if mesh.presence >= 0.0:
        return True
    scores = []
    for side, aside in _AGAIN:
        square = Square(
            x_px=found.x_px + aside * found.size_px,
            y_px=found.y_px + aside * found.size_px,
            side_px=found.size_px * side,
            turn_rad=found.turn_rad,
        )
        crop = view.crop(square, SIDE_PX, beyond=BEYOND)
        seen = look(crop, square.matrix(SIDE_PX), lowest_score=0.05)
        scores.append(max((f.score for f in seen if overlap(f, found) > 0.5), default=0.0))
    missed = sum(score < AGAIN_SCORE for score in scores)
    return missed <= (1 if mesh.presence >= PLAINLY_ABSENT else 0)


def _face(view: FrameView, found: "Found", mesh: Mesh) -> Face:
    picture = view.picture
    pose = fit_pose(
        mesh.points_px,
        focal_px=_focal_px(picture),
        middle_px=(picture.width_px / 2, picture.height_px / 2),
    )
    irises = (iris_of(view, mesh, "left", pose), iris_of(view, mesh, "right", pose))
    near: Side = "left" if pose.yaw_deg >= 0.0 else "right"
    scale = _scale(irises, pose)
    swapped = (
        irises[0].middle_px[0] > irises[1].middle_px[0]
    )  # a head that lies or stands on its head
    certain = abs(pose.yaw_deg) >= CERTAIN_SDS * pose.yaw_sd_deg
    head = HeadFit(
        points_px=mesh.points_px,
        irises_px=(irises[0].middle_px, irises[1].middle_px),
        pose=pose,
        scale=scale,
        near=near,
    )
    ordered = irises[::-1] if swapped else irises
    opened = _opened(irises, pose)
    return Face(
        box_px=_box(found, mesh),
        score=found.score,
        yaw_deg=interval(pose.yaw_deg, pose.yaw_sd_deg),
        pitch_deg=interval(pose.pitch_deg, pose.pitch_sd_deg),
        roll_deg=interval(pose.roll_deg, pose.roll_sd_deg),
        near=_in_picture(near, swapped=swapped) if certain else None,
        eyes=(_eye("left", ordered[0], opened), _eye("right", ordered[1], opened)),
        landmarks=landmarks_of(head),
        mm_per_px=scale.measured(),
        distance_mm=distance_mm(
            scale,
            focal_length_mm=picture.exposure.focal_length_mm,
            pitch_um=picture.pitch_um,
        ),
    )


def _in_picture(side: Side, *, swapped: bool) -> Side:
    if not swapped:
        return side
    return "right" if side == "left" else "left"


def _opened(irises: tuple[Iris, Iris], pose: Pose) -> bool | None:
    far = math.cos(math.radians(pose.yaw_deg)) ** 2
    weights = (1.0, far) if pose.yaw_deg >= 0.0 else (far, 1.0)
    return are_open(
        tuple(
            EyeSigns(
                lids_px=iris.lids_px,
                iris_diameter_px=iris.diameter_px,
                contrast=iris.contrast,
                weight=weight,
            )
            for iris, weight in zip(irises, weights, strict=True)
        )
    )


def _eye(side: Side, iris: Iris, opened: bool | None) -> Eye:  # noqa: FBT001  yes, no, cannot tell
    return Eye(
        side=side,
        iris_px=iris.middle_px,
        iris_diameter_px=relative_interval(iris.diameter_px, iris.sd_px / iris.diameter_px),
        open=opened,
    )


def _focal_px(picture: "Picture") -> float:
    focal, pitch = picture.exposure.focal_length_mm, picture.pitch_um
    if focal and pitch is not None and pitch.value > 0.0:
        return focal * 1000.0 / pitch.value
    return _UNKNOWN_FOCAL * max(picture.width_px, picture.height_px)


def _scale(irises: tuple[Iris, Iris], pose: Pose) -> Scale:
    """Return the scale from the irises, each by its own certainty, and their distance."""
    weights = np.array([1.0 / (iris.sd_px / iris.diameter_px) ** 2 for iris in irises])
    logs = np.log([iris.diameter_px for iris in irises])
    diameter = float(np.exp(np.sum(weights * logs) / np.sum(weights)))
    apart = np.subtract(irises[1].middle_px, irises[0].middle_px)
    shown = math.hypot(pose.rotation[0, 0], pose.rotation[1, 0])
    return scale_at_eyes(
        iris_px=diameter,
        iris_sd_px=diameter / math.sqrt(float(np.sum(weights))),
        eyes_apart_px=float(np.hypot(*apart)),
        foreshortening=shown,
        foreshortening_sd=math.radians(pose.yaw_sd_deg) * math.sqrt(max(0.0, 1.0 - shown**2)),
    )


def _box(found: "Found", mesh: Mesh) -> tuple[float, float, float, float]:
    """Return the extent of the mesh, or the detector's box where the mesh may have slipped."""
    if mesh.presence < 0.0:
        half = found.size_px / 2
        return found.x_px - half, found.y_px - half, found.size_px, found.size_px
    low, high = mesh.points_px.min(axis=0), mesh.points_px.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0] - low[0]), float(high[1] - low[1])
