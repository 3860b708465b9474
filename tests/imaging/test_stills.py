import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image, TiffImagePlugin

from eyeplane.errors import FrameError
from eyeplane.imaging import Picture
from eyeplane.imaging.tone import srgb_to_linear

Encode = Callable[..., bytes]
Open = Callable[..., Picture]


def tiff(pixels: np.ndarray, **options: Any) -> bytes:  # noqa: ANN401  tifffile's own
    buffer = BytesIO()
    tifffile.imwrite(buffer, pixels, **options)
    return buffer.getvalue()


@pytest.mark.parametrize("compression", [None, "zlib", "tiff_lzw", "packbits"])
def test_tiff_round_trip(
    compression: str | None, scene: np.ndarray, opened: Open, encoded: Encode
) -> None:
    if compression in (None, "zlib"):
        data = tiff(scene, photometric="rgb", compression=compression)
    else:
        data = encoded(scene, "TIFF", compression=compression)
    assert np.array_equal(opened(data, "a.tif").rgb_window(0, 0, 120, 80), scene)


@pytest.mark.parametrize("order", ["<", ">"])
def test_sixteen_bit_tiff_keeps_its_depth(order: str, opened: Open) -> None:
    deep = np.arange(0, 65536, 8, dtype=np.uint16).reshape(64, 128)
    colours = np.stack([deep, deep[::-1], deep[:, ::-1]], axis=2)
    data = tiff(colours, photometric="rgb", byteorder=order, compression="zlib")
    window = opened(data, "a.tif").luma_window(0, 0, 128, 64)
    expected = srgb_to_linear(colours / 65535.0) @ np.array([0.2126, 0.7152, 0.0722])
    assert np.abs(window.luma - expected).max() < 1e-6
    assert window.encoding_slope is None
    assert np.array_equal(window.clipped, (colours >= 0.98 * 65535 - 1).any(axis=2))


def test_sixteen_bit_grey(opened: Open, encoded: Encode) -> None:
    deep = np.arange(0, 65536, 16, dtype=np.uint16).reshape(64, 64)
    for name, data in (("a.tif", tiff(deep)), ("a.png", encoded(deep, "PNG"))):
        picture = opened(data, name)
        luma = picture.luma_window(0, 0, 64, 64).luma
        assert np.abs(luma - srgb_to_linear(deep / 65535.0)).max() < 1e-6
        shown = picture.rgb_window(0, 0, 64, 64)[..., 0]
        assert np.array_equal(shown, np.rint(deep / 257.0).astype(np.uint8))


def test_sixteen_bit_colour_png(opened: Open) -> None:
    import cv2  # noqa: PLC0415  writes 16-bit colour PNG, which Pillow does not

    deep = np.random.default_rng(2).integers(0, 65536, (20, 30, 3)).astype(np.uint16)
    ok, data = cv2.imencode(".png", deep[..., ::-1])
    assert ok
    luma = opened(data.tobytes(), "a.png").luma_window(0, 0, 30, 20).luma
    expected = srgb_to_linear(deep / 65535.0) @ np.array([0.2126, 0.7152, 0.0722])
    assert np.abs(luma - expected).max() < 1e-6


def test_palette_bilevel_and_transparency(opened: Open, encoded: Encode) -> None:
    few = Image.fromarray(np.tile(np.arange(4, dtype=np.uint8) * 60, (8, 2)))
    palette = opened(encoded(few.convert("RGB").quantize(4), "PNG"), "p.png")
    assert np.abs(palette.rgb_window(0, 0, 8, 8)[..., 0].astype(int) - np.asarray(few)).max() <= 1
    bilevel = opened(encoded(few.convert("1", dither=Image.Dither.NONE), "PNG"), "b.png")
    assert set(np.unique(bilevel.rgb_window(0, 0, 8, 8))) == {0, 255}
    clear = Image.new("RGBA", (6, 4), (10, 20, 30, 0))
    clear.putpixel((2, 1), (10, 20, 30, 255))
    shown = opened(encoded(clear, "PNG"), "c.png").rgb_window(0, 0, 6, 4)
    assert shown[1, 2].tolist() == [10, 20, 30]
    assert shown[0, 0].tolist() == [255, 255, 255]
    half = opened(encoded(Image.new("LA", (6, 4), (90, 255)), "PNG"), "d.png")
    assert (half.rgb_window(0, 0, 6, 4) == 90).all()


