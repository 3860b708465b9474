"""Sweeps of one sitter against single plans, and what they refuse."""

import dataclasses

import numpy as np
import pytest

from eyeplane.errors import InputError
from eyeplane.optics import depth_of_field_mm
from eyeplane.plan.draws import draw_frames
from eyeplane.plan.hold import hold_limits
from eyeplane.plan.search import search
from eyeplane.plan.share import frame_shares
from eyeplane.plan.sitter import plan_sitter
from eyeplane.plan.sweep import sweep_sitter
from eyeplane.records import (
    PlanChoice,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterRequest,
    Sweep,
)

KIT = PlanKit(focal_length_mm=85.0)
SETTLED = PlanChoice(f_number=2.8, shutter_s=1 / 250, iso=400.0)
REQUEST = SitterRequest(
    kit=KIT,
    light=PlanLight(exposure_ev=9.0),
    distance_mm=2000.0,
    yaw_deg=20.0,
    background_mm=1200.0,
    choice=SETTLED,
)
VARIED = {
    "near eye": REQUEST,
    "both eyes": dataclasses.replace(REQUEST, eyes="both"),
    "framed child": dataclasses.replace(
        REQUEST,
        distance_mm=None,
        framing="head-and-shoulders",
        sitter=PlanSitter(age_years=4.0),
        promise=PlanPrint(print_cm=40.0),
    ),
    "tripod, underexposed": dataclasses.replace(
        REQUEST, hand=PlanHand(support="tripod"), light=PlanLight(exposure_ev=8.0)
    ),
    "flash with room": dataclasses.replace(
        REQUEST,
        light=PlanLight(kind="flash", guide_number_m=20.0, exposure_ev=5.0),
        choice=PlanChoice(f_number=5.6, shutter_s=1 / 125, iso=100.0),
    ),
    "long lens, stabilised": dataclasses.replace(
        REQUEST, kit=dataclasses.replace(KIT, focal_length_mm=135.0, stabiliser_stops=3.0)
    ),
}


def row(sweep: Sweep, number: int = 0) -> dict[str, float | None]:
    """Return one row of a table."""
    return {name: values[number] for name, values in sweep.columns.items()}


@pytest.mark.parametrize("name", VARIED)
def test_a_point_of_a_sweep_is_a_plan_for_one_sitter(name: str) -> None:
    request = VARIED[name]
    told = row(sweep_sitter(request, {"print_cm": (request.promise.print_cm,)}))
    best = plan_sitter(request).settings[0]
    assert told["share"] == pytest.approx(best.share.value, abs=0.035)
    assert told["share_low"] == pytest.approx(best.share.low, abs=0.12)
    assert told["share_high"] == pytest.approx(best.share.high, abs=0.12)
    assert told["reach_cm"] == pytest.approx(best.eyes[0].reach_cm.value, rel=0.12)
    assert told["reach_far_cm"] == pytest.approx(best.eyes[1].reach_cm.value, rel=0.12)
    # Geometry and exposure are exact.
    assert told["depth_front_mm"] == pytest.approx(best.depth_front_mm, rel=3e-3)
    assert told["depth_behind_mm"] == pytest.approx(best.depth_behind_mm, rel=3e-3)
    assert told["background_blur_mm"] == pytest.approx(best.background_blur_mm)
    assert told["exposure_off_ev"] == pytest.approx(best.exposure_off_ev, abs=1e-9)
    if best.flash_power is not None:
        assert told["flash_power"] == pytest.approx(best.flash_power)


@pytest.mark.parametrize("guide_number_m", [8.0, 24.0])
def test_a_pulsed_flash_beside_the_room_is_planned_as_well_as_alone(guide_number_m: float) -> None:
    # Near the room's own exposure only few apertures go with a short time: none may be passed over.
    light = PlanLight(
        kind="flash", guide_number_m=guide_number_m, exposure_ev=11.0, high_speed_sync=True
    )
    request = dataclasses.replace(
        REQUEST, light=light, sitter=PlanSitter(mood="toddling"), choice=PlanChoice()
    )
    told = row(sweep_sitter(request, {"print_cm": (40.0,)}))
    promise = dataclasses.replace(request.promise, print_cm=40.0)
    alone = plan_sitter(dataclasses.replace(request, promise=promise)).settings[0]
    assert told["share"] == pytest.approx(alone.share.value, abs=0.05)


