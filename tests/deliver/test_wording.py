"""Numbers and names as they are printed."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.wording import (
    count_words,
    far_words,
    number,
    offset_words,
    percent,
    plain_text,
    reach_parts,
    reach_words,
    rounded,
    shutter_words,
    side_words,
    spread_words,
    stop_words,
    whole_cm,
)
from eyeplane.records import Measured
from eyeplane.records.said import capital


def about(low: float, value: float, high: float) -> Measured:
    return Measured(value=value, low=low, high=high)


@pytest.mark.parametrize(
    ("value", "digits", "words"),
    [
        (0.0, 2, "0"),
        (0.134, 2, "0.13"),
        (6.44, 2, "6.4"),
        (14.4, 2, "14"),
        (9.96, 2, "10"),
        (0.0996, 2, "0.10"),
        (1830.0, 2, "1830"),
        (-4.21, 2, "−4.2"),
        (-0.04, 1, "−0.04"),
        (5.987, 3, "5.99"),
        (float("inf"), 2, "∞"),
        (float("-inf"), 2, "−∞"),
    ],
)
def test_number(value: float, digits: int, words: str) -> None:
    assert number(value, digits) == words


@given(st.floats(1e-6, 1e6))
def test_a_number_is_never_off_by_more_than_its_last_digit(value: float) -> None:
    assert float(number(value)) == pytest.approx(value, rel=0.051)


@pytest.mark.parametrize(
    ("reach", "words"),
    [
        (None, "cannot tell"),
        (about(30.9, 35.9, 40.2), "35\u2009cm (30–40)"),
        (about(80.0, 96.0, 101.0), "95\u2009cm (80–100)"),
        (about(0.2, 0.5, 3.0), "under 1\u2009cm (0–3)"),
        (about(59.99999999, 59.99999999, 60.0), "60\u2009cm"),
    ],
)
def test_reach(reach: Measured | None, words: str) -> None:
    assert reach_words(reach) == words


@given(st.floats(0, 1e4))
def test_no_print_is_promised_too_large(reach_cm: float) -> None:
    assert whole_cm(reach_cm) <= reach_cm * (1 + 1e-6)
    assert whole_cm(reach_cm) > reach_cm - (5 if reach_cm >= 40 else 1)


@given(st.floats(0.5, 500), st.floats(0, 0.9), st.floats(0, 3))
def test_no_end_of_a_printed_spread_is_larger_than_the_reach(
    value: float, down: float, up: float
) -> None:
    reach = about(value * (1 - down), value, value * (1 + up))
    _, spread = reach_parts(reach)
    low, _, high = spread.partition("–")
    if not spread:
        assert whole_cm(reach.low) == whole_cm(reach.high)
        return
    assert float(low) <= reach.low * (1 + 1e-6)
    assert float(high) <= reach.high * (1 + 1e-6)
    assert float(high) > reach.high - 5


@pytest.mark.parametrize(
    ("offset", "words"),
    [
        (None, "cannot tell"),
        (about(11.0, 14.0, 17.0), "14\u2009mm behind (11–17)"),
        (about(-17.0, -14.0, -11.0), "14\u2009mm in front (11–17)"),
        (about(-3.0, 2.0, 7.0), "2.0\u2009mm behind (3\u2009mm in front to 7\u2009mm behind)"),
        (about(-1.0, 0.0, 1.0), "on the iris (1.0\u2009mm in front to 1.0\u2009mm behind)"),
        (
            about(-204.0, 92.0, 323.0),
            "92\u2009mm behind (200\u2009mm in front to 320\u2009mm behind)",
        ),
        (about(-1500.0, -1331.0, -97.0), "1.3\u2009m in front (97\u2009mm to 1.5\u2009m)"),
    ],
)
def test_offset(offset: Measured | None, words: str) -> None:
    assert offset_words(offset) == words


def test_a_side_by_a_number_of_any_library() -> None:
    assert side_words(float(14)) == side_words(np.float64(14)) == "14\u2009mm behind"
    assert side_words(-14.0, ("nearer", "farther", "on it")) == "14\u2009mm nearer"


def test_spread_of_any_number() -> None:
    assert spread_words(about(5.9, 6.4, 7.1), "px") == "6.4\u2009px (5.9–7.1)"
    assert spread_words(about(-14.0, -12.0, -10.0), "°") == "−12° (−14 to −10)"
    assert spread_words(None, "px") == "cannot tell"


@pytest.mark.parametrize(
    ("time_s", "words"),
    [
        (1 / 250, "1/250\u2009s"),
        (0.5, "0.50\u2009s"),
        (None, "not written in the file"),
        (0.0, "not written in the file"),
    ],
)
def test_shutter(time_s: float | None, words: str) -> None:
    assert shutter_words(time_s) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "0\u2009%"),
        (0.005, "under 1\u2009%"),
        (0.006, "1\u2009%"),
        (0.36, "36\u2009%"),
        (0.994, "99\u2009%"),
        (0.995, "over 99\u2009%"),
        (0.9999, "over 99\u2009%"),
        (1.0, "100\u2009%"),
    ],
)
def test_percent(share: float, words: str) -> None:
    assert percent(share) == words


@pytest.mark.parametrize(
    ("f_number", "words"),
    [(1.4, "f/1.4"), (2.0, "f/2"), (5.6001, "f/5.6"), (9.98, "f/10"), (11.3, "f/11")],
)
def test_apertures(f_number: float, words: str) -> None:
    assert stop_words(f_number) == words


@given(st.floats(-1e4, 1e4), st.floats(0, 1e3), st.floats(0, 1e3))
def test_whole_numbers_keep_their_interval_inside(value: float, down: float, up: float) -> None:
    said = rounded(about(value - down, value, value + up)).replace("−", "-")
    low, high = said.rpartition("(")[2].strip(")").split(" to " if " to " in said else "–")
    assert float(low) <= value - down + 1e-5
    assert float(high) >= value + up - 1e-5
    assert abs(float(said.partition(" ")[0]) - value) <= 0.5


def test_a_line_begins_with_a_capital_but_an_aperture_does_not() -> None:
    assert capital("focus on the iris") == "Focus on the iris"
    assert capital("f/2.8 instead of f/1.8") == "f/2.8 instead of f/1.8"
    assert capital("1/500 s") == "1/500 s"
    assert capital("") == ""


def test_lengths_and_counts() -> None:
    assert far_words(1830.0) == "1.83\u2009m"
    assert far_words(240.0) == "240\u2009mm"
    assert count_words(1, "frame") == "1 frame"
    assert count_words(3, "eye") == "3 eyes"


@given(st.text())
def test_foreign_text_can_be_printed_and_written(text: str) -> None:
    shown = plain_text(text + "\udc80\x1b[31m\u202e")
    shown.encode("utf-8")
    assert not set(shown) & set("\x1b\u202e\x00\r")


@pytest.mark.parametrize(
    "name", ["Žofie 日本語.jpg", "👩\u200d🎻.jpg", "a-b_c (1).JPG", "دنیا.jpg"]
)
def test_names_in_any_script_stay_as_they_are(name: str) -> None:
    assert plain_text(name) == name
