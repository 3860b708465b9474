"""What limits a group, and what helps."""

from dataclasses import replace

import pytest
from tests.plan.group_requests import EASY, KIT, TWO_ROWS

from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.group_limits import GroupWayOut, cheapest, limiting, limits_words, ways_out
from eyeplane.records import PlanChoice, PlanHand, PlanLight, PlanPrint, PlanSitter


def test_a_deep_still_group_on_a_tripod_is_limited_by_depth() -> None:
    deep = replace(EASY, rows=6, row_spacing_mm=900.0, promise=PlanPrint(print_cm=70.0))
    assert limiting(group_choice(deep))[0] == "depth"


def test_children_on_the_go_are_limited_by_motion() -> None:
    lively = replace(TWO_ROWS, sitter=PlanSitter(age_years=2.0))
    assert limiting(group_choice(lively))[0] == "motion"


def test_ways_out_are_tried_and_each_brings_what_it_says() -> None:
    talking = replace(TWO_ROWS, sitter=PlanSitter(mood="talking"))
    choice = group_choice(talking)
    ways = ways_out(choice)
    told = {way.kind: way for way in ways}
    now = float(choice.shares[choice.order[0]])
    assert all(way.share >= now + 0.05 - 1e-9 for way in ways if way.kind != "print")
    changed = {
        "still": replace(talking, sitter=PlanSitter(mood="still")),
        "tripod": replace(talking, hand=PlanHand(support="tripod")),
        "light": replace(talking, light=PlanLight(exposure_ev=10.0)),
        "closer": replace(talking, row_spacing_mm=450.0),
        "iso": replace(talking, kit=replace(KIT, highest_iso=2 * KIT.highest_iso)),
    }
    for kind, request in changed.items():
        then = group_choice(request)
        assert then.shares[then.order[0]] == pytest.approx(told[kind].share, abs=0.006)
    smaller = group_choice(replace(TWO_ROWS, promise=PlanPrint(print_cm=39.0)))
    assert smaller.shares.max() >= 0.8
    assert "39" in told["print"].do


def test_a_settled_aperture_that_costs_frames_is_given_back_first() -> None:
    choice = group_choice(replace(TWO_ROWS, choice=PlanChoice(f_number=2.8)))
    ways = ways_out(choice)
    assert ways[0].kind == "choice"
    assert ways[0].do == "leave the aperture to the plan"


def test_the_cheapest_way_that_does_is_taken_and_a_smaller_print_last() -> None:
    still = GroupWayOut(kind="still", do="keep still", share=0.6)
    light = GroupWayOut(kind="light", do="bring light", share=0.85)
    more = GroupWayOut(kind="tripod", do="tripod", share=0.95)
    smaller = GroupWayOut(kind="print", do="promise less", share=0.99)
    assert cheapest((still, light, more, smaller)) is light
    assert cheapest((still, smaller)) is still
    assert cheapest((smaller,)) is smaller
    assert cheapest(()) is None


def test_nothing_is_said_where_nothing_limits() -> None:
    assert limits_words(group_choice(EASY), ()) == ()
