"""Pieces of a print for the screen: true size, mean light, nothing sharpened."""

import hashlib
import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from eyeplane.deliver.tiles_frame import OpenFrame, open_frame
from eyeplane.deliver.tiles_print import PrintPiece, piece_around, piece_pixels


def framed(folder: Path, pixels: NDArray[np.uint8]) -> OpenFrame:
    """Return pixels as an opened frame, stored without loss."""
    path = folder / "frame.png"
    Image.fromarray(pixels).save(path)
    return open_frame(path, sha256=hashlib.sha256(path.read_bytes()).hexdigest())


def light(code: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return linear light, IEC 61966-2-1:1999, section 5.2."""
    value = code / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize(
    ("print_cm", "px_per_mm", "pixel_ratio"),
    [(60.0, 5.2, 2), (40.0, 3.7795, 1), (60.0, 6.04, 3), (120.0, 4.41, 1)],
)
def test_a_bar_is_as_long_on_the_screen_as_on_the_print(
    tmp_path: Path, print_cm: float, px_per_mm: float, pixel_ratio: int
) -> None:
    # A black bar of 300 of 3000 pixels on white: a tenth of the print's long edge, by definition.
    pixels = np.full((400, 3000, 3), 255, np.uint8)
    pixels[:, 1350:1650] = 0
    frame = framed(tmp_path, pixels)
    width_css = 700
    piece = piece_around(
        (1500, 200),
        frame_px=(3000, 400),
        print_cm=print_cm,
        width_mm=width_css / px_per_mm,
        height_mm=20 / px_per_mm,
    )
    shown = piece_pixels(frame, piece, width_px=width_css * pixel_ratio, height_px=20 * pixel_ratio)
    dark_px = (1 - light(shown[10, :, 1])).sum()
    length_mm = dark_px / pixel_ratio / px_per_mm
    assert length_mm == pytest.approx(print_cm, abs=0.02 * 10 / px_per_mm)


def exact_means(values: NDArray[np.float64], cells: int) -> NDArray[np.float64]:
    """Return the mean of each of so many equal parts of a row, parts of pixels counted as parts."""
    width = Fraction(len(values), cells)
    means = []
    for cell in range(cells):
        start, end = cell * width, (cell + 1) * width
        parts = [
            float(min(end, Fraction(k + 1)) - max(start, Fraction(k))) * values[k]
            for k in range(math.floor(start), math.ceil(end))
        ]
        means.append(sum(parts) / float(width))
    return np.array(means)


def test_each_pixel_is_the_mean_light_of_its_part(tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    row = rng.integers(0, 256, (1, 97, 3), dtype=np.uint8)
    frame = framed(tmp_path, np.repeat(row, 40, axis=0))
    piece = PrintPiece(left_px=0, top_px=0, width_px=97, height_px=40, width_mm=97, height_mm=40)
    shown = piece_pixels(frame, piece, width_px=36, height_px=20)
    for channel in range(3):
        expected = exact_means(light(row[0, :, channel]), 36)
        np.testing.assert_allclose(light(shown[7, :, channel]), expected, atol=0.006)


class Even:
    """A frame of one tone, and its grid."""

    full_level = 0

    def __init__(self, level: int) -> None:
        self.pixels = np.full((60, 60, 3), level, np.uint8)

    @property
    def grid(self) -> "Even":
        """Return itself: it has one level."""
        return self

    def size(self, level: int) -> tuple[int, int]:
        """Return its size."""
        return 60 + level, 60

    def piece(self, level: int, left: int, top: int, size: tuple[int, int]) -> NDArray[np.uint8]:
        """Return a piece of it."""
        return self.pixels[top + level : top + size[1], left : left + size[0]]


@given(st.integers(0, 255), st.integers(20, 90), st.integers(20, 90))
def test_an_even_field_stays_even_at_every_scale(level: int, width: int, height: int) -> None:
    piece = PrintPiece(
        left_px=3.3, top_px=5.1, width_px=48.7, height_px=50.2, width_mm=1, height_mm=1
    )
    shown = piece_pixels(Even(level), piece, width_px=width, height_px=height)  # type: ignore[arg-type]
    assert shown.shape == (height, width, 3)
    assert np.abs(shown.astype(int) - level).max() <= 1


def test_a_large_frame_is_taken_from_a_halved_level_and_looks_the_same(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    coarse = rng.integers(40, 215, (20, 30, 3), dtype=np.uint8)
    pixels = np.asarray(Image.fromarray(coarse).resize((1200, 800), Image.Resampling.BICUBIC))
    frame = framed(tmp_path, pixels)
    piece = piece_around((600, 400), frame_px=(1200, 800), print_cm=24, width_mm=240, height_mm=160)
    shown = piece_pixels(frame, piece, width_px=75, height_px=50)
    whole = light(pixels).reshape(50, 16, 75, 16, 3).mean(axis=(1, 3))
    np.testing.assert_allclose(light(shown), whole, atol=0.012)


@given(
    st.floats(0, 6000),
    st.floats(0, 4000),
    st.floats(10, 200),
    st.floats(5, 900),
    st.floats(5, 900),
)
def test_a_piece_never_leaves_the_frame_and_keeps_its_scale(
    x: float, y: float, print_cm: float, width_mm: float, height_mm: float
) -> None:
    piece = piece_around(
        (x, y), frame_px=(6000, 4000), print_cm=print_cm, width_mm=width_mm, height_mm=height_mm
    )
    assert piece.left_px >= 0
    assert piece.top_px >= 0
    assert piece.left_px + piece.width_px <= 6000 + 1e-6
    assert piece.top_px + piece.height_px <= 4000 + 1e-6
    per_mm = 6000 / (10 * print_cm)
    assert piece.width_px == pytest.approx(piece.width_mm * per_mm)
    assert piece.height_px == pytest.approx(piece.height_mm * per_mm)
    assert piece.width_mm <= width_mm * (1 + 1e-9)
