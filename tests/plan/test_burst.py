"""A lean-in as it is planned: numbers that hang together, words that fit them, refusals."""

import dataclasses
import itertools
import re

import pytest

from eyeplane.errors import InputError
from eyeplane.people.aim import CAUGHT_DEPTHS, focus_error
from eyeplane.plan.burst import plan_burst
from eyeplane.plan.burst_setup import caught_focus
from eyeplane.plan.cautions import FLASH
from eyeplane.plan.lean import MOST_LEAN_MM
from eyeplane.records import (
    BurstPlan,
    BurstRequest,
    Measured,
    PlanChoice,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterRequest,
)
from eyeplane.records.said import COUNTS

KIT = PlanKit(focal_length_mm=85.0)
SITTING = SitterRequest(
    kit=KIT,
    light=PlanLight(exposure_ev=9.0),
    distance_mm=2000.0,
    choice=PlanChoice(f_number=1.4),
)


def burst(**changed: object) -> BurstRequest:
    """Return a lean-in at f/1.4 from 2 m."""
    return dataclasses.replace(BurstRequest(sitting=SITTING), **changed)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def glasses() -> BurstPlan:
    """Return a lean-in where autofocus catches the glasses."""
    return plan_burst(burst(caught="glasses"))


def test_the_sweep_runs_from_before_the_iris_to_behind_it(glasses: BurstPlan) -> None:
    assert glasses.start_mm < 0 < glasses.end_mm
    assert glasses.end_mm - glasses.start_mm == pytest.approx(glasses.travel_mm)
    # Frame rate and lean speed: a frame every 40 / 8 = 5 mm.
    assert glasses.frames is not None
    assert glasses.travel_mm == pytest.approx((glasses.frames - 1) * 5.0)
    assert glasses.seconds_s == pytest.approx((glasses.frames - 1) / 8.0)


def test_it_takes_the_fewest_frames_that_do(glasses: BurstPlan) -> None:
    assert glasses.frames is not None
    assert glasses.chance.value >= 0.95
    fewer = [s for s in glasses.steps if s.frames < glasses.frames]
    assert fewer
    assert all(s.chance.value < 0.95 for s in fewer)


def test_the_chance_grows_with_frames_and_carries_its_interval(glasses: BurstPlan) -> None:
    chances = [step.chance for step in glasses.steps]
    assert [s.frames for s in glasses.steps] == sorted(s.frames for s in glasses.steps)
    assert all(a.value <= b.value for a, b in itertools.pairwise(chances))
    assert all(0 <= c.low < c.value < c.high <= 1 for c in chances)


def test_it_covers_what_autofocus_is_off_by(glasses: BurstPlan) -> None:
    """Bias and spread of the focus error are about the iris again after leaning back."""
    middle = 0.5 * (glasses.start_mm + glasses.end_mm)
    assert abs(middle) < 10.0
    assert glasses.travel_mm > 2 * focus_error(magnification=85 / 1915, caught="glasses").spread_mm


def test_leaning_in_beats_focusing_anew_only_where_focus_is_off_the_same_way(
    glasses: BurstPlan,
) -> None:
    assert glasses.chance.value > glasses.still_chance.value + 0.05
    iris = plan_burst(burst())
    assert iris.still_chance.value > iris.chance.value
    assert "focus anew" in iris.advice
    assert glasses.still_chance.value < iris.still_chance.value


def test_where_the_chance_is_not_reached_no_more_frames_are_told_than_help() -> None:
    plan = plan_burst(burst(wanted_share=0.999))
    assert plan.frames is None
    told = min(plan.steps, key=lambda step: abs(step.seconds_s - plan.seconds_s))
    most = plan.steps[-1]
    assert told.frames < most.frames
    assert told.chance.value >= most.chance.value - 0.02


def test_focusing_anew_is_told_with_as_many_frames_as_it_takes() -> None:
    plan = plan_burst(burst())
    assert plan.still_chance.value > plan.chance.value
    said = re.search(r"focus anew for each of (\w+) frames: .* in (\d+)", plan.advice)
    assert said is not None
    assert said[1] in COUNTS[2:8]  # far fewer than the lean-in asks for
    assert int(said[2]) >= 95


