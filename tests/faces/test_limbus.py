"""Drawn eyes: the edge of an iris of known size must be found where it is."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.faces.limbus import Expected, Limbus, look_for_limbus
from eyeplane.imaging import open_picture
from eyeplane.records import MeasureSettings

MIDDLE = (203.4, 151.7)


def eye(diameter_px: float, *, blur_px: float = 0.0, noise: float = 1.0) -> NDArray[np.uint8]:
    """Return a drawn eye, four times oversampled: skin, white, iris, pupil, catchlight, lids."""
    k, d = 4, diameter_px
    skin, white, grey, dark, light = (182, 140, 120), (225, 220, 215), (96, 90, 82), 20, 250
    canvas = np.full((300 * k, 400 * k, 3), skin, np.uint8)
    x, y = (v * k for v in MIDDLE)
    ys, xs = np.mgrid[: 300 * k, : 400 * k] + 0.5
    across = np.clip((xs - x) / (1.25 * d * k), -1.0, 1.0)
    open_ = (np.abs(across) < 1.0) & (ys - y > -0.40 * d * k * np.sqrt(1 - across**2))
    open_ &= ys - y < 0.46 * d * k * np.sqrt(1 - across**2)
    away = np.hypot(xs - x, ys - y)
    canvas[open_] = white
    canvas[open_ & (away < d * k / 2)] = grey
    canvas[open_ & (away < d * k / 6)] = dark
    canvas[open_ & (np.hypot(xs - x - 0.2 * d * k, ys - y + 0.1 * d * k) < 0.05 * d * k)] = light
    small = np.asarray(cv2.resize(canvas, (400, 300), interpolation=cv2.INTER_AREA), np.float64)
    if blur_px > 0.0:
        small = np.asarray(cv2.blur(small, (int(blur_px), int(blur_px))), np.float64)
    grain = np.random.default_rng(5).normal(0.0, noise, small.shape)
    return np.clip(small + grain, 0, 255).astype(np.uint8)


def fitted(
    rgb: NDArray[np.uint8], folder: Path, *, guess: tuple[float, float, float]
) -> Limbus | None:
    cv2.imwrite(str(folder / "eye.png"), rgb[..., ::-1])
    picture = open_picture(folder / "eye.png", settings=MeasureSettings())
    x, y, diameter = guess
    look = look_for_limbus(picture, Expected(middle_px=(x, y), diameter_px=diameter, turn_rad=0.0))
    return look.limbus


@pytest.mark.parametrize("diameter", [12.0, 30.0, 60.0, 90.0])
@pytest.mark.parametrize("off", [(0.0, 0.0, 1.0), (0.2, -0.1, 0.88), (-0.25, 0.1, 1.12)])
def test_a_drawn_iris_is_found_from_a_rough_guess(
    tmp_path: Path, diameter: float, off: tuple[float, float, float]
) -> None:
    guess = (MIDDLE[0] + off[0] * diameter, MIDDLE[1] + off[1] * diameter, off[2] * diameter)
    limbus = fitted(eye(diameter), tmp_path, guess=guess)
    assert limbus is not None
    tolerance = 0.03 if diameter > 20.0 else 0.06
    assert limbus.diameter_px == pytest.approx(diameter, rel=tolerance)
    assert np.hypot(*np.subtract(limbus.middle_px, MIDDLE)) < tolerance * diameter


def test_blur_of_a_tenth_moves_the_edge_little_and_widens_the_spread(tmp_path: Path) -> None:
    guess = (*MIDDLE, 66.0)
    sharp = fitted(eye(60.0), tmp_path, guess=guess)
    soft = fitted(eye(60.0, blur_px=9.0), tmp_path, guess=guess)
    assert sharp is not None
    assert soft is not None
    assert soft.diameter_px == pytest.approx(60.0, rel=0.05)
    assert soft.sd_px >= sharp.sd_px


def test_an_edge_too_soft_too_small_or_missing_is_not_fitted(tmp_path: Path) -> None:
    guess = (*MIDDLE, 60.0)
    assert fitted(eye(60.0, blur_px=45.0), tmp_path, guess=guess) is None
    assert fitted(eye(60.0), tmp_path, guess=(*MIDDLE, 5.0)) is None
    blank = np.full((300, 400, 3), 128, np.uint8)
    assert fitted(blank, tmp_path, guess=guess) is None


def test_an_eye_outside_the_frame_is_not_fitted(tmp_path: Path) -> None:
    assert fitted(eye(60.0), tmp_path, guess=(-500.0, -500.0, 60.0)) is None
