import struct
from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from eyeplane.imaging import Picture
from eyeplane.imaging.profile import tone_of
from eyeplane.imaging.tone import ADOBE_GAMMA, SRGB


def fixed(*values: float) -> bytes:
    return b"".join(struct.pack(">i", round(v * 65536)) for v in values)


def profile(curve: bytes, columns: tuple[tuple[float, float, float], ...], space: bytes) -> bytes:
    """Return a small ICC profile (ICC.1:2022, section 7): matrix and curve, or grey."""
    tags = {b"wtpt": b"XYZ \0\0\0\0" + fixed(0.9642, 1.0, 0.8249)}
    if space == b"GRAY":
        tags[b"kTRC"] = curve
    for letter, column in zip((b"r", b"g", b"b"), columns, strict=False):
        tags[letter + b"TRC"] = curve
        tags[letter + b"XYZ"] = b"XYZ \0\0\0\0" + fixed(*column)
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, value in tags.items():
        table += struct.pack(">4sII", name, start + len(body), len(value))
        body += value + b"\0" * (-len(value) % 4)
    head = struct.pack(
        ">I4sI4s4s4s", start + len(body), b"lcms", 0x04000000, b"mntr", space, b"XYZ "
    )
    head += struct.pack(">6H", 2024, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28
    head = head.ljust(68, b"\0") + fixed(0.9642, 1.0, 0.8249)
    return head.ljust(128, b"\0") + table + body


# Adobe RGB (1998) adapted to D50, as its profile holds it (Adobe RGB (1998), 2005-05, annex).
WIDE = ((0.60974, 0.31111, 0.01947), (0.20528, 0.62567, 0.06087), (0.14919, 0.06322, 0.74457))
GAMMA = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(ADOBE_GAMMA * 256)) + b"\0\0"
SAMPLED = (
    b"curv\0\0\0\0"
    + struct.pack(">I", 1024)
    + (65535 * np.linspace(0, 1, 1024) ** ADOBE_GAMMA).round().astype(">u2").tobytes()
)
POWER = b"para\0\0\0\0\0\0\0\0" + fixed(ADOBE_GAMMA)
CODES = np.linspace(0, 1, 256)


@pytest.mark.parametrize("curve", [GAMMA, SAMPLED, POWER])
def test_luma_agrees_with_little_cms(
    curve: bytes, encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    # Outside reference: LittleCMS (through Pillow) takes the same pixels to CIE XYZ's L*.
    wide = profile(curve, WIDE, b"RGB ")
    pixels = np.random.default_rng(3).integers(0, 256, (24, 32, 3)).astype(np.uint8)
    luma = opened(encoded(pixels, "PNG", icc_profile=wide), "a.png").luma_window(0, 0, 32, 24).luma
    lab = ImageCms.profileToProfile(
        Image.fromarray(pixels),
        ImageCms.ImageCmsProfile(BytesIO(wide)),
        ImageCms.createProfile("LAB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        outputMode="LAB",
    )
    assert lab is not None
    lightness = np.asarray(lab)[..., 0] / 2.55
    expected = np.where(lightness > 8, ((lightness + 16) / 116) ** 3, lightness / 903.3)
    # L* in bytes is known to ± 0.2: that is 0.014 of luminance at white.
    assert np.abs(luma - expected).max() < 0.014


def test_colours_are_shown_in_srgb(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    wide = profile(GAMMA, WIDE, b"RGB ")
    pixels = np.full((16, 16, 3), (180, 100, 90), dtype=np.uint8)
    picture = opened(encoded(pixels, "PNG", icc_profile=wide), "a.png")
    for shown in (picture.rgb_window(0, 0, 16, 16)[3, 3], picture.rgb_small(8)[0][3, 3]):
        assert shown[0] > 190  # the same red needs a larger code in the narrower space
        assert abs(int(shown[2]) - 90) < 10


def test_grey_profile(encoded: Callable[..., bytes], opened: Callable[..., Picture]) -> None:
    dot_gain = profile(b"curv\0\0\0\0" + struct.pack(">IH", 1, 461) + b"\0\0", (), b"GRAY")
    ramp = np.arange(256, dtype=np.uint8)[None, :]
    picture = opened(encoded(ramp, "PNG", icc_profile=dot_gain), "a.png")
    luma = picture.luma_window(0, 0, 256, 1).luma[0]
    assert np.abs(luma - CODES ** (461 / 256)).max() < 1e-5
    assert picture.rgb_small(100)[0].shape == (1, 100, 3)


@pytest.mark.parametrize(
    ("kind", "values", "expected"),
    [
        (0, (2.0,), CODES**2),
        (1, (2.0, 0.8, 0.2), (0.8 * CODES + 0.2) ** 2),
        (2, (2.0, 0.8, 0.1, 0.1), (0.8 * CODES + 0.1) ** 2 + 0.1),
        (3, (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045), SRGB.curves[0](CODES)),
        (4, (2.0, 0.9, 0.0, 0.5, 0.3, 0.1, 0.05),
         np.where(CODES >= 0.3, (0.9 * CODES) ** 2 + 0.1, 0.5 * CODES + 0.05)),
    ],
)  # fmt: skip
def test_parametric_curves(kind: int, values: tuple[float, ...], expected: np.ndarray) -> None:
    # ICC.1:2022, 10.18, table 68.
    curve = b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + fixed(*values)
    tone, _ = tone_of(profile(curve, WIDE, b"RGB "), Image.Exif(), channels=3)
    assert np.abs(tone.curves[0](CODES) - expected).max() < 1e-3


def test_camera_that_writes_adobe_rgb_without_a_profile(
    encoded: Callable[..., bytes], opened: Callable[..., Picture]
) -> None:
    exif = Image.Exif()
    sub = exif.get_ifd(0x8769)
    sub[0xA001] = 0xFFFF
    sub[0xA005] = {1: "R03"}
    pixels = np.full((16, 16, 3), 128, dtype=np.uint8)
    picture = opened(encoded(Image.fromarray(pixels), quality=100, exif=exif))
    assert picture.luma_window(0, 0, 1, 1).luma[0, 0] == pytest.approx(
        (128 / 255) ** ADOBE_GAMMA, abs=1e-4
    )


@given(st.binary(max_size=300))
def test_garbage_is_taken_as_srgb(data: bytes) -> None:
    for space in (b"RGB ", b"GRAY"):
        broken = b"\0" * 16 + space + b"\0" * 108 + data
        tone, _ = tone_of(broken, Image.Exif(), channels=3 if space == b"RGB " else 1)
        assert np.isfinite(tone.tables(256)).all()


@given(st.integers(0, 10_000), st.integers(0, 255))
def test_a_flipped_byte_never_raises(at: int, value: int) -> None:
    data = bytearray(profile(POWER, WIDE, b"RGB "))
    data[at % len(data)] = value
    tone, _ = tone_of(bytes(data), Image.Exif(), channels=3)
    assert np.isfinite(tone.tables(256)).all()
