"""A plan as plain text: nothing in it says two things at once."""

from dataclasses import replace

from tests.deliver import plan_builder

from eyeplane.cli.plan_print import plan_text
from eyeplane.deliver.plan_contents import content_of
from eyeplane.records import GroupPlan, GroupStop, Measured, PlanLight

NONE = Measured(value=0.0, low=0.0, high=0.0)
FLASH = PlanLight(kind="flash", guide_number_m=40.0)


def group_with(stop: GroupStop) -> GroupPlan:
    """Return a group's plan that tells of one stop."""
    plan: GroupPlan = replace(plan_builder.group_plan(), stops=(stop,))
    return plan


def said(text: str) -> str:
    return " ".join(text.split())


def test_a_share_that_is_none_for_sure_has_no_interval() -> None:
    plan = plan_builder.sitter_plan()
    best = replace(plan.settings[0], share=NONE)
    rows = plan_text(replace(plan, settings=(best, *plan.settings[1:]))).splitlines()
    assert next(row for row in rows if row.startswith("  best")).split()[5] == "none"


def test_a_depth_of_field_of_nothing_is_none() -> None:
    plan = plan_builder.sitter_plan()
    best = replace(plan.settings[0], depth_front_mm=0.0, depth_behind_mm=0.0)
    assert "0.0" not in plan_text(replace(plan, settings=(best,))).partition("Budget")[0]


def test_settings_of_one_aperture_are_named_by_their_times() -> None:
    plan = plan_builder.sitter_plan()
    best, other, *_ = plan.settings
    faster = replace(other, f_number=best.f_number, shutter_s=1 / 640, gives_up="Gives up grain.")
    told = said(plan_text(replace(plan, settings=(best, faster))))
    assert "1/640 s: Gives up grain." in told
    assert f"f/{best.f_number:g}: Gives up" not in told


def test_both_eyes_are_told_once_where_both_are_asked_for() -> None:
    plan = plan_builder.sitter_plan()
    best = replace(plan.settings[0], share_both=plan.settings[0].share)
    assert "eyes hold in" not in said(plan_text(replace(plan, settings=(best,))))


def test_with_flash_the_times_by_framing_are_those_without_it() -> None:
    plan = plan_builder.sitter_plan()
    lit = replace(plan, request=replace(plan.request, light=FLASH))
    assert "Shutter by framing, without the flash: " in said(plan_text(lit))
    assert "without the flash" not in plan_text(plan)
    headings = [section.heading for section in content_of(lit, "").sections]
    assert "Shutter by framing, same sitter, without the flash" in headings


def test_framings_that_no_time_suits_are_left_out() -> None:
    plan = plan_builder.sitter_plan()
    never = replace(plan, scaling=tuple(replace(one, shutter_s=None) for one in plan.scaling))
    assert "Shutter by framing" not in plan_text(never)
    assert not any("by framing" in section.heading for section in content_of(never, "").sections)


def test_inside_and_yet_seldom_sharp_is_only_just_inside() -> None:
    few = Measured(value=0.02, low=0.0, high=0.06)
    plan = group_with(GroupStop(f_number=2.8, out=(), share=few))
    assert "f/2.8 nobody, but only just" in said(plan_text(plan))
    stops = next(s for s in content_of(plan, "").sections if s.heading.startswith("Who falls out"))
    assert stops.rows[0][0] == "f/2.8: nobody, but only just"


def test_a_lean_is_an_order_only_where_leaning_was_asked_for() -> None:
    plan = plan_builder.group_plan()
    asked = replace(plan, request=replace(plan.request, lean=True))
    left = replace(plan, request=replace(plan.request, lean=False))
    assert "Who falls out, once they lean" in plan_text(asked)
    assert "to be inside" in plan_text(left)
    assert "once they lean" not in plan_text(left)
    told = dict(content_of(left, "").facts.rows)
    assert told["Row 2"].startswith("Outside, inside if they lean 17\u2009cm forward")
    assert dict(content_of(asked, "").facts.rows)["Row 2"].startswith("Outside, lean 17")


def test_a_lean_in_short_of_the_chance_has_its_number_of_frames_on_the_card() -> None:
    plan = plan_builder.burst_plan()
    step = plan.steps[1]
    short = replace(plan, frames=None, seconds_s=step.seconds_s)
    told = dict(content_of(short, "").facts.rows)
    assert told["Frames"] == f"{step.frames}, short of the chance wanted"
    assert f"in {step.frames} frames" in content_of(short, "").main.spoken
    assert dict(content_of(plan, "").facts.rows)["Frames"] == f"{plan.frames}"


def test_a_row_that_is_inside_leans_for_more_frames_and_both_pages_say_so() -> None:
    plan = plan_builder.group_plan()
    front, back = plan.rows
    asked = replace(plan.request, lean=True)
    rows = (replace(front, inside=True, lean_cm=0.0), replace(back, inside=True, lean_cm=5.0))
    leaning: GroupPlan = replace(plan, request=asked, rows=rows)
    assert "5 cm towards the camera, for more frames" in said(plan_text(leaning))
    facts = content_of(leaning, "").facts
    assert facts is not None
    told = dict(facts.rows)
    assert told["Row 2"].startswith("Inside, lean 5\u2009cm forward for more frames")
    out = replace(leaning, rows=(rows[0], replace(rows[1], inside=False)))
    assert "for more frames" not in said(plan_text(out))
    facts = content_of(out, "").facts
    assert facts is not None
    assert dict(facts.rows)["Row 2"].startswith("Outside, lean 5\u2009cm forward: ")


def test_nobody_leans_where_the_plan_asks_nobody_to() -> None:
    plan = plan_builder.group_plan()
    asked = replace(plan.request, lean=True)
    rows = tuple(replace(row, inside=True, lean_cm=0.0) for row in plan.rows)
    upright: GroupPlan = replace(plan, request=asked, rows=rows)
    assert "once they lean" not in plan_text(upright)
    headings = [section.heading for section in content_of(upright, "").sections]
    assert "Who falls out" in headings
    leaning = replace(upright, rows=(rows[0], replace(rows[1], lean_cm=8.0)))
    assert "Who falls out, once they lean" in plan_text(leaning)


def test_both_eyes_that_are_never_sharp_together_hold_in_no_frame() -> None:
    plan = plan_builder.sitter_plan()
    best = replace(plan.settings[0], share_both=NONE)
    assert "Both eyes hold in no frame." in said(plan_text(replace(plan, settings=(best,))))
