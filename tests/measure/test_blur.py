"""What must hold for any picture: turning, mirroring, brightening, and knowing when not to know."""

import math

import numpy as np
import pytest
from tests.measure.made import NOISE, frequencies, natural_texture, spread, window_of

from eyeplane.imaging import LumaWindow
from eyeplane.measure import Noise, fit_blur, measure_blur, unknown_blur, window_spectrum
from eyeplane.optics import disc_mtf, line_mtf
from eyeplane.records import Blur, Measured

SIDE = 128


def disc_window(diameter_px: float, seed: int, side_px: int = SIDE) -> LumaWindow:
    fx, fy = frequencies(side_px)
    texture = natural_texture(side_px, np.random.default_rng(seed))
    transfer = disc_mtf(np.hypot(fx, fy), disc_px=diameter_px)
    return window_of(spread(texture, transfer), noise_seed=seed)


def line_window(length_px: float, angle_deg: float, seed: int, side_px: int = SIDE) -> LumaWindow:
    fx, fy = frequencies(side_px)
    angle = math.radians(angle_deg)
    along = fx * math.cos(angle) + fy * math.sin(angle)
    texture = natural_texture(side_px, np.random.default_rng(seed))
    return window_of(spread(texture, line_mtf(along, line_px=length_px)), noise_seed=seed)


def changed(window: LumaWindow, luma: np.ndarray) -> LumaWindow:
    return LumaWindow(
        luma=np.ascontiguousarray(luma, np.float32),
        clipped=np.zeros(luma.shape, bool),
        x_px=window.x_px,
        y_px=window.y_px,
        encoding_slope=None,
    )


def measured(*windows: LumaWindow, noise: Noise | None = NOISE) -> Blur:
    return measure_blur(windows, quantization=None, noise=noise)


def disc_of(blur: Blur) -> Measured:
    assert blur.disc_px is not None
    return blur.disc_px


@pytest.mark.parametrize("diameter_px", [3.3, 4.5, 7.0, 11.0, 18.0, 30.0])
def test_finds_a_disc_of_known_size_on_made_texture(diameter_px: float) -> None:
    # Texture and disc are mathematics (f^-2.3 power, transfer 2 J1(x)/x); own source. There is no
    # pixel or glass in it, which at 3 px makes the disc read 0.2 px small.
    blur = measured(disc_window(diameter_px, seed=4))
    assert blur.kind == "disc"
    assert disc_of(blur).value == pytest.approx(diameter_px, rel=0.03, abs=0.25)
    assert disc_of(blur).low <= diameter_px <= disc_of(blur).high


@pytest.mark.parametrize(("length_px", "angle_deg"), [(6, 0), (8, 30), (12, 90), (20, 135)])
def test_finds_a_line_of_known_length_and_direction(length_px: float, angle_deg: float) -> None:
    blur = measured(line_window(length_px, angle_deg, seed=5))
    assert blur.kind == "line"
    assert blur.size_px is not None
    assert blur.size_px.value == pytest.approx(length_px, rel=0.06)
    assert blur.angle_deg is not None
    assert abs((blur.angle_deg - angle_deg + 90) % 180 - 90) < 3


def test_measures_a_disc_of_60_px_in_a_window_of_256_px() -> None:
    blur = measured(disc_window(60.0, seed=6, side_px=256))
    assert disc_of(blur).value == pytest.approx(60.0, rel=0.1)


def test_measures_large_discs_in_large_windows_after_shrinking() -> None:
    blur = measured(disc_window(40.0, seed=6, side_px=512))
    assert disc_of(blur).value == pytest.approx(40.0, rel=0.08)


def test_sharp_texture_is_called_none_and_reaches_down_to_0() -> None:
    blur = measured(window_of(natural_texture(SIDE, np.random.default_rng(8))))
    assert blur.kind == "none"
    assert disc_of(blur).low == 0.0
    assert disc_of(blur).value < 1.5


@pytest.mark.parametrize("length_px", [7.0, 14.0])
def test_turning_by_a_right_angle_turns_the_line(length_px: float) -> None:
    window = line_window(length_px, 20.0, seed=9)
    turned = measured(changed(window, np.rot90(window.luma)))
    straight = measured(window)
    assert straight.line_angle_deg is not None
    assert turned.line_angle_deg is not None
    off = (turned.line_angle_deg - straight.line_angle_deg) % 180
    assert off == pytest.approx(90.0, abs=1.0)
    assert turned.line_px is not None
    assert straight.line_px is not None
    assert turned.line_px.value == pytest.approx(straight.line_px.value, rel=0.02)


def test_a_mirror_flips_the_direction() -> None:
    window = line_window(9.0, 25.0, seed=10)
    flipped = measured(changed(window, window.luma[:, ::-1]))
    assert flipped.angle_deg == pytest.approx(155.0, abs=3.0)


