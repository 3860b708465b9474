"""Sizes and places of heads against published samples and hand sums."""

import math

import pytest

from eyeplane.people import (
    EYE_DISTANCE_MM,
    HEAD_DEPTHS,
    VISIBLE_IRIS_MM,
    eye_distance,
    far_iris_depth_mm,
    field_height_mm,
    head_height_mm,
    head_places,
    stature_mm,
)
from eyeplane.people.turned_head import ASIDE_MM

# ANSUR II women (n = 1986): computed from a public copy; Gordon and others, NATICK/TR-15/007, 2014.
HEAD_BREADTH_MM, BIZYGOMATIC_MM = 147.8, 133.8
MENTON_SELLION_MM, TRAGION_TOP_MM = 113.1, 126.5


def test_pixels_on_the_eye() -> None:
    # Computed: 85 mm, 2 m, 4.35 um: the iris takes 119.5 px, the eyes are 642.8 px apart.
    px_per_mm = 85 / (2000 - 85) / 4.35e-3
    assert VISIBLE_IRIS_MM.mean_mm * px_per_mm == pytest.approx(119.5, abs=0.1)
    assert EYE_DISTANCE_MM.mean_mm * px_per_mm == pytest.approx(642.8, abs=0.1)


def test_distance_told_by_the_iris() -> None:
    # s = f (1 + D / d), to 3.6 % by how irises differ (Rüfer and others 2005).
    image_mm = VISIBLE_IRIS_MM.mean_mm * 85 / (2000 - 85)
    assert 85 * (1 + VISIBLE_IRIS_MM.mean_mm / image_mm) == pytest.approx(2000)
    assert VISIBLE_IRIS_MM.sd_mm / VISIBLE_IRIS_MM.mean_mm == pytest.approx(0.036, abs=0.0005)


@pytest.mark.parametrize(
    ("years", "near_mm"), [(1.5, 43.0), (2.5, 43.5), (3.5, 46.0), (4.5, 46.5), (5.5, 46.5)]
)
def test_looking_near_brings_children_s_eyes_together(years: float, near_mm: float) -> None:
    # Pacific University thesis, 1993: distances when looking near (some 33 to 40 cm) are 3.5 to
    # 4.5 mm less. At 2 m they are less by a fraction of that.
    far = eye_distance(age_years=years).mean_mm
    places = {p.name: p for p in head_places(yaw_deg=0, age_years=years)}
    portrait = places["far iris"].aside_mm
    assert near_mm < portrait < far
    assert far - portrait < 0.2 * (far - near_mm)


@pytest.mark.parametrize(("yaw", "depth_mm"), [(10, 10.9), (25, 26.6), (45, 44.5)])
def test_far_eye_of_a_turned_head(yaw: float, depth_mm: float) -> None:
    # Eye distance times sine, 63 mm (Dodgson 2004): by hand.
    told = far_iris_depth_mm(yaw_deg=yaw)
    assert told.mean_mm == pytest.approx(depth_mm, abs=0.35)
    assert told.sd_mm == pytest.approx(3.8 * math.sin(math.radians(yaw)), rel=0.01)


def test_widths_of_the_head() -> None:
    # Ears stand out beyond the cheek bones and reach about as far as the head is broad.
    ear = ASIDE_MM["ear"]
    assert ear.mean_mm > BIZYGOMATIC_MM / 2
    assert abs(ear.mean_mm - HEAD_BREADTH_MM / 2) < ear.sd_mm
    # Outer eye corners: 98.2 ± 3.5 and 94.4 ± 4.9 mm apart in one sample (Maxillofac. Plast.
    # Reconstr. Surg. 41, 2019, table 9), 87 to 91 from memory: within two standard deviations.
    corner = ASIDE_MM["outer eye corner"]
    for apart in (98.2, 94.4, 87.0):
        assert abs(apart / 2 - corner.mean_mm) < 2 * corner.sd_mm
    assert EYE_DISTANCE_MM.mean_mm / 2 < corner.mean_mm < BIZYGOMATIC_MM / 2


def test_lashes_are_no_longer_than_lashes_are() -> None:
    # Weak trade pages: upper lashes 8 to 12 mm, lower 6 to 8; part of that points forward.
    forward = HEAD_DEPTHS["lash roots"].mean_mm - HEAD_DEPTHS["lash tips"].mean_mm
    assert 4.0 <= forward <= 12.0


def test_height_of_the_head() -> None:
    # Chin to the root of the nose, and from the ear's notch, some 20 to 35 mm lower than that
    # root (from memory), to the crown.
    low, high = (MENTON_SELLION_MM + TRAGION_TOP_MM - d for d in (35.0, 0.0))
    assert low < head_height_mm() < high


@pytest.mark.parametrize(("years", "height_mm"), [(4.0, 1050), (7.0, 1250), (13.0, 1550)])
def test_heights_of_children(years: float, height_mm: float) -> None:
    # Hausdorff and others 1999 (gait maturation data base): 105 ± 2, 125 ± 1, 155 ± 10 cm at 3 to
    # 4, 6 to 7 and 11 to 14 years.
    assert stature_mm(age_years=years) == pytest.approx(height_mm, rel=0.04)


def test_heads_are_an_eighth_of_adults_and_a_larger_part_of_children() -> None:
    # Drawing schools' rule: adults seven to eight heads tall, at two years five, newborn four
    # (common practice, no source).
    assert 7.0 <= stature_mm() / head_height_mm() <= 8.0
    assert 4.5 <= stature_mm(age_years=2) / head_height_mm(age_years=2) <= 5.5
    assert 3.0 <= stature_mm(age_years=0) / head_height_mm(age_years=0) <= 4.2


def test_head_and_shoulders_from_where_portraits_are_taken() -> None:
    # Trade: 85 mm upright (36 mm high) from 1.8 to 3 m (6 to 10 ft); head shots not under 1.2 m.
    for framing, nearest, farthest in (
        ("head-and-shoulders", 1300, 1900),
        ("half", 1800, 3050),
        ("full", 4000, 6000),
    ):
        height = field_height_mm(framing=framing)  # type: ignore[arg-type]  # names of framings
        assert nearest <= 85 * (1 + height / 36) <= farthest
