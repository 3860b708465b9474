"""Framings: order, growth, names back from heights."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    FRAMINGS,
    field_height_mm,
    framing_of,
    head_height_mm,
    stature_mm,
)
from eyeplane.records.plan import Framing

ages = st.none() | st.floats(0, 100)


@given(age=ages)
def test_framings_grow_and_are_named_back(age: float | None) -> None:
    heights = [field_height_mm(framing=name, age_years=age) for name in FRAMINGS]
    assert heights == sorted(heights)
    for name, height in zip(FRAMINGS, heights, strict=True):
        assert framing_of(field_height_mm=height, age_years=age) == name


@given(younger=st.floats(0, 100), older=st.floats(0, 100), name=st.sampled_from(FRAMINGS))
def test_the_older_the_taller(younger: float, older: float, name: Framing) -> None:
    younger, older = sorted((younger, older))
    assert stature_mm(age_years=younger) <= stature_mm(age_years=older)
    assert head_height_mm(age_years=younger) <= head_height_mm(age_years=older)
    small, large = (field_height_mm(framing=name, age_years=a) for a in (younger, older))
    assert small <= large


def test_grown_ups_are_adults() -> None:
    assert stature_mm(age_years=30) == stature_mm()
    assert head_height_mm(age_years=30) == head_height_mm()


def test_each_framing_takes_in_what_its_name_says() -> None:
    # Of an adult: all of the head and no more than its like again; shoulders some 400 mm wide fit
    # into a frame of 2 : 3; half of the stature; all of it with room.
    assert 1.3 * head_height_mm() < field_height_mm(framing="head") < 2 * head_height_mm()
    assert field_height_mm(framing="head-and-shoulders") * 2 / 3 >= 390
    assert 0.5 <= field_height_mm(framing="half") / stature_mm() <= 0.7
    assert 1.1 <= field_height_mm(framing="full") / stature_mm() <= 1.3


def test_refusals() -> None:
    with pytest.raises(InputError, match="bust"):
        field_height_mm(framing="bust")  # type: ignore[arg-type]  # what a user may type
    for height in (0.0, -3.0, float("nan")):
        with pytest.raises(InputError, match="take in"):
            framing_of(field_height_mm=height)
    with pytest.raises(InputError, match="age"):
        stature_mm(age_years=500)