def test_shares_agree_with_many_frames_drawn() -> None:
    """Twenty times as many frames as a plan draws: the closed form lies within 2.5 %."""
    many = draw_frames(np.random.default_rng(8), frames=20_000)
    f_numbers = (1.4, 2.8, 5.6)
    request = dataclasses.replace(REQUEST, choice=PlanChoice(shutter_s=1 / 250))
    sweep = sweep_sitter(request, {"f_number": f_numbers})
    for number, f_number in enumerate(f_numbers):
        choice = PlanChoice(f_number=f_number, shutter_s=1 / 250)
        found = search(dataclasses.replace(request, choice=choice))
        drawn = frame_shares(found.frames.scene, found.setting, found.frames.focus_mm, many, [0])
        assert sweep.columns["share"][number] == pytest.approx(drawn[0], abs=0.025)


def test_depth_background_and_share_go_the_way_they_must() -> None:
    sweep = sweep_sitter(REQUEST, {"distance_mm": (1200.0, 2000.0, 3500.0)})
    columns = sweep.columns
    for name in ("depth_front_mm", "depth_behind_mm", "share"):
        values = [v for v in columns[name] if v is not None]
        assert values == sorted(values)
    assert len(sweep) == 3
    assert sweep.settled
    assert list(columns)[:4] == ["distance_mm", "f_number", "shutter_s", "iso"]


def test_the_depth_of_field_is_exact() -> None:
    request = dataclasses.replace(REQUEST, yaw_deg=0.0)
    told = row(sweep_sitter(request, {"distance_mm": (700.0,)}))
    disc_um = hold_limits(KIT, request.promise, f_number=2.8, iso=400.0).disc_um[0]
    near, far = depth_of_field_mm(
        focal_length_mm=85.0, f_number=2.8, focus_distance_mm=700.0, circle_um=disc_um
    )
    # Limits of blur are worked out to four digits there and in full here.
    assert told["depth_front_mm"] == pytest.approx(700.0 - near, rel=3e-4)
    assert told["depth_behind_mm"] == pytest.approx(far - 700.0, rel=3e-4)


def test_low_and_high_enclose_the_share() -> None:
    sweep = sweep_sitter(REQUEST, {"print_cm": tuple(range(10, 120, 10)), "yaw_deg": (0.0, 30.0)})
    for low, value, high in zip(
        *(sweep.columns[n] for n in ("share_low", "share", "share_high")), strict=True
    ):
        assert low is not None
        assert value is not None
        assert high is not None
        assert 0.0 <= low <= value <= high <= 1.0


def test_settings_left_open_are_found_nearly_as_well_as_by_a_plan() -> None:
    open_request = dataclasses.replace(REQUEST, choice=PlanChoice())
    ranges = {"exposure_ev": (7.0, 10.0, 13.0), "print_cm": (40.0, 60.0)}
    sweep = sweep_sitter(open_request, ranges)
    assert not sweep.settled
    assert any("whole stops" in note for note in sweep.notes)
    for number in range(len(sweep)):
        told = row(sweep, number)
        whole = dataclasses.replace(
            open_request,
            light=PlanLight(exposure_ev=told["exposure_ev"]),
            promise=PlanPrint(print_cm=told["print_cm"] or 0.0),
        )
        best = search(whole)
        assert told["share"] == pytest.approx(best.share, abs=0.04)  # a third of a stop and less


def test_flash_is_looked_for_too() -> None:
    light = PlanLight(kind="flash", guide_number_m=40.0)
    request = dataclasses.replace(REQUEST, light=light, choice=PlanChoice())
    sweep = sweep_sitter(request, {"distance_mm": (1500.0, 3000.0)})
    assert all(p is not None and 1 / 128 <= p <= 1 for p in sweep.columns["flash_power"])
    assert sweep.columns["shutter_s"] == (1 / 200, 1 / 200)


def test_where_nothing_holds_settings_are_chosen_by_a_smaller_print() -> None:
    request = dataclasses.replace(REQUEST, choice=PlanChoice(), promise=PlanPrint(print_cm=200.0))
    told = row(sweep_sitter(request, {"yaw_deg": (0.0,)}))
    assert told["share"] == 0.0
    best = search(dataclasses.replace(request, yaw_deg=0.0)).setting
    assert told["f_number"] == pytest.approx(float(best.f_number[0]), rel=0.45)


