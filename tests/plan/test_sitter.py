"""The whole plan for one sitter: every answer is there, agrees with the others, and stays true."""

import math
from dataclasses import replace

import pytest
from tests.plan.sitter_requests import FLASH, HEAD, KIT, ROOM

from eyeplane.errors import InputError
from eyeplane.optics import blur_circle_um, depth_of_field_mm
from eyeplane.plan.background import background_blur
from eyeplane.plan.cautions import FLASH as ASK_FIRST
from eyeplane.plan.cautions import MOVES, STANDS, STARTLE, STOOL
from eyeplane.plan.expected import expected, shares
from eyeplane.plan.recompose import behind_mm
from eyeplane.plan.search import search
from eyeplane.plan.sitter import plan_sitter
from eyeplane.records import (
    Measured,
    PlanChoice,
    PlanHand,
    PlanLight,
    PlanPrint,
    PlanSitter,
    SitterPlan,
    SitterRequest,
)
from eyeplane.records.said import percent_ends

BASE = plan_sitter(HEAD)
BOTH = plan_sitter(replace(HEAD, eyes="both"))


def at(request: SitterRequest, f_number: float, shutter_s: float, iso: float) -> SitterPlan:
    choice = PlanChoice(f_number=f_number, shutter_s=shutter_s, iso=iso)
    return plan_sitter(replace(request, choice=choice))


def test_best_first_and_its_neighbours_beside_it() -> None:
    shares = [one.share.value for one in BASE.settings]
    assert len(shares) == 3
    assert shares[0] >= max(shares) - 0.005
    assert shares[1] >= shares[2]
    assert BASE.settings[0].gives_up == ""
    assert all(one.gives_up.startswith(("Gives up", "As good")) for one in BASE.settings[1:])


def test_no_share_without_its_interval() -> None:
    for one in BASE.settings:
        told = [one.share, one.share_both, *(eye.share for eye in one.eyes)]
        for share in told:
            assert share is not None
            assert 0 <= share.low <= share.value <= share.high <= 1
        assert one.share.high - one.share.low > 0.02
        assert one.share_both is not None
        assert one.share_both.value <= min(eye.share.value for eye in one.eyes)


def test_the_share_is_that_of_the_eyes_that_count() -> None:
    assert all(one.share == one.eyes[0].share for one in BASE.settings)
    assert all(one.share == one.share_both for one in BOTH.settings)


def test_the_same_question_has_the_same_answer() -> None:
    assert plan_sitter(HEAD) == BASE


def test_mirrored_the_plan_is_the_same() -> None:
    mirrored = plan_sitter(replace(HEAD, yaw_deg=-25.0))
    assert replace(mirrored, request=HEAD) == BASE


def test_depth_of_field_is_the_thin_lens_at_the_disc_that_the_print_takes() -> None:
    best = BASE.settings[0]
    assert best.depth_front_mm is not None
    assert best.depth_behind_mm is not None
    focus_mm = BASE.distance_mm + best.focus_from_near_iris_mm
    ends = focus_mm - best.depth_front_mm, focus_mm + best.depth_behind_mm
    discs = [
        blur_circle_um(
            focal_length_mm=85.0,
            f_number=best.f_number,
            focus_distance_mm=focus_mm,
            subject_distance_mm=end,
        )
        for end in ends
    ]
    assert discs[0] == pytest.approx(discs[1], rel=1e-9)
    near, far = depth_of_field_mm(
        focal_length_mm=85.0, f_number=best.f_number, focus_distance_mm=focus_mm, circle_um=discs[0]
    )
    assert (near, far) == pytest.approx(ends)
    assert best.depth_behind_mm > best.depth_front_mm  # always, for a thin lens


def test_marks_are_inside_where_the_depth_of_field_takes_them_in() -> None:
    best = BASE.settings[0]
    front, behind = best.depth_front_mm or 0.0, best.depth_behind_mm or math.inf
    names = [mark.name for mark in BASE.marks]
    assert {"nose tip", "near iris", "far iris", "near ear", "background"} <= set(names)
    depths = [mark.depth_mm for mark in BASE.marks]
    assert depths == sorted(depths)
    for mark in BASE.marks:
        assert mark.inside == (-front <= mark.depth_mm <= behind)
    assert dict(zip(names, depths, strict=True))["far iris"] == pytest.approx(BASE.far_iris_mm)


