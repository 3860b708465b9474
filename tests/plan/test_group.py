"""A group's plan from request to answer."""

import math
import re
from dataclasses import replace

import pytest
from tests.plan.group_requests import EASY, FLASH, KIT, TWO_ROWS

from eyeplane.errors import InputError
from eyeplane.plan.group import plan_group
from eyeplane.records import (
    GroupPlan,
    Measured,
    PlanChoice,
    PlanLight,
    PlanSitter,
    from_plain,
    to_plain,
)

THIN = "\u2009"


@pytest.fixture(scope="module")
def two_rows() -> GroupPlan:
    return plan_group(TWO_ROWS)


@pytest.fixture(scope="module")
def leaning() -> GroupPlan:
    return plan_group(replace(TWO_ROWS, lean=True))


def test_the_plan_is_whole(two_rows: GroupPlan) -> None:
    assert 1 <= len(two_rows.settings) <= 3
    assert [row.row for row in two_rows.rows] == [1, 2]
    assert len(two_rows.places) == 8
    assert [stop.f_number for stop in two_rows.stops] == [2.8, 4.0, 5.6, 8.0]
    assert [mark.name for mark in two_rows.marks] == ["row 1", "row 2"]
    assert [needed.for_what for needed in two_rows.frames] == [
        "one that holds",
        "everybody's eyes open",
        "both",
    ]
    assert two_rows.ways[0].way == "now"
    assert two_rows.curve
    assert two_rows.recompose is not None
    assert from_plain(GroupPlan, to_plain(two_rows)) == two_rows


def test_the_same_question_has_the_same_answer(two_rows: GroupPlan) -> None:
    assert plan_group(TWO_ROWS) == two_rows


def test_the_plane_is_the_harmonic_mean_a_little_before_the_middle(two_rows: GroupPlan) -> None:
    assert two_rows.focus_distance_mm == pytest.approx(2 * 3500 * 4100 / 7600)
    assert two_rows.focus_into_share == pytest.approx(0.46, abs=0.005)
    best = two_rows.settings[0]
    assert best.focus_from_near_iris_mm == pytest.approx(two_rows.focus_distance_mm - 3500)


def test_best_first_each_with_its_interval_and_its_rows(two_rows: GroupPlan) -> None:
    shares = [setting.share for setting in two_rows.settings]
    assert shares == sorted(shares, key=lambda s: -s.value)
    for setting in two_rows.settings:
        assert [eye.name for eye in setting.eyes] == ["row 1", "row 2"]
        assert [eye.depth_mm for eye in setting.eyes] == [0.0, 600.0]
        for eye in setting.eyes:
            assert eye.share.value >= setting.share.value - 1e-9
            causes = {part.cause for part in eye.parts}
            assert {"focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels"} <= causes
    assert two_rows.settings[0].gives_up == ""
    assert all(setting.gives_up for setting in two_rows.settings[1:])


def test_everybody_inside_stays(two_rows: GroupPlan) -> None:
    assert all(row.inside and row.lean_cm == 0.0 for row in two_rows.rows)
    assert two_rows.f_number_without_lean is not None
    assert two_rows.f_number_without_lean <= two_rows.settings[0].f_number


def test_leaning_helps_and_is_said_with_its_direction(
    two_rows: GroupPlan, leaning: GroupPlan
) -> None:
    front, back = leaning.rows
    assert front.lean_cm == 0.0
    assert 0.0 < back.lean_cm <= 25.0
    assert not back.inside
    assert leaning.settings[0].share.value > two_rows.settings[0].share.value + 0.1
    assert f"The back row leans in by {math.ceil(back.lean_cm)}{THIN}cm" in leaning.sentence
    assert leaning.focus_distance_mm < two_rows.focus_distance_mm
    assert any("furniture" in caution for caution in leaning.cautions)


def test_a_row_out_of_reach_takes_a_step_not_a_lean() -> None:
    deep = replace(
        TWO_ROWS, row_spacing_mm=1500.0, choice=PlanChoice(f_number=2.0), distance_mm=3000.0
    )
    plan = plan_group(deep)
    assert max(abs(row.lean_cm) for row in plan.rows) > 25.0
    said = " ".join(plan.notes)
    assert "a step" in said
    assert f"More than 25{THIN}cm is no lean but a step" in said


