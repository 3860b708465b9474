"""The glass out of half-contrast frequencies, and the two numbers that plans know a lens by."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.kit.chart_frame import Half
from eyeplane.kit.chart_glass import PRINT_EDGE_MM, glass_of, glass_px2, two_numbers
from eyeplane.optics import airy_mtf, gaussian_mtf
from eyeplane.optics.kit_blur import WAVELENGTH_UM, glass_um
from eyeplane.records import Measured, PlanKit

A = math.radians(5.0)


def half_of(glass_px: float, airy_px: float) -> float:
    """Return where pixel, perfect lens and Gaussian together fall to half, by bisection."""
    low, high = 1e-4, 1.0
    for _ in range(60):
        f = (low + high) / 2
        pixel = np.sinc(f * math.cos(A)) * np.sinc(f * math.sin(A))
        lens = airy_mtf([f], airy_px=airy_px)[0] * gaussian_mtf([f], gaussian_px=glass_px)[0]
        low, high = (f, high) if pixel * lens > 0.5 else (low, f)
    return low


@given(glass_px=st.floats(0.05, 6.0), airy_px=st.floats(0.0, 2.5))
def test_what_went_in_comes_out(glass_px: float, airy_px: float) -> None:
    assert math.sqrt(glass_px2(half_of(glass_px, airy_px), airy_px=airy_px)) == pytest.approx(
        glass_px, rel=1e-3, abs=2e-3
    )


def test_nothing_is_left_of_a_perfect_lens() -> None:
    assert glass_px2(half_of(0.0, 1.0) * 1.02, airy_px=1.0) == 0.0


def test_known_kernels() -> None:
    # half-contrast frequencies of Gaussians of .5, .8, 1.5 px before pixels, no diffraction:
    # computed from closed forms and from rendered edges (check values)
    for glass_px, half in ((0.5, 0.3231), (0.8, 0.2201), (1.5, 0.1227)):
        assert math.sqrt(glass_px2(half, airy_px=0.0)) == pytest.approx(glass_px, rel=2e-3)


def test_the_low_end_allows_for_the_print() -> None:
    half = Half(log=math.log(half_of(0.6, 0.0)), sd=0.01)
    near, far = (
        glass_of(half, f_number=1e-6, pitch_um=4.0, scale_px_per_mm=s) for s in (20.0, 2.0)
    )
    assert near is not None
    assert far is not None
    assert near.value == far.value == pytest.approx(2.4, rel=0.01)
    assert near.low < 4.0 * math.sqrt(0.6**2 - (20 * PRINT_EDGE_MM) ** 2) < far.low < far.value
    assert glass_of(half, f_number=None, pitch_um=4.0, scale_px_per_mm=2.0) is None
    assert glass_of(half, f_number=2.0, pitch_um=None, scale_px_per_mm=2.0) is None
    assert glass_of(None, f_number=2.0, pitch_um=4.0, scale_px_per_mm=2.0) is None


def series(kit: PlanKit, f_numbers: tuple[float, ...]) -> list[tuple[float, Measured]]:
    spreads = [float(v) for v in glass_um(kit, f_numbers)]
    return [
        (f, Measured(value=s, low=0.98 * s, high=1.02 * s))
        for f, s in zip(f_numbers, spreads, strict=True)
    ]


@pytest.mark.parametrize(("best_um", "wide_um"), [(1.0, 3.0), (2.5, 0.5), (1.5, 8.0)])
def test_two_numbers_are_those_of_plans(best_um: float, wide_um: float) -> None:
    kit = PlanKit(focal_length_mm=85, widest_f_number=1.4, glass_um=best_um, glass_wide_um=wide_um)
    told = two_numbers(series(kit, (1.4, 2.0, 2.8, 5.6)), print_um=0.0)
    assert told is not None
    best, wide, widest = told
    assert (best.value, wide.value) == pytest.approx((best_um, wide_um), rel=0.02)
    assert best.low <= best_um <= best.high
    assert wide.low <= wide_um <= wide.high
    assert widest == 1.4


def test_too_few_apertures_give_none() -> None:
    kit = PlanKit(focal_length_mm=85)
    assert two_numbers(series(kit, (1.4,)), print_um=0.0) is None
    assert two_numbers(series(kit, (1.4, 2.0)), print_um=0.0) is None
    assert two_numbers([], print_um=0.0) is None


def test_plans_with_a_wide_number_use_it_and_without_stay_as_they_were() -> None:
    kit = PlanKit(focal_length_mm=85, widest_f_number=2.0, glass_um=1.0, glass_wide_um=6.0)
    assert glass_um(kit, [2.0, 4.0]) == pytest.approx([math.hypot(1, 6), math.hypot(1, 1.5)])
    usual = PlanKit(focal_length_mm=85, widest_f_number=2.0)
    assert glass_um(usual, [2.0]) == pytest.approx([math.hypot(1, 3)])
    assert WAVELENGTH_UM == 0.55
