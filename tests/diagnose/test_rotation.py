"""A turn about the lens axis: found, measured and told from a push and from moving sitters."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.moves import MIDDLE, SPOTS, head_at, in_field, scene, shown, turning

from eyeplane.diagnose.rotation import rotation_of

STILL = (0.0, 0.0)


@settings(deadline=None, max_examples=40)
@given(
    degrees=st.floats(0.2, 1.0),
    x=st.floats(1500.0, 4500.0),
    y=st.floats(1000.0, 3000.0),
)
def test_turn_is_found_with_its_angle_and_centre(degrees: float, x: float, y: float) -> None:
    found = rotation_of(in_field(turning(degrees, (x, y)), heads=[MIDDLE, (1200.0, 2500.0)]))
    assert found is not None
    assert found.turned_deg.value == pytest.approx(degrees, rel=0.03)
    assert found.turned_deg.low <= degrees <= found.turned_deg.high
    assert math.dist(found.centre_px, (x, y)) < 250.0


def test_turn_with_a_push_turns_about_another_centre() -> None:
    # A shift (a, b) added to a turn w moves the fixed point by (-b, a) / w: algebra.
    turn = math.radians(0.4)
    found = rotation_of(in_field(turning(0.4, MIDDLE, push=(5.0, -3.0))))
    assert found is not None
    expected = (MIDDLE[0] + 3.0 / turn, MIDDLE[1] + 5.0 / turn)
    assert math.dist(found.centre_px, expected) < 150.0


@pytest.mark.parametrize("push", [(8.0, 0.0), (-5.0, 12.0), (20.0, 20.0)])
def test_push_is_no_turn(push: tuple[float, float]) -> None:
    assert rotation_of(in_field(lambda _x, _y: push)) is None


def test_still_frame_and_moving_sitters_are_no_turn() -> None:
    static = [(at, shown(STILL)) for at in SPOTS]
    assert rotation_of(in_field(lambda _x, _y: STILL)) is None
    assert rotation_of(scene([head_at(MIDDLE, (9.0, 4.0))], static)) is None
    two = [head_at((1500.0, 2000.0), (9.0, 4.0)), head_at((4500.0, 2000.0), (-2.0, 11.0))]
    assert rotation_of(scene(two, static)) is None


def test_too_few_places_tell_no_turn() -> None:
    field = turning(0.5, (1000.0, 1000.0))
    few = scene([head_at(MIDDLE, field(*MIDDLE))], [(at, shown(field(*at))) for at in SPOTS[:1]])
    assert rotation_of(few) is None


def test_a_stray_line_does_not_hide_the_turn() -> None:
    field = turning(0.5, (2500.0, 1800.0))
    background = [(at, shown(field(*at))) for at in SPOTS[:4]] + [(SPOTS[4], shown((14.0, 1.0)))]
    found = rotation_of(scene([head_at(MIDDLE, field(*MIDDLE))], background))
    assert found is not None
    assert found.turned_deg.value == pytest.approx(0.5, rel=0.1)


def test_mirrored_frame_turns_as_far() -> None:
    found = rotation_of(in_field(turning(0.5, (2000.0, 1500.0))))
    mirror = rotation_of(in_field(turning(-0.5, (2000.0, 1500.0))))
    assert found is not None
    assert mirror is not None
    assert found.turned_deg.value == pytest.approx(mirror.turned_deg.value)
