"""A core frozen by flash with a ghost beside it: found again, and not seen where there is none."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.measure.made import NOISE, Array, frequencies, natural_texture, spread, window_of

from eyeplane.measure.blur import fit_blur
from eyeplane.measure.ghost import fit_ghost, ghost_power
from eyeplane.measure.spectrum import Spectrum, window_spectrum
from eyeplane.optics import disc_mtf, line_mtf
from eyeplane.records import Ghost

SIDE = 128


def ghost_transfer(length_px: float, angle_deg: float, share: float, end: float) -> Array:
    """Return the complex transfer by its definition: a core and a shifted line."""
    fx, fy = frequencies(SIDE)
    angle = math.radians(angle_deg)
    along = length_px * (fx * math.cos(angle) + fy * math.sin(angle))
    ghost = np.sinc(along) * np.exp(2j * math.pi * end * along)
    return np.asarray(share + (1 - share) * ghost)


def spectra(transfer: Array, *, count: int = 3) -> list[Spectrum]:
    """Return windows of texture seen through a transfer."""
    rng = np.random.default_rng(5)
    found = []
    for k in range(count):
        drawn = spread(natural_texture(SIDE, rng), transfer)
        spectrum = window_spectrum(window_of(drawn, noise_seed=k), quantization=None, noise=NOISE)
        assert spectrum is not None
        found.append(spectrum)
    return found


def found(transfer: Array) -> Ghost | None:
    """Return what is found behind a transfer."""
    windows = spectra(transfer)
    return fit_ghost(windows, fit_blur(windows))


@given(
    phase=st.floats(-20.0, 20.0),
    share=st.floats(0.0, 1.0),
    end=st.sampled_from([-0.5, 0.0, 0.3, 0.5]),
)
def test_power_is_the_squared_sum_of_core_and_line(phase: float, share: float, end: float) -> None:
    # |a + (1 - a) sinc(x) exp(2 i e x)|^2, summed as complex numbers.
    line = math.sin(phase) / phase if phase else 1.0
    total = share + (1 - share) * line * complex(
        math.cos(2 * end * phase), math.sin(2 * end * phase)
    )
    power = ghost_power(np.array([phase]), share=share, end_share=end)
    assert power[0] == pytest.approx(abs(total) ** 2, abs=1e-12)


def test_power_at_the_ends_of_the_share() -> None:
    phase = np.linspace(0.01, 9.0, 50)
    assert ghost_power(phase, share=1.0, end_share=0.5) == pytest.approx(np.ones(50))
    line = line_mtf(phase / math.pi, line_px=1.0)
    assert ghost_power(phase, share=0.0, end_share=0.5) == pytest.approx(line**2)


@pytest.mark.parametrize(
    ("length_px", "angle_deg", "share", "end"),
    [(10.0, 20.0, 0.5, 0.0), (14.0, 110.0, 0.4, 0.5), (9.0, 75.0, 0.35, -0.5)],
)
def test_ghost_is_found_again(length_px: float, angle_deg: float, share: float, end: float) -> None:
    ghost = found(ghost_transfer(length_px, angle_deg, share, end))
    assert ghost is not None
    assert ghost.length_px.value == pytest.approx(length_px, rel=0.12)
    assert abs((ghost.angle_deg - angle_deg + 90) % 180 - 90) < 5.0
    assert ghost.core_share.value == pytest.approx(share, abs=0.12)
    assert ghost.core_share.low <= ghost.core_share.value <= ghost.core_share.high


def test_no_ghost_in_sharp_defocused_or_moved_texture() -> None:
    fx, fy = frequencies(SIDE)
    radius = np.hypot(fx, fy)
    angle = math.radians(35.0)
    line = line_mtf(fx * math.cos(angle) + fy * math.sin(angle), line_px=11.0)
    for transfer in (
        np.ones_like(fx),
        disc_mtf(radius, disc_px=4.0),
        disc_mtf(radius, disc_px=11.0),
        line,
        line * disc_mtf(radius, disc_px=4.0),
    ):
        assert found(np.asarray(transfer)) is None


def test_nothing_to_fit() -> None:
    windows = spectra(ghost_transfer(10.0, 20.0, 0.5, 0.0), count=1)
    assert fit_ghost([], fit_blur([])) is None
    assert fit_ghost(windows, fit_blur(windows)) is None  # one window may be a fence
