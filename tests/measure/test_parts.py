"""The parts of the fit: polar grid, filling, edges, profile."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.measure.made import NOISE, natural_texture, window_of

from eyeplane.measure.bank import DISCS_PX, disc_bank, line_models
from eyeplane.measure.edges import read_edges
from eyeplane.measure.fill import fill_clipped, hot_pixels
from eyeplane.measure.profile import measured_size, together
from eyeplane.measure.spectrum import ANGLES, grid_for, window_spectrum


@pytest.mark.parametrize("side_px", [48, 64, 96, 128, 192, 256])
def test_every_cell_but_those_near_the_middle_and_the_axes_holds_bins(side_px: int) -> None:
    counts = grid_for(side_px).counts
    assert counts.shape[1] == ANGLES
    assert (counts[-len(counts) // 3 :] > 0).all()
    assert counts.sum() < side_px * (side_px // 2 + 1)


def test_white_noise_has_its_variance_in_every_ring() -> None:
    # Parseval: the periodogram of white noise is flat at its variance.
    luma = 1.0 + 0.05 * np.random.default_rng(1).normal(size=(256, 256))
    spectrum = window_spectrum(window_of(luma / 2, noise_seed=None), quantization=None, noise=NOISE)
    assert spectrum is not None
    assert np.median(spectrum.power[-8:]) == pytest.approx(0.05**2, rel=0.05)


def test_models_fall_with_size_and_start_at_1() -> None:
    bank = disc_bank(128, 1)
    assert bank[0] == pytest.approx(1.0, abs=1e-3)
    low_rings = bank[:, :, 0]
    fine = DISCS_PX < 30
    assert (np.diff(low_rings[fine], axis=0) <= 1e-9).all()


def test_a_line_leaves_what_runs_across_it() -> None:
    model = line_models(128, 1, [(12.0, 0.0, 0.0)])[0]
    upright = model[ANGLES // 2 - 1 : ANGLES // 2 + 1].mean()
    along = model[[0, -1], -4:].mean()
    assert upright > 0.5
    assert along < 0.02


def test_filling_continues_a_slope_and_changes_nothing_else() -> None:
    slope = np.tile(np.linspace(0.2, 0.4, 64), (64, 1))
    clipped = np.zeros((64, 64), bool)
    clipped[28:34, 28:34] = True
    holed = np.where(clipped, 1.0, slope)
    filled = fill_clipped(holed, clipped)
    assert np.abs(filled - slope).max() < 0.02
    far = cv2.dilate(clipped.astype(np.uint8), np.ones((5, 5), np.uint8)) == 0
    assert (filled[far] == slope[far]).all()
    assert fill_clipped(slope, np.zeros((64, 64), bool)) is slope


def test_only_single_bright_pixels_are_hot() -> None:
    luma = np.full((32, 32), 0.2)
    luma[10, 10] = 0.9
    luma[20:22, 20:22] = 0.9  # a point of light as a lens draws it
    hot = hot_pixels(luma, 0.001)
    assert hot[10, 10]
    assert hot.sum() == 1


@pytest.mark.parametrize("sigma_px", [1.5, 2.0, 3.0])
def test_an_edge_of_known_spread_reads_as_the_disc_of_equal_spread(sigma_px: float) -> None:
    # A disc of diameter D has the standard deviation D / 4 per axis (mathematics).
    edge = np.where(np.arange(128) < 64, 0.5, 1.5) * np.ones((128, 1))
    image = cv2.GaussianBlur(edge, (0, 0), sigma_px).astype(np.float32)
    found = read_edges(image, noise_sd=1e-4)
    assert found is not None
    assert found.middle_px == pytest.approx(4 * sigma_px, rel=0.12)
    assert found.across_px[0] == pytest.approx(4 * sigma_px, rel=0.12)
    assert found.across_px[2] is None


def test_noise_makes_no_edges() -> None:
    noise = np.random.default_rng(4).normal(1.0, 0.05, (128, 128)).astype(np.float32)
    assert read_edges(noise, noise_sd=0.05) is None


@given(st.floats(3.0, 40.0), st.floats(0.02, 0.2))
def test_a_gaussian_profile_gives_back_middle_and_width(middle: float, width: float) -> None:
    sizes = np.geomspace(1.0, 80.0, 200)
    logs = -0.5 * (np.log((sizes + 1) / (middle + 1)) / width) ** 2
    found = measured_size(sizes, logs)
    assert found.value == pytest.approx(middle, rel=0.03)
    high = (middle + 1) * np.exp(1.645 * width) - 1
    assert found.high == pytest.approx(np.hypot(high, np.sqrt(1.6)), rel=0.05)


def test_no_window_overrules_all_others() -> None:
    gains = [np.array([0.0, 5000.0]), *([np.array([0.0, -80.0])] * 12)]
    assert np.diff(together(gains, [0.0] * 13)).item() < 0


def test_a_step_of_texture_is_measured_at_half_size() -> None:
    window = window_of(natural_texture(512, np.random.default_rng(5)))
    spectrum = window_spectrum(window, quantization=None, noise=NOISE)
    assert spectrum is not None
    assert (spectrum.side_px, spectrum.step) == (256, 2)
