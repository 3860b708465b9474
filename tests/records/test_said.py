"""Counts, lists and shares are said as one says them, and never surer than they are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.records.said import capital, count_word, listed, percent_ends, share_percent

SHARE = st.floats(0.0, 1.0)


def test_lists_and_counts() -> None:
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert [count_word(n) for n in (0, 1, 10, 11)] == ["no", "one", "ten", "11"]


def test_a_line_begins_with_a_capital_unless_it_is_an_aperture() -> None:
    assert capital("step back") == "Step back"
    assert capital("f/2.8 instead") == "f/2.8 instead"
    assert capital("") == ""


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0.0, "under 1 %"),
        (0.004, "under 1 %"),
        (0.36, "36 %"),
        (0.996, "over 99 %"),
        (1, "over 99 %"),
    ],
)
def test_no_share_is_none_or_all(share: float, said: str) -> None:
    assert share_percent(share).replace("\u2009", " ") == said


@given(SHARE, SHARE)
def test_an_interval_in_percent_holds_the_whole_of_it(one: float, other: float) -> None:
    low, high = sorted((one, other))
    first, last = percent_ends(low, high)
    assert 0 <= first <= 100 * low + 1e-6
    assert 100 * high - 1e-6 <= last <= 100
    assert 100 * low - first < 1
    assert last - 100 * high < 1
