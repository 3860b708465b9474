"""Glances: how long they last and how fast the iris goes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import TURNING_MM, glance_s, iris_speed_mm_per_s


@given(small=st.floats(0, 60), large=st.floats(0, 60))
def test_larger_glances_last_longer(small: float, large: float) -> None:
    small, large = sorted((small, large))
    assert glance_s(size_deg=small) <= glance_s(size_deg=large)


@given(rate=st.floats(0, 1000))
def test_speed_is_turning_times_radius(rate: float) -> None:
    assert iris_speed_mm_per_s(turning_deg_per_s=rate) == pytest.approx(
        rate * math.pi / 180 * TURNING_MM.mean_mm
    )


def test_refusals() -> None:
    for size in (-1.0, 61.0, float("nan")):
        with pytest.raises(InputError, match="turn by"):
            glance_s(size_deg=size)
    with pytest.raises(InputError, match="turn at"):
        iris_speed_mm_per_s(turning_deg_per_s=-1.0)
