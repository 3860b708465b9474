"""Where the camera stands: framing to distance and back, and what is refused."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import FRAMINGS
from eyeplane.plan.stand import framed_distance_mm, stand_of
from eyeplane.records import (
    Framing,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterRequest,
)

KIT = PlanKit(focal_length_mm=85.0)
REQUEST = SitterRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), distance_mm=2000.0)


def test_a_head_and_shoulders_of_600_mm_stands_at_its_magnification() -> None:
    # Thin lens: 24 mm of sensor over what they take in, s = f (1 + 1/m).
    stand = stand_of(replace(REQUEST, distance_mm=None, framing="head-and-shoulders"))
    assert stand.magnification == pytest.approx(24.0 / stand.field_height_mm)
    assert stand.distance_mm == pytest.approx(85.0 * (1 + stand.field_height_mm / 24.0))
    # Common practice, no source: head and shoulders with an 85 mm lens from about 2 m.
    assert 1700 < stand.distance_mm < 2600


@given(st.sampled_from(FRAMINGS), st.floats(24, 200), st.one_of(st.none(), st.floats(0.5, 90)))
def test_a_framing_is_found_again_from_its_distance(
    framing: Framing, focal_length_mm: float, age_years: float | None
) -> None:
    kit = PlanKit(focal_length_mm=focal_length_mm)
    sitter = PlanSitter(age_years=age_years)
    there = framed_distance_mm(kit, framing, age_years=age_years)
    back = stand_of(replace(REQUEST, kit=kit, sitter=sitter, distance_mm=there))
    assert back.framing == framing


@given(st.floats(0, 90))
def test_the_side_to_which_the_head_is_turned_does_not_matter(yaw_deg: float) -> None:
    turned, mirrored = (stand_of(replace(REQUEST, yaw_deg=y)) for y in (yaw_deg, -yaw_deg))
    assert turned == mirrored
    assert 0 <= turned.far_iris_mm < 70


def test_the_background_is_counted_from_the_lens() -> None:
    assert stand_of(replace(REQUEST, background_mm=1200.0)).background_mm == 3200.0
    assert stand_of(REQUEST).background_mm is None


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"framing": "head"}, "distance"),
        ({"distance_mm": None}, "distance"),
        ({"distance_mm": 85.0}, "distance"),
        ({"distance_mm": float("nan")}, "distance"),
        ({"distance_mm": float("inf")}, "distance"),
        ({"kit": PlanKit(focal_length_mm=85.0, near_limit_mm=2100.0)}, "distance"),
        ({"yaw_deg": 91.0}, "yaw"),
        ({"yaw_deg": float("nan")}, "yaw"),
        ({"background_mm": -1.0}, "background"),
        ({"promise": PlanPrint(print_cm=0.0)}, "print"),
        ({"promise": PlanPrint(viewing_cm=-5.0)}, "viewing distance"),
        ({"kit": PlanKit(focal_length_mm=-85.0)}, "focal length"),
        ({"kit": PlanKit(focal_length_mm=85.0, long_edge_px=0)}, "pixels"),
        ({"kit": PlanKit(focal_length_mm=85.0, glass_um=-1.0)}, "glass"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(change: dict[str, object], where: str) -> None:
    with pytest.raises(InputError) as caught:
        stand_of(replace(REQUEST, **change))  # type: ignore[arg-type]  # a table of changes
    assert caught.value.where == where


def test_too_near_for_the_lens_says_how_far_to_step() -> None:
    kit = PlanKit(focal_length_mm=85.0, near_limit_mm=1500.0)
    with pytest.raises(InputError, match=r"focuses from 1\.5.m.*Step back to 1\.5.m"):
        stand_of(replace(REQUEST, kit=kit, distance_mm=None, framing="head"))
