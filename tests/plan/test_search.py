"""The best settings: they are the best, and they move the way they must."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plan.sitter_requests import FLASH, HEAD, KIT, ROOM

from eyeplane.plan.draws import plan_draws
from eyeplane.plan.expected import shares
from eyeplane.plan.search import TIE_SHARE, best_of, neighbours, search
from eyeplane.plan.share import frame_shares
from eyeplane.records import (
    Eyes,
    Measured,
    PlanChoice,
    PlanHand,
    PlanPrint,
    PlanSitter,
    SitterRequest,
)

FEW = settings(max_examples=12, deadline=None)


def best_share(request: SitterRequest) -> float:
    return float(search(request).shares.max())


def test_nothing_that_the_light_allows_is_better() -> None:
    found = search(HEAD)
    every = found.found.settings
    scene = replace(found.frames.scene, eyes_mm=found.frames.scene.eyes_mm[:1], person=(0,))
    plain = frame_shares(scene, every, found.frames.focus_mm, plan_draws())
    assert found.shares == pytest.approx(plain, abs=1e-12)
    assert found.share >= plain.max() - TIE_SHARE


def test_both_eyes_are_those_of_the_plain_sum() -> None:
    found = search(replace(HEAD, eyes="both"))
    every = found.found.settings
    scene = replace(found.frames.scene, eyes_mm=found.frames.scene.eyes_mm[:2], person=(0, 0))
    plain = frame_shares(scene, every, found.frames.focus_mm, plan_draws())
    assert found.shares == pytest.approx(plain, abs=1e-12)


def test_of_equal_shares_the_lower_iso_then_the_wider_aperture_is_taken() -> None:
    every = search(HEAD).found.settings
    alike = np.full(len(every), 0.5)
    lowest = every.at(best_of(every, alike))
    assert lowest.iso[0] == every.iso.min()
    assert lowest.f_number[0] == every.f_number[every.iso == every.iso.min()].min()
    alike[-1] += TIE_SHARE * 1.01
    assert best_of(every, alike) == len(alike) - 1


@FEW
@given(st.integers(6, 36), st.integers(1, 9))
def test_more_light_never_lowers_the_best_share(third: int, more: int) -> None:
    now, then = (
        best_share(replace(HEAD, light=replace(ROOM, exposure_ev=(third + m) / 3)))
        for m in (0, more)
    )
    assert then >= now - 1e-9


@FEW
@given(st.floats(10, 200), st.floats(1.0, 2.0))
def test_a_larger_print_never_raises_the_best_share(print_cm: float, ratio: float) -> None:
    small, large = (
        best_share(replace(HEAD, promise=PlanPrint(print_cm=size)))
        for size in (print_cm, print_cm * ratio)
    )
    assert large <= small + 2e-3  # limits are right to 0.3 %


@FEW
@given(st.floats(30, 200), st.floats(1.0, 3.0))
def test_a_viewer_farther_off_never_lowers_the_best_share(cm: float, ratio: float) -> None:
    near, far = (
        best_share(replace(HEAD, promise=PlanPrint(print_cm=100.0, viewing_cm=view)))
        for view in (cm, cm * ratio)
    )
    assert far >= near - 2e-3


@FEW
@given(st.floats(0, 90), st.sampled_from(["near", "both"]))
def test_the_side_of_the_turn_does_not_matter(yaw_deg: float, eyes: Eyes) -> None:
    left, right = (search(replace(HEAD, yaw_deg=y, eyes=eyes)) for y in (yaw_deg, -yaw_deg))
    assert left.share == right.share
    assert left.best == right.best


def test_limits_of_every_kind_only_cost() -> None:
    free = best_share(HEAD)
    for kit in (
        replace(KIT, highest_iso=400.0),
        replace(KIT, widest_f_number=2.8, glass_um=0.0),
        replace(KIT, fastest_s=1 / 500),
    ):
        assert best_share(replace(HEAD, kit=kit)) <= free + 0.02


def test_steadier_hands_and_sitters_only_help() -> None:
    dim = replace(HEAD, light=replace(ROOM, exposure_ev=4.0))
    now = best_share(dim)
    assert best_share(replace(dim, hand=PlanHand(support="tripod"))) > now + 0.05
    assert best_share(replace(dim, kit=replace(KIT, stabiliser_stops=4.0))) > now + 0.05
    assert best_share(replace(dim, sitter=PlanSitter(mood="walking"))) < now


def test_both_eyes_hold_less_often_than_the_near_one() -> None:
    assert best_share(replace(HEAD, eyes="both")) < best_share(HEAD)
    straight = replace(HEAD, yaw_deg=0.0)
    assert best_share(replace(straight, eyes="both")) == pytest.approx(
        best_share(straight), abs=0.01
    )


def test_neighbours_are_a_stop_to_either_side_each_at_its_best_time() -> None:
    found = search(HEAD)
    every, best = found.found.settings, found.setting
    wider, smaller = (every.at(k) for k in neighbours(found))
    assert smaller.f_number[0] / best.f_number[0] == pytest.approx(2.0**0.5, rel=0.06)
    assert wider.f_number[0] < best.f_number[0]
    for one in (wider, smaller):
        same = every.f_number == one.f_number[0]
        held = shares(found.frames, one)[0]
        assert held >= found.shares[same].max() - TIE_SHARE


def test_with_the_aperture_settled_the_neighbours_are_times() -> None:
    bright = replace(HEAD, light=replace(ROOM, exposure_ev=11.0), kit=replace(KIT, highest_iso=800))
    found = search(replace(bright, choice=PlanChoice(f_number=4.0)))
    assert (found.found.settings.f_number == 4.0).all()
    times = [found.found.settings.shutter_s[k] for k in neighbours(found)]
    assert all(t != found.setting.shutter_s[0] for t in times)
    assert len(times) >= 1


def test_all_settled_leaves_one() -> None:
    found = search(replace(HEAD, choice=PlanChoice(f_number=2.8, shutter_s=1 / 250, iso=800.0)))
    assert len(found.shares) == 1
    assert neighbours(found) == ()


def test_where_nothing_holds_the_best_for_a_smaller_print_is_taken() -> None:
    huge = search(replace(HEAD, promise=PlanPrint(print_cm=500.0)))
    assert huge.shares.max() == 0.0
    assert huge.ranks.max() > 0.02
    assert huge.best == best_of(huge.found.settings, huge.ranks)


def test_flash_freezes_and_holds_more() -> None:
    with_flash = search(replace(HEAD, light=FLASH))
    assert with_flash.share > search(HEAD).share
    assert with_flash.setting.motion_s[0] < 1 / 1000


def test_the_plane_lies_between_the_eyes_only_where_both_count() -> None:
    near = search(HEAD)
    assert near.frames.focus_mm == near.stand.distance_mm
    both = search(replace(HEAD, eyes="both"))
    a = both.stand.distance_mm
    b = a + both.stand.far_iris_mm
    assert both.frames.focus_mm == pytest.approx(2 * a * b / (a + b))  # trade: 2ab/(a+b)


def test_a_little_too_far_back_is_what_a_learned_bias_costs() -> None:
    off = replace(KIT, focus_bias_mm=Measured(value=15.0, low=12.0, high=18.0))
    assert best_share(replace(HEAD, kit=off)) < best_share(HEAD)


def test_a_learned_shake_is_not_counted_with_a_usual_sway_on_top() -> None:
    # By hand: the line of a steady sitter is the learned turn times the image distance alone.
    shake = Measured(value=0.7, low=0.2, high=2.4)
    found = search(replace(HEAD, hand=PlanHand(shake_deg_per_s=shake)))
    image_mm = 1.0 / (1.0 / 85.0 - 1.0 / found.stand.distance_mm)
    line_um_per_s = 1000.0 * image_mm * math.radians(0.7)
    drawn = found.frames.blurs.shake_um_per_s
    assert float(np.median(drawn)) == pytest.approx(line_um_per_s, rel=0.03)
