"""Sums on single numbers and arrays: the same result, floats stay floats, nonsense is named."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light.elementwise import (
    above_zero,
    between,
    exp2,
    log2,
    not_negative,
    plain,
    root,
    share_of_one,
)


@given(st.floats(1e-6, 1e6))
def test_single_numbers_and_arrays_agree(value: float) -> None:
    for rule in (log2, root):
        alone = rule(value)
        assert type(alone) is float
        assert rule(np.array([value]))[0] == pytest.approx(alone)  # type: ignore[index]
    assert exp2(log2(value)) == pytest.approx(value)
    assert np.allclose(exp2(np.array([1.0, -2.0])), [2.0, 0.25])


def test_a_dark_room_has_no_light() -> None:
    assert exp2(-np.inf) == 0


def test_between() -> None:
    assert between(5.0, 1.0, 3.0) == 3.0
    assert between(0.5, 1.0, 3.0) == 1.0
    assert np.array_equal(between(np.array([0.0, 2.0, 9.0]), 1.0, 3.0), [1.0, 2.0, 3.0])


def test_plain() -> None:
    assert type(plain(np.float64(2.5))) is float
    assert type(plain(np.asarray(2.5))) is float
    assert isinstance(plain(np.array([2.5])), np.ndarray)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_above_zero(bad: float) -> None:
    above_zero(a=1e-9, b=np.array([1.0, 2.0]))
    for value in (bad, np.array([1.0, bad])):
        with pytest.raises(InputError, match="size"):
            above_zero(size=value)


def test_not_negative() -> None:
    not_negative(a=0.0, b=np.array([0.0, 1.0]))
    for bad in (-1e-9, np.nan, np.array([0.0, -2.0])):
        with pytest.raises(InputError, match="size"):
            not_negative(size=bad)


def test_share_of_one() -> None:
    share_of_one(a=1.0, b=np.array([0.01, 1.0]))
    for bad in (0.0, 1.0001, np.array([0.5, 2.0])):
        with pytest.raises(InputError, match="power"):
            share_of_one(power=bad)
