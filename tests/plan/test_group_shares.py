"""Shares of frames in which everybody holds."""

from dataclasses import replace

import numpy as np
import pytest

from eyeplane.plan.draws import draw_frames
from eyeplane.plan.group_shares import group_scene, group_shares, row_shares
from eyeplane.plan.rows import moved, seating
from eyeplane.plan.scene import settings_of
from eyeplane.plan.share import frame_shares, share_with_interval
from eyeplane.records import GroupRequest, Measured, PlanKit, PlanLight, PlanPrint, PlanSitter

REQUEST = GroupRequest(
    kit=PlanKit(focal_length_mm=50.0),
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
    group = group_scene(REQUEST, where)
    assert len(group.place_rows) == (3 if arc is None else 9)
    merged = group_shares(group, SETTINGS, where.plane_mm)
    every = frame_shares(group.scene, SETTINGS, where.plane_mm, group.draws)
    assert merged == pytest.approx(every, abs=1e-12)


def test_intervals_are_the_kernels() -> None:
    where = seating(REQUEST)
    group = group_scene(REQUEST, where)
    found = row_shares(group, SETTINGS, where.plane_mm)
    for ours, theirs in zip(
        found.everybody,
        share_with_interval(group.scene, SETTINGS, where.plane_mm, group.draws),
        strict=True,
    ):
        assert ours.value == pytest.approx(theirs.value, abs=1e-12)
        assert ours.low == pytest.approx(theirs.low, abs=0.04)  # theirs is not shifted
        assert ours.high == pytest.approx(theirs.high, abs=0.04)


def test_a_row_holds_at_least_as_often_as_everybody() -> None:
    where = seating(REQUEST)
    found = row_shares(group_scene(REQUEST, where), SETTINGS, where.plane_mm)
    for all_rows, rows in zip(found.everybody, found.rows, strict=True):
        assert len(rows) == 2
        assert all(row.value >= all_rows.value for row in rows)
        assert all_rows.value >= sum(row.value for row in rows) - 1.0 - 1e-9


def test_more_faces_hold_less_often_since_each_moves_on_their_own() -> None:
    shares = []
    for faces in (1, 4, 12):
        request = replace(REQUEST, rows=1, faces_per_row=faces)
        where = seating(request)
        group = group_scene(request, where, draw_frames(np.random.default_rng(5), people=faces))
        slow = settings_of(f_number=5.6, shutter_s=1 / 60, iso=100)
        shares.append(float(group_shares(group, slow, where.plane_mm)[0]))
    assert shares[0] > shares[1] > shares[2] > 0.0


def test_independent_sitters_multiply_where_only_they_blur() -> None:
    """By closed form: an exact focus, a still camera, four people: the fourth power of one."""
    share = {}
    calm = Measured(value=30.0, low=10.0, high=90.0)  # one log-normal, so no common pick
    for faces in (1, 4):
        request = replace(
            REQUEST, rows=1, faces_per_row=faces, sitter=PlanSitter(speed_mm_per_s=calm)
        )
        where = seating(request)
        group = group_scene(
            request, where, draw_frames(np.random.default_rng(5), people=faces, frames=6000)
        )
        scene = group.scene
        still = replace(
            group,
            scene=replace(
                scene,
                focus=replace(scene.focus, spread_mm=0.0, bias_mm=0.0, miss_share=0.0),
                hand=replace(scene.hand, median_deg_per_s=1e-9),
                sway=replace(scene.sway, median_mm_per_s=1e-9),
                sitters=tuple((s, replace(p, unsure_log_sd=0.0)) for s, p in scene.sitters),
            ),
        )
        one = settings_of(f_number=5.6, shutter_s=1 / 60, iso=100)
        share[faces] = float(group_shares(still, one, where.plane_mm)[0])
    assert 0.3 < share[1] < 0.95
    assert share[4] == pytest.approx(share[1] ** 4, abs=0.02)


def test_less_depth_holds_more_often() -> None:
    where = seating(REQUEST)
    nearer = moved(where, np.where(where.row == 2, 200.0, 0.0))
    before = group_shares(group_scene(REQUEST, where), SETTINGS, where.plane_mm)
    after = group_shares(group_scene(REQUEST, nearer), SETTINGS, nearer.plane_mm)
    assert (after >= before - 1e-9).all()
    assert after[1] > before[1] + 0.05
