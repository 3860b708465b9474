"""Measures of people against published samples."""

import pytest

from eyeplane.people import (
    EYE_DISTANCE_MM,
    HEAD_DEPTHS,
    VISIBLE_IRIS_MM,
    eye_distance,
    visible_iris,
)


def test_visible_iris() -> None:
    # Rüfer, Schröder & Erb, Cornea 24, 259-261, 2005: 11.71 ± 0.42, men 11.77 ± .37, women
    # 11.64 ± .47; Shahroud sample 11.80 (10.8-12.8); young Iranians 11.65 ± .36.
    assert (VISIBLE_IRIS_MM.mean_mm, VISIBLE_IRIS_MM.sd_mm) == (11.71, 0.42)
    for other in (11.77, 11.64, 11.80, 11.65):
        assert abs(other - VISIBLE_IRIS_MM.mean_mm) < 0.25 * VISIBLE_IRIS_MM.sd_mm
    assert visible_iris(age_years=10) == VISIBLE_IRIS_MM


def test_adult_eye_distance() -> None:
    # Dodgson, Proc. SPIE 5291, 36-46, 2004: mean about 63, most 50-75, all 45-80.
    mean, sd = EYE_DISTANCE_MM.mean_mm, EYE_DISTANCE_MM.sd_mm
    assert mean == 63
    assert mean - 3.5 * sd >= 49
    assert mean + 3.5 * sd <= 77
    # ANSUR II women (n = 1986; Gordon et al., NATICK/TR-15/007, 2014): 61.71 ± 3.62.
    assert abs(61.71 - mean) < 0.5 * sd


@pytest.mark.parametrize(
    ("years", "far_mm"), [(1.5, 46.5), (2.5, 47.5), (3.5, 49.5), (4.5, 51.0), (5.5, 51.0)]
)
def test_child_eye_distance(years: float, far_mm: float) -> None:
    # Pacific University thesis, May 1993, abstract: far distances by year of age.
    assert eye_distance(age_years=years).mean_mm == far_mm


def test_children_from_five_have_forty_millimetres() -> None:
    # Dodgson 2004: least for children of five and more about 40.
    five = eye_distance(age_years=5)
    assert five.mean_mm - 3 * five.sd_mm >= 40


def test_orbit_rim_behind_the_cornea() -> None:
    # Bogren 1986, abstract: adults 12-20 mm from the corneal tip to the outer rim of the orbit.
    depth = HEAD_DEPTHS["orbit rim"].mean_mm - HEAD_DEPTHS["cornea"].mean_mm
    assert depth - HEAD_DEPTHS["orbit rim"].sd_mm >= 12
    assert depth + HEAD_DEPTHS["orbit rim"].sd_mm <= 20


def test_brow_lies_before_the_eye() -> None:
    # Design datum (City University of Hong Kong, online anthropometry, Head length): the eye is
    # about 20 mm behind the glabella, which juts out farther than the hair of the brow.
    brow = HEAD_DEPTHS["brow"]
    assert -20 <= brow.mean_mm < 0
