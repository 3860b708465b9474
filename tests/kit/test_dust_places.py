"""Where a shadow lies, for every way a camera can be held."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.dust_map import behind, facing
from eyeplane.imaging.orient import upright_view
from eyeplane.kit.dust_frame import stored_view
from eyeplane.kit.dust_places import field_name, place_mm, seen_facing, seen_from_behind
from eyeplane.records import Measured

SHARES = st.tuples(st.floats(0, 1), st.floats(0, 1))
PITCH = Measured(value=6.0, low=5.9, high=6.1)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_upright_pixels_go_back_to_where_they_lay(orientation: int) -> None:
    stored = np.arange(12).reshape(3, 4)
    assert np.array_equal(stored_view(upright_view(stored, orientation), orientation), stored)


def test_a_lens_that_is_a_hole_casts_the_picture_where_we_say() -> None:
    """Trace rays of a pinhole: sky and the left hand of who stands behind a level camera."""
    # Axes: x to the right of who stands behind, y up, z towards the scene; sensor at z = -50.
    for scene in ((-1000.0, 700.0), (800.0, -300.0)):
        x, y = (-50.0 * axis / 4000.0 for axis in scene)  # on the sensor, through the hole
        frame = (0.5 + scene[0] / 4000 * 50 / 36, 0.5 - scene[1] / 4000 * 50 / 24)  # as seen
        from_behind = (0.5 + x / 36, 0.5 - y / 24)
        through_mount = (0.5 - x / 36, 0.5 - y / 24)  # who faces it has left and right swapped
        assert seen_from_behind(frame) == pytest.approx(from_behind)
        assert seen_facing(frame) == pytest.approx(through_mount)


@given(at=SHARES)
def test_the_two_sides_of_the_sensor_mirror_each_other(at: tuple[float, float]) -> None:
    ahead, back = seen_facing(at), seen_from_behind(at)
    assert ahead[1] == back[1]
    assert ahead[0] == pytest.approx(1 - back[0])
    assert facing(at) == ahead
    assert behind(at) == back


@pytest.mark.parametrize(
    ("at", "name"),
    [
        ((0.1, 0.1), "lower left"),
        ((0.9, 0.1), "lower right"),
        ((0.1, 0.9), "upper left"),
        ((0.5, 0.9), "upper middle"),
        ((0.5, 0.5), "middle"),
        ((0.0, 0.5), "left middle"),
        ((1.0, 1.0), "upper right"),
    ],
)
def test_the_top_of_the_frame_is_the_bottom_of_the_sensor(
    at: tuple[float, float], name: str
) -> None:
    assert field_name(at) == name


def test_millimetres_are_counted_from_the_lower_left_of_who_faces_the_sensor() -> None:
    place = place_mm((0.1, 0.25), width_px=6000, height_px=4000, pitch_um=PITCH)
    assert place.from_left_mm.value == pytest.approx(3.6)
    assert place.from_bottom_mm.value == pytest.approx(6.0)
    assert place.from_left_mm.low == pytest.approx(3.54)
