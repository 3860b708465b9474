"""Changes that may help are the same for one sitter and for a group, and change one thing each."""

from dataclasses import fields, replace

import pytest
from tests.plan.group_requests import TWO_ROWS
from tests.plan.sitter_requests import HEAD

from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.scene import Settings
from eyeplane.plan.search import search
from eyeplane.plan.trials import CHEAPEST_FIRST, Asked, common_trials, in_order, lit
from eyeplane.records import Measured, PlanLight

BIAS = Measured(value=20.0, low=17.0, high=23.0)


def check(asked: Asked, best: Settings) -> None:
    trials = in_order(*common_trials(asked, best))
    kinds = [kind for kind, _, _ in trials]
    assert kinds == sorted(kinds, key=CHEAPEST_FIRST.index)
    assert {"focus", "tripod", "light"} <= set(kinds)
    for _, _, then in trials:
        changed = [f.name for f in fields(then) if getattr(then, f.name) != getattr(asked, f.name)]
        assert len(changed) == 1


def test_each_changes_one_part_and_they_come_cheapest_first() -> None:
    one = replace(HEAD, kit=replace(HEAD.kit, focus_bias_mm=BIAS))
    check(one, search(one).setting)
    many = replace(TWO_ROWS, kit=replace(TWO_ROWS.kit, focus_bias_mm=BIAS))
    check(many, group_choice(many).best)


def test_a_stop_is_twice_the_light_and_a_guide_number_goes_with_its_root() -> None:
    # Trade: guide number = f-number times distance, and light falls with the f-number squared.
    flash = replace(HEAD, light=PlanLight(kind="flash", guide_number_m=20.0))
    _, do, then = lit(flash, 2)
    assert then.light.guide_number_m == pytest.approx(40.0)
    assert "guide number 40" in do
    _, do, then = lit(replace(HEAD, light=PlanLight(exposure_ev=9.0)), 1)
    assert then.light.exposure_ev == 10.0
    assert "2600\u2009lx" in do  # 2.5 lx times 2^EV: ISO 2720, C = 250
