"""Shares of frames in which everybody holds."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtr, ndtri

from eyeplane.people.learned import log_spread, unsure_of_learned
from eyeplane.plan.blurs import disc_um
from eyeplane.plan.draws import draw_frames, plan_draws
from eyeplane.plan.group_frames import group_frames
from eyeplane.plan.group_shares import group_shares, limits_at, row_shares
from eyeplane.plan.rows import moved, seating
from eyeplane.plan.scene import settings_of
from eyeplane.plan.share import frame_shares, share_with_interval
from eyeplane.records import (
    GroupRequest,
    Measured,
    PlanHand,
    PlanKit,
    PlanLight,
    PlanPrint,
    PlanSitter,
)

KIT = PlanKit(focal_length_mm=50.0)
REQUEST = GroupRequest(
    kit=KIT,
    light=PlanLight(exposure_ev=12.0),
    distance_mm=3500.0,
    promise=PlanPrint(print_cm=50.0),
)
SETTINGS = settings_of(
    f_number=[2.8, 4.0, 5.6, 8.0, 11.0], shutter_s=[1 / 500] * 5, iso=[100, 200, 400, 800, 1600]
)


@pytest.mark.parametrize("arc", [None, 4000.0])
def test_only_the_one_who_moves_most_of_a_place_counts(arc: float | None) -> None:
    """Against the kernel, which looks at every person in every frame."""
    where = seating(replace(REQUEST, arc_radius_mm=arc, rows=3, faces_per_row=5))
    group = group_frames(REQUEST, where)
    assert len(group.place_rows) == (3 if arc is None else 9)
    merged = group_shares(group, SETTINGS)
    draws = plan_draws(people=where.people)
    every = frame_shares(group.scene, SETTINGS, where.plane_mm, draws)
    assert merged == pytest.approx(every, abs=1e-12)


def test_intervals_are_the_kernels() -> None:
    where = seating(REQUEST)
    group, draws = group_frames(REQUEST, where), plan_draws(people=where.people)
    kernel = share_with_interval(group.scene, SETTINGS, where.plane_mm, draws)
    for row, theirs in zip(row_shares(group, SETTINGS), kernel, strict=True):
        ours = row.everybody
        assert ours.value == pytest.approx(theirs.value, abs=1e-12)
        assert ours.low == pytest.approx(theirs.low, abs=0.06)  # on fewer frames
        assert ours.high == pytest.approx(theirs.high, abs=0.06)


def test_a_row_holds_at_least_as_often_as_everybody() -> None:
    where = seating(REQUEST)
    for found in row_shares(group_frames(REQUEST, where), SETTINGS):
        rows, everybody = found.rows, found.everybody
        assert len(rows) == 2
        assert all(row.value >= everybody.value for row in rows)
        assert everybody.value >= sum(row.value for row in rows) - 1.0 - 1e-9


def test_more_faces_hold_less_often_since_each_moves_on_their_own() -> None:
    shares = []
    for faces in (1, 4, 12):
        request = replace(REQUEST, rows=1, faces_per_row=faces)
        where = seating(request)
        slow = settings_of(f_number=5.6, shutter_s=1 / 60, iso=100)
        shares.append(float(group_shares(group_frames(request, where), slow)[0]))
    assert shares[0] > shares[1] > shares[2] > 0.0


def test_independent_sitters_multiply_where_only_they_blur() -> None:
    """By closed form: an exact focus, a still camera, so that only the sitters' speeds count.

    Given what is believed of the median speed, the four hold with the fourth power of one's
    probability; over the belief, which is common to all four, that is integrated.
    """
    share = {}
    calm = Measured(value=30.0, low=10.0, high=90.0)  # one log-normal, so no common pick
    for faces in (1, 4):
        request = replace(
            REQUEST, rows=1, faces_per_row=faces, sitter=PlanSitter(speed_mm_per_s=calm)
        )
        where = seating(request)
        # A tripod, and a focus learned to be as exact as is ever believed, at one distance.
        request = replace(
            request,
            hand=PlanHand(support="tripod"),
            kit=replace(
                KIT,
                focus_bias_mm=Measured(value=0.0, low=0.0, high=0.0),
                focus_spread_mm=Measured(value=1.0, low=1.0, high=1.0),
            ),
        )
        draws = draw_frames(np.random.default_rng(5), people=faces, frames=6000)
        still = group_frames(request, where, draws=draws)
        one = settings_of(f_number=5.6, shutter_s=1 / 60, iso=100)
        share[faces] = float(group_shares(still, one)[0])
    assert 0.3 < share[1] < 0.95
    spread, unsure = log_spread(calm), unsure_of_learned(log_spread(calm))
    middle = ndtri(share[1]) * np.hypot(spread, unsure)
    z = np.linspace(-6.0, 6.0, 2001)
    weights = np.exp(-0.5 * z * z) / np.exp(-0.5 * z * z).sum()
    four = float((weights * ndtr((middle - unsure * z) / spread) ** 4).sum())
    assert share[4] == pytest.approx(four, abs=0.015)


def test_less_depth_holds_more_often() -> None:
    where = seating(REQUEST)
    nearer = moved(where, np.where(where.row == 2, 200.0, 0.0))
    before = group_shares(group_frames(REQUEST, where), SETTINGS)
    after = group_shares(group_frames(REQUEST, nearer), SETTINGS)
    assert (after >= before - 0.01).all()  # a hair less where motion counts: it shows larger
    assert after[1] > before[1] + 0.05


def test_where_only_focus_errs_the_share_is_the_closed_form() -> None:
    """Two rows at rest: the plane must land between two distances; its error is known.

    Normal with a spread that is itself unsure, and one frame in ten missed, spread as a Cauchy.
    """
    calm = Measured(value=0.01, low=0.005, high=0.02)
    request = replace(
        REQUEST, sitter=PlanSitter(speed_mm_per_s=calm), hand=PlanHand(support="tripod")
    )
    where = seating(request)
    draws = draw_frames(np.random.default_rng(11), people=where.people, frames=8000)
    group = group_frames(request, where, draws=draws)
    one = settings_of(f_number=4.0, shutter_s=1 / 4000, iso=100)
    limit = float(limits_at(group.scene, one).disc_um[0])

    def over(plane: float, eye: float) -> float:
        disc = disc_um(focal_length_mm=50.0, f_number=4.0, focus_mm=plane, eye_mm=eye)
        return float(disc) - limit

    nearest = brentq(over, where.near_mm + 1.0, 2.0 * where.far_mm, args=(where.near_mm,))
    farthest = brentq(over, 0.6 * where.near_mm, where.far_mm - 1.0, args=(where.far_mm,))
    high, low = nearest - where.plane_mm, farthest - where.plane_mm
    assert low < 0.0 < high
    focus = group.scene.focus
    z = np.linspace(-6.0, 6.0, 2001)
    weights = np.exp(-0.5 * z * z) / np.exp(-0.5 * z * z).sum()
    spread = focus.spread_mm * np.exp(focus.unsure_log_sd * z)
    hit = float((weights * (ndtr(high / spread) - ndtr(low / spread))).sum())
    missed = (np.arctan(high / focus.miss_mm) - np.arctan(low / focus.miss_mm)) / np.pi
    share = (1.0 - focus.miss_share) * hit + focus.miss_share * missed
    assert 0.3 < share < 0.97
    assert float(group_shares(group, one)[0]) == pytest.approx(share, abs=0.012)
