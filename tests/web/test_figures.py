"""Lengths and decimal marks: against the definitions of inch and foot, and by their properties."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.web.figures import Figures

INCH = Figures(lengths="inch")
COMMA = Figures(decimal="comma")
BOTH = Figures(lengths="inch", decimal="comma")


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        # Trade sizes of prints in cm and the inches they are sold as (common practice, no source).
        ("40 × 60 cm", "16 × 24 in"),
        ("30 × 40 cm", "12 × 16 in"),
        ("50 × 75\u2009cm", "20 × 30\u2009in"),
        ("holds 60\u2009cm (50–69)", "holds 24\u2009in (20–27)"),
        ("at least 90 cm", "at least 35 in"),
        ("between 30 and 40 cm", "between 12 and 16 in"),
        ("Between 30 and 40 cm", "Between 12 and 16 in"),
        ("20 to 34\u2009cm", "7.9 to 13\u2009in"),
        ("+56 cm (+52 to +60)", "+22 in (+20 to +24)"),
        ("−8 cm", "−3.1 in"),
        ("125 cm (105 or more)", "49 in (41 or more)"),
        ("under 1 cm", "under 0.4 in"),
        ("0.2 cm", "0.079 in"),
        ("1.2\u2009m", "3.9\u2009ft"),
        ("12 m away", "39 ft away"),
        # What stays: the face, speeds, areas, counts, quotes, f-numbers, names of files.
        ("18\u2009mm behind", "18\u2009mm behind"),
        ("0.94 to 1.43 m/s", "0.94 to 1.43 m/s"),
        ("3 cm²", "3 cm²"),
        ("5 mm of face to 1 cm of page", "5 mm of face to 1 cm of page"),
        ("hold 50 cm instead of 19 (27 to 34)", "hold 20 in instead of 19 (27 to 34)"),
        ("'60 cm' is no length", "'60 cm' is no length"),
        ("a sitting “60 cm” at 60 cm", "a sitting “60 cm” at 24 in"),
        ("the sitter's 35 cm, the client's", "the sitter's 14 in, the client's"),
        ("f/4 and 60 cm", "f/4 and 24 in"),
        ("ISO 400, 60 cm", "ISO 400, 24 in"),
        ("IMG_60 cm.jpg", "IMG_60 cm.jpg"),
        ("60 cmyk", "60 cmyk"),
    ],
)
def test_inches(said: str, shown: str) -> None:
    assert INCH.text(said) == shown
    assert Figures().text(said) == said


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("EV 8.3, 1.2 m, 0.6 mm.", "EV 8,3, 1,2 m, 0,6 mm."),
        ("It is 1.5.", "It is 1,5."),
        ("2.0–3.5", "2,0–3,5"),
        ("(2.2–4.0) mm", "(2,2–4,0) mm"),
        ("f/2.8, f/2.8–4.5", "f/2.8, f/2.8–4.5"),
        ("1/2.5 s", "1/2.5 s"),
        ("10:30, 2026-11-26, 26.11.2026", "10:30, 2026-11-26, 26.11.2026"),
        ("version 0.1.0, v1.2", "version 0.1.0, v1.2"),
        ("IMG_1.5.jpg and 3.5.jpg", "IMG_1.5.jpg and 3.5.jpg"),
        ("'1.5' is no length", "'1.5' is no length"),
    ],
)
def test_a_decimal_comma(said: str, shown: str) -> None:
    assert COMMA.text(said) == shown


LENGTHS = st.integers(1, 3000) | st.floats(0.1, 3000).map(lambda x: round(x, 1))


def inches(text: str) -> float:
    found = re.fullmatch(r"([\d.]+) in", text)
    assert found, text
    return float(found[1])


@given(LENGTHS)
def test_inches_are_right(size_cm: float) -> None:
    """One inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""
    off = abs(inches(INCH.text(f"{size_cm:g} cm")) * 2.54 - size_cm)
    assert off <= max(0.051 * size_cm, 0.13)
    assert off <= 1.27 + 1e-9  # never more than half an inch


@given(st.lists(LENGTHS, min_size=2, max_size=2))
def test_what_is_longer_is_never_told_as_shorter(sizes: list[float]) -> None:
    low, high = sorted(sizes)
    assert inches(INCH.text(f"{low:g} cm")) <= inches(INCH.text(f"{high:g} cm"))


@given(st.text(alphabet="0123456789 .,–×()cminft/f'+−to\u2009", max_size=60))
def test_done_twice_it_stays_the_same(text: str) -> None:
    for figures in (INCH, COMMA, BOTH):
        once = figures.text(text)
        assert figures.text(once) == once


@given(st.text(max_size=80))
def test_any_text_is_taken_and_words_stay(text: str) -> None:
    for figures in (INCH, COMMA, BOTH):
        shown = figures.text(text)
        assert re.sub(r"[\d.,]|in|ft|cm|m", "", shown) == re.sub(r"[\d.,]|in|ft|cm|m", "", text)
    assert Figures().text(text) is text


@given(LENGTHS)
def test_a_length_in_a_field_comes_back(size_cm: float) -> None:
    for figures in (Figures(), INCH, COMMA, BOTH):
        assert figures.to_cm(figures.length(size_cm)) == pytest.approx(size_cm, abs=0.013)


def test_lengths_as_they_are_typed() -> None:
    assert INCH.to_cm("24") == pytest.approx(60.96)
    assert INCH.to_cm(" 60 cm ") == 60.0
    assert Figures().to_cm('24"') == Figures().to_cm("24 in") == pytest.approx(60.96)
    assert Figures().to_cm("60,5") == 60.5


@pytest.mark.parametrize("typed", ["", "0", "-3", "1e9", "nan", "1" * 30, "10001", "60 m", "٦٠"])
def test_what_is_no_length_is_told(typed: str) -> None:
    with pytest.raises(InputError, match="no length") as caught:
        INCH.to_cm(typed, where="the print")
    assert str(caught.value).startswith("the print: ")
    assert "like 23.62" in caught.value.hint
