import struct
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


def directory(entries: dict[int, tuple[str, tuple[int, ...]]], at: int, after: int) -> bytes:
    """Return a TIFF directory for offset `at` with its long values behind it (TIFF 6.0, 2)."""
    kinds = {"B": 1, "H": 3, "I": 4, "2I": 5, "2i": 10, "s": 2}
    table, rest = struct.pack("<H", len(entries)), b""
    start = at + 2 + 12 * len(entries) + 4
    for tag, (kind, values) in sorted(entries.items()):
        body = struct.pack(f"<{len(values)}{kind[-1]}", *values) if kind != "s" else bytes(values)
        count = len(values) // (2 if kind[0] == "2" else 1)
        table += struct.pack("<HHI", tag, kinds[kind], count)
        if len(body) <= 4:
            table += body.ljust(4, b"\0")
        else:
            table += struct.pack("<I", start + len(rest))
            rest += body + b"\0" * (len(body) % 2)
    return table + struct.pack("<I", after) + rest


def dng_with_preview(mosaic: np.ndarray, preview: bytes, size: tuple[int, int]) -> bytes:
    """Return a DNG whose first picture is a JPEG and whose second is the sensor's."""
    height, width = mosaic.shape
    raw_at, preview_at = 4096, 4096 + mosaic.nbytes
    unit = (1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1)
    first = {
        254: ("I", (1,)), 256: ("I", (size[0],)), 257: ("I", (size[1],)), 258: ("H", (8, 8, 8)),
        259: ("H", (7,)), 262: ("H", (6,)), 271: ("s", tuple(b"maker\0")),
        272: ("s", tuple(b"test body\0")), 273: ("I", (preview_at,)), 274: ("H", (8,)),
        277: ("H", (3,)), 278: ("I", (size[1],)), 279: ("I", (len(preview),)),
        330: ("I", (2048,)), 33434: ("2I", (1, 125)), 50706: ("B", (1, 4, 0, 0)),
        50708: ("s", tuple(b"test body\0")), 50721: ("2i", unit), 50728: ("2I", (1,) * 6),
    }  # fmt: skip
    second = {
        254: ("I", (0,)), 256: ("I", (width,)), 257: ("I", (height,)), 258: ("H", (16,)),
        259: ("H", (1,)), 262: ("H", (32803,)), 273: ("I", (raw_at,)), 277: ("H", (1,)),
        278: ("I", (height,)), 279: ("I", (mosaic.nbytes,)), 33421: ("H", (2, 2)),
        33422: ("B", (0, 1, 1, 2)), 50714: ("H", (0,)), 50717: ("H", (WHITE,)),
    }  # fmt: skip
    head = (b"II*\0" + struct.pack("<I", 8) + directory(first, 8, 0)).ljust(2048, b"\0")
    head = (head + directory(second, 2048, 0)).ljust(raw_at, b"\0")
    return head + mosaic.astype("<u2").tobytes() + preview


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


def test_full_size_preview_is_taken(
    mosaic: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    shown = np.zeros((160, 240, 3), dtype=np.uint8)
    shown[:, :120, 0] = 200
    data = dng_with_preview(mosaic, encoded(shown, tags={274: 3}), (240, 160))
    picture = opened(data, "a.dng", kit_pitch_um=(("test body", 20.0),))
    assert (picture.width_px, picture.height_px) == (160, 240)  # orientation 8, of the RAW
    assert picture.rgb_window(10, 200, 1, 1)[0, 0, 0] == pytest.approx(200, abs=4)
    assert picture.rgb_window(10, 20, 1, 1)[0, 0, 0] < 5
    assert picture.quantization is not None
    assert picture.pitch_um is not None
    assert picture.pitch_um.value == pytest.approx(20.0)
    assert picture.exposure.exposure_time_s == pytest.approx(1 / 125)


def test_small_preview_is_passed_over(
    mosaic: np.ndarray, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    small = np.zeros((80, 120, 3), dtype=np.uint8)
    picture = opened(dng_with_preview(mosaic, encoded(small), (120, 80)), "a.dng")
    assert picture.quantization is None
    assert picture.luma_window(0, 0, 80, 120).luma.mean() > 0.2


def test_sensor_without_colours(opened: Callable[..., Picture]) -> None:
    data = dng(np.full((64, 96), 2000, dtype=np.uint16))
    colours, linear = struct.pack("<HHIH", 262, 3, 1, 32803), struct.pack("<HHIH", 262, 3, 1, 34892)
    assert data.count(colours) == 1
    picture = opened(data.replace(colours, linear), "a.dng")
    window = picture.luma_window(10, 10, 9, 9)
    assert window.luma == pytest.approx(0.5, abs=0.01)
    assert picture.rgb_small(20)[0].shape[2] == 3


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
