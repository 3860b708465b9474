"""Lookups of people's measures: shape, growth, refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    ANYONE_EYE_DISTANCE_MM,
    HEAD_DEPTHS,
    eye_distance,
    head_depth,
    visible_iris,
)

ages = st.floats(0, 100)


@given(younger=ages, older=ages)
def test_nothing_shrinks_with_age(younger: float, older: float) -> None:
    younger, older = sorted((younger, older))
    assert eye_distance(age_years=younger).mean_mm <= eye_distance(age_years=older).mean_mm
    assert visible_iris(age_years=younger).mean_mm <= visible_iris(age_years=older).mean_mm
    for name in HEAD_DEPTHS:
        young, old = (abs(head_depth(name, age_years=a).mean_mm) for a in (younger, older))
        assert young <= old + 1e-12


def test_unknown_age_covers_adults_and_school_children() -> None:
    anyone = eye_distance()
    assert anyone == ANYONE_EYE_DISTANCE_MM
    for age in (6, 12, 40):
        assert abs(eye_distance(age_years=age).mean_mm - anyone.mean_mm) < 2 * anyone.sd_mm


def test_refusals_name_what_is_known() -> None:
    with pytest.raises(InputError, match="nose tip"):
        head_depth("elbow")
    for age in (-1.0, 150.0, float("nan")):
        with pytest.raises(InputError, match="age"):
            eye_distance(age_years=age)
