"""Bias and spread of simulated kits; offsets carried by the thin lens."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from eyeplane.kit.focus_bias import (
    carried_offset_mm,
    fit_focus,
    image_shift_um,
    usual_scatter_mm,
)
from eyeplane.optics import magnification
from eyeplane.records import Measured


def measured(values: np.ndarray, half: float) -> list[Measured]:
    return [Measured(value=float(v), low=float(v) - half, high=float(v) + half) for v in values]


@pytest.mark.parametrize("count", [3, 6, 10])
def test_intervals_of_simulated_kits_cover_bias_and_spread(count: int) -> None:
    rng = np.random.default_rng(count)
    bias_held = spread_held = 0
    runs = 300
    for _ in range(runs):
        spread = float(rng.choice([1.5, 4.0, 8.0]))
        true = rng.normal(0, 10)
        values = rng.normal(true, spread, count) + rng.normal(0, 0.6, count)
        fit = fit_focus(measured(values, 0.6 * 1.645), usual_mm=3.5)
        assert fit is not None
        bias_held += fit.bias_mm.low <= true <= fit.bias_mm.high
        spread_held += fit.spread_mm.low <= spread <= fit.spread_mm.high
    assert 0.84 * runs <= bias_held <= 0.96 * runs
    assert 0.82 * runs <= spread_held <= 0.97 * runs


def test_many_exact_frames_give_the_interval_of_students_t() -> None:
    """scipy.stats.t: the textbook interval of a mean, where the measuring adds nothing."""
    values = np.random.default_rng(1).normal(9, 4, 30)
    fit = fit_focus(measured(values, 0.01), usual_mm=4.0)
    assert fit is not None
    low, high = stats.t.interval(0.9, 29, values.mean(), values.std(ddof=1) / math.sqrt(30))
    assert fit.bias_mm.low == pytest.approx(low, abs=0.15)
    assert fit.bias_mm.high == pytest.approx(high, abs=0.15)
    assert fit.spread_mm.value == pytest.approx(values.std(ddof=1), rel=0.05)


def test_measuring_error_is_taken_out_of_the_spread() -> None:
    values = np.random.default_rng(2).normal(0, 5, 40)
    fit = fit_focus(measured(values, 5 * 1.645), usual_mm=3.5)
    assert fit is not None
    assert fit.spread_mm.low < 1.0


def test_two_frames_tell_no_bias() -> None:
    assert fit_focus(measured(np.array([5.0, 6.0]), 1.0), usual_mm=3.0) is None


@given(
    focal=st.floats(24, 200),
    times=st.floats(8, 60),
    share=st.floats(-0.05, 0.05),
)
def test_carrying_an_offset_to_its_own_distance_changes_nothing(
    focal: float, times: float, share: float
) -> None:
    distance = focal * times
    shift = image_shift_um(focal_length_mm=focal, distance_mm=distance, offset_mm=share * distance)
    back = carried_offset_mm(focal_length_mm=focal, distance_mm=distance, shift_um=shift)
    assert back == pytest.approx(share * distance, rel=1e-6, abs=1e-6)
    assert (shift > 0) == (share > 0) or abs(share) < 1e-9


def test_small_offsets_go_with_the_square_of_the_magnification() -> None:
    """Longitudinal magnification is m²: optics textbooks, e.g. Hecht, Optics, section 5.2."""
    m = magnification(focal_length_mm=85, subject_distance_mm=1500)
    shift = image_shift_um(focal_length_mm=85, distance_mm=1500, offset_mm=1.0)
    assert shift == pytest.approx(1000 * m**2, rel=0.002)


def test_what_would_lie_past_infinity_is_infinite() -> None:
    shift = image_shift_um(focal_length_mm=85, distance_mm=1500, offset_mm=200)
    assert carried_offset_mm(focal_length_mm=85, distance_mm=20000, shift_um=shift) == math.inf


def test_usual_scatter_grows_with_distance() -> None:
    near, far = (usual_scatter_mm(focal_length_mm=85, distance_mm=d) for d in (1500, 3000))
    assert near == pytest.approx(
        0.012 / magnification(focal_length_mm=85, subject_distance_mm=1500) ** 2
    )
    assert far > 4 * near
