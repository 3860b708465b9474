"""Linear-light luma against published numbers of the sRGB standard."""

from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from eyeplane.imaging import Picture, open_picture
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear
from eyeplane.records import MeasureSettings


@pytest.mark.parametrize(
    ("code", "linear"),
    [
        # IEC 61966-2-1:1999, 5.2: V ≤ 0.04045: V / 12.92; else ((V + 0.055) / 1.055)^2.4.
        (0, 0.0),
        (10, 10 / 255 / 12.92),
        (11, ((11 / 255 + 0.055) / 1.055) ** 2.4),
        (118, 0.1812),  # 18 % grey card: code 118 (common practice); the formula gives 0.18116
        (188, 0.5029),  # half the light is code 188, the well-known middle of the screen
        (255, 1.0),
    ],
)
def test_srgb_codes(code: int, linear: float) -> None:
    assert srgb_to_linear(np.array([code / 255]))[0] == pytest.approx(linear, abs=5e-5)


def test_both_directions_agree_with_colour_science() -> None:
    # Outside reference: colour-science 0.4, eotf_sRGB.
    colour = pytest.importorskip("colour")
    codes = np.linspace(0, 1, 4001)
    assert np.abs(srgb_to_linear(codes) - colour.models.eotf_sRGB(codes)).max() < 1e-4
    assert np.abs(linear_to_srgb(codes) - colour.models.eotf_inverse_sRGB(codes)).max() < 1e-4


def opened(pixels: np.ndarray, folder: Path) -> Picture:
    buffer = BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG")
    path = folder / "patch.png"
    path.write_bytes(buffer.getvalue())
    return open_picture(path, settings=MeasureSettings())


@pytest.mark.parametrize(
    ("rgb", "luminance"),
    # IEC 61966-2-1:1999, 5.2: Y row of the matrix 0.2126, 0.7152, 0.0722.
    [((255, 0, 0), 0.2126), ((0, 255, 0), 0.7152), ((0, 0, 255), 0.0722), ((255, 255, 255), 1.0)],
)
def test_primaries(rgb: tuple[int, int, int], luminance: float, tmp_path: Path) -> None:
    pixels = np.full((8, 8, 3), rgb, dtype=np.uint8)
    window = opened(pixels, tmp_path).luma_window(0, 0, 8, 8)
    assert window.luma == pytest.approx(luminance, abs=1e-6)
    assert window.clipped.all()


def test_window_agrees_with_colour_science(tmp_path: Path) -> None:
    # Outside reference: colour-science 0.4, sRGB_to_XYZ's Y.
    colour = pytest.importorskip("colour")
    pixels = np.random.default_rng(5).integers(0, 256, (30, 40, 3)).astype(np.uint8)
    luma = opened(pixels, tmp_path).luma_window(0, 0, 40, 30).luma
    expected = colour.sRGB_to_XYZ(pixels / 255.0)[..., 1]
    assert np.abs(luma - expected).max() < 2e-4
