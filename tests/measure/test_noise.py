"""Noise: photons by ISO, and flat places of known noise."""

import numpy as np
import pytest

from eyeplane.imaging import LumaWindow
from eyeplane.measure import likely_pitch_um, measure_noise
from eyeplane.records import Exposure, Measured


def flat_window(level: float, sd: float) -> LumaWindow:
    luma = level + sd * np.random.default_rng(3).normal(size=(128, 128))
    return LumaWindow(
        luma=luma.astype(np.float32),
        clipped=np.zeros((128, 128), bool),
        x_px=0,
        y_px=0,
        encoding_slope=None,
    )


def test_four_times_the_iso_doubles_photon_noise() -> None:
    # Photon noise is Poisson: variance in proportion to the gain, a fact of the trade.
    low, high = (measure_noise([], iso=iso, quantization=None) for iso in (400, 1600))
    assert low is not None
    assert high is not None
    assert high.contrast_at(0.5).value / low.contrast_at(0.5).value == pytest.approx(2.0, rel=0.01)


def test_half_the_pitch_doubles_photon_noise() -> None:
    # A pixel of a quarter of the area holds a quarter of the electrons, a fact of the trade.
    large, small = (
        measure_noise([], iso=400, quantization=None, pitch_um=pitch) for pitch in (6.0, 3.0)
    )
    assert large is not None
    assert small is not None
    ratio = small.contrast_at(0.5).value / large.contrast_at(0.5).value
    assert ratio == pytest.approx(2.0, rel=0.01)


def test_a_very_short_lens_tells_of_a_small_sensor() -> None:
    told = Measured(value=4.35, low=4.3, high=4.4)
    lens = Exposure(focal_length_mm=4.2)
    assert likely_pitch_um(lens, pitch_um=told, long_edge_px=4000) == 4.35
    # A phone of 12 MP with 4.2 mm: pixels of 1.4 µm (data sheets, from memory).
    assert likely_pitch_um(lens, pitch_um=None, long_edge_px=4000) == pytest.approx(1.35, abs=0.1)
    assert likely_pitch_um(Exposure(), pitch_um=None, long_edge_px=4000) == 6.0
    portrait = Exposure(focal_length_mm=85.0)
    assert likely_pitch_um(portrait, pitch_um=None, long_edge_px=4000) == 6.0


def test_brighter_places_have_less_noise_contrast() -> None:
    noise = measure_noise([], iso=800, quantization=None)
    assert noise is not None
    contrasts = [noise.contrast_at(level).value for level in (0.01, 0.05, 0.2, 0.8)]
    assert contrasts == sorted(contrasts, reverse=True)


@pytest.mark.parametrize("sd", [0.002, 0.01, 0.04])
def test_finds_the_noise_of_a_flat_place_without_iso(sd: float) -> None:
    # Image alone may lack what a camera smoothed away: the interval allows for it upwards.
    noise = measure_noise([flat_window(0.25, sd)], iso=None, quantization=None)
    assert noise is not None
    assert noise.source == "image"
    found = noise.contrast_at(0.25)
    assert found.low <= sd / 0.25 <= found.high
    assert found.value == pytest.approx(sd / 0.25, rel=0.35)


def test_image_and_iso_are_weighed() -> None:
    by_iso = measure_noise([], iso=100, quantization=None)
    both = measure_noise([flat_window(0.25, 0.02)], iso=100, quantization=None)
    assert by_iso is not None
    assert both is not None
    assert by_iso.contrast_at(0.25).value < both.contrast_at(0.25).value < 0.02 / 0.25 * 1.2
    assert both.high_factor / both.low_factor < by_iso.high_factor / by_iso.low_factor


def test_nothing_known_is_none() -> None:
    assert measure_noise([], iso=None, quantization=None) is None
    assert measure_noise([], iso=0, quantization=None) is None
