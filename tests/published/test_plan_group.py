"""Groups against the sums of the trade and published rules."""

from dataclasses import replace

import numpy as np
import pytest

from eyeplane.people import chance_all_open, rule_frames
from eyeplane.plan import plan_group
from eyeplane.plan.arc import bend
from eyeplane.plan.frames_needed import frames_for_eyes, open_share_of
from eyeplane.plan.recompose import behind_mm
from eyeplane.plan.rows import f_number_for, seating
from eyeplane.records import GroupPlan, GroupRequest, PlanKit, PlanLight

GROUP = GroupRequest(
    kit=PlanKit(focal_length_mm=50.0),
    light=PlanLight(exposure_ev=9.0),
    distance_mm=3500.0,
    row_spacing_mm=600.0,
)


# Rows 0.6 m apart from 3.5 m, 50 mm lens, blur disc 0.015 mm. Common practice asks for "one stop
# per row"; the figures are the thin lens's with the plane at the harmonic mean, worked by hand.
@pytest.mark.parametrize(("rows", "f_number"), [(2, 3.5), (3, 6.2), (4, 8.2), (5, 9.8)])
def test_aperture_for_rows(rows: int, f_number: float) -> None:
    where = seating(replace(GROUP, rows=rows))
    found = f_number_for(where, focal_length_mm=50.0, circle_um=15.0)
    assert found == pytest.approx(f_number, abs=0.06)


def test_an_added_row_costs_ever_less_and_never_one_stop_each() -> None:
    # As above: +1.7, +0.8, +0.5 stop as handed down; unrounded the first is 1.60.
    numbers = [
        f_number_for(seating(replace(GROUP, rows=rows)), focal_length_mm=50.0, circle_um=15.0)
        for rows in (2, 3, 4, 5)
    ]
    stops = 2.0 * np.diff(np.log2(numbers))
    assert stops == pytest.approx([1.7, 0.8, 0.5], abs=0.1)


# "Focus a third into the group" (common practice, no source) against the harmonic mean.
@pytest.mark.parametrize(
    ("near_mm", "far_mm", "into"),
    [(2500.0, 3100.0, 0.45), (4000.0, 6000.0, 0.40), (5000.0, 8000.0, 0.38)],
)
def test_best_plane_lies_a_little_before_the_middle(
    near_mm: float, far_mm: float, into: float
) -> None:
    where = seating(replace(GROUP, distance_mm=near_mm, row_spacing_mm=far_mm - near_mm))
    assert (where.plane_mm - near_mm) / (far_mm - near_mm) == pytest.approx(into, abs=0.006)


def test_rows_of_one_depth_need_no_aperture_however_many_faces() -> None:
    # Common practice, no source: head count is no input; ten in one line need no more than one.
    one = seating(replace(GROUP, rows=1, faces_per_row=1))
    ten = seating(replace(GROUP, rows=1, faces_per_row=10))
    for where in (one, ten):
        assert f_number_for(where, focal_length_mm=50.0, circle_um=15.0) == 0.0


def test_two_faces_apart_in_depth() -> None:
    # Common practice: two faces 0.6 m apart at 3.5 m; 50 mm f/1.8 at c 0.03, f/3.5 at 0.015;
    # 85 mm f/5.2 or f/10. The sums are ours.
    where = seating(GROUP)
    for focal, circle, f_number in (
        (50.0, 30.0, 1.8),
        (50.0, 15.0, 3.5),
        (85.0, 30.0, 5.2),
        (85.0, 15.0, 10.0),
    ):
        found = f_number_for(where, focal_length_mm=focal, circle_um=circle)
        assert found == pytest.approx(f_number, rel=0.04)


def test_an_arc_lies_out_of_the_plane() -> None:
    # "Stand them in an arc, all equally far" (common practice): 3 m radius at 20 degrees to either
    # side is 18 cm of depth, by R (1 - cos 20).
    ends = 3000.0 * np.radians(20.0) * np.array([-1.0, 0.0, 1.0])
    _, nearer = bend(ends, radius_mm=3000.0)
    assert np.ptp(nearer) == pytest.approx(180.0, abs=5.0)


# Focus and recompose, s (1 - cos θ): common practice disputes it, these are the sums.
@pytest.mark.parametrize(
    ("distance_mm", "turn_deg", "behind"), [(1500, 8, 15), (2000, 10, 30), (3000, 15, 102)]
)
def test_recomposing_puts_the_plane_behind(
    distance_mm: float, turn_deg: float, behind: float
) -> None:
    found = behind_mm(distance_mm=distance_mm, turn_deg=turn_deg)
    assert found == pytest.approx(behind, abs=0.5)


