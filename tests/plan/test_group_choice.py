"""Which settings for a group."""

from dataclasses import replace

import numpy as np
import pytest
from tests.plan.group_requests import EASY, KIT, TWO_ROWS

from eyeplane.errors import InputError
from eyeplane.plan.draws import plan_draws
from eyeplane.plan.group_choice import (
    at_aperture,
    discs_over_limit,
    group_choice,
    widest_for_all,
)
from eyeplane.plan.share import frame_shares
from eyeplane.records import PlanChoice, PlanLight


def test_the_best_is_the_kernels_best_of_all_settings() -> None:
    choice = group_choice(TWO_ROWS)
    shares = frame_shares(
        choice.frames.scene,
        choice.found.settings,
        choice.where.plane_mm,
        plan_draws(people=choice.where.people),
    )
    assert choice.shares == pytest.approx(shares, abs=0.005)
    assert choice.shares[choice.order[0]] >= shares.max() - 0.006


def test_neighbours_are_a_stop_away_and_best_comes_first() -> None:
    choice = group_choice(TWO_ROWS)
    best, *others = choice.order
    apart = 2.0 * np.log2(
        choice.found.settings.f_number[others] / choice.found.settings.f_number[best]
    )
    assert sorted(np.round(apart)) == [-1.0, 1.0]
    assert (choice.shares[others] <= choice.shares[best] + 1e-9).all()


def test_a_settled_aperture_is_kept_and_times_are_the_neighbours() -> None:
    choice = group_choice(replace(TWO_ROWS, choice=PlanChoice(f_number=4.0)))
    chosen = choice.found.settings.at(choice.order)
    assert set(chosen.f_number) == {4.0}
    apart = np.round(np.log2(chosen.shutter_s[1:] / chosen.shutter_s[0]))
    assert set(apart) <= {-1.0, 1.0}
    assert choice.every is not None
    assert len(set(choice.every.f_number)) > 10  # the other apertures are known nevertheless


def test_all_settled_is_one_setting_with_what_it_is_off() -> None:
    settled = PlanChoice(f_number=5.6, shutter_s=1 / 125, iso=400.0)
    choice = group_choice(replace(TWO_ROWS, choice=settled))
    assert len(choice.found.settings) == 1
    assert choice.found.off_ev == pytest.approx(-1.0, abs=0.35)
    assert at_aperture(choice, 8.0) is not None


def test_far_from_exposed_is_refused() -> None:
    settled = PlanChoice(f_number=16.0, shutter_s=1 / 4000, iso=100.0)
    with pytest.raises(InputError, match="under-expose"):
        group_choice(replace(TWO_ROWS, choice=settled))


def test_the_widest_aperture_for_all_is_the_edge_of_what_the_print_takes() -> None:
    choice = group_choice(TWO_ROWS)
    widest = widest_for_all(choice)
    assert widest is not None
    settings = choice.found.settings
    worst = discs_over_limit(choice, choice.upright, settings).max(axis=1)
    assert worst[settings.f_number == widest].min() <= 1.0
    assert worst[settings.f_number < widest].min() > 1.0


def test_no_aperture_takes_in_a_deep_group_close_by() -> None:
    choice = group_choice(replace(TWO_ROWS, distance_mm=1500.0, rows=6, row_spacing_mm=900.0))
    assert widest_for_all(choice) is None


def test_apertures_that_the_kit_has_not_are_none() -> None:
    slow = replace(KIT, widest_f_number=4.0)
    choice = group_choice(replace(EASY, kit=slow))
    assert at_aperture(choice, 2.8) is None
    assert at_aperture(choice, 5.6) is not None


def test_where_nothing_holds_the_settings_of_a_smaller_print_come_first() -> None:
    dark = replace(TWO_ROWS, light=PlanLight(exposure_ev=3.0))
    choice = group_choice(dark)
    assert choice.shares.max() < 0.02
    smaller = group_choice(replace(dark, promise=replace(dark.promise, print_cm=20.0)))
    assert abs(np.log2(choice.best.f_number[0] / smaller.best.f_number[0])) < 0.8
