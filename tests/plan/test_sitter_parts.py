"""Curve, scaling, ways to more light, limits and ways out of a plan for one sitter."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plan.sitter_requests import FLASH, HEAD, KIT, ROOM

from eyeplane.errors import InputError
from eyeplane.light import nearest_shutter_s
from eyeplane.optics.kit_blur import glass_um
from eyeplane.plan.curve import rule_time_s
from eyeplane.plan.expected import expected
from eyeplane.plan.limit_table import motion_limits
from eyeplane.plan.scaling import scaling
from eyeplane.plan.search import search
from eyeplane.plan.sitter import plan_sitter
from eyeplane.plan.sitter_words import dialled, finer_grain, gives_up
from eyeplane.plan.ways_out import ways_out
from eyeplane.records import (
    Framing,
    Measured,
    PlanChoice,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterPlan,
)

BASE = plan_sitter(HEAD)
DARK = replace(HEAD, light=PlanLight(exposure_ev=1.0))


def shutters(plan: SitterPlan) -> dict[str, float]:
    return {one.framing: one.shutter_s or math.nan for one in plan.scaling}


def test_the_curve_falls_by_motion_and_holds_the_best_time() -> None:
    times = [point.shutter_s for point in BASE.curve]
    assert times == sorted(times)
    motion = [point.motion_share.value for point in BASE.curve]
    assert motion == sorted(motion, reverse=True)
    best = BASE.settings[0]
    same = [point for point in BASE.curve if point.shutter_s == best.shutter_s]
    assert [point.share for point in same] == [best.share]
    assert all(p.share.value <= p.motion_share.value for p in BASE.curve)
    assert same[0].allowed


def test_the_reciprocal_rule_is_marked_once() -> None:
    # 1/85 s: the next mark that is no slower is 1/100 s.
    marked = [point.shutter_s for point in BASE.curve if point.reciprocal]
    assert marked == [pytest.approx(1 / 100)]
    # On a sensor of half the diagonal it is told for 170 mm.
    small = PlanKit(focal_length_mm=85.0, sensor_long_mm=18.0, sensor_short_mm=12.0)
    assert rule_time_s(small) == pytest.approx(1 / 200)


def test_what_the_limits_forbid_is_marked() -> None:
    for point in BASE.curve:
        iso = 100 * 2.0 ** (math.log2(BASE.settings[0].f_number ** 2 / point.shutter_s) - 8.0)
        # Marks are rounded to the third of a stop.
        inside = 89 < iso < 1795 and 1 / 8100 < point.shutter_s < 1 / 14
        assert point.allowed == inside


def test_times_that_are_not_allowed_are_marked_too() -> None:
    kit = replace(KIT, slowest_s=1 / 125, highest_iso=6400.0)
    told = {point.shutter_s: point for point in plan_sitter(replace(HEAD, kit=kit)).curve}
    slow = [point for time_s, point in told.items() if time_s > 1 / 100 - 1e-9]
    assert slow
    assert not any(point.allowed for point in slow)


@pytest.mark.parametrize("print_cm", [20.0, 38.0, 56.0, 60.0, 89.0])
def test_the_time_of_a_framing_is_that_of_its_own_scene(print_cm: float) -> None:
    request = replace(HEAD, promise=PlanPrint(print_cm=print_cm))
    found = search(request)
    f_number = float(found.setting.f_number[0])
    line_um = motion_limits(KIT, request.promise, f_number=f_number).line_um[0]
    for one in scaling(found):
        there = replace(found.frames.scene, eyes_mm=(one.distance_mm,), person=(0,))
        lines = expected(there, focus_mm=one.distance_mm, few=True).blurs.line_um_per_s[0]
        longest_s = line_um / float(np.quantile(lines, 5 / 6))
        assert one.shutter_s == nearest_shutter_s(float(longest_s), faster=True)


def test_full_length_allows_slower_times_than_a_head() -> None:
    child = plan_sitter(replace(HEAD, sitter=PlanSitter(age_years=4.0)))
    told = shutters(child)
    assert list(told) == ["head", "head-and-shoulders", "half", "full"]
    # Where the sitter's motion counts most, times go as the image scale: 4 times from head to
    # full length (the framings take in 302 and 1236 mm of a child of four).
    assert told["full"] / told["head"] == pytest.approx(4.0, rel=0.3)
    adult = shutters(BASE)
    assert all(adult[framing] > told[framing] for framing in told)


def test_toddlers_need_two_stops_more_than_adults_at_rest() -> None:
    """Common practice, no source."""
    toddler = shutters(plan_sitter(replace(HEAD, sitter=PlanSitter(age_years=2.0))))
    still = shutters(plan_sitter(replace(HEAD, sitter=PlanSitter(mood="still"))))
    assert math.log2(still["half"] / toddler["half"]) >= 2.0


def test_a_framing_nearer_than_the_lens_focuses_is_left_out() -> None:
    kit = replace(KIT, near_limit_mm=1800.0)
    assert next(iter(shutters(plan_sitter(replace(HEAD, kit=kit))))) == "head-and-shoulders"


def test_a_stop_more_light_three_ways() -> None:
    now = BASE.ways[0]
    best = BASE.settings[0]
    assert (now.f_number, now.shutter_s, now.iso) == (best.f_number, best.shutter_s, best.iso)
    assert now.share == best.share
    by_name = {way.way: way for way in BASE.ways}
    assert all(way.iso == pytest.approx(now.iso / 2, rel=0.03) for way in BASE.ways[1:])
    more = by_name["more light"]
    assert (more.f_number, more.shutter_s) == (now.f_number, now.shutter_s)
    assert more.noise_cost_cm < now.noise_cost_cm
    assert more.reach_cm.value > now.reach_cm.value
    slower = by_name["slower shutter"]
    assert slower.shutter_s == pytest.approx(2 * now.shutter_s, rel=0.03)
    assert slower.share.value < now.share.value


def test_at_base_iso_no_way_has_anything_to_gain() -> None:
    sun = plan_sitter(replace(HEAD, choice=PlanChoice(iso=100.0)))
    assert [way.way for way in sun.ways] == ["now"]


def test_noise_costs_more_the_higher_the_iso() -> None:
    costs = [
        plan_sitter(
            replace(
                HEAD,
                kit=replace(KIT, highest_iso=12_800.0),
                light=PlanLight(exposure_ev=ev),
                choice=PlanChoice(f_number=2.8, shutter_s=1 / 250),
            )
        )
        .ways[0]
        .noise_cost_cm
        for ev in (10.0, 8.0, 6.0, 4.0)
    ]
    assert costs == sorted(costs)
    assert costs[-1] > 4 * costs[0]


def test_the_iso_ceiling_is_said_where_it_binds_and_not_where_it_does_not() -> None:
    assert any("ISO 1600 is the ceiling" in limit for limit in BASE.limits)
    bright = plan_sitter(replace(HEAD, light=PlanLight(exposure_ev=15.0)))
    assert not any("ceiling" in limit for limit in bright.limits)


def test_a_limit_that_costs_nothing_is_not_said() -> None:
    kit = replace(KIT, highest_iso=100.0)
    plan = plan_sitter(replace(HEAD, kit=kit, light=PlanLight(exposure_ev=16.0)))
    assert plan.settings[0].iso == 100.0
    assert plan.limits == ()


def test_sync_is_said_where_the_room_draws_a_ghost() -> None:
    bright_room = replace(FLASH, exposure_ev=9.0, guide_number_m=20.0)
    plan = plan_sitter(replace(HEAD, light=bright_room))
    assert any(limit.startswith("Flash sync ends at 1/200") for limit in plan.limits)
    dark_room = plan_sitter(replace(HEAD, light=replace(FLASH, exposure_ev=None)))
    assert not any("sync" in limit for limit in dark_room.limits)
    assert dark_room.settings[0].ghost_share == 0.0


def test_the_fastest_time_is_said_where_it_binds() -> None:
    slow = replace(KIT, fastest_s=1 / 250, highest_iso=6400.0)
    bright = replace(HEAD, kit=slow, light=PlanLight(exposure_ev=12.0))
    assert any("fastest" in limit for limit in plan_sitter(bright).limits)
    assert not any("fastest" in limit for limit in BASE.limits)


def test_a_print_larger_than_the_pixels_hold_is_said_first() -> None:
    plan = plan_sitter(replace(HEAD, promise=PlanPrint(print_cm=200.0)))
    assert plan.limits[0].startswith("6000")
    assert "no setting" in plan.limits[0]
    assert plan.advice.startswith("Promise ")
    promised = float(plan.advice.split("\u2009")[0].removeprefix("Promise "))
    # What is promised instead is held by four frames in five.
    then = plan_sitter(
        replace(
            HEAD,
            promise=PlanPrint(print_cm=promised),
            choice=PlanChoice(
                f_number=plan.settings[0].f_number,
                shutter_s=plan.settings[0].shutter_s,
                iso=plan.settings[0].iso,
            ),
        )
    )
    assert then.settings[0].share.value >= 0.78


def test_when_nothing_holds_the_way_out_was_tried() -> None:
    plan = plan_sitter(DARK)
    assert plan.sentence.startswith("Nothing here holds 60")
    assert any("what costs it most is" in limit for limit in plan.limits)
    # What is advised does bring what is said.
    assert plan.advice.startswith("Bring ")
    exposure_ev = float(plan.advice.split("(EV ")[1].split(",")[0])
    said = int(plan.advice.split(": ")[1].split("\u2009")[0]) / 100
    then = plan_sitter(replace(HEAD, light=PlanLight(exposure_ev=exposure_ev)))
    assert then.settings[0].share.value == pytest.approx(said, abs=0.05)
    assert said >= 0.5


def test_advice_is_the_way_that_brings_most() -> None:
    dim = replace(HEAD, light=PlanLight(exposure_ev=4.0))
    found = search(dim)
    told = ways_out(found)
    assert {"tripod", "iso", "light", "still", "back"} <= {way.kind for way in told}
    most = max(told, key=lambda way: way.gain)
    assert plan_sitter(dim).advice.startswith(most.text)
    for way in told:
        assert way.share == pytest.approx(way.then.share)
        assert way.gain == pytest.approx(way.share - found.share, abs=0.05)


def test_what_was_settled_is_named_as_in_speech() -> None:
    choice = PlanChoice(f_number=2.8, shutter_s=1 / 60, iso=400.0)
    told = next(
        way for way in ways_out(search(replace(HEAD, choice=choice))) if way.kind == "choice"
    )
    assert told.text == "Leave the aperture, the shutter and ISO to the plan"


def test_only_what_can_be_changed_is_tried() -> None:
    on_tripod = replace(HEAD, hand=PlanHand(support="tripod"), sitter=PlanSitter(mood="still"))
    kinds = {way.kind for way in ways_out(search(on_tripod))}
    assert not kinds & {"tripod", "still", "focus", "face", "room", "choice"}
    turned = ways_out(search(replace(HEAD, eyes="both", yaw_deg=40.0)))
    face = next(way for way in turned if way.kind == "face")
    assert face.gain > 0.1
    off = replace(KIT, focus_bias_mm=Measured(value=20.0, low=15.0, high=25.0))
    focus = next(way for way in ways_out(search(replace(HEAD, kit=off))) if way.kind == "focus")
    assert "20" in focus.text
    assert "behind" in focus.text
    assert focus.gain > 0.0


def test_a_settled_choice_that_costs_frames_is_named() -> None:
    plan = plan_sitter(replace(HEAD, choice=PlanChoice(shutter_s=1 / 60)))
    assert any(limit.startswith("You settled 1/60") for limit in plan.limits)


def test_gives_up_names_both_sides() -> None:
    best, *others = BASE.settings
    wider = next(one for one in others if one.f_number < best.f_number)
    said = gives_up(best, wider)
    lost = round(100 * (best.share.value - wider.share.value))
    assert f"{lost} frames in a hundred" in said
    assert "a background blurred 1.4 times as much" in said
    smaller = next(one for one in others if one.f_number > best.f_number)
    assert "gains the far eye" in gives_up(best, smaller)
    assert gives_up(best, best) == "As good as the best."


def test_a_third_of_a_stop_of_iso_is_no_grain() -> None:
    best = BASE.settings[0]
    third = replace(best, iso=1.25 * best.iso)
    assert gives_up(best, third) == "As good as the best."
    assert "finer grain" in gives_up(best, replace(best, iso=2.0 * best.iso))


def test_what_gives_up_nothing_does_not_read_as_the_better_choice() -> None:
    best = BASE.settings[0]
    finer = replace(best, iso=0.5 * best.iso)
    grain = f"finer grain (ISO {finer.iso:.0f} instead of {best.iso:.0f})"
    assert gives_up(best, finer) == f"Holds as often, as near as can be told; gains {grain}."
    hair = replace(best.share, value=best.share.value + 0.01)  # within what the choice lets pass
    assert gives_up(best, replace(finer, share=hair)) == gives_up(best, finer)
    none = replace(best, share=Measured(value=0.0, low=0.0, high=0.0))
    assert gives_up(none, replace(none, iso=finer.iso)) == f"Holds no more often; gains {grain}."


def test_where_nothing_holds_nothing_is_as_good_as_the_best() -> None:
    none = replace(BASE.settings[0], share=Measured(value=0.0, low=0.0, high=0.0))
    assert gives_up(none, none) == "Holds no more often."


def test_full_power_is_said_in_words() -> None:
    full = replace(BASE.settings[0], flash_power=1.0)
    assert dialled(full).endswith("and flash at full power")
    assert dialled(replace(full, flash_power=0.25)).endswith("and flash at 1/4")


def test_the_lowest_iso_for_few_frames_is_told() -> None:
    found = search(replace(HEAD, light=replace(ROOM, exposure_ev=12.0)))
    said = finer_grain(found.found.settings, found.shares, found.best)
    iso = float(said.split("ISO ")[1].split(",")[0])
    settings, held = found.found.settings, found.shares
    of_it = held[np.abs(settings.iso - iso) < 1.0].max()
    assert said.endswith(f" {round(100 * of_it)}\u2009%.")
    assert of_it >= found.share - 0.05
    assert held[settings.iso < iso - 1.0].max() < found.share - 0.05
    plan = plan_sitter(found.request)
    assert (said in plan.notes) != (said in plan.advice)
    small = replace(found.request.promise, print_cm=25.0)
    still = replace(found.request, sitter=PlanSitter(mood="still"), promise=small)
    assert "Finer grain costs few frames" in plan_sitter(still).advice


def test_no_finer_grain_where_it_costs_more_or_nothing_holds() -> None:
    dim = search(replace(HEAD, light=replace(ROOM, exposure_ev=5.0)))
    assert finer_grain(dim.found.settings, dim.shares, dim.best) == ""
    huge = search(replace(HEAD, promise=replace(HEAD.promise, print_cm=300.0)))
    assert finer_grain(huge.found.settings, huge.shares, huge.best) == ""


def test_one_frame_is_only_enough_if_the_eyes_are_open_too() -> None:
    sure = plan_sitter(replace(HEAD, light=FLASH, promise=replace(HEAD.promise, print_cm=20.0)))
    assert sure.frames[0].frames == 1
    assert sure.frames[-1].frames == 2
    assert "one frame" not in sure.advice


def test_the_usual_glass_of_a_small_sensor_is_less_in_proportion() -> None:
    small = replace(KIT, sensor_long_mm=9.0, sensor_short_mm=6.0)
    assert 4.0 * glass_um(small, 2.8) == pytest.approx(glass_um(KIT, 2.8))
    larger = replace(KIT, sensor_long_mm=54.0, sensor_short_mm=40.0)
    assert glass_um(larger, 2.8) == pytest.approx(glass_um(KIT, 2.8))
    own = replace(small, glass_um=2.0)
    assert glass_um(own, 16.0) == pytest.approx(2.0, rel=0.01)


def test_who_sits_is_said() -> None:
    newborn = plan_sitter(replace(HEAD, sitter=PlanSitter(age_years=0.0)))
    assert any(note == "A newborn counts as resting." for note in newborn.notes)
    assert any("counts as an adult" in note for note in BASE.notes)
    child = plan_sitter(replace(HEAD, sitter=PlanSitter(age_years=2.0)))
    assert any("At 2 years the sitter counts as on the go" in note for note in child.notes)
    client = PlanSitter(speed_mm_per_s=Measured(value=8.0, low=3.0, high=20.0))
    known = plan_sitter(replace(HEAD, sitter=client))
    assert any("by this client's own numbers" in note for note in known.notes)


def test_framing_says_how_the_camera_is_held() -> None:
    assert any("camera level" in note for note in BASE.notes)
    by_distance = plan_sitter(replace(HEAD, framing=None, distance_mm=2000.0))
    assert not any("camera level" in note for note in by_distance.notes)
    assert by_distance.framing == "head-and-shoulders"


def test_light_that_a_lamp_gives_is_said_in_lux() -> None:
    dim = plan_sitter(replace(HEAD, light=replace(ROOM, exposure_ev=7.0)))
    light = next(way for way in ways_out(search(dim.request)) if way.kind == "light")
    # EV 8 at ISO 100 is 640 lx: 2.5 · 2^8 (ISO 2720, C = 250).
    assert "EV 8, 640\u2009lx" in light.text


def test_glasses_say_what_happens_if_they_are_caught() -> None:
    plan = plan_sitter(replace(HEAD, sitter=PlanSitter(glasses=True)))
    note = next(one for one in plan.notes if "glasses" in one)
    # The frame of glasses worn straight sits 18 mm before the iris; turned, less.
    assert "in front of the eye" in note
    caught = int(note.split(" eye, ")[1].split("\u2009")[0])
    assert caught < 100 * plan.settings[0].share.value - 10
    assert not any("glasses" in one for one in BASE.notes)


def test_few_frames_say_what_most_of_them_hold() -> None:
    dim = plan_sitter(replace(HEAD, light=PlanLight(exposure_ev=4.0)))
    said = next(limit for limit in dim.limits if limit.startswith("Four frames in five hold"))
    smaller = float(said.split("hold ")[1].split("\u2009")[0])
    assert smaller < 60.0
    assert not any(limit.startswith("Four") for limit in BASE.limits)


def test_no_change_is_advised_that_leaves_most_frames_soft() -> None:
    huge = plan_sitter(
        replace(HEAD, light=PlanLight(exposure_ev=10.0), promise=PlanPrint(print_cm=100.0))
    )
    assert 0.05 < huge.settings[0].share.value < 0.5
    assert huge.advice.startswith("Promise ")
    then = next(limit for limit in huge.limits if limit.endswith("of frames then hold."))
    assert int(then.split(": ")[1].split("\u2009")[0]) < 50


def test_a_share_that_is_all_but_all_is_not_called_about() -> None:
    small = plan_sitter(
        replace(
            HEAD,
            framing="full",
            light=PlanLight(exposure_ev=14.0),
            promise=PlanPrint(print_cm=10.0),
            sitter=PlanSitter(mood="still"),
        )
    )
    assert ": over 99" in small.sentence


FOCAL_MM = st.sampled_from([24.0, 50.0, 85.0, 135.0, 200.0])
FRAMING = st.sampled_from(["head", "head-and-shoulders", "half", "full"])
TIMES = st.sampled_from([None, 1 / 60, 1 / 250, 1 / 2000])


@settings(max_examples=25, deadline=None)
@given(FOCAL_MM, FRAMING, st.floats(-4, 18), st.floats(0, 90), TIMES, st.booleans())
def test_every_request_is_answered_or_refused(
    focal_length_mm: float,
    framing: Framing,
    exposure_ev: float,
    yaw_deg: float,
    shutter_s: float | None,
    flash: bool,  # noqa: FBT001  drawn at random
) -> None:
    light = replace(FLASH if flash else ROOM, exposure_ev=exposure_ev)
    request = replace(
        HEAD,
        kit=replace(KIT, focal_length_mm=focal_length_mm),
        framing=framing,
        light=light,
        yaw_deg=yaw_deg,
        choice=PlanChoice(shutter_s=shutter_s),
    )
    try:
        plan = plan_sitter(request)
    except InputError as refused:
        assert refused.hint  # noqa: PT017  either is right
        return
    said = [plan.sentence, plan.advice, *plan.limits, *plan.notes, plan.background]
    assert not any("nan" in one or "None" in one for one in said)
    assert plan.settings[0].share.value >= max(s.share.value for s in plan.settings) - 0.005
    assert all(eye.reach_cm.low > 0 for one in plan.settings for eye in one.eyes)


@pytest.mark.parametrize(
    ("bias_mm", "said"),
    [
        (22.0, "Focus lands 22 mm behind the near eye on average and scatters by"),
        (-9.0, "Focus lands 9 mm in front of the near eye on average and scatters by"),
        (0.4, "about the near eye"),
    ],
)
def test_where_the_focus_lands_is_said_with_its_offset(bias_mm: float, said: str) -> None:
    kit = replace(KIT, focus_bias_mm=Measured(value=bias_mm, low=bias_mm - 2, high=bias_mm + 2))
    notes = [note.replace("\u2009", " ") for note in plan_sitter(replace(HEAD, kit=kit)).notes]
    assert any(said in note and note.startswith("Focus ") for note in notes)
    assert any("scatters by" in note and "is focused on something else." in note for note in notes)
