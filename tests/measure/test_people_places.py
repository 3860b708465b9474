"""Where hair, clothes and background places lie."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import blur, face

from eyeplane.measure.people_places import (
    clothes_places,
    hair_places,
    person_places,
    person_side,
    spread_places,
)
from eyeplane.measure.places import BACKGROUND_SIDE_PX, Detail, people_mask
from eyeplane.records import Face, Measured

WIDTH, HEIGHT = 6000, 4000
SCALE = 0.125
BOX = (2600.0, 1400.0, 700.0, 900.0)
MIDDLE = (2950.0, 1850.0)


def head(box: tuple[float, float, float, float] = BOX, roll_deg: float = 0.0) -> Face:
    """Return a head; its scale is 0.2 mm per px."""
    made = face(near_blur=blur("none", 1.0), box=box).face
    return replace(
        made,
        roll_deg=Measured(value=roll_deg, low=roll_deg, high=roll_deg),
        mm_per_px=Measured(value=0.2, low=0.19, high=0.21),
    )


def detail(level: float = 20.0, seed: int | None = 0) -> Detail:
    """Return a frame that has detail everywhere, a little more here than there."""
    rows, columns = round(HEIGHT * SCALE), round(WIDTH * SCALE)
    busy = np.full((rows, columns), level, np.float32)
    if seed is not None:
        busy += np.random.default_rng(seed).random((rows, columns), np.float32)
    return Detail(
        detail=busy,
        level=np.full((rows, columns), 100.0, np.float32),
        scale=SCALE,
        side_px=round(BACKGROUND_SIDE_PX * SCALE),
    )


@settings(deadline=None, max_examples=20)
@given(roll=st.floats(-40.0, 40.0), seed=st.integers(0, 50))
def test_hair_lies_above_the_eyes_and_outside_the_face(roll: float, seed: int) -> None:
    for x, y in hair_places(detail(seed=seed), head(roll_deg=roll)):
        dx, dy = x - MIDDLE[0], y - MIDDLE[1]
        # Roll is clockwise in the picture: the head's own "up" leans to the right.
        c, s = math.cos(math.radians(roll)), math.sin(math.radians(roll))
        across, down = c * dx + s * dy, c * dy - s * dx
        assert down < 0
        assert math.hypot(across / 350.0, down / 450.0) > 0.95


def test_clothes_lie_below_the_chin_and_not_on_another_head() -> None:
    front = head((2600.0, 3000.0, 700.0, 900.0))  # its face covers the chest of the first
    found = clothes_places(detail(), head(), [front], count=6)
    assert found
    for x, y in found:
        assert y > BOX[1] + BOX[3]
        assert abs(x - MIDDLE[0]) < 1.9 * 350.0 + 8
        assert math.hypot((x - 2950.0) / 350.0, (y - 3450.0) / 450.0) > 1.3


def test_nothing_is_picked_where_there_is_nothing() -> None:
    smooth = detail(0.0, seed=None)
    assert person_places(smooth, head()) == ()
    assert spread_places(smooth, [head()]) == []
    low = head((2600.0, 3000.0, 700.0, 900.0))  # the frame ends at the chin
    assert clothes_places(detail(), low) == []


def test_names_and_sides_follow_the_scale() -> None:
    names = [name for name, _ in person_places(detail(), head())]
    assert names == ["hair", "hair", "clothes", "clothes"]
    assert person_side("hair", head()) == 176  # 35 mm at 0.2 mm per px, in steps of 16
    assert person_side("clothes", head()) == 304


@pytest.mark.parametrize("count", [1, 2, 3, 5, 6, 8])
def test_spread_places_lie_apart_and_away_from_people(count: int) -> None:
    frame = detail()
    found = spread_places(frame, [head()], count)
    assert len(found) == count
    mask = people_mask(frame.detail.shape, [head()], scale=SCALE, margin_px=0)
    for k, (x, y) in enumerate(found):
        assert not mask[int(y * SCALE), int(x * SCALE)]
        assert all(math.dist((x, y), other) >= BACKGROUND_SIDE_PX - 8 for other in found[:k])


def test_six_places_reach_across_the_frame() -> None:
    found = np.array(spread_places(detail(), [head()], 6))
    assert np.ptp(found[:, 0]) > WIDTH / 3
    # More than the most textured places do when one corner has most texture.
    corner = detail()
    corner.detail[:100, :150] += 50.0
    spread = np.array(spread_places(corner, [head()], 6))
    assert np.ptp(spread[:, 0]) > WIDTH / 3


def test_a_background_in_one_half_still_gives_all_places() -> None:
    half = detail()
    half.detail[:, 375:] = 0.0
    assert len(spread_places(half, [head()], 6)) == 6
