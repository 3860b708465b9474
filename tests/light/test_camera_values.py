"""Marks of cameras: nearest marks, what they truly are, rounding that never goes the wrong way."""

from collections.abc import Callable
from itertools import pairwise
from math import log2

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    F_NUMBERS,
    ISOS,
    SHUTTER_PARTS,
    SHUTTER_TIMES_S,
    nearest_f_number,
    nearest_iso,
    nearest_shutter_s,
    stops_between,
    true_f_number,
    true_iso,
    true_shutter_s,
)

# Whole stops as every camera marks them, against powers of two: common practice.
WHOLE_F = (1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32)
WHOLE_PARTS = (1, 2, 4, 8, 15, 30, 60, 125, 250, 500, 1000, 2000, 4000, 8000)


@pytest.mark.parametrize(("stops", "mark"), list(enumerate(WHOLE_F)))
def test_whole_stops_of_aperture(stops: int, mark: float) -> None:
    assert true_f_number(mark) == pytest.approx(2 ** (stops / 2), rel=1e-12)


@pytest.mark.parametrize(("stops", "part"), list(enumerate(WHOLE_PARTS)))
def test_whole_stops_of_time(stops: int, part: int) -> None:
    assert true_shutter_s(1 / part) == pytest.approx(2.0**-stops, rel=1e-12)


@pytest.mark.parametrize("stops", range(11))
def test_whole_stops_of_iso(stops: int) -> None:
    mark = 50 * 2**stops
    assert mark in ISOS
    assert true_iso(float(mark)) == mark


@pytest.mark.parametrize(
    ("marks", "true", "thirds_a_mark"),
    [(F_NUMBERS, true_f_number, 0.5), (ISOS, true_iso, 1), (SHUTTER_TIMES_S, true_shutter_s, -1)],
)
def test_neighbours_are_a_third_of_a_stop_apart(
    marks: tuple[float, ...], true: Callable[[float], float], thirds_a_mark: float
) -> None:
    for one, next_one in pairwise(marks):
        assert log2(true(next_one) / true(one)) == pytest.approx(thirds_a_mark / 3, abs=1e-9)
    for mark in marks:
        assert true(mark) == pytest.approx(mark, rel=0.07)


def test_short_times_are_the_parts() -> None:
    assert {1 / p for p in SHUTTER_PARTS} < set(SHUTTER_TIMES_S)
    assert list(SHUTTER_TIMES_S) == sorted(SHUTTER_TIMES_S, reverse=True)


@given(st.floats(0.9, 35))
def test_nearest_aperture_is_the_nearest(f_number: float) -> None:
    found = nearest_f_number(f_number)
    assert abs(log2(found / f_number)) == min(abs(log2(n / f_number)) for n in F_NUMBERS)
    small = nearest_f_number(f_number, smaller=True)
    assert small >= found
    assert max(small, true_f_number(small)) >= 0.994 * min(f_number, 32)


@given(st.floats(1 / 30_000, 30))
def test_faster_is_never_slower(time_s: float) -> None:
    found = nearest_shutter_s(time_s, faster=True)
    assert min(found, true_shutter_s(found)) <= 1.006 * time_s
    slower = [t for t in SHUTTER_TIMES_S if found < t <= time_s]
    assert not slower, "a longer time would have done"


@given(st.floats(45, 110_000))
def test_higher_iso_is_never_lower(iso: float) -> None:
    found = nearest_iso(iso, higher=True)
    assert max(found, true_iso(found)) >= 0.994 * min(iso, 102_400)
    assert found <= 1.28 * max(iso, 50)


@pytest.mark.parametrize("time_s", [0.0166, 0.0167, 1 / 60, 1 / 64])
def test_a_time_from_a_file_is_its_mark(time_s: float) -> None:
    assert nearest_shutter_s(time_s, faster=True) == pytest.approx(1 / 60)


def test_what_is_no_mark_is_taken_as_it_is() -> None:
    assert true_f_number(0.95) == 0.95
    assert true_f_number(1.7) == 1.7  # a half stop
    assert true_shutter_s(1 / 180) == 1 / 180
    assert true_iso(112.0) == 112.0


def test_beyond_the_ends_the_end_stands() -> None:
    assert nearest_f_number(0.7) == 1.0
    assert nearest_f_number(64.0, smaller=True) == 32.0
    assert nearest_shutter_s(1e-6, faster=True) == SHUTTER_TIMES_S[-1]
    assert nearest_iso(1e6) == 102_400


def test_arrays_give_what_single_numbers_give() -> None:
    values = np.geomspace(1, 30, 50)
    assert nearest_f_number(values).tolist() == [nearest_f_number(float(v)) for v in values]
    times = np.geomspace(1e-4, 10, 50)
    assert nearest_shutter_s(times, faster=True).tolist() == [
        nearest_shutter_s(float(t), faster=True) for t in times
    ]
    marks = np.array(F_NUMBERS).reshape(1, -1)
    assert true_f_number(marks).shape == marks.shape
    assert nearest_iso(np.array([88.0, 5000.0])).tolist() == [80.0, 5000.0]


def test_stops_between() -> None:
    assert stops_between(wider_f_number=1.4, smaller_f_number=11) == pytest.approx(6)
    assert stops_between(wider_f_number=8, smaller_f_number=5.6) == pytest.approx(-1)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
@pytest.mark.parametrize("rule", [nearest_f_number, nearest_iso, nearest_shutter_s, true_iso])
def test_nonsense_is_refused(rule: Callable[[float], float], bad: float) -> None:
    with pytest.raises(InputError):
        rule(bad)