def test_between_both_eyes_the_plane_has_its_place() -> None:
    place = BOTH.settings[0].focus_from_near_iris_mm
    assert 0.45 * BOTH.far_iris_mm < place < 0.5 * BOTH.far_iris_mm
    depth = {p.cause: p for p in BOTH.settings[0].eyes[0].parts}["depth"]
    assert depth.blur_um is not None
    assert depth.blur_um > 0


def test_background_blur_is_that_of_the_setting() -> None:
    best = BASE.settings[0]
    blur = background_blur(
        KIT,
        f_number=best.f_number,
        focus_mm=BASE.distance_mm,
        background_mm=BASE.distance_mm + 1200.0,
    )
    assert best.background_blur_mm == pytest.approx(blur.there_mm)
    assert best.background_blur_share == pytest.approx(blur.of_height_share)
    assert f"f/{best.f_number:g}" in BASE.background


def test_without_a_background_nothing_is_said_of_it() -> None:
    plan = plan_sitter(replace(HEAD, background_mm=None))
    assert plan.background == ""
    assert plan.settings[0].background_blur_mm is None
    assert "background" not in [mark.name for mark in plan.marks]


def test_recompose_turns_to_the_upper_third() -> None:
    told = BASE.recompose
    assert told is not None
    aside_mm = BASE.field_height_mm / 6
    assert told.turn_deg == pytest.approx(math.degrees(math.atan(aside_mm / BASE.distance_mm)))
    there_mm = math.hypot(BASE.distance_mm, aside_mm)
    assert told.behind_mm == pytest.approx(behind_mm(distance_mm=there_mm, turn_deg=told.turn_deg))


def test_recompose_costs_what_the_shifted_plane_costs() -> None:
    sure = replace(
        KIT,
        focal_length_mm=35.0,
        focus_spread_mm=Measured(value=2.0, low=1.5, high=2.5),
        focus_bias_mm=Measured(value=0.0, low=-1.0, high=1.0),
    )
    request = replace(HEAD, kit=sure, choice=PlanChoice(f_number=1.4), framing="head")
    found = search(request)
    told = plan_sitter(request).recompose
    assert told is not None
    shifted = expected(found.frames.scene, focus_mm=found.frames.focus_mm + told.behind_mm)
    assert told.share.value == pytest.approx(float(shares(shifted, found.setting)[0]))
    assert told.share.value < found.share


def test_the_sentence_answers_first() -> None:
    best = BASE.settings[0]
    said = BASE.sentence.replace("\u2009", " ")
    assert said.startswith(f"f/{best.f_number:g} at 1/{round(1 / best.shutter_s)} s and ISO ")
    low, high = percent_ends(best.share.low, best.share.high)
    # The bracket belongs to the share: behind "60 cm" it would be read as centimetres.
    share = f"{round(100 * best.share.value)} % of frames ({low}–{high}) hold 60 cm."
    assert f"about {share}" in said
    assert "in both eyes" in BOTH.sentence


def test_settled_settings_say_how_far_off_they_are() -> None:
    # EV 8 at f/4 asks for 1/60 s at ISO 400: APEX.
    right = at(HEAD, 4.0, 1 / 60, 400.0)
    assert right.settings[0].exposure_off_ev == pytest.approx(0.0, abs=1e-9)
    assert "expose" not in right.sentence
    over = at(HEAD, 4.0, 1 / 60, 1600.0)
    assert over.settings[0].exposure_off_ev == pytest.approx(2.0)
    assert "over-expose this light by two stops" in over.sentence
    assert len(over.settings) == 1
    assert over.limits[0].startswith("You settled f/4, 1/60")


def test_wide_open_a_turned_head_loses_the_far_eye_and_stopped_down_keeps_it() -> None:
    """Common practice: f/1.4 with the head turned loses the far eye, f/5.6 keeps both."""
    bright = replace(HEAD, light=PlanLight(exposure_ev=13.0))
    wide = plan_sitter(replace(bright, choice=PlanChoice(f_number=1.4))).settings[0]
    small = plan_sitter(replace(bright, choice=PlanChoice(f_number=5.6))).settings[0]
    assert wide.eyes[0].share.value > 0.5
    assert wide.eyes[1].share.value < 0.1  # a plane that missed now and then falls on it
    assert small.share_both is not None
    assert small.share_both.value > 0.85


