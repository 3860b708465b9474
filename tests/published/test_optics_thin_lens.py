"""Thin lens against handbooks: depth of field, hyperfocal distance, blur of a missed focus."""

import math

import pytest

from eyeplane.optics import (
    blur_circle_um,
    depth_of_field_mm,
    focus_between_mm,
    hyperfocal_mm,
    magnification,
    subject_distance_mm,
)

FT = 304.8  # mm
INCH = 25.4  # mm
CIRCLE_UM = 0.002 * INCH * 1000  # 0.002 in: not printed there, but reproduces both handbooks


def test_navy_hyperfocal_distance() -> None:
    # Photography (Basic), NAVEDTRA 14209, US Navy, 1993, ch. 1, "Conjugate foci": a 6.1 in (155 mm)
    # lens at f/2.8 has 554 ft.
    far_from_mm = hyperfocal_mm(focal_length_mm=155, f_number=2.8, circle_um=CIRCLE_UM)
    assert far_from_mm / FT == pytest.approx(554, abs=1)


def test_navy_limits_at_ten_feet() -> None:
    # Same page: focused at 10 ft, sharp from 9.8 to 10.2 ft.
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=155, f_number=2.8, focus_distance_mm=10 * FT, circle_um=CIRCLE_UM
    )
    assert near_mm / FT == pytest.approx(9.8, abs=0.05)
    assert far_mm / FT == pytest.approx(10.2, abs=0.05)


def test_navy_focus_for_two_limits() -> None:
    # Same page: to hold 9.8 to 10.2 ft, focus at 10 ft.
    assert focus_between_mm(near_mm=9.8 * FT, far_mm=10.2 * FT) / FT == pytest.approx(10, abs=0.01)


def test_army_hyperfocal_distance_and_near_limit() -> None:
    # US Army subcourse SS0507, Learning Event 10: a 2 in lens at f/8 has 20.8 ft; focused there,
    # sharp from 10.4 ft. (Without the + f of the thin lens, which is 0.17 ft here.)
    far_from_mm = hyperfocal_mm(focal_length_mm=2 * INCH, f_number=8, circle_um=CIRCLE_UM)
    assert (far_from_mm - 2 * INCH) / FT == pytest.approx(20.8, abs=0.05)
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=2 * INCH, f_number=8, focus_distance_mm=far_from_mm, circle_um=CIRCLE_UM
    )
    assert near_mm / FT == pytest.approx(10.4, abs=0.11)  # half of H with its + f
    assert math.isinf(far_mm)


# Root of the ray-traced blur (closed form and root finding agree to 0.01 mm), circle 0.030 mm:
# focal length, f-number, distance; near, far, in front, behind, together, all mm.
PORTRAITS = [
    (85, 1.8, 2000, 1971.78, 2029.04, 28.22, 29.04, 57.26),
    (85, 1.4, 1500, 1487.76, 1512.44, 12.24, 12.44, 24.68),
    (50, 1.8, 1500, 1454.45, 1548.50, 45.55, 48.50, 94.05),
    (135, 2, 3000, 2971.97, 3028.57, 28.03, 28.57, 56.60),
    (35, 2, 1500, 1399.57, 1615.95, 100.43, 115.95, 216.38),
    (105, 1.4, 2500, 2477.40, 2523.02, 22.60, 23.02, 45.62),
    (85, 8, 2000, 1880.38, 2135.87, 119.62, 135.87, 255.48),
]


@pytest.mark.parametrize("row", PORTRAITS, ids=lambda r: f"{r[0]}mm-f{r[1]}")
def test_depth_of_field_of_portraits(row: tuple[float, ...]) -> None:
    focal, f_number, distance, near, far, front, back, total = row
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=focal, f_number=f_number, focus_distance_mm=distance, circle_um=30
    )
    assert (near_mm, far_mm) == pytest.approx((near, far), abs=0.01)
    assert (distance - near_mm, far_mm - distance) == pytest.approx((front, back), abs=0.01)
    assert far_mm - near_mm == pytest.approx(total, abs=0.011)
    # The approximation 2 N c (1 + m) / m² of textbooks holds within 0.6 % for all of these.
    m = magnification(focal_length_mm=focal, subject_distance_mm=distance)
    assert 2 * f_number * 0.030 * (1 + m) / m**2 == pytest.approx(far_mm - near_mm, rel=0.006)


@pytest.mark.parametrize(
    ("f_number", "focus_mm", "eye_mm", "circle_um"),
    [
        (1.8, 2000, 2010, 10.43),
        (1.8, 2000, 1990, 10.53),
        (1.4, 1500, 1510, 24.15),
        (1.4, 1500, 1490, 24.48),
    ],
)
def test_blur_of_a_missed_focus(
    f_number: float, focus_mm: float, eye_mm: float, circle_um: float
) -> None:
    # c = (f/N) m |d − s| / d, worked by hand for an 85 mm lens.
    assert blur_circle_um(
        focal_length_mm=85,
        f_number=f_number,
        focus_distance_mm=focus_mm,
        subject_distance_mm=eye_mm,
    ) == pytest.approx(circle_um, abs=0.01)


def test_old_criterion_on_the_sensor() -> None:
    # Bockaert, glossary, "Circle of confusion": 0.25 mm on an 8x10 in print is 0.0333 mm on a
    # 36x24 mm frame, by the diagonals (325 mm and 43.27 mm).
    enlargement = math.hypot(8, 10) * INCH / math.hypot(36, 24)
    assert enlargement == pytest.approx(7.518, abs=0.001)
    assert 0.25 / enlargement == pytest.approx(0.0333, abs=0.0001)
    # Diagonal rules d/1500 and d/1730 (course page, theimage.com, digitalphoto2/7b).
    assert math.hypot(36, 24) / 1500 == pytest.approx(0.02884, abs=1e-5)
    assert math.hypot(36, 24) / 1730 == pytest.approx(0.02501, abs=1e-5)


def test_iris_on_the_sensor() -> None:
    # size x m / pitch: an iris of 11.71 mm, 85 mm lens at 2 m, 4.35 µm pixels: 119.5 px; 63 mm
    # between the eyes: 642.8 px (both worked by hand).
    m = magnification(focal_length_mm=85, subject_distance_mm=2000)
    assert 11.71 * m / 0.00435 == pytest.approx(119.5, abs=0.05)
    assert 63 * m / 0.00435 == pytest.approx(642.8, abs=0.1)
    back_mm = subject_distance_mm(focal_length_mm=85, magnification=119.5 * 0.00435 / 11.71)
    assert back_mm == pytest.approx(2000, abs=1)


def test_one_third_before_two_thirds_behind_is_wrong_for_portraits() -> None:
    # Sums behind the trade's saying: the share in front is 0.49-0.50 for 85-200 mm lenses at
    # 1.5-5 m, 0.47 at 85 mm f/8 2 m.
    near_mm, far_mm = depth_of_field_mm(
        focal_length_mm=85, f_number=8, focus_distance_mm=2000, circle_um=30
    )
    assert (2000 - near_mm) / (far_mm - near_mm) == pytest.approx(0.47, abs=0.005)


def test_best_plane_of_a_group() -> None:
    # 45 % in for rows from 2.5 to 3.1 m, 40 % for 4-6 m, 38 % for 5-8 m: worked by hand from
    # 2 a b / (a + b).
    for near, far, share in ((2500, 3100, 0.45), (4000, 6000, 0.40), (5000, 8000, 0.385)):
        plane = focus_between_mm(near_mm=near, far_mm=far)
        assert (plane - near) / (far - near) == pytest.approx(share, abs=0.006)
