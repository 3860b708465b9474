"""The capture's own softness: bounded by the sharpest window, never by how many there are."""

import math

import numpy as np
import pytest
from tests.measure.made import NOISE, Array, frequencies, natural_texture, spread, window_of

from eyeplane.measure import fit_blur, window_spectrum
from eyeplane.measure.capture import Capture, capture_of
from eyeplane.measure.spectrum import USUAL_CAPTURE_PX2, Spectrum
from eyeplane.optics import disc_mtf

SIDE = 192


def spectrum(spread_px2: float, disc_px: float, seed: int) -> Spectrum:
    """Return a window whose transfer is a Gaussian times a disc, by their formulas."""
    fx, fy = frequencies(SIDE)
    radius = np.hypot(fx, fy)
    transfer: Array = np.exp(-2 * math.pi**2 * spread_px2 * radius**2) * disc_mtf(
        radius, disc_px=disc_px
    )
    texture = natural_texture(SIDE, np.random.default_rng(seed))
    found = window_spectrum(
        window_of(spread(texture, transfer), noise_seed=seed), quantization=None, noise=NOISE
    )
    assert found is not None
    return found


def test_without_windows_only_what_is_usual_is_known() -> None:
    assert capture_of([]).spread_px2 == pytest.approx(USUAL_CAPTURE_PX2, abs=0.02)


def test_sharp_windows_show_a_sharp_capture() -> None:
    sharp = capture_of([spectrum(0.0, 0.0, seed) for seed in (1, 2)])
    assert sharp.spread_px2 < 0.05
    assert sharp.sd_px2 < Capture().sd_px2


def test_soft_windows_say_nothing_of_the_capture() -> None:
    soft = capture_of([spectrum(0.0, 6.0, seed) for seed in range(4)])
    assert soft.spread_px2 == pytest.approx(capture_of([]).spread_px2, abs=0.02)


def test_one_sharp_window_among_soft_ones_bounds_all() -> None:
    soft = [spectrum(0.0, 6.0, seed) for seed in range(3)]
    assert capture_of([*soft, spectrum(0.0, 0.0, 9)]).spread_px2 < capture_of(soft).spread_px2


def test_small_blur_is_told_once_the_capture_is() -> None:
    # 1.5 to 2 px of disc add 0.14 to 0.25 px² a axis (D²/16): as much as captures differ by.
    capture = capture_of([spectrum(0.0, 0.0, seed) for seed in (1, 2, 3)])
    for disc_px in (1.6, 2.0, 2.4):
        sizes = [
            fit_blur([capture.of(spectrum(0.0, disc_px, seed))], lines=False).size_px
            for seed in (4, 5, 6)
        ]
        middle = float(np.median([s.value for s in sizes if s is not None]))
        assert middle == pytest.approx(disc_px, rel=0.25)
