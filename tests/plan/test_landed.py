"""What it does that the focus lands off its plane: told from the plan's own shares."""

import re
from dataclasses import replace

import pytest

from eyeplane.plan import focus_landed, plan_group, plan_sitter
from eyeplane.records import GroupRequest, Measured, PlanKit, PlanLight, SitterRequest

SITTER = SitterRequest(
    kit=PlanKit(focal_length_mm=85.0), light=PlanLight(exposure_ev=9.0), distance_mm=2000.0
)
GROUP = GroupRequest(
    kit=PlanKit(focal_length_mm=50.0), light=PlanLight(exposure_ev=12.0), distance_mm=5000.0
)
SHARES = re.compile(r"in (?:about )?(under 1|\d+)\u2009% of frames .* instead of (\d+)\u2009%")


def off(kit: PlanKit, bias_mm: float) -> PlanKit:
    return replace(
        kit, focus_bias_mm=Measured(value=bias_mm, low=bias_mm - 1.0, high=bias_mm + 1.0)
    )


def shares(text: str) -> tuple[int, int]:
    found = SHARES.search(text)
    assert found, text
    return int(found[1].replace("under 1", "0")), int(found[2])


def test_the_farther_off_the_fewer_hold_and_what_held_before_stays() -> None:
    told = [
        shares(focus_landed(replace(SITTER, kit=off(SITTER.kit, mm)))) for mm in (10, 25, 60, 150)
    ]
    after, before = zip(*told, strict=True)
    assert sorted(after, reverse=True) == list(after)
    assert len(set(before)) == 1
    assert after[0] < before[0]
    assert before[0] == pytest.approx(100 * plan_sitter(SITTER).settings[0].share.value, abs=1.0)


def test_settings_are_those_for_a_focus_on_the_eye() -> None:
    best = plan_sitter(SITTER).settings[0]
    text = focus_landed(replace(SITTER, kit=off(SITTER.kit, -20.0)))
    assert text.startswith("With the focus 20\u2009mm in front of the near iris, ")
    assert f"(f/{best.f_number:g} at 1/{round(1 / best.shutter_s)}\u2009s and ISO" in text
    moved = replace(
        SITTER,
        kit=off(SITTER.kit, -20.0),
        choice=replace(SITTER.choice, f_number=best.f_number, shutter_s=best.shutter_s),
    )
    same = plan_sitter(moved).settings[0]
    assert shares(text)[0] == pytest.approx(100 * same.share.value, abs=1.0)


def test_a_group_is_told_who_suffers() -> None:
    before = plan_group(GROUP).settings[0].share.value
    behind = focus_landed(replace(GROUP, kit=off(GROUP.kit, 400.0)))
    front = focus_landed(replace(GROUP, kit=off(GROUP.kit, -400.0)))
    assert "behind the best plane" in behind
    assert "row 1 holds least" in behind
    assert "row 2 holds least" in front
    for text in (behind, front):
        assert shares(text)[1] == pytest.approx(100 * before, abs=1.0)
        assert shares(text)[0] < shares(text)[1]


def test_a_focus_on_its_plane_says_nothing() -> None:
    assert focus_landed(SITTER) == ""
    assert focus_landed(replace(SITTER, kit=off(SITTER.kit, 0.2))) == ""
