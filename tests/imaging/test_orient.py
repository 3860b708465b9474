from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageOps

from eyeplane.imaging import Picture
from eyeplane.imaging.orient import swaps_axes, upright_view


@pytest.mark.parametrize("orientation", range(1, 9))
def test_view_agrees_with_pillow(orientation: int) -> None:
    # Pillow's ImageOps.exif_transpose is the outside reference here.
    stored = np.arange(24, dtype=np.uint8).reshape(4, 6)
    picture = Image.fromarray(stored)
    picture.getexif()[274] = orientation
    expected = np.asarray(ImageOps.exif_transpose(picture))
    assert np.array_equal(upright_view(stored, orientation), expected)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_view_copies_nothing(orientation: int) -> None:
    stored = np.zeros((4, 6, 3), dtype=np.uint8)
    view = upright_view(stored, orientation)
    assert np.shares_memory(view, stored)
    assert (view.shape[:2] == (6, 4)) == swaps_axes(orientation)


@given(orientation=st.integers(-3, 400).filter(lambda n: n not in range(1, 9)))
def test_nonsense_counts_as_upright(orientation: int) -> None:
    stored = np.arange(6).reshape(2, 3)
    assert np.array_equal(upright_view(stored, orientation), stored)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_all_three_looks_are_upright(
    orientation: int,
    scene: np.ndarray,
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    picture = opened(encoded(scene, "PNG", tags={274: orientation}), "frame.png")
    turned = np.ascontiguousarray(upright_view(scene, orientation))
    height, width = turned.shape[:2]
    assert (picture.width_px, picture.height_px) == (width, height)
    assert np.array_equal(picture.rgb_window(0, 0, width, height), turned)
    assert np.array_equal(picture.rgb_window(10, 20, 30, 15), turned[20:35, 10:40])
    assert np.array_equal(picture.rgb_small(10_000)[0], turned)
    half, scale = picture.rgb_small(60)
    assert scale == 0.5
    means = turned.reshape(height // 2, 2, width // 2, 2, 3).mean(axis=(1, 3))
    assert np.abs(half - means).max() <= 0.51


def test_a_stale_tag_is_seen_through(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    # Programs that turned the pixels without a loss often left the tag and the noted size alone.
    upright = np.ascontiguousarray(upright_view(scene, 6))
    tags = {274: 6, 0xA002: 120, 0xA003: 80}
    picture = opened(encoded(upright, tags=tags))
    assert (picture.width_px, picture.height_px) == (80, 120)
    tags = {274: 6, 0xA002: 80, 0xA003: 120}
    assert opened(encoded(upright, tags=tags)).width_px == 120