def test_points_that_cannot_be_taken_are_left_empty_and_told() -> None:
    kit = dataclasses.replace(KIT, near_limit_mm=850.0)
    request = dataclasses.replace(REQUEST, kit=kit)
    sweep = sweep_sitter(request, {"distance_mm": (50.0, 500.0, 2000.0)})
    assert sweep.columns["share"][:2] == (None, None)
    assert sweep.columns["share"][2] is not None
    assert sweep.columns["distance_mm"] == (50.0, 500.0, 2000.0)
    assert sweep.notes[0].startswith("2 of 3 points")
    off = sweep_sitter(request, {"exposure_ev": (9.0, 20.0)})
    assert off.columns["share"][1] is None
    assert "three stops" in off.notes[0]


def test_a_depth_of_field_without_end_is_none() -> None:
    choice = PlanChoice(f_number=16.0, shutter_s=1 / 8, iso=400.0)
    request = dataclasses.replace(
        REQUEST,
        kit=PlanKit(focal_length_mm=24.0, slowest_s=0.5),
        choice=choice,
        promise=PlanPrint(print_cm=15.0),
    )
    sweep = sweep_sitter(request, {"distance_mm": (1500.0, 4000.0)})
    assert sweep.columns["depth_behind_mm"][1] is None
    assert sweep.columns["depth_front_mm"][1] is not None


def test_a_table_of_points_in_a_grid_equals_the_same_points_alone() -> None:
    ranges = {"distance_mm": (1500.0, 2500.0), "f_number": (2.0, 4.0)}
    whole = sweep_sitter(REQUEST, ranges)
    last = dataclasses.replace(
        REQUEST, distance_mm=2500.0, choice=dataclasses.replace(SETTLED, f_number=4.0)
    )
    alone = row(sweep_sitter(last, {"yaw_deg": (20.0,)}))
    together = row(whole, 3)
    for name in ("share", "share_low", "reach_cm", "depth_front_mm"):
        assert together[name] == pytest.approx(alone[name], rel=1e-5)


def test_thousands_of_points_that_all_differ_are_read_off_a_grid() -> None:
    """More settings and prints than are worked out one by one: the same to 1 % of frames."""
    ranges = {
        "f_number": tuple(np.geomspace(1.4, 8.0, 36)),
        "print_cm": tuple(np.linspace(20.0, 90.0, 40)),
    }
    whole = sweep_sitter(REQUEST, {**ranges, "exposure_ev": (9.0,)})
    assert len(whole) == 1440
    numbers = range(0, 1440, 97)
    for number in numbers:
        told = row(whole, number)
        alone = dataclasses.replace(
            REQUEST,
            choice=dataclasses.replace(SETTLED, f_number=told["f_number"]),
            promise=PlanPrint(print_cm=told["print_cm"] or 0.0),
        )
        expected = row(sweep_sitter(alone, {"yaw_deg": (20.0,)}))
        assert told["share"] == pytest.approx(expected["share"], abs=0.01)
        assert told["reach_cm"] == pytest.approx(expected["reach_cm"], rel=0.012)


@pytest.mark.parametrize(
    ("changed", "ranges"),
    [
        ({}, {"distance": (1000.0,)}),
        ({}, {"distance_mm": (10.0, 20.0)}),
        ({}, {"yaw_deg": (100.0,)}),
        ({"distance_mm": None}, {"yaw_deg": (0.0,)}),
        ({"light": PlanLight(exposure_ev=25.0)}, {"yaw_deg": (0.0,)}),
        ({"light": PlanLight()}, {"yaw_deg": (0.0,)}),
        ({"choice": PlanChoice(), "light": PlanLight(exposure_ev=-8.0)}, {"yaw_deg": (0.0,)}),
        ({}, {"print_cm": (0.0, -5.0)}),
        ({"light": PlanLight(kind="flash")}, {"yaw_deg": (0.0,)}),
    ],
)
def test_what_cannot_be_swept_is_refused_in_a_sentence(
    changed: dict[str, object], ranges: dict[str, tuple[float, ...]]
) -> None:
    request = dataclasses.replace(REQUEST, **changed)  # type: ignore[arg-type]  # a test's own
    with pytest.raises(InputError) as told:
        sweep_sitter(request, ranges)
    assert told.value.hint
