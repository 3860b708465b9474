"""Lines of motion told from the edges of a chart, against transfer functions that are exact."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeplane.measure.slanted import EdgeResponse
from eyeplane.optics import disc_mtf, gaussian_mtf, pixel_mtf
from eyeplane.sitting.ladder_edges import (
    EdgeMotion,
    inverse_sinc,
    motion_at_edges,
    reference_frames,
)

FREQUENCY = np.arange(0.0, 1.0001, 0.005)
LEANS_DEG = (5.0, -5.0)  # of the chart's squares


def response(angle_deg: float, mtf: np.ndarray) -> EdgeResponse:
    """Return an edge of this direction with this contrast."""
    below = np.flatnonzero(mtf < 0.5)
    return EdgeResponse(
        frequency_per_px=FREQUENCY,
        mtf=mtf,
        mtf_sd=np.zeros_like(mtf),
        mtf50_per_px=float(FREQUENCY[below[0]]) if len(below) else None,
        mtf50_sd_per_px=0.0,
        sigma_px=None,
        angle_deg=angle_deg,
        tilt_deg=5.0,
        curve_px=0.0,
        length_px=60.0,
        dark_level=0.03,
        bright_level=0.8,
        contrast=0.93,
        noise=0.0,
        overshoot_ratio=0.0,
        pixels=2000,
        clipped=False,
    )


def frame(
    line_px: float = 0.0,
    angle_deg: float = 0.0,
    *,
    disc_px: float = 0.0,
    rng: np.random.Generator | None = None,
) -> dict[tuple[int, int], EdgeResponse]:
    """Return the edges of a frame with this line and this missed focus."""
    found = {}
    for square in range(10):
        for side in range(4):
            across = 90.0 * side + LEANS_DEG[square % 2]
            box = line_px * abs(math.cos(math.radians(across - angle_deg)))
            mtf = pixel_mtf(FREQUENCY) * gaussian_mtf(FREQUENCY, gaussian_px=0.7)
            mtf = mtf * np.sinc(box * FREQUENCY)
            if disc_px:
                mtf = mtf * np.abs(disc_mtf(FREQUENCY, disc_px=disc_px))
            if rng is not None:
                mtf = mtf * (1 + rng.normal(0, 0.004))
            found[square, side] = response(across, np.asarray(mtf, float))
    return found


SHARP = frame()


def motion(moved: dict[tuple[int, int], EdgeResponse]) -> EdgeMotion:
    """Return what a frame shows against sharp ones."""
    told = motion_at_edges(moved, [SHARP])
    assert told is not None
    return told


@settings(max_examples=20)
@given(st.floats(0.8, 14.0), st.floats(0.0, 180.0))
def test_a_line_of_any_direction_is_read(length_px: float, angle_deg: float) -> None:
    told = motion(frame(length_px, angle_deg))
    assert told.line_px.value == pytest.approx(length_px, rel=0.03)
    assert told.round_px < 0.35 * length_px


@settings(max_examples=10)
@given(st.floats(0.0, 180.0))
def test_turning_or_mirroring_the_motion_changes_nothing(angle_deg: float) -> None:
    first, second = motion(frame(4.0, angle_deg)), motion(frame(4.0, 180.0 - angle_deg))
    assert second.line_px.value == pytest.approx(first.line_px.value, rel=0.01)
    turned = motion(frame(4.0, angle_deg + 180.0))
    assert turned.line_px.value == pytest.approx(first.line_px.value, rel=1e-6)


@pytest.mark.parametrize("disc_px", [2.0, 4.0, 7.0])
def test_missed_focus_is_no_line(disc_px: float) -> None:
    told = motion(frame(disc_px=disc_px))
    assert told.line_px.value < 0.3
    # A box of equal half-contrast frequency: 0.603355 / 0.70508 of the disc.
    assert told.round_px == pytest.approx(disc_px * 0.603355 / 0.70508, rel=0.06)


def test_a_line_shows_beside_missed_focus() -> None:
    told = motion(frame(6.0, 30.0, disc_px=2.5))
    assert told.line_px.value == pytest.approx(6.0, rel=0.12)


def test_a_diagonal_is_told_from_missed_focus_by_the_two_leans() -> None:
    # Blurred alike across upright and level edges, but for the squares' leaning 5° either way.
    diagonal, soft = motion(frame(5.0, 45.0)), motion(frame(disc_px=4.1))
    assert diagonal.line_px.value == pytest.approx(5.0, rel=0.05)
    assert soft.line_px.value < 0.4


def test_the_interval_holds_the_line_under_noise() -> None:
    rng = np.random.default_rng(3)
    held = 0
    for _ in range(60):
        length, angle = rng.uniform(1.5, 9.0), rng.uniform(0, 180)
        references = [frame(rng=rng) for _ in range(3)]
        told = motion_at_edges(frame(length, angle, rng=rng), references)
        assert told is not None
        held += told.line_px.low * 0.985 <= length <= told.line_px.high * 1.015
        assert told.line_px.high < 1.3 * length + 0.5
    assert held >= 46  # nine in ten of sixty, less three standard deviations


def test_the_sharpest_quarter_is_the_reference() -> None:
    frames = [frame(line) for line in (6.0, 0.2, 3.0, 0.0, 9.0, 2.0, 5.0, 4.0)]
    assert set(reference_frames(frames)) == {1, 3}
    assert reference_frames([frame(3.0)]) == (0,)
    assert reference_frames([{}, {(0, 0): SHARP[0, 0]}]) == ()


def test_too_few_shared_edges_tell_nothing() -> None:
    few = {key: edge for key, edge in SHARP.items() if key[0] == 0}
    assert motion_at_edges(few, [SHARP]) is None
    assert motion_at_edges(SHARP, [few]) is None


@given(st.floats(0.001, 0.999))
def test_the_inverse_of_sinc_is_one(value: float) -> None:
    x = inverse_sinc(value)
    assert math.sin(x) / x == pytest.approx(value, abs=1e-9)
