"""Points of a sweep: ranges laid over a request."""

import numpy as np
import pytest

from eyeplane.errors import InputError
from eyeplane.plan.sweep_points import MOST_POINTS, inputs_of, points_of, with_inputs
from eyeplane.records import (
    BurstRequest,
    GroupRequest,
    Measured,
    PlanKit,
    PlanLight,
    SitterRequest,
)

KIT = PlanKit(
    focal_length_mm=85.0,
    focus_bias_mm=Measured(value=10.0, low=8.0, high=13.0),
    focus_spread_mm=Measured(value=6.0, low=5.0, high=9.0),
)
SITTER = SitterRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), framing="head")
GROUP = GroupRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), distance_mm=3500.0)


def test_every_number_of_a_request_is_an_input() -> None:
    known = inputs_of(SitterRequest)
    parts = {"kit": "focal_length_mm", "light": "exposure_ev", "choice": "iso", "": "yaw_deg"}
    parts |= {"promise": "print_cm", "sitter": "age_years"}
    for part, name in parts.items():
        assert known[name] == part
    assert known["shake_deg_per_s"] == "hand"  # learned, with an interval
    assert {"framing", "eyes", "kind", "support", "glasses"}.isdisjoint(known)
    assert inputs_of(BurstRequest)["print_cm"] == "sitting"


def test_the_last_range_changes_fastest() -> None:
    points = points_of(SITTER, {"distance_mm": (1000.0, 2000.0), "iso": (100, 200, 400)})
    assert points.values("iso").tolist() == [100, 200, 400] * 2
    assert points.values("distance_mm").tolist() == [1000] * 3 + [2000] * 3
    assert points.values("focal_length_mm").tolist() == [85.0] * 6
    assert np.isnan(points.values("f_number")).all()


def test_groups_hold_every_point_once_with_its_request() -> None:
    points = points_of(SITTER, {"print_cm": (30.0, 60.0), "yaw_deg": (0.0, 10.0, 20.0)})
    groups = points.groups(["yaw_deg", "age_years"])
    assert [one.yaw_deg for one, _ in groups] == [0.0, 10.0, 20.0]
    assert sorted(np.concatenate([n for _, n in groups]).tolist()) == list(range(6))
    for one, numbers in groups:
        assert (points.values("yaw_deg")[numbers] == one.yaw_deg).all()
    assert len(points.groups(["iso"])) == 1


def test_a_distance_takes_the_place_of_a_framing() -> None:
    moved = with_inputs(SITTER, {"distance_mm": 1800.0})
    assert (moved.distance_mm, moved.framing) == (1800.0, None)


def test_parts_of_parts_and_whole_numbers_are_set() -> None:
    burst = with_inputs(
        BurstRequest(sitting=SITTER), {"lean_mm_per_s": 30, "print_cm": 40, "long_edge_px": 8000.4}
    )
    assert burst.lean_mm_per_s == 30.0
    assert burst.sitting.promise.print_cm == 40.0
    assert burst.sitting.kit.long_edge_px == 8000
    rows = with_inputs(GROUP, {"rows": 3.0}).rows
    assert rows == 3
    assert isinstance(rows, int)


def test_what_was_learned_keeps_the_width_of_its_interval() -> None:
    kit = with_inputs(SITTER, {"focus_bias_mm": -4.0, "focus_spread_mm": 12.0}).kit
    assert kit.focus_bias_mm == Measured(value=-4.0, low=-6.0, high=-1.0)
    assert kit.focus_spread_mm == Measured(value=12.0, low=10.0, high=18.0)
    shake = with_inputs(SITTER, {"shake_deg_per_s": 0.5}).hand.shake_deg_per_s
    assert shake is not None
    assert shake.low < 0.5 < shake.high


@pytest.mark.parametrize(
    "ranges",
    [
        {},
        {"aperture": (2.8,)},
        {"framing": (1.0,)},
        {"iso": ()},
        {"iso": (100.0, float("nan"))},
        {"iso": tuple(range(1, MOST_POINTS + 2))},
    ],
)
def test_ranges_that_are_none_are_refused(ranges: dict[str, tuple[float, ...]]) -> None:
    with pytest.raises(InputError) as told:
        points_of(SITTER, ranges)
    assert told.value.hint


def test_a_speed_of_nothing_is_refused() -> None:
    with pytest.raises(InputError):
        with_inputs(SITTER, {"shake_deg_per_s": 0.0})
