"""Where a sitter looks, from corners placed by geometry of our own."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.diagnose.builders import blur, face, measured

from eyeplane.diagnose.gaze import CORNER_ASIDE_MM, GLOBE_MM, gaze_of, head_axes
from eyeplane.faces.pose import angles_deg, rotation_of
from eyeplane.people import HEAD_DEPTHS
from eyeplane.records import Face, Landmark, Measured

SCALE = 0.1
turns = st.floats(-40.0, 40.0)


def made(
    *,
    yaw_deg: float,
    gaze: tuple[float, float],
    corners: tuple[str, ...] = ("near corner", "far corner"),
) -> Face:
    """Return a face whose eyes turn in a head that is turned by yaw only (rotation about y)."""
    yaw = math.radians(yaw_deg)
    before = GLOBE_MM - HEAD_DEPTHS["outer eye corner"].mean_mm
    located = face(near_blur=blur("none", 0.5)).face
    irises, marks = [], []
    for side in (-1.0, 1.0):
        globe = 31.5 * side * math.cos(yaw)
        irises.append(
            (2000 + (globe + GLOBE_MM * gaze[0]) / SCALE, 1500 + GLOBE_MM * gaze[1] / SCALE)
        )
        corner = globe + side * CORNER_ASIDE_MM * math.cos(yaw) + before * math.sin(yaw)
        name = "near corner" if (side < 0) == (yaw_deg >= 0) else "far corner"
        if name in corners:
            marks.append(
                Landmark(
                    name=name, at_px=(2000 + corner / SCALE, 1500.0), depth_mm=0.0, depth_sd_mm=2.0
                )
            )
    eyes = tuple(replace(e, iris_px=at) for e, at in zip(located.eyes, irises, strict=True))
    return replace(
        located,
        eyes=(eyes[0], eyes[1]),
        landmarks=tuple(marks),
        yaw_deg=Measured(value=yaw_deg, low=yaw_deg - 3, high=yaw_deg + 3),
        pitch_deg=Measured(value=0.0, low=-5.0, high=5.0),
        roll_deg=Measured(value=0.0, low=-2.0, high=2.0),
        mm_per_px=measured(SCALE, 0.05),
    )


@given(yaw_deg=turns, pitch_deg=turns, roll_deg=st.floats(-170.0, 170.0))
def test_axes_are_those_of_the_faces(yaw_deg: float, pitch_deg: float, roll_deg: float) -> None:
    ours = head_axes(yaw_deg=yaw_deg, pitch_deg=pitch_deg, roll_deg=roll_deg)
    theirs = rotation_of(yaw_deg=yaw_deg, pitch_deg=pitch_deg, roll_deg=roll_deg)
    assert ours == pytest.approx(theirs, abs=1e-12)
    assert angles_deg(ours) == pytest.approx((yaw_deg, pitch_deg, roll_deg), abs=1e-6)


@pytest.mark.parametrize("yaw_deg", [-25.0, 0.0, 25.0])
def test_eyes_on_the_lens(yaw_deg: float) -> None:
    gaze = gaze_of(made(yaw_deg=yaw_deg, gaze=(0.0, 0.0)))
    assert (gaze.x, gaze.y) == pytest.approx((0.0, 0.0), abs=0.02)
    assert 0.05 < gaze.sd < 0.12


@pytest.mark.parametrize("aside", [(0.45, 0.0), (-0.42, 0.1)])
def test_eyes_that_look_past_the_camera_are_believed(aside: tuple[float, float]) -> None:
    gaze = gaze_of(made(yaw_deg=20.0, gaze=aside))
    assert (gaze.x, gaze.y) == pytest.approx(aside, abs=0.03)
    one = gaze_of(made(yaw_deg=20.0, gaze=(0.6, 0.0), corners=("near corner",)))
    assert one.x == pytest.approx(0.3, abs=0.03)  # one corner alone is believed by half
    assert one.sd > 0.3


def test_a_small_turn_is_taken_for_error_by_a_share() -> None:
    gaze = gaze_of(made(yaw_deg=0.0, gaze=(0.15, 0.0)))
    assert 0.02 < gaze.x < 0.12
    assert gaze.x + 1.7 * gaze.sd > 0.15  # and the truth stays within the interval


def test_without_corners_both_lens_and_head_are_held_possible() -> None:
    gaze = gaze_of(made(yaw_deg=45.0, gaze=(0.0, 0.0), corners=()))
    assert gaze.x == 0.0
    assert gaze.x + 2 * gaze.sd > math.sin(math.radians(45.0))
    assert np.hypot(*gaze.across) == pytest.approx(math.cos(math.radians(45.0)))
