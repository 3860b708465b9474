"""What sittings taught, in words and drawings."""

import math
import re
from dataclasses import replace

import pytest

from eyeplane.deliver.learned_content import hold_s, learned_content
from eyeplane.deliver.sheet import Disc, Words
from eyeplane.records import Measured
from eyeplane.records.lessons import (
    LearnedCounts,
    LearnedFocus,
    LearnedNumbers,
    LearnedShake,
    LearnedSitter,
)

COUNTS = LearnedCounts(frames=214, seen=120, bursts=60, sittings=6, weight=214.0)


def about(value: float, factor: float = 1.5) -> Measured:
    return Measured(value=value, low=value / factor, high=value * factor)


SHAKE = LearnedShake(
    kit="Body with 85 mm",
    names=("Body with 85 mm",),
    focal_length_mm=85.0,
    stabiliser="on",
    median_deg_per_s=about(0.3),
    exposures_deg_per_s=about(0.3, 6.0),
    fast_deg_per_s=about(1.2),
    counts=COUNTS,
)
SITTER = LearnedSitter(
    sitter="child 3",
    median_mm_per_s=about(45.0),
    exposures_mm_per_s=about(45.0, 5.0),
    fast_mm_per_s=about(140.0),
    counts=replace(COUNTS, weight=80.2),
)
FOCUS = LearnedFocus(
    kit="Body with 85 mm",
    names=("Body with 85 mm",),
    setting="",
    bias_mm=Measured(value=6.0, low=4.0, high=8.0),
    spread_mm=about(3.0),
    chance_behind=1.0,
    aside=2,
    correction="Move it 6 mm with the body's own fine adjustment.",
    counts=COUNTS,
)
ALL = LearnedNumbers(
    version="1",
    half_life_days=365.0,
    frames=214,
    sittings=6,
    newest="2026-11-04",
    any_shake=replace(SHAKE, kit="", focal_length_mm=None, stabiliser=""),
    shake=(SHAKE,),
    any_sitter=replace(SITTER, sitter=""),
    sitters=(SITTER,),
    focus=(FOCUS,),
)


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


def test_the_time_held_is_the_reciprocal_rules_line() -> None:
    # At 1.719 deg/s the camera draws 30 um in 1/f: whoever turns so in nine exposures of ten holds
    # 1/85 s with 85 mm (the rule itself: common practice).
    held = hold_s(replace(SHAKE, fast_deg_per_s=about(1.719)))
    assert held is not None
    assert held.value == pytest.approx(1 / 85, rel=1e-3)
    line_mm = 85.0 * math.tan(math.radians(1.719 * held.value))
    assert line_mm == pytest.approx(0.030, rel=1e-3)
    assert hold_s(replace(SHAKE, focal_length_mm=None)) is None
    wide = hold_s(replace(SHAKE, focal_length_mm=35.0))
    tele = hold_s(SHAKE)
    assert wide is not None
    assert tele is not None
    assert wide.value == pytest.approx(tele.value * 85 / 35)


def test_the_answer_comes_first_and_cautions_where_something_is_adjusted() -> None:
    content = learned_content(ALL)
    assert plain(content.sentence).startswith("You hold nine frames in ten at 1/60 s (1/100 to")
    assert "stabiliser on" in content.sentence
    assert content.advice == FOCUS.correction
    assert any("'child 3' stays below" in line for line in content.lines)
    assert any("fine adjustment" in one for one in content.cautions)
    assert any("Children" in one for one in content.cautions)
    assert "365 days" in content.over
    cells = [cell for table in content.tables for row in table.rows for cell in row]
    assert "214 (as 80) of 6 sittings" in cells
    assert "a lens not measured yet" in cells
    assert "2 frames far off" in content.tables[-1].note
    for table in content.tables:
        assert all(len(row) == len(table.head) for row in table.rows)


def test_without_a_correction_nothing_is_cautioned() -> None:
    adult = replace(SITTER, sitter="adult")
    content = learned_content(
        replace(ALL, sitters=(adult,), focus=(replace(FOCUS, correction=""),))
    )
    assert content.advice == ""
    assert content.cautions == ()


def test_nothing_told_says_so() -> None:
    empty = replace(
        ALL, any_shake=None, shake=(), any_sitter=None, sitters=(), focus=(), notes=("Not yet.",)
    )
    content = learned_content(empty)
    assert content.sentence == "Nothing can be said yet: too few frames tell anything."
    assert content.drawings == ()
    assert "Not yet." in content.notes


@pytest.mark.parametrize("width_mm", [80.0, 180.0])
def test_drawings_fit_and_hold_every_row(width_mm: float) -> None:
    drawings = learned_content(ALL).drawings
    assert len(drawings) == 3
    for drawing in drawings:
        sheet = drawing.draw(width_mm, 3.0)
        assert sheet.width_mm == width_mm
        texts = " ".join(mark.text for mark in sheet.marks if isinstance(mark, Words))
        assert re.search(r"child 3|Body with 85", texts)
        for mark in sheet.marks:
            if isinstance(mark, Words):
                assert 0 <= mark.at[0] <= width_mm
                assert 0 <= mark.at[1] <= sheet.height_mm + 0.5
        assert drawing.spoken.count("between") == 1


def test_rows_lie_where_their_numbers_are() -> None:
    two = replace(
        SHAKE, kit="Second", median_deg_per_s=about(0.6), exposures_deg_per_s=about(0.6, 6.0)
    )
    sheet = learned_content(replace(ALL, shake=(SHAKE, two))).drawings[0].draw(180.0, 3.0)
    discs = [mark for mark in sheet.marks if isinstance(mark, Disc)]
    assert len(discs) == 2
    assert discs[1].middle[0] > discs[0].middle[0]
    assert discs[1].middle[1] > discs[0].middle[1]


def test_chosen_frames_alone_are_warned_of_where_speeds_are_told() -> None:
    assert any("by chosen frames alone" in note for note in learned_content(ALL).notes)
    focus_only = replace(ALL, any_shake=None, shake=(), any_sitter=None, sitters=())
    assert not any("by chosen frames alone" in note for note in learned_content(focus_only).notes)


def test_rows_of_one_kit_say_how_the_focus_was_set() -> None:
    eye = replace(FOCUS, setting="eye detection")
    found = (replace(FOCUS, setting=""), replace(FOCUS, setting=""), eye)
    table = learned_content(replace(ALL, focus=found)).tables[-1]
    assert [row[1] for row in table.rows] == ["any way", "not said", "eye detection"]
    assert "2 frames far off" in table.note  # not once more for each part
    assert (
        "Body with 85 mm, not said"
        in learned_content(replace(ALL, focus=found)).drawings[-1].spoken
    )
    alone = learned_content(replace(ALL, focus=found[:1])).tables[-1]
    assert [row[1] for row in alone.rows] == [""]
