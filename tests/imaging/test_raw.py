from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import tifffile

from eyeplane.errors import FrameError
from eyeplane.imaging import Picture

WHITE = 4000


def dng(mosaic: np.ndarray, orientation: int = 1) -> bytes:
    """Return a DNG, uncompressed: RGGB, black 0, white 4000, neutral camera colours."""
    unit = (1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1)
    tags = [
        (50706, "B", 4, (1, 4, 0, 0), True),  # DNGVersion
        (33421, "H", 2, (2, 2), True),  # CFARepeatPatternDim
        (33422, "B", 4, (0, 1, 1, 2), True),  # CFAPattern
        (274, "H", 1, orientation, True),
        (271, "s", 0, "maker", True),
        (272, "s", 0, "test body", True),
        (50708, "s", 0, "test body", True),
        (50714, "H", 1, 0, True),  # BlackLevel
        (50717, "H", 1, WHITE, True),  # WhiteLevel
        (50721, "2i", 9, unit, True),  # ColorMatrix1
        (50728, "2I", 3, (1, 1, 1, 1, 1, 1), True),  # AsShotNeutral
        (33434, "2I", 1, (1, 250), True),
        (41486, "2I", 1, (2500, 1), True),
        (41487, "2I", 1, (2500, 1), True),
        (41488, "H", 1, 3, True),
    ]
    buffer = BytesIO()
    tifffile.imwrite(buffer, mosaic, photometric=32803, extratags=tags, metadata=None)
    return buffer.getvalue()


@pytest.fixture(scope="module")
def mosaic() -> np.ndarray:
    steps = np.repeat(np.repeat(np.arange(1, 7)[None, :] * 500, 40, axis=1), 160, axis=0)
    return steps.astype(np.uint16)  # six flat grey bars, 160 × 240


def test_half_size_linear_light(mosaic: np.ndarray, opened: Callable[..., Picture]) -> None:
    picture = opened(dng(mosaic), "a.dng")
    assert (picture.width_px, picture.height_px) == (120, 80)
    luma = picture.luma_window(0, 0, 120, 80).luma
    means = np.array([luma[20:60, 20 * i + 6 : 20 * i + 14].mean() for i in range(6)])
    # Linear light: bars stand in the ratio of their counts.
    assert means / means[0] == pytest.approx(np.arange(1, 7), rel=0.01)
    assert picture.luma_window(0, 0, 9, 9).encoding_slope is None
    assert picture.quantization is None
    small = picture.rgb_small(60)[0]
    assert small.dtype == np.uint8
    assert small[20, 50, 0] > small[20, 5, 0]


def test_pitch_is_that_of_the_halved_pixels(
    mosaic: np.ndarray, opened: Callable[..., Picture]
) -> None:
    # 2500 px/cm is 4 µm; a kit table is used, since 240 px × 4 µm is no whole sensor.
    picture = opened(dng(mosaic), "a.dng", kit_pitch_um=(("test body", 20.0),))
    assert picture.pitch_source == "kit table"
    assert picture.pitch_um is not None
    assert picture.pitch_um.value == pytest.approx(40.0)
    assert picture.exposure.exposure_time_s == pytest.approx(0.004)


def test_orientation(mosaic: np.ndarray, opened: Callable[..., Picture]) -> None:
    picture = opened(dng(mosaic, orientation=6), "a.dng")
    assert (picture.width_px, picture.height_px) == (80, 120)
    luma = picture.luma_window(0, 0, 80, 120).luma
    assert luma[100, 40] > luma[10, 40]


@pytest.mark.parametrize("share", [0.01, 0.2, 0.6, 0.999])
def test_cut_short_is_refused(
    share: float, mosaic: np.ndarray, opened: Callable[..., Picture]
) -> None:
    data = dng(mosaic)
    with pytest.raises(FrameError, match=r"damaged|cannot be read"):
        opened(data[: int(len(data) * share)], "a.dng")


def test_pixel_limit(mosaic: np.ndarray, opened: Callable[..., Picture]) -> None:
    with pytest.raises(FrameError, match="240 × 160 pixels"):
        opened(dng(mosaic), "a.dng", pixel_limit=240 * 160 - 1)


def test_garbage_named_raw(opened: Callable[..., Picture], tmp_path: Path) -> None:
    with pytest.raises(FrameError, match=r"damaged|cannot be read"):
        opened(b"II*\0" + b"\x07" * 5000, "a.nef")
    with pytest.raises(FrameError, match=r"damaged|cannot be read"):
        opened(b"just a letter to the client, and not a frame", "a.cr2")
    assert not list(tmp_path.glob("*.tmp"))
