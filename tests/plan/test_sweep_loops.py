"""Sweeps of groups and lean-ins against their single plans."""

import dataclasses

import pytest

from eyeplane.errors import InputError
from eyeplane.plan.burst import plan_burst
from eyeplane.plan.group import plan_group
from eyeplane.plan.sweep_loops import MOST_LOOPED, sweep_burst, sweep_group
from eyeplane.plan.sweep_points import with_inputs
from eyeplane.records import (
    BurstRequest,
    GroupRequest,
    PlanChoice,
    PlanKit,
    PlanLight,
    PlanPrint,
    SitterRequest,
    Sweep,
)

KIT = PlanKit(focal_length_mm=50.0)
GROUP = GroupRequest(
    kit=KIT, light=PlanLight(exposure_ev=11.0), distance_mm=3500.0, promise=PlanPrint(print_cm=30.0)
)
BURST = BurstRequest(
    sitting=SitterRequest(
        kit=PlanKit(focal_length_mm=85.0),
        light=PlanLight(exposure_ev=9.0),
        distance_mm=2000.0,
        choice=PlanChoice(f_number=1.4),
    ),
    caught="glasses",
)


def row(sweep: Sweep, number: int) -> dict[str, float | None]:
    """Return one row of a table."""
    return {name: values[number] for name, values in sweep.columns.items()}


def inputs(sweep: Sweep, number: int) -> dict[str, float]:
    """Return the inputs of one row."""
    return {name: sweep.columns[name][number] or 0.0 for name in sweep.names}


def test_a_point_of_a_sweep_is_a_plan_for_a_group() -> None:
    sweep = sweep_group(GROUP, {"rows": (1, 2), "f_number": (4.0, 8.0)})
    for number in range(len(sweep)):
        told = row(sweep, number)
        plan = plan_group(with_inputs(GROUP, inputs(sweep, number)))
        best = plan.settings[0]
        assert told["share"] == pytest.approx(best.share.value)
        assert told["share_low"] == pytest.approx(best.share.low)
        assert told["iso"] == best.iso
        assert told["shutter_s"] == best.shutter_s
        assert told["focus_distance_mm"] == pytest.approx(plan.focus_distance_mm)
        assert told["depth_front_mm"] == pytest.approx(best.depth_front_mm)
        assert told["last_row_share"] == pytest.approx(plan.rows[-1].share.value)
        most = max(abs(r.lean_cm) for r in plan.rows)
        # The plan leaves moves of a few mm away.
        assert told["lean_cm"] == pytest.approx(most, abs=0.3)


def test_a_group_that_leans_is_planned_point_by_point() -> None:
    leaning = dataclasses.replace(GROUP, lean=True, choice=PlanChoice(f_number=2.8))
    sweep = sweep_group(leaning, {"row_spacing_mm": (300.0, 900.0)})
    for number in range(2):
        plan = plan_group(with_inputs(leaning, inputs(sweep, number)))
        told = row(sweep, number)
        assert told["share"] == pytest.approx(plan.settings[0].share.value)
        assert told["lean_cm"] == pytest.approx(max(abs(r.lean_cm) for r in plan.rows))
    # What the plan asks for, not what is left to do after it.
    close, far = sweep.columns["lean_cm"]
    assert close == 0.0
    assert far == pytest.approx(7.0, abs=3.0)


def test_more_depth_and_larger_prints_hold_less_often() -> None:
    sweep = sweep_group(GROUP, {"print_cm": (20.0, 40.0), "row_spacing_mm": (200.0, 800.0)})
    share = [value or 0.0 for value in sweep.columns["share"]]
    assert share[0] >= share[1]
    assert share[0] > share[2]
    assert share[1] >= share[3]


def test_group_points_that_cannot_be_taken_are_told() -> None:
    sweep = sweep_group(GROUP, {"exposure_ev": (-6.0, 11.0), "distance_mm": (20.0, 3500.0)})
    assert [s is None for s in sweep.columns["share"]] == [True, True, True, False]
    assert sweep.notes[0].startswith("3 of 4 points")
    with pytest.raises(InputError):
        sweep_group(GROUP, {"distance_mm": (20.0, 30.0)})


def test_a_point_of_a_sweep_is_a_plan_for_a_lean_in() -> None:
    sweep = sweep_burst(BURST, {"lean_mm_per_s": (40.0, 150.0), "frames_per_s": (8.0,)})
    for number in range(2):
        told = row(sweep, number)
        plan = plan_burst(with_inputs(BURST, inputs(sweep, number)))
        assert told["frames"] == plan.frames
        assert told["chance"] == pytest.approx(plan.chance.value)
        assert told["chance_low"] == pytest.approx(plan.chance.low)
        assert told["still_chance"] == pytest.approx(plan.still_chance.value)
        assert told["travel_mm"] == pytest.approx(plan.travel_mm)
        assert told["start_mm"] == pytest.approx(plan.start_mm)
        assert told["seconds_s"] == pytest.approx(plan.seconds_s)
        assert told["f_number"] == plan.setting.f_number
    assert sweep.columns["frames"][1] is None  # too fast for this camera


def test_a_lean_in_of_bad_inputs_leaves_rows_empty() -> None:
    sweep = sweep_burst(BURST, {"lean_mm_per_s": (-1.0, 40.0)})
    assert sweep.columns["chance"][0] is None
    assert sweep.columns["chance"][1] is not None
    with pytest.raises(InputError):
        sweep_burst(BURST, {"wanted_share": (1.5,)})


def test_too_many_points_are_refused() -> None:
    many = tuple(float(k) for k in range(1, MOST_LOOPED + 2))
    with pytest.raises(InputError):
        sweep_group(GROUP, {"distance_mm": many})


def test_an_interval_of_the_glass_goes_along_with_its_number() -> None:
    kit = dataclasses.replace(KIT, glass_um=2.0, glass_range_um=(0.0, 3.0))
    moved = with_inputs(kit, {"glass_um": 4.0})
    assert (moved.glass_um, moved.glass_range_um) == (4.0, (0.0, 6.0))
    assert with_inputs(KIT, {"glass_um": 4.0}).glass_range_um is None
    assert with_inputs(kit, {"widest_f_number": 2.0}).glass_range_um == (0.0, 3.0)