# Svenson and Barnes (CSIRO, Velocity 2006, as quoted in the press): fewer than 20 people, frames =
# people / 3, in poor light / 2. With 10 blinks a minute of 0.25 s that gives 95 to 98 %.
@pytest.mark.parametrize("people", range(6, 20))
def test_the_published_rule_for_blinks_by_its_own_model(people: int) -> None:
    frames = rule_frames(people=people)
    assert frames is not None
    chance = chance_all_open(people=people, frames=frames, share_closed=10 * 0.25 / 60)
    assert 0.945 <= chance <= 0.99


def test_a_nervous_group_needs_far_more_than_the_rule() -> None:
    # Trade's own sums: 15 people, 15 blinks a minute of 0.35 s, 99 %: 16 frames, not 5.
    assert rule_frames(people=15) == 5
    needed = frames_for_eyes(15, wanted_share=0.99)
    assert needed.frames is not None
    assert 5 < needed.frames <= 16
    assert "16 if people are nervous" in needed.text or "17 if people are nervous" in needed.text


def test_open_eyes_by_drawing_blinks_in_time() -> None:
    """By drawing: calm people's blinks of 0.25 s, ten a minute, each at its own random moment."""
    rng = np.random.default_rng(3)
    people, moments = 8, 20_000
    since_s = rng.exponential(6.0, (moments, people))  # since each one's last blink began
    all_open = (since_s > 0.25).all(axis=1).mean()
    share = open_share_of(people)
    assert share.low < all_open < share.high + 0.01


# Groups as photographers report them; common practice, no source (tutors and studio owners, about
# 2015). The print is the standard one, 60 cm from 50 cm; cloudy daylight; rows half a metre apart.
def _daylight(
    *, focal_mm: float, distance_mm: float, rows: int, faces: int, spacing_mm: float
) -> GroupPlan:
    return plan_group(
        GroupRequest(
            kit=PlanKit(focal_length_mm=focal_mm, widest_f_number=2.0),
            light=PlanLight(exposure_ev=12.0),
            distance_mm=distance_mm,
            rows=rows,
            faces_per_row=faces,
            row_spacing_mm=spacing_mm,
        )
    )


def test_two_rows_at_full_length_are_decent_at_f4_and_safe_at_f56() -> None:
    # 135 mm, full length (2 m in 24 mm: 11.5 m), "f/4 decent, f/5.6 safe", tested by a tutor.
    plan = _daylight(focal_mm=135, distance_mm=11_500, rows=2, faces=3, spacing_mm=500)
    share = {stop.f_number: stop.share.value for stop in plan.stops}
    assert share[4.0] > 0.8
    assert share[5.6] > 0.85
    assert share[2.8] < 0.7
    assert 4.0 <= plan.settings[0].f_number <= 5.6


def test_three_layers_take_f71() -> None:
    # 112 mm at 9 m, three layers, f/7.1: within a stop.
    plan = _daylight(focal_mm=112, distance_mm=9000, rows=3, faces=4, spacing_mm=500)
    assert abs(2.0 * np.log2(plan.settings[0].f_number / 7.1)) < 1.0
    out = {stop.f_number: stop.out for stop in plan.stops}
    assert out[2.8] == (1, 3)
    assert out[8.0] == ()


def test_a_couple_in_one_plane_takes_f2_to_f56() -> None:
    # f/2 to f/3.2 said twice, f/3.2 to f/4 three times, f/4 to f/5.6 three times.
    plan = _daylight(focal_mm=85, distance_mm=3000, rows=1, faces=2, spacing_mm=600)
    assert 2.0 <= plan.settings[0].f_number <= 5.6
    assert all(stop.share.value > 0.7 for stop in plan.stops)


def test_one_line_far_off_holds_at_f5() -> None:
    # One line at 200 mm and 12 m: f/5. The model holds it from wide open on, and at f/5.6 as well.
    plan = _daylight(focal_mm=200, distance_mm=12_000, rows=1, faces=5, spacing_mm=600)
    share = {stop.f_number: stop.share.value for stop in plan.stops}
    assert share[5.6] > 0.9
    assert share[4.0] > 0.9


def test_a_group_wants_a_hundred_and_twenty_fifth_at_least() -> None:
    # "Group: 1/125 least", said twice: at slower times motion alone loses more than it keeps.
    plan = _daylight(focal_mm=50, distance_mm=3500, rows=2, faces=4, spacing_mm=600)
    slower = [point for point in plan.curve if point.shutter_s > 1 / 100]
    assert slower
    assert all(point.motion_share.value < 0.5 for point in slower)
    assert plan.settings[0].shutter_s <= 1 / 125
