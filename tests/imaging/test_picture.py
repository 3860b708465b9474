import hashlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeplane.imaging import Picture
from eyeplane.imaging.tone import srgb_to_linear


@pytest.fixture
def picture(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> Picture:
    return opened(encoded(scene, "PNG"), "frame.png")


def test_what_the_file_is(
    tmp_path: Path,
    scene: np.ndarray,
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    data = encoded(scene)
    picture = opened(data)
    path = tmp_path / "frame.jpg"
    assert picture.path == str(path)
    assert picture.sha256 == hashlib.sha256(data).hexdigest()
    assert picture.size_bytes == len(data)
    assert picture.mtime_ns == path.stat().st_mtime_ns
    assert path.read_bytes() == data


def test_luma_is_the_weighted_linear_light(picture: Picture, scene: np.ndarray) -> None:
    window = picture.luma_window(5, 7, 40, 30)
    linear = srgb_to_linear(scene[7:37, 5:45] / 255.0)
    expected = linear @ np.array([0.2126, 0.7152, 0.0722])
    assert window.luma.dtype == np.float32
    assert (window.x_px, window.y_px) == (5, 7)
    assert np.abs(window.luma - expected).max() < 1e-6


def test_slope_is_the_step_of_one_code(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    window = opened(encoded(ramp, "PNG"), "ramp.png").luma_window(0, 0, 256, 1)
    slope = window.encoding_slope
    assert slope is not None
    steps = (window.luma[0, 2:] - window.luma[0, :-2]) / 2
    assert np.allclose(slope[0, 1:-1], steps, rtol=1e-3, atol=1e-7)


def test_clipping_is_told_by_any_channel(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    pixels = np.full((4, 4, 3), 100, dtype=np.uint8)
    pixels[1, 2] = (10, 250, 10)
    pixels[2, 1] = (249, 249, 249)
    window = opened(encoded(pixels, "PNG"), "a.png").luma_window(0, 0, 4, 4)
    assert np.argwhere(window.clipped).tolist() == [[1, 2]]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    x=st.integers(-200, 200),
    y=st.integers(-200, 200),
    width=st.integers(-5, 300),
    height=st.integers(-5, 300),
)
def test_windows_are_clipped_to_the_frame(
    picture: Picture, scene: np.ndarray, x: int, y: int, width: int, height: int
) -> None:
    left, top = min(max(x, 0), 120), min(max(y, 0), 80)
    expected = scene[top : max(top, y + height), left : max(left, x + width)]
    assert np.array_equal(picture.rgb_window(x, y, width, height), expected)
    window = picture.luma_window(x, y, width, height)
    assert window.luma.shape == window.clipped.shape == expected.shape[:2]
    assert window.encoding_slope is not None
    assert window.encoding_slope.shape == expected.shape[:2]
    assert (window.x_px, window.y_px) == (left, top)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=16)
@given(orientation=st.integers(1, 8), seed=st.integers(0, 1000))
def test_turning_a_frame_changes_no_light(
    orientation: int,
    seed: int,
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    pixels = np.random.default_rng(seed).integers(0, 256, (16, 24, 3)).astype(np.uint8)
    plain = opened(encoded(pixels, "PNG"), "a.png").luma_window(0, 0, 24, 24).luma
    turned = opened(encoded(pixels, "PNG", tags={274: orientation}), "b.png")
    luma = turned.luma_window(0, 0, 24, 24).luma
    assert np.array_equal(np.sort(luma, axis=None), np.sort(plain, axis=None))


def test_small_is_kept_and_read_only(picture: Picture) -> None:
    first, scale = picture.rgb_small(50)
    assert first.shape == (33, 50, 3)
    assert scale == pytest.approx(50 / 120)
    assert picture.rgb_small(50)[0] is first
    assert not first.flags.writeable
    full, scale = picture.rgb_small(120)
    assert scale == 1.0
    assert not full.flags.writeable
    assert picture.luma_window(0, 0, 9, 9).luma.flags.writeable


def test_a_window_is_a_copy(picture: Picture) -> None:
    piece = picture.rgb_window(0, 0, 120, 80)
    before = piece.copy()
    piece[:] = 0
    assert np.array_equal(picture.rgb_window(0, 0, 120, 80), before)


def test_one_pixel_frame(encoded: Callable[..., bytes], opened: Callable[..., Picture]) -> None:
    picture = opened(encoded(np.full((1, 1, 3), 77, dtype=np.uint8), "PNG"), "a.png")
    assert picture.rgb_small(1500)[0].tolist() == [[[77, 77, 77]]]
    wide = opened(encoded(np.zeros((1, 900, 3), dtype=np.uint8), "PNG"), "b.png")
    assert wide.rgb_small(10)[0].shape == (1, 10, 3)
