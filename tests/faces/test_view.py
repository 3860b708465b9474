"""Crops: where their pixels come from."""

import math
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.faces.view import FrameView, Square, carry, sample
from eyeplane.imaging import open_picture
from eyeplane.records import MeasureSettings


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(1, 900), st.floats(-3.1, 3.1))
def test_the_middle_of_a_crop_is_the_middle_of_its_square(
    x: float, y: float, side: float, turn: float
) -> None:
    square = Square(x_px=x, y_px=y, side_px=side, turn_rad=turn)
    for mirrored in (False, True):
        middle = carry(square.matrix(64, mirrored=mirrored), np.array([[32.0, 32.0]]))[0]
        assert middle == pytest.approx((x, y), abs=1e-9)
        corner = carry(square.matrix(64, mirrored=mirrored), np.array([[0.0, 0.0]]))[0]
        assert math.dist(corner, (x, y)) == pytest.approx(side / math.sqrt(2), rel=1e-9)


@pytest.mark.parametrize(("side", "turn"), [(40.0, 0.0), (40.0, 0.5), (160.0, 0.3), (300.0, -0.2)])
def test_a_ramp_keeps_its_values_through_a_crop(side: float, turn: float) -> None:
    """A picture whose value is its own x must give back x, at any scale and turn."""
    ramp = np.tile((np.arange(600) + 0.5).astype(np.float32), (600, 1))
    square = Square(x_px=301.3, y_px=288.7, side_px=side, turn_rad=turn)
    matrix = square.matrix(50)
    crop = sample(ramp, 1.0, (0.0, 0.0), matrix, 50)
    ys, xs = np.mgrid[0:50, 0:50] + 0.5
    expected = carry(matrix, np.column_stack([xs.ravel(), ys.ravel()]))[:, 0].reshape(50, 50)
    inner = slice(4, -4)
    assert np.abs(crop - expected)[inner, inner].max() < 0.06 * max(1.0, side / 50)


def test_small_copy_and_full_frame_show_the_same(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    rough = rng.integers(0, 255, (20, 30, 3), np.uint8)
    frame = cv2.resize(rough, (3000, 2000), interpolation=cv2.INTER_CUBIC)
    cv2.imwrite(str(tmp_path / "a.png"), frame)
    view = FrameView(open_picture(tmp_path / "a.png", settings=MeasureSettings()))
    assert view.small_per_px == 0.5
    square = Square(x_px=1400.0, y_px=900.0, side_px=400.0, turn_rad=0.2)
    coarse = view.crop(square, 192)  # 2.1 frame pixels a sample: from the small copy
    fine = view.crop(square, 384)[::2, ::2]  # 1.04: from the frame itself
    assert np.abs(coarse.astype(float) - fine).mean() < 3.0