def test_a_focus_plane_where_autofocus_lands_is_learned() -> None:
    kit = replace(
        KIT,
        focus_bias_mm=Measured(value=20.0, low=17.0, high=23.0),
        focus_spread_mm=Measured(value=4.0, low=3.0, high=5.0),
    )
    plan = plan_sitter(replace(HEAD, kit=kit))
    assert any("Your own numbers: where autofocus lands" in note for note in plan.notes)
    assert plan.settings[0].f_number > BASE.settings[0].f_number
    assert "where autofocus lands" not in next(n for n in plan.notes if n.startswith("Usual"))


def test_flash_is_told_with_power_and_ghost() -> None:
    plan = plan_sitter(replace(HEAD, light=FLASH))
    best = plan.settings[0]
    assert best.flash_power is not None
    assert best.frozen_by_flash
    assert best.ghost_share is not None
    assert 0 < best.ghost_share < 0.05
    assert "flash at 1/" in plan.sentence
    assert ASK_FIRST in plan.cautions
    assert all(p.shutter_s >= KIT.sync_s * 0.99 for p in plan.curve)
    assert all(w.way != "slower shutter" for w in plan.ways)


def test_cautions_stand_where_they_apply() -> None:
    plain = plan_sitter(replace(HEAD, background_mm=None, hand=PlanHand(support="tripod")))
    assert ASK_FIRST not in plain.cautions
    infant = plan_sitter(replace(HEAD, light=FLASH, sitter=PlanSitter(age_years=1.0)))
    assert {ASK_FIRST, STARTLE, STOOL} <= set(infant.cautions)
    assert MOVES in BASE.cautions  # it says to step away from the background
    lit = replace(ROOM, source_size_mm=900.0, source_distance_mm=1500.0)
    assert STANDS in plan_sitter(replace(HEAD, light=lit)).cautions


def test_how_hard_the_light_is_where_the_source_is_known() -> None:
    assert BASE.light is None
    lit = replace(ROOM, source_size_mm=900.0, source_distance_mm=1500.0)
    told = plan_sitter(replace(HEAD, light=lit)).light
    assert told is not None
    assert told.name == "soft"


def test_one_frame_in_so_many() -> None:
    hold, eyes, both = BASE.frames
    assert [one.for_what for one in (hold, eyes, both)] == [
        "one that holds",
        "everybody's eyes open",
        "both",
    ]
    assert hold.frames is not None
    share = BASE.settings[0].share.value
    # As many as are enough if the share is what is told, and no more than if it were at its least.
    assert 1 - (1 - share) ** hold.frames >= 0.95
    assert 1 - (1 - BASE.settings[0].share.low) ** (hold.frames - 1) < 0.95
    assert hold.chance.value >= 0.95 - 1e-9


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"distance_mm": 2000.0}, "distance"),
        ({"yaw_deg": 120.0}, "yaw"),
        ({"light": PlanLight(exposure_ev=-9.0)}, "light"),
        ({"choice": PlanChoice(f_number=1.0)}, "aperture"),
        ({"promise": PlanPrint(print_cm=-1.0)}, "print"),
        ({"sitter": PlanSitter(age_years=200.0)}, "age_years"),
    ],
)
def test_what_cannot_be_planned_is_refused(change: dict[str, object], where: str) -> None:
    with pytest.raises(InputError) as caught:
        plan_sitter(replace(HEAD, **change))  # type: ignore[arg-type]  # a table of changes
    assert caught.value.where == where


def test_a_lens_wider_than_any_is_planned_without_turning() -> None:
    wide = replace(HEAD, kit=replace(KIT, focal_length_mm=1.0), framing=None, distance_mm=500.0)
    assert plan_sitter(wide).recompose is None


def test_where_nothing_holds_settled_settings_are_answered_all_the_same() -> None:
    # More light would be too bright for them: that is no reason not to answer.
    wild = Measured(value=400.0, low=300.0, high=500.0)
    kit = replace(KIT, focus_bias_mm=wild, focus_spread_mm=wild)
    told = at(replace(HEAD, kit=kit), 3.2, 1 / 400, 1250.0)
    assert told.settings[0].share.value < 0.1
    assert told.advice
