"""A turned head: geometry by hand, symmetry, order, and the mesh that faces are found by."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.faces import head as mesh
from eyeplane.people import (
    TURNING_MM,
    HeadPlace,
    eyes_apart,
    far_iris_depth_mm,
    glasses_frame_depth,
    head_depth,
    head_places,
)

yaws = st.floats(0, 90)
ages = st.none() | st.floats(0, 100)


def places(yaw_deg: float, **more: object) -> dict[str, HeadPlace]:
    """Return the places by name."""
    return {p.name: p for p in head_places(yaw_deg=yaw_deg, **more)}  # type: ignore[arg-type]


@given(yaw=yaws, age=ages)
def test_the_near_iris_is_the_zero_and_the_far_one_recedes(yaw: float, age: float | None) -> None:
    found = places(yaw, age_years=age)
    near, far = found["near iris"], found["far iris"]
    assert (near.depth_mm, near.aside_mm, near.depth_sd_mm) == (0.0, 0.0, 0.0)
    told = far_iris_depth_mm(yaw_deg=yaw, age_years=age)
    assert far.depth_mm == pytest.approx(told.mean_mm)
    assert far.depth_sd_mm == pytest.approx(told.sd_mm)
    assert math.hypot(far.depth_mm, far.aside_mm) == pytest.approx(
        eyes_apart(age_years=age).mean_mm
    )


@given(age=ages)
def test_facing_the_camera_both_sides_are_as_deep(age: float | None) -> None:
    found = places(0.0, age_years=age, glasses=True)
    for name in ("lashes", "brow", "outer eye corner", "ear", "glasses"):
        near, far = found[f"near {name}"], found[f"far {name}"]
        assert near.depth_mm == pytest.approx(far.depth_mm)
    assert found["nose tip"].depth_mm == head_depth("nose tip", age_years=age).mean_mm
    assert found["nose tip"].aside_mm == pytest.approx(eyes_apart(age_years=age).mean_mm / 2)


def test_by_hand_at_thirty_degrees() -> None:
    # Looking ahead: nose tip 33 mm before the irises and half their distance (31.3) aside.
    nose = places(30.0, at_lens=False)["nose tip"]
    half = eyes_apart().mean_mm / 2
    assert nose.depth_mm == pytest.approx(-33.0 * math.cos(math.pi / 6) + half * 0.5)
    assert nose.aside_mm == pytest.approx(half * math.cos(math.pi / 6) + 33.0 * 0.5)
    # Looking into the lens the near iris comes forward by 10.5 (1 - cos 30°) and 10.5 sin 30° to
    # the near side.
    other = places(30.0)["nose tip"]
    assert other.depth_mm - nose.depth_mm == pytest.approx(10.5 * (1 - math.cos(math.pi / 6)))
    assert other.aside_mm - nose.aside_mm == pytest.approx(10.5 * 0.5)


@given(yaw=yaws, age=ages, at_lens=st.booleans())
def test_turning_keeps_distances(yaw: float, age: float | None, *, at_lens: bool) -> None:
    facing = places(0.0, age_years=age, at_lens=at_lens)
    turned = places(yaw, age_years=age, at_lens=at_lens)
    for one, other in (
        ("nose tip", "far ear"),
        ("near brow", "near ear"),
        ("far brow", "near ear"),
    ):
        apart = [
            math.hypot(p[one].depth_mm - p[other].depth_mm, p[one].aside_mm - p[other].aside_mm)
            for p in (facing, turned)
        ]
        assert apart[0] == pytest.approx(apart[1])


@given(less=yaws, more=yaws)
def test_the_more_it_turns_the_farther_the_far_eye(less: float, more: float) -> None:
    less, more = sorted((less, more))
    assert far_iris_depth_mm(yaw_deg=less).mean_mm <= far_iris_depth_mm(yaw_deg=more).mean_mm + 1e-9


@given(yaw=yaws)
def test_places_come_nearest_first_and_carry_a_spread(yaw: float) -> None:
    found = head_places(yaw_deg=yaw, glasses=True)
    depths = [p.depth_mm for p in found]
    assert depths == sorted(depths)
    assert len({p.name for p in found}) == len(found) == 13
    for place in found:
        if "iris" not in place.name:
            assert place.depth_sd_mm > 0.5
            assert place.aside_sd_mm > 0.5


def test_glasses_sit_where_opticians_put_them() -> None:
    assert "near glasses" not in places(0.0)
    assert places(0.0, glasses=True)["near glasses"].depth_mm == glasses_frame_depth().mean_mm


def test_a_child_s_head_is_smaller_and_its_eyes_nearer_together() -> None:
    child, adult = (far_iris_depth_mm(yaw_deg=40, age_years=age) for age in (3, None))
    assert child.mean_mm < 0.82 * adult.mean_mm
    assert places(40, age_years=3)["far ear"].depth_mm < places(40)["far ear"].depth_mm


def turned(x: float, z: float, yaw_deg: float) -> np.ndarray:
    """Return aside and depth of a point of the mesh (x right, z towards the camera)."""
    turn = math.radians(yaw_deg)
    right = x * math.cos(turn) + z * math.sin(turn)
    towards = -x * math.sin(turn) + z * math.cos(turn)
    return np.array([right, -towards])


MESH = {p.name: (p.at_mm[0], p.at_mm[2]) for p in mesh.PLACES}
CORNER = next((p[2], p[4]) for p in mesh.POSE_POINTS if p[0] == 33)
NOSE = next((p[2], p[4]) for p in mesh.POSE_POINTS if p[0] == 4)


@pytest.mark.parametrize("yaw", [0.0, 15.0, 30.0, 60.0])
@pytest.mark.parametrize(
    ("name", "side", "at"),
    [
        ("nose tip", -1, NOSE),
        ("near outer eye corner", 1, CORNER),
        ("far outer eye corner", -1, CORNER),
        ("near brow", 1, MESH["brow"]),
        ("far brow", -1, MESH["brow"]),
        ("near ear", 1, MESH["ear"]),
        ("far ear", -1, MESH["ear"]),
        ("far iris", -1, MESH["iris"]),
        ("near lashes", 1, MESH["lashes"]),
    ],
)
def test_agrees_with_the_mesh_that_faces_are_found_by(
    yaw: float, name: str, side: int, at: tuple[float, float]
) -> None:
    # The canonical face mesh is somebody's head: within two standard deviations in each direction.
    iris = turned(mesh.EYE_MM[0], mesh.EYE_MM[2], yaw)
    aside, depth = turned(side * at[0], at[1], yaw) - iris
    place = places(yaw, at_lens=False)[name]
    assert abs(place.depth_mm - depth) <= 2 * place.depth_sd_mm + 0.5
    assert abs(place.aside_mm - aside) <= 2 * place.aside_sd_mm + 0.5


def test_eyes_turn_about_the_same_centre_as_in_the_faces() -> None:
    assert TURNING_MM.mean_mm == mesh.GLOBE_RADIUS_MM


@given(yaw=st.floats(40, 90))
def test_eyes_turn_no_farther_than_they_can(yaw: float) -> None:
    # The near iris stays 10.5 mm from its centre of turning, which lies behind it in the head.
    ahead, seen = places(yaw, at_lens=False)["nose tip"], places(yaw)["nose tip"]
    moved = math.hypot(seen.depth_mm - ahead.depth_mm, seen.aside_mm - ahead.aside_mm)
    assert moved == pytest.approx(2 * 10.5 * math.sin(math.radians(20)))


def test_refusals() -> None:
    for yaw in (-5.0, 91.0, float("nan")):
        with pytest.raises(InputError, match="turned"):
            head_places(yaw_deg=yaw)
        with pytest.raises(InputError, match="turned"):
            far_iris_depth_mm(yaw_deg=yaw)
