"""One slanted edge: what it does not depend on, what it refuses, what it warns of."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage
from tests.measure.slanted_edges import edge

from eyeplane.errors import InputError
from eyeplane.measure.slanted import edge_response

PLAIN = edge("gauss", 0.8)
SEEN = edge_response(PLAIN)


@settings(max_examples=12, deadline=None)
@given(gain=st.floats(0.05, 1.0), offset=st.floats(0.0, 2.0))
def test_contrast_and_offset_do_not_matter(gain: float, offset: float) -> None:
    seen = edge_response(offset + gain * PLAIN)
    assert np.abs(seen.mtf - SEEN.mtf).max() < 0.004  # evening the light out is not quite linear
    assert seen.mtf50_per_px == pytest.approx(SEEN.mtf50_per_px, rel=0.003)


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_turned_frame_reads_alike(quarters: int) -> None:
    seen = edge_response(np.rot90(PLAIN, quarters))
    assert np.abs(seen.mtf - SEEN.mtf).max() < 1e-6
    turned = (SEEN.angle_deg + 90 * quarters + 180) % 360 - 180
    assert seen.angle_deg == pytest.approx(turned, abs=1e-6)


def test_a_mirrored_frame_and_its_negative_read_alike() -> None:
    for other in (PLAIN[:, ::-1], PLAIN[::-1], 0.7 - PLAIN):
        assert np.abs(edge_response(other).mtf - SEEN.mtf).max() < 0.003


def test_a_bent_edge_reads_like_a_straight_one() -> None:
    seen = edge_response(edge("gauss", 0.8, bend_px=1.5))
    assert seen.mtf50_per_px == pytest.approx(SEEN.mtf50_per_px, rel=0.01)
    assert seen.curve_px == pytest.approx(1.5, rel=0.1)
    assert SEEN.curve_px < 0.02


def test_uneven_light_is_taken_out() -> None:
    y, x = np.mgrid[0:80, 0:80] / 80 - 0.5
    seen = edge_response(PLAIN * (1 + 0.1 * x + 0.08 * y))
    assert seen.mtf50_per_px == pytest.approx(SEEN.mtf50_per_px, rel=0.005)
    assert np.abs(seen.mtf - SEEN.mtf).max() < 0.008


def test_levels_contrast_and_noise_are_told() -> None:
    rng = np.random.default_rng(3)
    seen = edge_response(PLAIN + rng.normal(0, 0.01, PLAIN.shape))
    assert (seen.dark_level, seen.bright_level) == pytest.approx((0.1, 0.6), abs=0.005)
    assert seen.contrast == pytest.approx(5 / 7, abs=0.01)
    assert seen.noise == pytest.approx(0.02, rel=0.15)
    assert seen.length_px == pytest.approx(80, abs=3)
    assert SEEN.sigma_px == pytest.approx(0.187391 / 0.2201, rel=0.005)


def test_a_quadrilateral_may_be_turned() -> None:
    wide = edge("gauss", 0.8, normal_deg=12.0, side_px=120)
    a = np.radians(12.0)
    across, along = np.array([np.cos(a), -np.sin(a)]), np.array([np.sin(a), np.cos(a)])
    corners = [
        60 + 20 * s * across + 30 * t * along for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1))
    ]
    spoiled = wide.copy()
    spoiled[:20] = 0.9  # beside the quadrilateral there may be anything
    seen = edge_response(spoiled, corners_px=corners)
    assert seen.mtf50_per_px == pytest.approx(0.2201, rel=0.005)
    assert seen.length_px == pytest.approx(60, abs=4)


def test_sharpening_overshoots_and_beats_the_pixel() -> None:
    blurred = ndimage.gaussian_filter(PLAIN, 1.0, mode="nearest")
    seen = edge_response(PLAIN + 1.5 * (PLAIN - blurred))
    assert seen.overshoot_ratio > 0.03
    assert seen.mtf.max() > 1.03
    assert SEEN.overshoot_ratio < 0.005
    assert SEEN.mtf.max() < 1.005


def test_clipped_sides_are_told() -> None:
    over = np.minimum(PLAIN * 2, 1.0)
    assert edge_response(over, clipped=over >= 1.0).clipped
    assert not edge_response(PLAIN, clipped=PLAIN >= 1.0).clipped


@pytest.mark.parametrize(
    ("luma", "said"),
    [
        (np.full((40, 40), 0.5), "no edge"),
        (np.random.default_rng(0).normal(0.5, 0.1, (40, 40)), "no clear edge"),
        (edge(side_px=10), "long"),
        (edge("gauss", 9.0, side_px=24), "blurred over|no clear edge"),
        (edge(normal_deg=0.0), "along the pixels"),
        (edge(normal_deg=45.0), "along the pixels"),
        (np.zeros((4, 40)), "cannot hold"),
        (np.full((40, 40), np.nan), "cannot hold"),
    ],
)
def test_what_cannot_be_read_is_said(luma: np.ndarray, said: str) -> None:
    with pytest.raises(InputError, match=said):
        edge_response(luma)