def test_a_learned_bias_moves_the_start_not_the_sweep() -> None:
    learned = {
        bias: plan_burst(
            burst(
                wanted_share=0.8,
                sitting=dataclasses.replace(
                    SITTING,
                    kit=dataclasses.replace(
                        KIT,
                        focus_bias_mm=Measured(value=bias, low=bias - 1, high=bias + 1),
                        focus_spread_mm=Measured(value=6.0, low=5.0, high=7.0),
                    ),
                ),
            )
        )
        for bias in (-15.0, 15.0)
    }
    for plan in learned.values():
        assert plan.start_mm <= 0 <= plan.end_mm
    # Focus 15 mm in front wants less leaning back than focus 15 mm behind.
    assert "lean back" in learned[15.0].sentence
    assert "lean back" not in learned[-15.0].sentence


def biased(bias_mm: float, **changed: object) -> BurstPlan:
    """Return a lean-in with a kit whose autofocus is off by something."""
    bias = Measured(value=bias_mm, low=bias_mm - 1.0, high=bias_mm + 1.0)
    kit = dataclasses.replace(KIT, focus_bias_mm=bias)
    return plan_burst(burst(sitting=dataclasses.replace(SITTING, kit=kit, **changed)))  # type: ignore[arg-type]  # a test's own


def test_however_large_a_known_bias_is_it_is_leaned_away() -> None:
    # Misses lie about the iris, not about the bias: so not quite the same.
    chances = [biased(bias_mm).steps[2].chance.value for bias_mm in (-90.0, 0.0, 90.0)]
    assert chances[0] == pytest.approx(chances[1], abs=0.05)
    assert chances[2] == pytest.approx(chances[1], abs=0.05)


def test_settings_are_chosen_as_if_the_bias_were_gone() -> None:
    settings = [biased(bias_mm, choice=PlanChoice()).setting for bias_mm in (0.0, 30.0)]
    taken = [(s.f_number, s.shutter_s, s.iso, s.exposure_off_ev) for s in settings]
    assert taken[0] == taken[1]
    assert settings[1].share.value < settings[0].share.value  # of single frames, the bias left in


@pytest.mark.parametrize("caught", ["lashes", "brow", "glasses"])
def test_what_is_caught_adds_its_depth_and_spread(caught: str) -> None:
    focus = focus_error(magnification=0.0444)
    moved = caught_focus(burst(caught=caught), focus)
    usual = CAUGHT_DEPTHS[caught]
    assert moved.bias_mm == pytest.approx(usual.mean_mm, abs=0.01)
    assert moved.spread_mm == pytest.approx((focus.spread_mm**2 + usual.sd_mm**2) ** 0.5, rel=0.02)
    turned = caught_focus(
        burst(caught=caught, sitting=dataclasses.replace(SITTING, yaw_deg=60.0)), focus
    )
    assert abs(turned.bias_mm) < abs(moved.bias_mm)


def test_flash_is_never_fired_more_than_three_times_a_second() -> None:
    light = PlanLight(kind="flash", guide_number_m=40.0)
    sitting = SitterRequest(kit=KIT, light=light, distance_mm=2000.0)
    plan = plan_burst(BurstRequest(sitting=sitting, frames_per_s=20.0, caught="glasses"))
    for step in plan.steps:
        if step.frames > 1:
            assert (step.frames - 1) / step.seconds_s <= 3.0 + 1e-9
    assert FLASH in plan.cautions
    assert any("recycle" in said for said in plan.limits)


def test_nobody_leans_over_a_child_or_onto_furniture() -> None:
    sitting = dataclasses.replace(SITTING, sitter=PlanSitter(age_years=4.0))
    plan = plan_burst(burst(sitting=sitting))
    assert "not over a child, not onto furniture" in plan.cautions[0]
    assert any("guardian" in said for said in plan.cautions)
    assert FLASH not in plan.cautions


