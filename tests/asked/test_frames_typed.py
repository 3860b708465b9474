"""Frames and lengths typed into a form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.asked.frames_typed import MOST_FRAMES, frames_typed, typed_length_cm
from eyeplane.errors import InputError


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1", (1,)),
        ("3, 5-7", (3, 5, 6, 7)),
        (" 7 - 9 ,8, 2 ", (2, 7, 8, 9)),
        ("4–6", (4, 5, 6)),
        ("12,", (12,)),
    ],
)
def test_numbers_and_spans_are_read(text: str, found: tuple[int, ...]) -> None:
    assert frames_typed(text, 20) == found


@given(st.sets(st.integers(1, 60), min_size=1, max_size=MOST_FRAMES))
def test_any_list_comes_back_whole(numbers: set[int]) -> None:
    text = ", ".join(map(str, numbers))
    assert frames_typed(text, 60) == tuple(sorted(numbers))


@pytest.mark.parametrize(
    "text",
    ["", " , ", "0", "21", "5-3", "-4", "a", "1;2", "1-", "٣", "1" * 30, "1-20,", "1.5", "<b>"],
)
def test_what_is_no_list_of_frames_is_refused(text: str) -> None:
    if text == "1-20,":
        assert len(frames_typed(text, 20)) == 20
        return
    with pytest.raises(InputError, match="frames"):
        frames_typed(text, 20)


def test_a_check_of_a_whole_sitting_by_a_slip_is_refused() -> None:
    with pytest.raises(InputError, match="more than"):
        frames_typed("1-5000", 5000)
    with pytest.raises(InputError, match="more than"):
        frames_typed("1-60, 100-160", 5000)


@pytest.mark.parametrize(
    ("text", "found_cm"), [("", 60.0), ("40", 40.0), ("40 cm", 40.0), ("16 in", 40.64), ("1m", 100)]
)
def test_a_length_is_in_centimetres_where_no_unit_is_said(text: str, found_cm: float) -> None:
    """1 in = 2.54 cm, exactly (international yard and pound agreement, 1959)."""
    read = typed_length_cm({"print_cm": text}, "print_cm", where="the print", usual_cm=60.0)
    assert read == pytest.approx(found_cm)


@pytest.mark.parametrize("text", ["0", "-3", "wide", "nan", "inf", "1e9", "9" * 500, "3 lx"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="the print"):
        typed_length_cm({"print_cm": text}, "print_cm", where="the print", usual_cm=60.0)
