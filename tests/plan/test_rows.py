"""Where everybody of a group is, and where the focus plane belongs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.optics import blur_circle_um
from eyeplane.plan.rows import (
    STANDING_ABOVE_MM,
    f_number_for,
    half_frame_mm,
    moved,
    outside_frame_mm,
    seating,
)
from eyeplane.records import GroupRequest, PlanKit, PlanLight

KIT = PlanKit(focal_length_mm=50.0)
REQUEST = GroupRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), distance_mm=3500.0)

groups = st.builds(
    GroupRequest,
    kit=st.builds(
        PlanKit,
        focal_length_mm=st.sampled_from([35.0, 50.0, 85.0]),
        field_radius_mm=st.sampled_from([None, 6000.0, -6000.0]),
    ),
    light=st.just(PlanLight(exposure_ev=9.0)),
    distance_mm=st.floats(2500, 8000),
    rows=st.integers(1, 5),
    faces_per_row=st.integers(1, 7),
    row_spacing_mm=st.floats(300, 900),
    standing=st.booleans(),
    arc_radius_mm=st.sampled_from([None, 3000.0, 5000.0]),
)


def test_two_rows_of_four() -> None:
    where = seating(REQUEST)
    assert where.people == 8
    assert where.row.tolist() == [1] * 4 + [2] * 4
    assert where.place.tolist() == [1, 2, 3, 4] * 2
    assert where.across_mm.tolist() == [-825.0, -275.0, 275.0, 825.0] * 2
    assert where.distance_mm.tolist() == [3500.0] * 4 + [4100.0] * 4
    assert (where.effective_mm == where.distance_mm).all()  # a flat field


def test_heights_count_only_if_a_front_row_sits() -> None:
    assert np.ptp(seating(REQUEST).above_mm) == STANDING_ABOVE_MM
    assert not seating(replace(REQUEST, standing=False)).above_mm.any()
    assert not seating(replace(REQUEST, rows=1)).above_mm.any()


@given(groups)
@settings(max_examples=60, deadline=None)
def test_the_best_plane_blurs_nearest_and_farthest_alike_and_nobody_more(
    request: GroupRequest,
) -> None:
    where = seating(request)
    focal = request.kit.focal_length_mm
    discs = [
        blur_circle_um(
            focal_length_mm=focal,
            f_number=4.0,
            focus_distance_mm=where.plane_mm,
            subject_distance_mm=float(d),
        )
        for d in where.effective_mm
    ]
    ends = (discs[where.effective_mm.argmin()], discs[where.effective_mm.argmax()])
    assert ends[0] == pytest.approx(ends[1], abs=1e-6)
    assert max(discs) <= ends[0] + 1e-6


@given(groups)
@settings(max_examples=15, deadline=None)
def test_no_plane_on_a_grid_of_a_millimetre_is_better(request: GroupRequest) -> None:
    """By brute force: the largest disc of all faces, plane by plane."""
    where = seating(request)
    focal = request.kit.focal_length_mm
    planes = np.arange(np.floor(where.near_mm), np.ceil(where.far_mm) + 1.0)
    worst = np.abs(1.0 / planes[:, None] - 1.0 / where.effective_mm[None, :]).max(axis=1)
    worst /= 1.0 - focal / planes  # the exact thin lens: magnification grows as the plane nears
    assert abs(planes[worst.argmin()] - where.plane_mm) <= 1.0


@given(groups)
@settings(max_examples=40, deadline=None)
def test_the_aperture_for_a_circle_makes_the_largest_disc_that_circle(
    request: GroupRequest,
) -> None:
    where, focal = seating(request), request.kit.focal_length_mm
    f_number = f_number_for(where, focal_length_mm=focal, circle_um=15.0)
    if f_number < 1e-6:
        assert np.ptp(where.effective_mm) < 1e-3
        return
    disc = blur_circle_um(
        focal_length_mm=focal,
        f_number=f_number,
        focus_distance_mm=where.plane_mm,
        subject_distance_mm=where.near_mm,
    )
    assert disc == pytest.approx(15.0, rel=1e-6)


def test_a_field_bent_like_the_arc_makes_it_pay() -> None:
    row = replace(REQUEST, rows=1, faces_per_row=7, arc_radius_mm=5000.0)
    flat = seating(row)
    bent = seating(replace(row, kit=replace(KIT, field_radius_mm=5000.0)))
    assert flat.far_mm - flat.near_mm > 200.0
    assert bent.far_mm - bent.near_mm == pytest.approx(0.0, abs=1e-6)


def test_who_is_outside_the_frame_by_similar_triangles() -> None:
    # 36 mm behind a 50 mm lens focused at 3.776 m: 50.67 mm away; four faces 0.55 m apart.
    assert outside_frame_mm(REQUEST, seating(REQUEST)) == 0.0
    close = replace(REQUEST, distance_mm=2000.0)
    where = seating(close)
    back = outside_frame_mm(close, where)
    image = 50.0 * where.plane_mm / (where.plane_mm - 50.0)
    assert 2000.0 + back == pytest.approx((825.0 + 100.0) * image / 18.0)
    farther = replace(REQUEST, distance_mm=2000.0 + back)
    assert outside_frame_mm(farther, seating(farther)) == 0.0
    assert half_frame_mm(close, where) == pytest.approx(18.0 * where.plane_mm / image)


def test_moving_moves_both_distances() -> None:
    where = seating(REQUEST)
    towards = np.where(where.row == 2, 100.0, 0.0)
    after = moved(where, towards)
    assert after.distance_mm.tolist() == [3500.0] * 4 + [4000.0] * 4
    assert after.effective_mm.tolist() == [3500.0] * 4 + [4000.0] * 4


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"rows": 0}, "rows"),
        ({"faces_per_row": 41}, "faces_per_row"),
        ({"row_spacing_mm": 0.0}, "row_spacing_mm"),
        ({"face_spacing_mm": 100.0}, "face_spacing_mm"),
        ({"distance_mm": -1.0}, "distance_mm"),
        ({"distance_mm": float("nan")}, "distance_mm"),
        ({"distance_mm": 90.0}, "distance_mm"),
        ({"kit": replace(KIT, near_limit_mm=4000.0)}, "distance_mm"),
        ({"faces_per_row": 9, "arc_radius_mm": 1000.0}, "arc_radius_mm"),
        ({"faces_per_row": 7, "arc_radius_mm": 1500.0, "distance_mm": 700.0}, "arc_radius_mm"),
    ],
)
def test_impossible_groups_are_refused(change: dict[str, object], where: str) -> None:
    with pytest.raises(InputError) as told:
        seating(replace(REQUEST, **change))  # type: ignore[arg-type]  # one field each
    assert told.value.where == where
