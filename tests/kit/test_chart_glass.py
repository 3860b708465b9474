"""The glass out of half-contrast frequencies, and the two numbers that plans know a lens by."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.kit.chart_frame import Half
from eyeplane.kit.chart_glass import PRINT_EDGE_MM, glass_of, glass_px2, two_numbers
from eyeplane.kit.chart_zones import Z90
from eyeplane.optics import airy_mtf, gaussian_mtf
from eyeplane.optics.kit_blur import WAVELENGTH_UM, believed_glass_um, glass_um
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


def printed(
    lens_um: float, *, edge_mm: float, scale_px_per_mm: float, sd: float = 0.003
) -> Measured | None:
    """Return the glass as told of a chart whose print is as soft as that, pixels of 4 µm."""
    softened = math.hypot(lens_um / 4.0, edge_mm * scale_px_per_mm)
    near = 1.0 + scale_px_per_mm * 4.0 / 1000.0  # the lens stands farther from the sensor
    half = Half(log=math.log(half_of(softened, WAVELENGTH_UM * 4.0 * near / 4.0)), sd=sd)
    return glass_of(half, f_number=4.0, pitch_um=4.0, scale_px_per_mm=scale_px_per_mm)


@pytest.mark.parametrize("scale_px_per_mm", [30.0, 21.0, 8.0])
@pytest.mark.parametrize("edge_mm", [PRINT_EDGE_MM / 1.5, PRINT_EDGE_MM, 1.5 * PRINT_EDGE_MM])
@pytest.mark.parametrize("lens_um", [1.0, 2.0, 4.0])
def test_the_interval_holds_the_glass_behind_any_usual_print(
    lens_um: float, edge_mm: float, scale_px_per_mm: float
) -> None:
    """40 to 80 µm from 10 to 90 % of the step, sharper and softer prints by half (from memory)."""
    told = printed(lens_um, edge_mm=edge_mm, scale_px_per_mm=scale_px_per_mm)
    assert told is not None
    assert told.low <= lens_um <= told.high


def test_a_usual_prints_edges_are_not_taken_for_glass() -> None:
    for lens_um in (1.0, 2.0, 4.0):
        told = printed(lens_um, edge_mm=PRINT_EDGE_MM, scale_px_per_mm=20.0)
        assert told is not None
        assert told.value == pytest.approx(lens_um, rel=0.02)


@pytest.mark.parametrize("f_number", [4.0, 8.0, 16.0])
def test_diffraction_grows_as_the_lens_is_focused_near(f_number: float) -> None:
    """A perfect lens at magnification m blurs as at N (1 + m): handbooks' effective f-number."""
    scale = 36_000 / 297 / 4.0  # A4 fills 36 mm of pixels of 4 µm: m = .12
    half = half_of(0.0, WAVELENGTH_UM * f_number * (1 + 36 / 297) / 4.0)
    told = glass_of(
        Half(log=math.log(half), sd=0.001),
        f_number=f_number,
        pitch_um=4.0,
        scale_px_per_mm=scale,
        print_edge_mm=0.0,
    )
    assert told is not None
    assert told.value < 0.25


def test_far_away_the_print_counts_for_nothing() -> None:
    half = Half(log=math.log(half_of(0.6, 0.0)), sd=0.01)
    near, far = (
        glass_of(half, f_number=1e-6, pitch_um=4.0, scale_px_per_mm=s) for s in (20.0, 0.5)
    )
    assert near is not None
    assert far is not None
    assert far.value == pytest.approx(2.4, rel=0.01)
    assert near.high - near.low > 3 * (far.high - far.low)
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


def test_the_print_is_taken_off_the_glass_at_its_best_alone() -> None:
    """2.4 µm of a print's edges (A4 filling 36 × 24 mm) lie in the glass at every aperture."""
    kit = PlanKit(focal_length_mm=85, widest_f_number=1.4, glass_um=3.0, glass_wide_um=8.0)
    seen = [
        (f, replace(one, value=math.hypot(one.value, 2.4), high=math.hypot(one.high, 2.4)))
        for f, one in series(kit, (1.4, 2.0, 2.8, 5.6))
    ]
    told = two_numbers(seen, print_um=2.4)
    assert told is not None
    best, wide, _ = told
    assert (best.value, wide.value) == pytest.approx((3.0, 8.0), rel=0.03)
    assert best.low < math.sqrt(3.0**2 - 1.1 * 2.4**2)  # a softer print by half
    assert best.high > math.sqrt(3.0**2 + 0.5 * 2.4**2)  # a sharper one


def test_too_few_apertures_give_none() -> None:
    kit = PlanKit(focal_length_mm=85)
    assert two_numbers(series(kit, (1.4,)), print_um=0.0) is None
    assert two_numbers(series(kit, (1.4, 2.0)), print_um=0.0) is None
    assert two_numbers([], print_um=0.0) is None


def test_beliefs_about_the_glass_reach_the_ends_of_its_intervals() -> None:
    kit = PlanKit(focal_length_mm=85, widest_f_number=2.0, glass_um=1.0, glass_wide_um=4.0)
    ranged = replace(kit, glass_range_um=(0.0, 3.0), glass_wide_range_um=(2.0, 5.0))
    z = np.array([-4.0, -Z90, 0.0, Z90])
    told = believed_glass_um(ranged, [2.0, 8.0], z)  # at f/8 the second counts a sixteenth
    assert told[0, 1:] == pytest.approx([2.0, math.hypot(1, 4), math.hypot(3, 5)], rel=1e-3)
    stopped_down = [2 / 16, math.hypot(1, 4 / 16), math.hypot(3, 5 / 16)]
    assert told[1, 1:] == pytest.approx(stopped_down, rel=1e-3)
    assert (told >= 0).all()
    # without intervals as ever: usual glass x / 1.5, a typed number 8 %, nine times in ten
    for plain, ratio in ((kit, 1.0857), (PlanKit(focal_length_mm=85), 1.509)):
        spread = believed_glass_um(plain, [2.0], z)[0]
        assert spread[3] / spread[2] == pytest.approx(ratio, abs=1e-3)
        assert spread[2] / spread[1] == pytest.approx(ratio, abs=1e-3)


def test_plans_with_a_wide_number_use_it_and_without_stay_as_they_were() -> None:
    kit = PlanKit(focal_length_mm=85, widest_f_number=2.0, glass_um=1.0, glass_wide_um=6.0)
    assert glass_um(kit, [2.0, 4.0]) == pytest.approx([math.hypot(1, 6), math.hypot(1, 1.5)])
    usual = PlanKit(focal_length_mm=85, widest_f_number=2.0)
    assert glass_um(usual, [2.0]) == pytest.approx([math.hypot(1, 3)])
    assert WAVELENGTH_UM == 0.55
