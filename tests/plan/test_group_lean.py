"""How far a group is asked to lean in."""

from dataclasses import replace

import numpy as np
import pytest
from tests.plan.group_requests import EASY, TWO_ROWS

from eyeplane.plan.group_choice import allowed
from eyeplane.plan.group_frames import group_frames
from eyeplane.plan.group_lean import WORTH_PER_CM, lean_plan
from eyeplane.plan.group_shares import group_shares
from eyeplane.plan.lean import MOST_LEAN_MM, lean_in_mm
from eyeplane.plan.rows import moved, seating
from eyeplane.records import GroupRequest, PlanLight, PlanPrint


def test_a_deep_group_leans_in_and_holds_more_often() -> None:
    where = seating(TWO_ROWS)
    plan = lean_plan(TWO_ROWS, where, allowed(TWO_ROWS, where).settings)
    assert 0.0 < plan.most_mm <= MOST_LEAN_MM
    assert plan.share > plan.share_upright + WORTH_PER_CM * plan.most_mm / 10.0
    assert (plan.towards_mm[where.row == 1] == 0.0).all()
    assert (plan.towards_mm[where.row == 2] == plan.most_mm).all()
    assert (plan.where.distance_mm == where.distance_mm - plan.towards_mm).all()


# In more light the first centimetres bring most: the lean is shorter than it could be.
BRIGHT = replace(TWO_ROWS, light=PlanLight(exposure_ev=12.0), promise=PlanPrint(print_cm=60.0))


@pytest.mark.parametrize("request_", [TWO_ROWS, BRIGHT])
def test_no_lean_on_a_centimetre_grid_is_worth_more(request_: GroupRequest) -> None:
    where = seating(request_)
    settings = allowed(request_, where).settings
    plan = lean_plan(request_, where, settings)
    worths = []
    for lean in np.arange(0.0, MOST_LEAN_MM + 1.0, 10.0):
        leaning = moved(where, lean_in_mm(where.effective_mm, most_mm=float(lean)))
        share = group_shares(group_frames(request_, leaning), settings).max()
        worths.append(share - WORTH_PER_CM * lean / 10.0)
    mine = plan.share - WORTH_PER_CM * plan.most_mm / 10.0
    assert mine >= max(worths) - 0.015  # coarse steps may miss a ripple of the drawing


def test_the_last_centimetres_bring_too_little_to_be_asked_for() -> None:
    where = seating(BRIGHT)
    plan = lean_plan(BRIGHT, where, allowed(BRIGHT, where).settings)
    assert 100.0 < plan.most_mm < MOST_LEAN_MM


def test_nobody_is_asked_to_lean_by_a_centimetre_or_two() -> None:
    # By which nobody can lean: sitting still, a head sways by as much. From memory.
    for spacing_mm in (10.0, 25.0, 60.0, 120.0):
        request = replace(BRIGHT, row_spacing_mm=spacing_mm)
        where = seating(request)
        plan = lean_plan(request, where, allowed(request, where).settings)
        assert plan.most_mm == 0.0 or plan.most_mm >= 30.0


def test_nobody_leans_for_nothing() -> None:
    for request in (EASY, replace(TWO_ROWS, rows=1)):
        where = seating(request)
        plan = lean_plan(request, where, allowed(request, where).settings)
        assert plan.most_mm == 0.0
        assert not plan.towards_mm.any()
        assert plan.share == plan.share_upright