def test_what_limits_and_the_cheapest_way_out(two_rows: GroupPlan) -> None:
    assert two_rows.settings[0].share.value < 0.8
    assert two_rows.limits[0].startswith("Depth limits this group")
    assert "cheapest first" in two_rows.limits[1]
    assert "bring the rows to" in two_rows.limits[1]
    assert two_rows.advice.startswith(f"Step back to 5.2{THIN}m")
    assert "focus plane" not in two_rows.advice  # it lies elsewhere from there


def test_stepping_back_is_told_with_what_then_holds(two_rows: GroupPlan) -> None:
    there = plan_group(replace(TWO_ROWS, distance_mm=5200.0))
    told = re.search(r"frame more loosely: (\d+)", two_rows.advice)
    assert told is not None
    assert int(told[1]) == round(100 * there.settings[0].share.value)


def test_inside_is_where_they_stand_before_any_leaning(leaning: GroupPlan) -> None:
    best, plane = leaning.settings[0], leaning.focus_distance_mm
    assert best.depth_front_mm is not None
    assert best.depth_behind_mm is not None
    for place in leaning.places:
        low, high = plane - best.depth_front_mm, plane + best.depth_behind_mm
        assert place.inside == (low <= place.distance_mm <= high)
        assert low <= place.distance_mm - place.lean_mm <= high
    assert [mark.inside for mark in leaning.marks] == [row.inside for row in leaning.rows]
    front = leaning.request.distance_mm
    assert [m.depth_mm for m in leaning.marks] == [r.distance_mm - front for r in leaning.rows]


def test_somebody_inside_may_be_asked_to_lean_all_the_same() -> None:
    close = replace(TWO_ROWS, row_spacing_mm=300.0, lean=True, choice=PlanChoice(f_number=8.0))
    plan = plan_group(close)
    back = plan.rows[-1]
    assert back.inside
    assert back.lean_cm > 0.0


def test_the_stop_without_leaning_is_told_with_its_own_focus_plane(leaning: GroupPlan) -> None:
    said = next(note for note in leaning.notes if note.startswith("If nobody leans"))
    assert f"with the focus plane 3.78{THIN}m from the lens" in said


def test_nothing_limits_where_nearly_all_hold() -> None:
    plan = plan_group(EASY)
    assert plan.settings[0].share.value > 0.8
    assert plan.limits == ()
    assert plan.advice.startswith(("Focus", "The focus plane"))


def test_where_nothing_holds_it_says_so_and_still_answers() -> None:
    plan = plan_group(replace(TWO_ROWS, promise=replace(TWO_ROWS.promise, print_cm=300.0)))
    assert plan.settings[0].share.value == 0.0
    assert plan.sentence.startswith("Nothing here holds")
    assert plan.sentence.endswith("comes nearest, and no frame does.")
    assert "near enough" not in plan.advice
    assert f"6000{THIN}px hold" in plan.limits[0]
    assert plan.frames[0].frames is None
    assert "Promise no more than" in plan.advice


def test_flash_freezes_recycles_and_warns() -> None:
    plan = plan_group(FLASH)
    best = plan.settings[0]
    assert best.flash_power is not None
    assert best.frozen_by_flash
    assert best.shutter_s >= FLASH.kit.sync_s - 1e-9
    assert any("photosensitive" in caution for caution in plan.cautions)
    assert any("Sandbags" in caution for caution in plan.cautions)
    for needed in plan.frames:
        if needed.frames is not None and needed.seconds_s is not None:
            assert needed.frames / needed.seconds_s <= 3.0
    assert plan.light is not None
    assert plan.light.falloff_ev == pytest.approx(math.log2((0.25 + 12.96) / (0.25 + 9)), abs=0.01)
    assert not any("the flash loses" in note for note in plan.notes)  # from as far as the camera


def test_a_flash_near_the_front_row_leaves_the_back_row_darker() -> None:
    near = replace(FLASH, light=replace(FLASH.light, flash_distance_mm=1500.0))
    said = " ".join(plan_group(near).notes)
    assert "From the front row to the back row the flash loses a stop" in said  # 2 log2(2.1 / 1.5)


