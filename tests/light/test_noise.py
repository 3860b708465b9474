"""Noise by ISO: photons alone in good light, read-out in the dark, and the limits of both."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    FULL_WELL,
    LUMA_POWER,
    READ_ELECTRONS,
    electrons_at_white,
    noise_contrast,
    noise_variance,
)


def test_luma_power_is_that_of_the_weights() -> None:
    # Rec. ITU-R BT.709: .2126 .7152 .0722; the sum of squares is that of independent channels.
    assert pytest.approx(0.2126**2 + 0.7152**2 + 0.0722**2, abs=1e-3) == LUMA_POWER


@given(iso=st.floats(50, 102_400), pitch_um=st.floats(0.8, 11), level=st.floats(0.01, 1))
def test_noise_against_counting_electrons(iso: float, pitch_um: float, level: float) -> None:
    # One channel counts n electrons: variance n of photons and r² of read-out (Poisson).
    n = level * electrons_at_white(iso=iso, pitch_um=pitch_um)
    expected = math.sqrt(LUMA_POWER * (n + READ_ELECTRONS**2)) / n
    found = noise_contrast(iso=iso, pitch_um=pitch_um, level=level)
    assert found == pytest.approx(expected, rel=1e-9)


@given(iso=st.floats(50, 50_000), level=st.floats(0.01, 0.9))
def test_more_light_is_less_noise(iso: float, level: float) -> None:
    noise = noise_contrast(iso=iso, pitch_um=4.0, level=level)
    assert noise < noise_contrast(iso=2 * iso, pitch_um=4.0, level=level)
    assert noise > noise_contrast(iso=iso, pitch_um=4.0, level=1.1 * level)
    assert noise > noise_contrast(iso=iso, pitch_um=5.0, level=level)


def test_in_good_light_noise_grows_by_root_two_a_stop() -> None:
    low, high = noise_contrast(iso=np.array([100.0, 200.0]), pitch_um=6.0, level=0.5)
    assert high / low == pytest.approx(math.sqrt(2), rel=2e-3)


def test_poisson_counts() -> None:
    # Check values, section 6: 10^4 counts have a signal-to-noise ratio of 100 (one channel).
    assert electrons_at_white(iso=100.0, pitch_um=6.0) == FULL_WELL
    read, photon = noise_variance(iso=500.0, pitch_um=6.0)
    assert 1 / math.sqrt(photon / LUMA_POWER) == pytest.approx(100)
    assert read < photon / 1000


def test_arrays_and_broadcasting() -> None:
    iso, level = np.array([100.0, 400.0, 1600.0]), np.array([[0.05], [0.18]])
    noise = noise_contrast(iso=iso, pitch_um=6.0, level=level)
    assert noise.shape == (2, 3)
    assert noise[1, 2] == pytest.approx(noise_contrast(iso=1600.0, pitch_um=6.0))
    pitches = noise_contrast(iso=400.0, pitch_um=np.array([4.0, 40.0]))
    assert pitches[1] == noise_contrast(iso=400.0, pitch_um=12.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(InputError, match="iso"):
        noise_contrast(iso=np.array([100.0, bad]), pitch_um=6.0)
    with pytest.raises(InputError, match="level"):
        noise_contrast(iso=100.0, pitch_um=6.0, level=bad)