@pytest.mark.parametrize("factor", [0.25, 3.0])
def test_brightness_leaves_the_size(factor: float) -> None:
    window = disc_window(6.0, seed=11)
    noise = Noise(
        read=NOISE.read * factor**2,
        photon=NOISE.photon * factor,
        low_factor=NOISE.low_factor,
        high_factor=NOISE.high_factor,
        source="iso",
    )
    brighter = measured(changed(window, window.luma * factor), noise=noise)
    assert disc_of(brighter).value == pytest.approx(disc_of(measured(window)).value, rel=1e-3)


def test_a_second_window_of_the_same_blur_narrows_the_interval() -> None:
    one, other = disc_window(5.0, seed=12, side_px=64), disc_window(5.0, seed=13, side_px=64)
    alone, both = disc_of(measured(one)), disc_of(measured(one, other))
    assert both.value == pytest.approx(5.0, rel=0.1)
    assert both.high - both.low < alone.high - alone.low


def test_windows_of_different_size_join() -> None:
    blur = measured(disc_window(8.0, seed=14, side_px=96), disc_window(8.0, seed=15, side_px=192))
    assert disc_of(blur).value == pytest.approx(8.0, rel=0.06)


@pytest.mark.parametrize("side_px", [64, 128, 256])
@pytest.mark.parametrize("known", [True, False])
def test_noise_alone_tells_nothing(side_px: int, known: bool) -> None:  # noqa: FBT001  parametrized
    luma = 0.2 + 0.01 * np.random.default_rng(16).normal(size=(side_px, side_px))
    noise = Noise(read=1e-4, photon=0.0, low_factor=0.6, high_factor=1.7, source="iso")
    blur = measured(window_of(luma, noise_seed=None), noise=noise if known else None)
    assert blur.kind == "cannot tell"
    assert blur.size_px is None


def test_a_flat_window_tells_nothing() -> None:
    assert measured(window_of(np.full((SIDE, SIDE), 0.3), noise_seed=None)) == unknown_blur()
    assert measured(window_of(np.full((SIDE, SIDE), 0.3))) == unknown_blur()


def test_black_small_clipped_or_no_windows_tell_nothing() -> None:
    dark = window_of(np.zeros((SIDE, SIDE)), noise_seed=None)
    small = window_of(natural_texture(32, np.random.default_rng(1)))
    white = window_of(np.ones((SIDE, SIDE)), noise_seed=None)
    assert measured(dark, small, white) == unknown_blur()
    assert measured() == unknown_blur()


def test_windows_that_tell_nothing_do_not_disturb_those_that_do() -> None:
    window = disc_window(6.0, seed=17)
    flat = window_of(np.full((SIDE, SIDE), 0.3))
    assert measured(window, flat) == measured(window)


def test_without_lines_the_disc_is_the_same() -> None:
    spectrum = window_spectrum(disc_window(6.0, seed=18), quantization=None, noise=NOISE)
    assert spectrum is not None
    fast, whole = fit_blur([spectrum], lines=False), fit_blur([spectrum])
    assert fast.disc_px == whole.disc_px
    assert fast.line_px is None
    assert fast.kind == "disc"


def test_a_clipped_catchlight_does_not_look_sharp() -> None:
    window = disc_window(10.0, seed=19)
    luma = window.luma.copy()
    y, x = np.mgrid[:SIDE, :SIDE]
    light = np.hypot(x - 60, y - 50) < 7
    luma[light] = 1.0
    spotted = LumaWindow(luma=luma, clipped=light, x_px=0, y_px=0, encoding_slope=None)
    assert disc_of(measured(spotted)).value == pytest.approx(10.0, rel=0.1)


def test_hot_pixels_do_not_look_sharp() -> None:
    window = disc_window(10.0, seed=21)
    luma = window.luma.copy()
    where = np.random.default_rng(2).integers(4, SIDE - 4, (12, 2))
    luma[where[:, 0], where[:, 1]] = 0.9
    assert disc_of(measured(changed(window, luma))).value == pytest.approx(10.0, rel=0.1)


@pytest.mark.parametrize(("length_px", "disc_px"), [(12.0, 4.0), (16.0, 6.0)])
def test_finds_a_line_with_a_disc_beside(length_px: float, disc_px: float) -> None:
    # The transfer of two blurs is the product of theirs; own source for the formulas.
    fx, fy = frequencies(SIDE)
    angle = math.radians(30)
    along = fx * math.cos(angle) + fy * math.sin(angle)
    transfer = line_mtf(along, line_px=length_px) * disc_mtf(np.hypot(fx, fy), disc_px=disc_px)
    windows = [
        window_of(spread(natural_texture(SIDE, np.random.default_rng(s)), transfer), noise_seed=s)
        for s in (1, 2)
    ]
    blur = measured(*windows)
    assert blur.kind == "line"
    assert blur.size_px is not None
    assert blur.size_px.value == pytest.approx(length_px, rel=0.08)
    assert blur.angle_deg == pytest.approx(30, abs=4)
    assert blur.disc_beside_px is not None
    assert blur.disc_beside_px.value == pytest.approx(disc_px, rel=0.3)
