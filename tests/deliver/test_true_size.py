"""True size on a screen: cards, arc minutes, and the reach from other distances."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.true_size import (
    CARD_MM,
    NOMINAL_PX_PER_MM,
    Screen,
    held,
    plausible,
    reach_from,
    sit_at_cm,
)
from eyeplane.optics import PointSpread, reach_cm
from eyeplane.records import Measured, Viewing


def test_a_card_and_an_inch_are_what_the_standards_say() -> None:
    # ISO/IEC 7810:2019, ID-1: 85.60 mm × 53.98 mm. CSS Values and Units 4, 6.2: 96 px to 25.4 mm.
    assert CARD_MM == (85.60, 53.98)
    assert pytest.approx(96 / 25.4) == NOMINAL_PX_PER_MM


def test_pixels_are_as_fine_as_the_eye_from_3438_inches_over_their_number() -> None:
    # 3438 = 1 / tan(1 arc minute); 300 px/inch: 11.46 in (photographers' rule, read in a forum).
    screen = Screen(px_per_mm=100 / 25.4, pixel_ratio=3)
    assert screen.clear_from_cm == pytest.approx(11.46 * 2.54, abs=0.02)
    assert screen.pixel_mm == pytest.approx(25.4 / 300)


def test_a_desk_screen_is_coarser_than_a_print_at_arms_length_a_phone_is_not() -> None:
    # 6000 px on 60 cm: 0.1 mm; one arc minute at 50 cm: 0.145 mm; 96 px/inch: 0.265 mm.
    asked = {"print_cm": 60.0, "long_edge_px": 6000.0, "distance_cm": 50.0}
    assert Screen(px_per_mm=96 / 25.4).coarser_than_print(**asked)
    assert not Screen(px_per_mm=460 / 3 / 25.4, pixel_ratio=3).coarser_than_print(**asked)
    # A poor frame or a far client asks for less than the desk screen shows.
    assert not Screen(px_per_mm=96 / 25.4).coarser_than_print(**(asked | {"long_edge_px": 2000.0}))
    assert not Screen(px_per_mm=96 / 25.4).coarser_than_print(**(asked | {"distance_cm": 100.0}))


@pytest.mark.parametrize(
    ("px_per_mm", "short_px", "likely"),
    [
        (460 / 3 / 25.4, 390, True),
        (96 / 25.4, 390, False),
        (96 / 25.4, 1080, True),
        (254 / 2 / 25.4, 982, True),
        (6.5, 1080, False),
        (6.5, None, True),
        (8.0, None, False),
        (2.0, None, False),
    ],
)
def test_what_screens_are_like(px_per_mm: float, short_px: float | None, *, likely: bool) -> None:
    assert plausible(px_per_mm, short_px=short_px) is likely


@pytest.mark.parametrize("distance_cm", [25.0, 50.0, 80.0, 216.0])
@pytest.mark.parametrize("given_cm", [50.0, None, 100.0])
def test_the_reach_from_another_distance_is_the_one_worked_out_anew(
    distance_cm: float, given_cm: float | None
) -> None:
    def worked_out(viewing_cm: float) -> float:
        spread = PointSpread(disc_px=5.0)
        return reach_cm(
            spread=spread, long_edge_px=6000, noise_contrast=0.01, viewing_cm=viewing_cm
        )

    known = worked_out(given_cm or 50.0)
    measured = Measured(value=known, low=known * 0.9, high=known * 1.2)
    found = reach_from(measured, viewing=Viewing(distance_cm=given_cm), distance_cm=distance_cm)
    assert found is not None
    assert found.value == pytest.approx(worked_out(distance_cm), rel=1e-6)
    assert found.high / found.low == pytest.approx(1.2 / 0.9)


def test_a_size_within_the_interval_is_on_the_edge() -> None:
    reach = Measured(value=60.0, low=50.0, high=70.0)
    told = [held(reach, print_cm=size) for size in (20, 50, 51, 60, 70, 71)]
    assert told == ["holds", "holds", "edge", "edge", "edge", "short"]
    assert held(None, print_cm=20) == "cannot tell"
    assert reach_from(None, viewing=Viewing(), distance_cm=50) is None


@given(st.floats(10, 1000), st.floats(5, 300), st.floats(0.01, 4))
def test_where_to_sit_gives_the_same_angle(distance: float, size: float, ratio: float) -> None:
    sit = sit_at_cm(distance, shown_ratio=ratio)
    on_print = math.atan(size / 2 / distance)
    assert math.atan(size * ratio / 2 / sit) == pytest.approx(on_print)
