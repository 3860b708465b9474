"""Pose from points: heads that are drawn by perspective must be read back."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from eyeplane.faces.head import POSE_POINTS
from eyeplane.faces.pose import YAW_GAIN, angles_deg, fit_pose, interval, rotation_of

YAWS, PITCHES, ROLLS = st.floats(-80, 80), st.floats(-60, 60), st.floats(-175, 175)


def drawn(
    *, yaw: float, pitch: float, roll: float, at_mm: tuple[float, float, float], focal_px: float
) -> NDArray[np.float64]:
    """Return a mesh whose pose points are the standard head under a pinhole at the origin."""
    turn = rotation_of(yaw_deg=yaw, pitch_deg=pitch, roll_deg=roll)
    mesh = np.zeros((468, 2))
    for left, right, x, y, z in POSE_POINTS:
        for index, side in ((left, 1.0), (right, -1.0)):
            place = turn @ np.array([side * x, y, z]) + at_mm
            mesh[index] = focal_px * place[:2] / place[2]
    return mesh + 500.0


@given(YAWS, PITCHES, ROLLS)
def test_angles_and_rotation_are_inverse(yaw: float, pitch: float, roll: float) -> None:
    turn = rotation_of(yaw_deg=yaw, pitch_deg=pitch, roll_deg=roll)
    assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
    assert angles_deg(turn) == pytest.approx((yaw, pitch, roll), abs=1e-6)


def test_signs_are_those_of_the_record() -> None:
    """Depth is along +z of the camera: what is nearer has the smaller z."""
    right_of_head, chin = np.array([1.0, 0, 0]), np.array([0, -1.0, 0])
    assert (rotation_of(yaw_deg=20, pitch_deg=0, roll_deg=0) @ right_of_head)[2] > 0.0
    assert (rotation_of(yaw_deg=0, pitch_deg=20, roll_deg=0) @ chin)[2] < 0.0
    leaning = rotation_of(yaw_deg=0, pitch_deg=0, roll_deg=20) @ right_of_head
    assert leaning[1] > 0.0  # its right end sinks: clockwise in the picture


@settings(max_examples=30, deadline=None)
@given(st.floats(-50, 50), st.floats(-30, 30), st.floats(-40, 40), st.floats(-300, 300))
def test_a_drawn_head_is_read_back_also_off_the_axis(
    yaw: float, pitch: float, roll: float, aside: float
) -> None:
    mesh = drawn(yaw=yaw, pitch=pitch, roll=roll, at_mm=(aside, 100.0, 2000.0), focal_px=8000.0)
    pose = fit_pose(mesh, focal_px=8000.0, middle_px=(500.0, 500.0))
    assert pose.yaw_deg == pytest.approx(YAW_GAIN * yaw, abs=0.7)
    assert pose.pitch_deg == pytest.approx(pitch, abs=0.7)
    assert pose.roll_deg == pytest.approx(roll, abs=0.7)
    assert pose.mm_per_px == pytest.approx(0.25, rel=0.03)
    assert pose.misfit < 0.01


def test_tiny_heads_and_odd_ones() -> None:
    mesh = drawn(yaw=30, pitch=0, roll=0, at_mm=(-900.0, 0.0, 12000.0), focal_px=1400.0)
    pose = fit_pose(mesh, focal_px=1400.0, middle_px=(500.0, 500.0))
    assert pose.yaw_deg == pytest.approx(YAW_GAIN * 30, abs=1.0)
    rng = np.random.default_rng(3)
    odd = fit_pose(mesh + rng.normal(0, 2.0, mesh.shape), focal_px=1400.0, middle_px=(500.0, 500.0))
    assert odd.yaw_sd_deg > pose.yaw_sd_deg


def test_interval_holds_nine_in_ten_of_a_normal_spread() -> None:
    told = interval(5.0, 2.0)
    draws = np.random.default_rng(1).normal(5.0, 2.0, 20000)
    assert np.mean((draws >= told.low) & (draws <= told.high)) == pytest.approx(0.9, abs=0.01)
