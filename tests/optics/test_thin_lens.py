"""Thin lens: inverses, monotony, limits and refusals."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.optics import (
    blur_circle_um,
    depth_of_field_mm,
    focus_between_mm,
    focus_plane_mm,
    hyperfocal_mm,
    lens_distance_mm,
    magnification,
    subject_distance_mm,
)

focals = st.floats(14, 400)
f_numbers = st.floats(0.9, 32)
distances = st.floats(500, 20_000)
circles = st.floats(2, 100)


@given(f=focals, s=distances)
def test_magnification_and_distance_are_inverses(f: float, s: float) -> None:
    m = magnification(focal_length_mm=f, subject_distance_mm=s)
    assert subject_distance_mm(focal_length_mm=f, magnification=m) == pytest.approx(s)


@given(f=focals, s=distances)
def test_sensor_distance_counts_the_image_distance(f: float, s: float) -> None:
    assume(s >= 2 * f)
    sensor_mm = s + s * f / (s - f)
    back_mm = lens_distance_mm(focal_length_mm=f, sensor_distance_mm=sensor_mm)
    assert back_mm == pytest.approx(s, rel=1e-6)


@given(f=focals, n=f_numbers, s=distances, c=circles)
def test_limits_of_the_field_have_just_the_circle(f: float, n: float, s: float, c: float) -> None:
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=f, f_number=n, focus_distance_mm=s, circle_um=c
    )
    assume(near_mm > f)

    def circle(distance_mm: float) -> float:
        return blur_circle_um(
            focal_length_mm=f, f_number=n, focus_distance_mm=s, subject_distance_mm=distance_mm
        )

    assert circle(near_mm) == pytest.approx(c, rel=1e-6)
    if math.isfinite(far_mm):
        assert circle(far_mm) == pytest.approx(c, rel=1e-6)
        assert far_mm - s > s - near_mm > 0
    else:
        assert s >= hyperfocal_mm(focal_length_mm=f, f_number=n, circle_um=c)


@given(f=focals, n=f_numbers, c=circles)
def test_hyperfocal_holds_from_half_to_infinity(f: float, n: float, c: float) -> None:
    far_from_mm = hyperfocal_mm(focal_length_mm=f, f_number=n, circle_um=c)
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=f, f_number=n, focus_distance_mm=far_from_mm, circle_um=c
    )
    assert math.isinf(far_mm)
    assert near_mm == pytest.approx(far_from_mm / 2)
    at_infinity = blur_circle_um(
        focal_length_mm=f, f_number=n, focus_distance_mm=far_from_mm, subject_distance_mm=math.inf
    )
    assert at_infinity == pytest.approx(c)


@given(f=focals, n=f_numbers, s=distances, a=st.floats(0, 300), b=st.floats(0, 300))
def test_blur_grows_with_the_offset_and_shrinks_with_the_f_number(
    f: float, n: float, s: float, a: float, b: float
) -> None:
    a, b = sorted((a, b))
    assume(s - b > f)
    for side in (-1, 1):
        small, large, stopped = (
            blur_circle_um(
                focal_length_mm=f,
                f_number=number,
                focus_distance_mm=s,
                subject_distance_mm=s + side * offset,
            )
            for number, offset in ((n, a), (n, b), (2 * n, b))
        )
        assert small <= large * (1 + 1e-9)
        assert stopped == pytest.approx(large / 2)


@given(a=distances, b=distances)
def test_focus_between_blurs_both_alike(a: float, b: float) -> None:
    a, b = sorted((a, b))
    assume(b > a * 1.001)
    plane_mm = focus_between_mm(near_mm=a, far_mm=b)
    near, far = (
        blur_circle_um(
            focal_length_mm=85, f_number=4, focus_distance_mm=plane_mm, subject_distance_mm=d
        )
        for d in (a, b)
    )
    assert near == pytest.approx(far, rel=1e-6)
    assert a < plane_mm < (a + b) / 2


def test_focus_at_infinity() -> None:
    assert magnification(focal_length_mm=85, subject_distance_mm=math.inf) == 0
    assert math.isinf(lens_distance_mm(focal_length_mm=85, sensor_distance_mm=math.inf))
    # Everything then has the blur circle f²/(N d).
    circle = blur_circle_um(
        focal_length_mm=85, f_number=2, focus_distance_mm=math.inf, subject_distance_mm=5000
    )
    assert circle == pytest.approx(1000 * 85**2 / 2 / 5000)
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=85, f_number=2, focus_distance_mm=math.inf, circle_um=30
    )
    assert near_mm == pytest.approx(85**2 / (2 * 0.030))
    assert math.isinf(far_mm)


def test_focus_plane_from_eye_and_offset() -> None:
    assert focus_plane_mm(eye_distance_mm=1500, offset_mm=18) == 1518
    with pytest.raises(InputError):
        focus_plane_mm(eye_distance_mm=1500, offset_mm=-1500)


def test_refusals_name_the_argument() -> None:
    with pytest.raises(InputError, match="subject_distance_mm"):
        magnification(focal_length_mm=85, subject_distance_mm=85)
    with pytest.raises(InputError, match="f_number"):
        hyperfocal_mm(focal_length_mm=85, f_number=0, circle_um=30)
    with pytest.raises(InputError, match="sensor_distance_mm"):
        lens_distance_mm(focal_length_mm=85, sensor_distance_mm=300)
    with pytest.raises(InputError, match="far_mm"):
        focus_between_mm(near_mm=2000, far_mm=1000)
    with pytest.raises(InputError, match="circle_um"):
        depth_of_field_mm(
            focal_length_mm=85, f_number=2, focus_distance_mm=2000, circle_um=math.nan
        )
