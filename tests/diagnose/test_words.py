"""Numbers as they are said."""

from itertools import pairwise
from math import log2

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.diagnose import words
from eyeplane.light import F_NUMBERS, SHUTTER_PARTS

T = words.THIN


@pytest.mark.parametrize(
    ("reach", "said"),
    [(0.4, f"under 1{T}cm"), (6.9, f"6{T}cm"), (19.99, f"19{T}cm"), (39.9, f"39{T}cm"),
     (44.9, f"40{T}cm"), (60.0, f"60{T}cm"), (59.9999999, f"60{T}cm"), (104.0, f"100{T}cm")],
)  # fmt: skip
def test_reach_is_rounded_down(reach: float, said: str) -> None:
    assert words.cm(reach) == said


@given(st.floats(min_value=0, max_value=1e4))
def test_reach_never_promises_more(reach: float) -> None:
    assert words.whole_reach_cm(reach) <= reach * (1 + 1e-6)


@given(st.floats(min_value=0, max_value=1e4), st.floats(min_value=0, max_value=1e4))
def test_reach_said_keeps_the_order(one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert words.whole_reach_cm(low) <= words.whole_reach_cm(high)


@pytest.mark.parametrize(
    ("time_s", "said"),
    [(1 / 250, f"1/250{T}s"), (0.004, f"1/250{T}s"), (1 / 1003, f"1/1000{T}s"), (1 / 6, f"1/6{T}s"),
     (0.5, f"0.5{T}s"), (2.0, f"2{T}s"), (1 / 180, f"1/180{T}s"), (1 / 20000, f"1/20000{T}s")],
)  # fmt: skip
def test_shutter_as_cameras_write_it(time_s: float, said: str) -> None:
    assert words.shutter(time_s) == said


@pytest.mark.parametrize(
    ("n", "said"), [(2.8, "f/2.8"), (11.0, "f/11"), (1.0, "f/1"), (4.0, "f/4")]
)
def test_aperture(n: float, said: str) -> None:
    assert words.f_stop(n) == said


@pytest.mark.parametrize(
    ("angle", "said"),
    [(0, "sideways"), (22, "sideways"), (23, "on a slant"), (45, "on a slant"), (88, "up and down"),
     (135, "on a slant"), (170, "sideways"), (180, "sideways"), (270, "up and down")],
)  # fmt: skip
def test_direction(angle: float, said: str) -> None:
    assert words.direction(angle) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.62, f"0.6{T}mm"), (-18.4, f"18{T}mm"), (132.0, f"130{T}mm"), (1540.0, f"1.5{T}m")],
)
def test_lengths_at_the_sitter(value: float, said: str) -> None:
    assert words.mm(value) == said


def test_signs_and_small_units() -> None:
    assert words.signed_mm(-4.2) == f"−4{T}mm"
    assert words.signed_mm(18.0) == f"+18{T}mm"
    assert words.um(9.3) == f"9{T}µm"
    assert words.um(0.6) == f"0.6{T}µm"
    assert words.px(6.2) == f"6{T}px"
    assert words.px(1.24) == f"1.2{T}px"
    assert words.print_cm(76.2) == f"76.2{T}cm"
    assert words.print_cm(60.0) == f"60{T}cm"


def test_which_face() -> None:
    assert words.which_face(0, 2) == "the left face"
    assert words.which_face(1, 2) == "the right face"
    assert words.which_face(2, 5) == "the third face from the left"
    assert words.which_face(11, 20) == "the number 12 face from the left"


def test_series_are_third_stops() -> None:
    # Each engraved value lies within half a step of the exact series (f/1.2 stands for 1.26);
    # ISO 2720 and APEX: Av = 2 log2 N, Tv = log2 1/t.
    stops = [6 * log2(n) for n in F_NUMBERS]
    assert max(abs(s - round(s)) for s in stops) <= 0.45
    assert [round(s) for s in stops] == list(range(len(stops)))
    times = [3 * log2(p) for p in SHUTTER_PARTS]
    assert [round(b - a) for a, b in pairwise(times)] == [1] * (len(times) - 1)