def test_a_lean_too_fast_for_the_camera_is_told_and_slowed() -> None:
    plan = plan_burst(burst(caught="glasses", lean_mm_per_s=200.0, frames_per_s=4.0))
    assert plan.frames is None
    assert plan.travel_mm <= MOST_LEAN_MM + 1e-9
    assert any("jump over the iris" in said for said in plan.limits)
    assert plan.advice.startswith("Lean more slowly")


def test_a_better_pace_asks_for_fewer_frames() -> None:
    slow = plan_burst(burst(caught="glasses", lean_mm_per_s=8.0, wanted_share=0.85))
    told = next(note for note in slow.notes if note.startswith("Best pace"))
    pace_mm_per_s = 10.0 * float(told.split(": ")[1].split("\u2009")[0])
    assert pace_mm_per_s > 8.0
    better = plan_burst(burst(caught="glasses", lean_mm_per_s=pace_mm_per_s, wanted_share=0.85))
    assert better.frames is not None
    assert better.frames < (slow.frames or 999)


def test_a_slow_shutter_slows_the_burst() -> None:
    sitting = dataclasses.replace(SITTING, choice=PlanChoice(f_number=8.0, shutter_s=1 / 4))
    sitting = dataclasses.replace(
        sitting, kit=dataclasses.replace(KIT, slowest_s=0.5), light=PlanLight(exposure_ev=6.0)
    )
    plan = plan_burst(burst(sitting=sitting))
    assert any("shutter time leaves 4 frames" in said for said in plan.limits)
    assert any("lean itself moves the plane by 10" in said for said in plan.limits)


def test_where_nothing_holds_it_says_what_else_to_change() -> None:
    promise = PlanPrint(print_cm=300.0)
    plan = plan_burst(burst(sitting=dataclasses.replace(SITTING, promise=promise)))
    assert plan.frames is None
    assert plan.chance.value < 0.1
    assert any("these settings" in said for said in plan.limits)
    assert plan.sentence.startswith("No lean-in holds 300\u2009cm: f/")
    assert "lean back" not in plan.sentence
    assert plan.advice
    assert "lean" not in plan.advice


def test_where_no_frame_holds_the_sweep_still_goes_about_the_iris() -> None:
    dark = dataclasses.replace(SITTING, light=PlanLight(exposure_ev=1.0))
    plan = plan_burst(burst(sitting=dataclasses.replace(dark, promise=PlanPrint(print_cm=150.0))))
    assert plan.chance.high == 0.0
    assert plan.sentence.endswith("comes nearest, and no frame does.")
    for step in plan.steps:
        assert step.from_mm + step.to_mm == pytest.approx(0.0, abs=10.0)


def test_more_spread_wants_more_frames() -> None:
    def frames(spread_mm: float) -> int:
        spread = Measured(value=spread_mm, low=0.9 * spread_mm, high=1.1 * spread_mm)
        kit = dataclasses.replace(KIT, focus_spread_mm=spread)
        request = burst(wanted_share=0.8, sitting=dataclasses.replace(SITTING, kit=kit))
        return plan_burst(request).frames or 999

    assert frames(4.0) < frames(15.0)


def test_both_eyes_of_a_turned_head_ask_for_more() -> None:
    near = dataclasses.replace(SITTING, yaw_deg=12.0, choice=PlanChoice(f_number=2.0))
    both = dataclasses.replace(near, eyes="both")
    chances = [plan_burst(burst(sitting=s)).steps[1].chance.value for s in (near, both)]
    assert chances[1] < chances[0]


def test_the_same_question_has_the_same_answer(glasses: BurstPlan) -> None:
    assert plan_burst(burst(caught="glasses")) == glasses


@pytest.mark.parametrize(
    "changed",
    [
        {"lean_mm_per_s": 0.0},
        {"lean_mm_per_s": -40.0},
        {"lean_mm_per_s": 5000.0},
        {"frames_per_s": 0.0},
        {"frames_per_s": float("nan")},
        {"wanted_share": 1.0},
        {"wanted_share": 95.0},
        {"caught": "nose"},
    ],
)
def test_what_nobody_can_shoot_is_refused_in_a_sentence(changed: dict[str, object]) -> None:
    with pytest.raises(InputError) as told:
        plan_burst(burst(**changed))
    assert told.value.hint