def test_first_of_several_pages_or_pictures(scene: np.ndarray, opened: Open) -> None:
    pages = np.stack([scene, 255 - scene, scene // 2])
    shown = opened(tiff(pages, photometric="rgb"), "a.tif").rgb_window(0, 0, 120, 80)
    assert np.array_equal(shown, scene)
    buffer = BytesIO()
    first, second = Image.fromarray(scene), Image.fromarray(255 - scene)
    first.save(buffer, "PNG", save_all=True, append_images=[second])
    assert np.array_equal(opened(buffer.getvalue(), "a.png").rgb_window(0, 0, 120, 80), scene)


def test_exif_of_a_tiff_and_a_png(scene: np.ndarray, opened: Open, encoded: Encode) -> None:
    directory = TiffImagePlugin.ImageFileDirectory_v2()
    directory[272] = "body"
    directory[0x8769] = {33434: 0.004, 33437: 2.8}
    files = {
        "a.png": encoded(scene, "PNG", tags={33434: 0.004, 33437: 2.8, 272: "body"}),
        "a.tif": encoded(scene, "TIFF", tiffinfo=directory),
    }
    for name, data in files.items():
        found = opened(data, name).exposure
        assert found.f_number == pytest.approx(2.8)
        assert found.exposure_time_s == pytest.approx(0.004)
        assert found.body == "body"


@pytest.mark.parametrize("pixels", [np.zeros((8, 8), np.float32), np.zeros((8, 8), np.int32)])
def test_no_defined_white_is_refused(pixels: np.ndarray, opened: Open) -> None:
    with pytest.raises(FrameError, match="where white is"):
        opened(tiff(pixels), "a.tif")


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("kind", ["png", "tiff raw", "tiff zlib", "tiff lzw", "png 16", "tiff 16"])
def test_cut_short_is_refused(
    share: float, kind: str, scene: np.ndarray, opened: Open, encoded: Encode
) -> None:
    rough = np.random.default_rng(0).integers(0, 256, scene.shape).astype(np.uint8)
    deep = rough.astype(np.uint16) * 257
    data = {
        "png": lambda: encoded(rough, "PNG"),
        "png 16": lambda: encoded(deep[..., 0], "PNG"),
        "tiff raw": lambda: encoded(rough, "TIFF"),
        "tiff zlib": lambda: encoded(rough, "TIFF", compression="tiff_adobe_deflate"),
        "tiff lzw": lambda: encoded(rough, "TIFF", compression="tiff_lzw"),
        "tiff 16": lambda: tiff(deep, photometric="rgb"),
    }[kind]()
    with pytest.raises(FrameError, match="damaged or cut short"):
        opened(data[: int(len(data) * share)], "a." + kind[:3])


def test_png_damage_and_missing_end(scene: np.ndarray, opened: Open, encoded: Encode) -> None:
    data = bytearray(encoded(scene, "PNG"))
    with pytest.raises(FrameError, match="end is missing"):
        opened(bytes(data[:-12]), "a.png")
    data[data.index(b"IDAT") + 200] ^= 1
    with pytest.raises(FrameError, match="checksum"):
        opened(bytes(data), "a.png")


def test_tiff_whose_strips_do_not_cover_it(scene: np.ndarray, opened: Open) -> None:
    data = tiff(scene, photometric="rgb", rowsperstrip=80)
    old = bytes([0x16, 0x01, 4, 0, 1, 0, 0, 0, 80, 0])  # RowsPerStrip, LONG, one, 80
    assert data.count(old) == 1
    with pytest.raises(FrameError, match="rows are not in the file"):
        opened(data.replace(old, old[:8] + b"\x28\0"), "a.tif")


def test_pixel_limit_holds_before_decoding(opened: Open, encoded: Encode) -> None:
    # 400 million pixels in a small file: a bomb that would unpack to 0.4 GB.
    png = bytearray(encoded(np.zeros((8, 8), dtype=np.uint8), "PNG"))
    png[16:24] = (20_000).to_bytes(4, "big") * 2
    png[29:33] = zlib.crc32(png[12:29]).to_bytes(4, "big")
    with pytest.raises(FrameError, match="20000 × 20000 pixels, more than"):
        opened(bytes(png), "bomb.png")
    data = tiff(np.zeros((100, 100), np.uint8))
    with pytest.raises(FrameError, match="100 × 100 pixels"):
        opened(data, "a.tif", pixel_limit=9_999)


def test_a_large_frame_under_the_limit_is_no_bomb(opened: Open, encoded: Encode) -> None:
    # Pillow alone warns above 89 MP and refuses above 179 MP; a 100 MP back must pass.
    picture = opened(encoded(Image.new("1", (14_000, 7_000)), "PNG"), "a.png")
    assert picture.width_px * picture.height_px == 98_000_000


def test_tiff_strip_beyond_the_end(opened: Open, encoded: Encode) -> None:
    tall = np.random.default_rng(0).integers(0, 256, (400, 400, 3)).astype(np.uint8)
    data = encoded(tall, "TIFF", compression="jpeg")
    assert opened(data, "a.tif").height_px == 400
    offsets = TiffImagePlugin.TiffImageFile(BytesIO(data)).tag_v2[273]
    assert len(offsets) > 2
    listed = struct.pack(f"<{len(offsets)}I", *offsets)
    assert data.count(listed) == 1
    moved = struct.pack(f"<{len(offsets)}I", *offsets[:-1], len(data) + 99)
    with pytest.raises(FrameError, match="beyond its end"):
        opened(data.replace(listed, moved), "a.tif")
