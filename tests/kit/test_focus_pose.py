"""The folded target's pose, from corners projected by other code than that which reads them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.kit.focus_frames import FocusScene

from eyeplane.errors import InputError
from eyeplane.kit.focus_design import focus_sheet
from eyeplane.kit.focus_layout import FORWARD, WINGS, focus_layout
from eyeplane.kit.focus_pose import TargetPose, check_pose, target_pose

SHEET, LAYOUT = focus_sheet("A4"), focus_layout("A4")


def corners(scene: FocusScene, noise_px: float = 0.0) -> dict[int, np.ndarray]:
    """Return where the fiducials' corners come in the frame."""
    rng = np.random.default_rng(1)
    found = {}
    for mark in SHEET.marks:
        panel = LAYOUT.panel_of_mark(mark.number)
        left, top, right, bottom = LAYOUT.bounds_mm(panel)
        origin, across, down = scene.corners(LAYOUT, panel)
        share = (np.array(mark.corners_mm) - (left, top)) / (right - left, bottom - top)
        solid = origin + share[:, :1] * (across - origin) + share[:, 1:] * (down - origin)
        flat = scene.image_px * solid[:, :2] / solid[:, 2:]
        flat = flat + np.array([scene.width_px, scene.height_px]) / 2
        found[mark.number] = flat + rng.normal(0, noise_px, flat.shape)
    return found


def pose_of(scene: FocusScene, found: dict[int, np.ndarray], *, known: bool = True) -> TargetPose:
    return target_pose(
        found,
        SHEET,
        LAYOUT,
        size_px=(scene.width_px, scene.height_px),
        image_distance_px=scene.image_px if known else None,
    )


@settings(max_examples=10, deadline=None)
@given(
    folds=st.tuples(*[st.floats(28, 60)] * 4),
    tilt=st.floats(-12, 12),
    turn=st.floats(-12, 12),
    roll=st.floats(-170, 170),
)
def test_angles_and_distance_come_back(
    folds: tuple[float, float, float, float], tilt: float, turn: float, roll: float
) -> None:
    scene = FocusScene(folds_deg=folds, tilt_deg=tilt, turn_deg=turn, roll_deg=roll)
    pose = pose_of(scene, corners(scene, 0.05))
    check_pose(pose)
    assert pose.distance_mm == pytest.approx(1500.0, rel=0.004)
    for wing, fold in zip(WINGS, folds, strict=True):
        assert pose.fold_deg(wing) == pytest.approx(-fold if wing in FORWARD else fold, abs=0.6)


def test_places_and_depths_of_points_that_were_not_marked_come_back() -> None:
    scene = FocusScene(folds_deg=(40, 50, 45, 35), tilt_deg=4, turn_deg=-6)
    pose = pose_of(scene, corners(scene))
    points = np.array([(20.0, 50.0), (250.0, 60.0), (148.5, 105.0), (270.0, 160.0), (40.0, 150.0)])
    true = []
    for point in points:
        panel = LAYOUT.panel_of((float(point[0]), float(point[1])))
        left, top, right, bottom = LAYOUT.bounds_mm(panel)
        origin, across, down = scene.corners(LAYOUT, panel)
        x, y = (point - (left, top)) / (right - left, bottom - top)
        true.append(origin + x * (across - origin) + y * (down - origin))
    solid = np.array(true)
    assert pose.depths_mm(points) == pytest.approx(solid[:, 2], abs=0.2)
    flat = scene.image_px * solid[:, :2] / solid[:, 2:]
    flat += np.array([scene.width_px, scene.height_px]) / 2
    assert pose.to_px(points) == pytest.approx(flat, abs=0.05)


def test_wings_folded_the_other_way_are_read_as_they_stand() -> None:
    scene = FocusScene(folds_deg=(-45, -45, -45, -45))
    pose = pose_of(scene, corners(scene))
    check_pose(pose)
    assert pose.fold_deg("upper left") == pytest.approx(45, abs=0.5)


def test_one_corner_far_off_moves_little() -> None:
    scene = FocusScene(tilt_deg=3)
    found = corners(scene, 0.05)
    found[70][2] += 6.0
    assert pose_of(scene, found).distance_mm == pytest.approx(1500.0, rel=0.005)
    check_pose(pose_of(scene, found))


def test_a_curled_wing_is_refused() -> None:
    scene = FocusScene()
    found = corners(scene)
    for number in range(64, 68):  # the outer marks of one wing bent forward
        outer = np.array(SHEET.marks[number - 60].corners_mm)[:, 0] < 30
        found[number] = found[number] + outer[:, None] * np.array([12.0, 9.0])
    with pytest.raises(InputError, match="curled"):
        check_pose(pose_of(scene, found))


def test_without_the_middle_panel_nothing_is_read() -> None:
    scene = FocusScene()
    found = {k: v for k, v in corners(scene).items() if k not in {60, 61}}
    with pytest.raises(InputError, match="only 2 of the 4"):
        pose_of(scene, found)


def test_only_front_wings_are_refused() -> None:
    scene = FocusScene()
    keep = {*range(60, 68), *range(72, 76)}
    found = {k: v for k, v in corners(scene).items() if k in keep}
    with pytest.raises(InputError, match="no wing behind"):
        check_pose(pose_of(scene, found))
