"""Chances in parts, in plain words, and never certain."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver.told import SHAKE

from eyeplane.deliver.chances import chance_lines, chance_rows, pixel_words
from eyeplane.records import CauseChance


def test_rows_tell_all_parts() -> None:
    first, second, third, last = chance_rows(SHAKE)
    assert (first.cause, first.before, first.pixels, first.together) == (
        "shake",
        "42\u2009%",
        "30 times better",
        "96\u2009%",
    )
    assert first.because.startswith("1/125 s at 85 mm")
    assert (second.cause, second.pixels) == ("sitter moved", "30 times worse")
    assert third.pixels == "over 1000 times worse"
    assert (last.before, last.pixels) == ("under 1\u2009%", "as well as any other")


@pytest.mark.parametrize(
    ("times", "words"),
    [
        (1.2, "as well as any other"),
        (2.0, "2.0 times better"),
        (7.4, "7 times better"),
        (14.0, "10 times better"),
        (1 / 44, "40 times worse"),
        (999.0, "1000 times better"),
        (1e9, "over 1000 times better"),
    ],
)
def test_how_well_the_pixels_fit(times: float, words: str) -> None:
    assert pixel_words(math.log(times)) == words


@given(st.floats(-50, 50))
def test_better_and_worse_mirror_each_other(evidence: float) -> None:
    words, turned = pixel_words(evidence), pixel_words(-evidence)
    swap = {"better": "worse", "worse": "better"}
    if "any other" not in words:
        assert re.sub("better|worse", lambda m: swap[m[0]], words) == turned


@given(st.floats(0, 1), st.floats(0, 1))
def test_no_chance_is_ever_none_or_all(prior: float, chance: float) -> None:
    (row,) = chance_rows(
        [CauseChance(cause="focus", prior=prior, evidence=0.0, chance=chance, because="")]
    )
    for words in (row.before, row.together):
        assert words not in {"0\u2009%", "100\u2009%"}


def test_lines_leave_out_what_hardly_counts() -> None:
    lines = chance_lines(SHAKE)
    assert lines == (
        "Shake 96\u2009%, sitter moved 3\u2009%.",  # the third has a chance of 0.9 %
        "Shake: 42\u2009% before looking (1/125 s at 85 mm: your hands move this far in one frame "
        "of five); the pixels fit it 30 times better than any other.",
    )
    assert chance_lines(()) == ()


def test_a_second_cause_that_may_well_be_is_explained_too() -> None:
    close = [
        CauseChance(cause="focus", prior=0.7, evidence=-2.0, chance=0.55, because="f/1.4"),
        CauseChance(cause="none", prior=0.1, evidence=2.0, chance=0.44, because=""),
    ]
    assert [line.replace("\u2009", " ") for line in chance_lines(close)] == [
        "Focus 55 %, no blur that shows 44 %.",
        "Focus: 70 % before looking (f/1.4); the pixels fit it 7 times worse than the best.",
        "No blur that shows: 10 % before looking; the pixels fit it 7 times better than any other.",
    ]
