"""Who is inside the depth of field, who must move, and which way."""

from dataclasses import replace

import numpy as np
import pytest
from tests.plan.group_requests import EASY, TWO_ROWS

from eyeplane.plan.blurs import disc_um
from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.group_rows import (
    STOPS,
    depth_of,
    moves_mm,
    places_of,
    rows_of,
    rows_out,
    settings_at_stops,
)
from eyeplane.plan.share import limits_of
from eyeplane.records import Measured, PlanChoice

WIDE = replace(TWO_ROWS, choice=PlanChoice(f_number=2.0))
SHARE = Measured(value=0.5, low=0.4, high=0.6)


def test_the_ends_of_the_depth_are_blurred_as_much_as_the_print_takes() -> None:
    choice = group_choice(TWO_ROWS)
    depth = depth_of(choice, choice.best)
    limit = limits_of(choice.frames.scene, choice.best).disc_um[0]
    for end in (depth.near_mm, depth.far_mm):
        disc = disc_um(
            focal_length_mm=50.0,
            f_number=choice.best.f_number,
            focus_mm=choice.where.plane_mm,
            eye_mm=end,
        )
        assert disc == pytest.approx(limit, rel=1e-6)


def test_those_outside_move_towards_the_plane_and_are_then_inside() -> None:
    choice = group_choice(WIDE)
    moves, depth = moves_mm(choice), depth_of(choice, choice.best)
    front, back = moves[choice.where.row == 1], moves[choice.where.row == 2]
    assert (front < 0).all()  # away from the camera
    assert (back > 0).all()  # towards it
    after = choice.upright.effective_mm - moves
    assert after.min() >= depth.near_mm - 1e-6
    assert after.max() <= depth.far_mm + 1e-6


def test_inside_is_who_need_not_move_where_nobody_is_asked_to_lean() -> None:
    for request in (TWO_ROWS, WIDE, EASY):
        for place in places_of(group_choice(request)):
            assert place.inside == (place.lean_mm == 0.0)


def test_a_row_is_inside_only_if_all_its_faces_are() -> None:
    deep = replace(TWO_ROWS, rows=1, faces_per_row=7, arc_radius_mm=2500.0, choice=WIDE.choice)
    places = places_of(group_choice(deep))
    assert len({p.inside for p in places}) == 2
    (row,) = rows_of(places, (SHARE,))
    assert not row.inside
    assert abs(row.lean_cm) == pytest.approx(max(abs(p.lean_mm) for p in places) / 10.0)
    middle = [p.distance_mm for p in places]
    assert row.distance_mm == pytest.approx(0.5 * (min(middle) + max(middle)))


def test_where_nothing_holds_no_move_is_told() -> None:
    huge = replace(TWO_ROWS, promise=replace(TWO_ROWS.promise, print_cm=400.0))
    choice = group_choice(huge)
    places = places_of(choice)
    assert not any(p.inside for p in places)
    assert not moves_mm(choice).any()


def test_who_falls_out_at_the_stops_asked_for() -> None:
    choice = group_choice(TWO_ROWS)
    settings = settings_at_stops(choice)
    assert tuple(float(s.f_number[0]) for s in settings) == STOPS
    out = [rows_out(choice, setting) for setting in settings]
    assert out[0] == (1, 2)  # the plane lies between them
    assert out[-1] == ()
    assert sorted(out, key=len, reverse=True) == out


def test_of_three_rows_the_middle_one_falls_out_last() -> None:
    choice = group_choice(replace(EASY, rows=3, promise=TWO_ROWS.promise))
    out = {float(s.f_number[0]): rows_out(choice, s) for s in settings_at_stops(choice)}
    assert out[2.8] in {(1, 3), (1, 2, 3)}
    assert np.all([2 not in rows for f, rows in out.items() if f > 2.8])