def test_focusing_on_the_outermost_face_and_turning_back(two_rows: GroupPlan) -> None:
    told = two_rows.recompose
    assert told is not None
    aside = math.hypot(825.0, 190.0)  # the end of a row of four, eyes half a row's height apart
    slant = math.hypot(aside, two_rows.focus_distance_mm)
    assert told.behind_mm == pytest.approx(slant - two_rows.focus_distance_mm, abs=0.1)
    assert told.share.value < two_rows.settings[0].share.value


def test_a_single_face_needs_no_turn_and_has_no_arc() -> None:
    plan = plan_group(replace(TWO_ROWS, rows=1, faces_per_row=1))
    assert plan.recompose is None
    assert plan.arc_cost_mm == 0.0
    assert plan.focus_distance_mm == pytest.approx(3500.0)
    assert plan.advice.endswith("all are equally far along the lens axis.")


def test_an_arc_costs_depth_unless_the_field_is_bent_like_it() -> None:
    row = replace(TWO_ROWS, rows=1, faces_per_row=6, arc_radius_mm=4000.0)
    flat = plan_group(row)
    bent = plan_group(replace(row, kit=replace(KIT, field_radius_mm=4000.0)))
    assert flat.arc_cost_mm > 100.0
    assert bent.arc_cost_mm < -100.0
    assert any("Stand them straight" in note for note in flat.notes)
    assert any("The arc saves" in note for note in bent.notes)
    assert bent.settings[0].share.value > flat.settings[0].share.value - 0.01


def test_a_group_wider_than_the_frame_is_told_to_step_back() -> None:
    plan = plan_group(replace(TWO_ROWS, kit=replace(KIT, focal_length_mm=85.0)))
    assert plan.limits[0].startswith("Not everybody is in the frame")
    assert f"Step back to 4.5{THIN}m" in plan.limits[0]
    assert plan.advice.startswith("Step back to 4.5")
    there = plan_group(
        replace(TWO_ROWS, kit=replace(KIT, focal_length_mm=85.0), distance_mm=4500.0)
    )
    assert not any("in the frame" in limit for limit in there.limits)


def test_what_it_rests_on_is_said(two_rows: GroupPlan) -> None:
    notes = " ".join(two_rows.notes)
    assert f"f/{two_rows.f_number_without_lean:g} just takes everybody in" in notes
    assert "An arc on which all are equally far from the camera would add 86" in notes
    assert "Usual numbers, not yours: where autofocus lands" in notes
    spread = Measured(value=9.0, low=6.0, high=13.0)
    own = plan_group(replace(TWO_ROWS, kit=replace(KIT, focus_spread_mm=spread)))
    assert "Your own numbers: where autofocus lands." in " ".join(own.notes)


def test_a_kit_that_focuses_behind_is_corrected() -> None:
    off = Measured(value=150.0, low=120.0, high=180.0)
    plan = plan_group(replace(TWO_ROWS, kit=replace(KIT, focus_bias_mm=off)))
    assert "correct your kit's focus, which lies 15" in plan.limits[1]


def test_children_bring_their_cautions() -> None:
    plan = plan_group(replace(TWO_ROWS, sitter=PlanSitter(age_years=4.0)))
    assert any("guardian" in caution for caution in plan.cautions)
    assert plan.settings[0].share.value < plan_group(TWO_ROWS).settings[0].share.value


@pytest.mark.parametrize(
    "change",
    [
        {"rows": 0},
        {"distance_mm": 40.0},
        {"light": PlanLight()},
        {"choice": PlanChoice(f_number=16.0, shutter_s=1 / 8000, iso=100.0)},
        {"kit": replace(KIT, near_limit_mm=5000.0)},
        {"sitter": PlanSitter(age_years=-1.0)},
    ],
)
def test_impossible_requests_are_refused_in_one_sentence(change: dict[str, object]) -> None:
    with pytest.raises(InputError) as told:
        plan_group(replace(TWO_ROWS, **change))  # type: ignore[arg-type]  # one field each
    assert told.value.what
    assert told.value.hint
