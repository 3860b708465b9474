"""The smallest difference that viewers see."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from eyeplane.optics import SHARP, visual_weight
from eyeplane.optics.just_seen import SHARPEST_DEG, SOFTEST_DEG, STEP_RATIO, quality_steps


def ruler_print(cutoff_deg: float) -> float:
    """Return the perceived sharpness of one print of the ruler, by plain quadrature."""

    def lens(nu: float) -> float:
        s = min(cutoff_deg * nu, 1.0)
        return float(2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s)))

    def weight(nu: float) -> float:
        return float(visual_weight(nu))

    top = quad(lambda nu: lens(nu) * weight(nu), 0, min(1 / cutoff_deg, 60), limit=200)[0]
    return float(top / quad(weight, 0, 60, limit=200)[0])


def ruler_steps(cutoff_deg: float) -> float:
    """Return the steps of one print as ISO 20462-3 gives them, from memory."""
    k = cutoff_deg
    above = 17_249 + 203_792 * k - 114_950 * k**2 - 3_571_075 * k**3
    return above / (578 - 1304 * k + 357_372 * k**2)


@pytest.mark.parametrize("cutoff_deg", [0.015, 0.02, 0.03, 0.05, 0.1, 0.2])
def test_prints_of_the_ruler_get_the_rulers_steps(cutoff_deg: float) -> None:
    """ISO 20462-3:2005, its lens and its steps; from memory."""
    got = float(quality_steps(ruler_print(cutoff_deg)))
    assert got == pytest.approx(ruler_steps(cutoff_deg), abs=0.05)


def test_the_formula_as_remembered_meets_both_ends_of_the_ruler() -> None:
    """A digit wrong in it would hardly leave both: 0 at the softest print, 32 at the sharpest."""
    assert ruler_steps(SOFTEST_DEG) == pytest.approx(0.0, abs=0.05)
    assert ruler_steps(SHARPEST_DEG) == pytest.approx(32.0, abs=0.15)


@given(st.lists(st.floats(0, 1), min_size=2, max_size=20))
def test_sharper_never_looks_worse(values: list[float]) -> None:
    steps = quality_steps(sorted(values))
    assert (np.diff(steps) >= 0).all()


def test_prints_that_look_sharp_are_not_told_from_perfect_ones() -> None:
    """What the threshold of the reach says; within what viewers differ by."""
    gap = float(quality_steps(1.0) - quality_steps(SHARP))
    assert gap * STEP_RATIO < 1.0


def test_where_prints_are_soft_a_step_is_two_hundredths_of_sharpness() -> None:
    """Camera phone image quality, IEEE 1858: one step for each .017 of acutance; from memory.

    Within x / 1.5, which is what viewers and pictures differ by.
    """
    per_step = 0.1 / float(quality_steps(0.6) - quality_steps(0.5))
    assert 1 / STEP_RATIO < per_step / 0.0172 < STEP_RATIO
