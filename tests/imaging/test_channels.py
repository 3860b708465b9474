"""Red, green and blue of windows: right light, right place, and no finer than the file."""

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from eyeplane.imaging import Picture
from eyeplane.imaging.channels import TRIANGLE_INVERSE, averaged_codes, first_whole
from eyeplane.imaging.orient import upright_view
from eyeplane.imaging.tone import srgb_to_linear

SUBSAMPLING = {0: 1, 1: 2, 2: 2}  # Pillow's number: 4:4:4, 4:2:2, 4:2:0 -> pixels a colour sample


def test_channels_are_linear_light(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    picture = opened(encoded(scene, "PNG"), "frame.png")
    windows = picture.channel_windows(5, 7, 40, 30)
    assert windows is not None
    expected = srgb_to_linear(scene[7:37, 5:45] / 255.0)
    for c, window in enumerate(windows):
        assert (window.x_px, window.y_px) == (5, 7)
        assert np.abs(window.luma - expected[..., c]).max() < 1e-6
    assert picture.chroma_step == 1


def test_channels_add_up_to_the_luma(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    # IEC 61966-2-1:1999: Y = 0.2126 R + 0.7152 G + 0.0722 B.
    picture = opened(encoded(scene), "frame.jpg")
    windows = picture.channel_windows(0, 0, 120, 80)
    assert windows is not None
    total = 0.2126 * windows[0].luma + 0.7152 * windows[1].luma + 0.0722 * windows[2].luma
    assert np.allclose(total, picture.luma_window(0, 0, 120, 80).luma, atol=1e-5)


def test_slope_is_the_step_of_one_code(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    windows = opened(encoded(ramp, "PNG"), "ramp.png").channel_windows(0, 0, 256, 1)
    assert windows is not None
    slope = windows[1].encoding_slope
    assert slope is not None
    steps = (windows[1].luma[0, 2:] - windows[1].luma[0, :-2]) / 2
    assert np.allclose(slope[0, 1:-1], steps, rtol=0.02, atol=1e-6)


def test_grey_frames_have_no_channels(
    scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    assert opened(encoded(scene[..., 1])).channel_windows(0, 0, 64, 64) is None


@pytest.mark.parametrize("number", [0, 1, 2])
def test_sampling_is_told(
    number: int, scene: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    picture = opened(encoded(scene, subsampling=number))
    assert picture.chroma_step == SUBSAMPLING[number]
    assert picture.chroma_quantization is not None
    windows = picture.channel_windows(0, 0, 120, 80)
    assert windows is not None
    step = SUBSAMPLING[number]
    assert windows[0].luma.shape == (80 // step, 120 // step)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("size", [(119, 81), (120, 80)])
def test_cells_lie_where_the_file_has_them(
    orientation: int,
    size: tuple[int, int],
    encoded: Callable[..., bytes],
    opened: Callable[..., Picture],
) -> None:
    # Every stored 2 x 2 cell has its own colour: any window on other cells would mix two of them.
    rng = np.random.default_rng(3)
    cells = rng.integers(60, 200, (41, 60, 1)).repeat(3, axis=2).astype(np.uint8)
    stored = cells.repeat(2, axis=0).repeat(2, axis=1)[: size[1], : size[0]]
    data = encoded(stored, quality=100, subsampling=2, tags={274: orientation})
    windows = opened(data).channel_windows(11, 13, 32, 40)
    assert windows is not None
    upright = upright_view(stored, orientation)[..., 1]
    x, y = windows[0].x_px, windows[0].y_px
    assert 10 <= x <= 11
    assert 12 <= y <= 13
    assert windows[0].luma.shape == (20, 16)
    rows, columns = (2 * n for n in windows[1].luma.shape)
    cut = upright[y : y + rows, x : x + columns]
    assert np.ptp(cut.reshape(rows // 2, 2, columns // 2, 2), axis=(1, 3)).max() == 0
    assert np.abs(windows[1].luma - srgb_to_linear(cut[::2, ::2] / 255.0)).max() < 0.02
    assert first_whole(orientation, stored.shape, 2) == (x % 2, y % 2)


def test_filling_in_of_halved_colour_is_undone() -> None:
    # The decoder's own triangle against the samples it was given: what comes back is what the
    # encoder stored (libjpeg through Pillow; general-purpose reference).
    rng = np.random.default_rng(5)
    small = rng.normal(size=(64, 64, 3))
    for axis in (0, 1):  # smooth enough for 8-bit JPEG, with detail up to the colour's Nyquist
        small = small + np.roll(small, 1, axis=axis)
    cells = np.clip(128 + 12 * small, 0, 255)
    codes = cells.repeat(2, axis=0).repeat(2, axis=1).round().astype(np.uint8)
    packed = BytesIO()
    Image.fromarray(codes).save(packed, "JPEG", quality=100, subsampling=2)
    back = np.asarray(Image.open(packed))
    plain = averaged_codes(back, step=2, halved=(False, False))[8:-8, 8:-8]
    undone = averaged_codes(back, step=2, halved=(True, True))[8:-8, 8:-8]
    truth = codes[::2, ::2].astype(float)[8:-8, 8:-8]
    red_less_green = truth[..., 0] - truth[..., 1]
    assert np.std(undone[..., 0] - undone[..., 1] - red_less_green) < 1.5
    assert np.std(plain[..., 0] - plain[..., 1] - red_less_green) > 4.0


def test_inverse_of_the_triangle() -> None:
    # 1 / (3/4 + cos(w) / 4), the transfer of 1/8, 3/4, 1/8.
    omega = np.linspace(0, np.pi, 9)
    n = np.arange(-4, 5)
    transfer = (TRIANGLE_INVERSE * np.cos(omega[:, None] * n)).sum(axis=1)
    assert np.allclose(transfer * (0.75 + 0.25 * np.cos(omega)), 1.0, atol=2e-3)
