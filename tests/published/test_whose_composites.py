"""Whose motion it was, on frames with known motion, from the file to the answer.

Truth: a sharp scene (a rendered head before a photographed wall, both of the test data) is drawn
along a line in linear light by an oversampled kernel, as a whole (shake) or its head only (sitter),
or as the mean of many copies turned about a point (a turn), then given photon and read noise and
stored as JPEG quality 92. `python -m benchmarks.accuracy.whose` does this with many scenes.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.benchmarked import benchmark

if TYPE_CHECKING:
    from benchmarks.accuracy.composites import Scene, Truth
    from benchmarks.accuracy.whose import Told

pytestmark = pytest.mark.slow
SEED = 11
TURN_TOLERANCE = 0.15  # of the angle turned


composites, whose = benchmark("composites"), benchmark("whose")


@pytest.fixture(scope="module")
def scenes(data: Path) -> "dict[str, Scene]":
    """Return one head before a wall, and one that fills the frame."""
    wall = composites.head_on_wall(data, "dev_0043", "people/people-08", 2)
    rows, columns = wall.shape[:2]
    # As set there: the head 640 rows high, its face some three quarters of that.
    boxes = ((columns / 2 - 190.0, rows - 555.0, 380.0, 480.0),)
    alone = composites.head_alone(data, "dev_0012")
    return {
        "wall": composites.Scene(name="wall", linear=wall, heads=boxes),
        "alone": composites.Scene(
            name="alone", linear=alone, heads=((100.0, 160.0, 900.0, 1100.0),)
        ),
    }


def asked(scenes: "dict[str, Scene]", which: str, truth: "Truth", folder: Path) -> "Told":
    """Return what is said of one frame."""
    found: Told = whose.told(whose.make(scenes[which], truth, folder, np.random.default_rng(SEED)))
    return found


@pytest.mark.parametrize(("truth", "verdict"), [("shake", "shake"), ("sitter", "sitter")])
def test_static_wall_tells_shake_from_sitter(
    scenes: "dict[str, Scene]", truth: "Truth", verdict: str, tmp_path: Path
) -> None:
    assert asked(scenes, "wall", truth, tmp_path).by_picture == verdict


def test_turn_about_the_lens_axis_is_the_camera_and_has_its_angle(
    scenes: "dict[str, Scene]", tmp_path: Path
) -> None:
    found = asked(scenes, "wall", "rotation", tmp_path)
    assert found.rotation is not None
    assert found.rotation.turned_deg.value == pytest.approx(
        found.made.turned_deg, rel=TURN_TOLERANCE
    )
    assert found.by_picture in ("shake", "")


def test_face_that_fills_the_frame_leaves_it_open(
    scenes: "dict[str, Scene]", tmp_path: Path
) -> None:
    linear = composites.moved(scenes["alone"].linear, 11.0, 30.0)
    path = composites.written(
        linear, tmp_path / "alone.jpg", flash=False, rng=np.random.default_rng(SEED)
    )
    made = composites.Made(path=path, scene="alone", truth="shake", size_px=11.0, angle_deg=30.0)
    assert whose.told(made).by_picture in ("motion", "")


def test_flash_with_room_light_shows_a_ghost_and_a_sharp_face_none(
    scenes: "dict[str, Scene]", tmp_path: Path
) -> None:
    rng = np.random.default_rng(SEED)
    sharp = scenes["alone"].linear
    for core, expected in ((0.45, True), (1.0, False)):
        drawn = (
            core * sharp + (1 - core) * composites.moved(sharp, 13.0, 60.0) if core < 1 else sharp
        )
        path = composites.written(np.asarray(drawn), tmp_path / "flash.jpg", flash=True, rng=rng)
        made = composites.Made(
            path=path, scene="alone", truth="ghost", size_px=13.0, angle_deg=60.0
        )
        ghost = whose.told(made).ghost
        assert (ghost is not None) is expected
        if ghost is not None:
            assert ghost.core_share.value == pytest.approx(core, abs=0.15)
            assert abs((ghost.angle_deg - 60.0 + 90) % 180 - 90) < 6.0
