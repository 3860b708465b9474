"""The sitting as a whole, in words."""

from dataclasses import replace
from types import ModuleType

import pytest
from tests.deliver.told import CHANGES, HABITS, TALLY

from eyeplane.deliver.summary import (
    change_is_said,
    change_parts,
    habit_parts,
    summary_lines,
    tally_beside,
    tally_parts,
)
from eyeplane.records import CauseCount, Change, Measured


def test_the_tally_counts_what_there_is() -> None:
    assert tally_parts(TALLY, goal_cm=60.0) == (
        "2 of 13 hold 60\u2009cm with eyes open",
        "1 of those that hold is a near duplicate",
        "1 with closed eyes",
        "fall short: focus 4, shake 2, cause not told 1",
        "1 without a face",
        "1 unreadable",
    )
    bare = replace(TALLY, holding=1, closed=0, duplicates=0, soft=(), nobody=0, unreadable=0)
    assert tally_parts(bare, goal_cm=60.0) == ("1 of 13 holds 60\u2009cm with eyes open",)
    many = replace(bare, duplicates=6, soft=(CauseCount(cause="motion", frames=3),))
    assert tally_parts(many, goal_cm=60.0)[1:] == (
        "6 of those that hold are near duplicates",
        "fall short: motion 3",
    )
    assert tally_parts(None, goal_cm=60.0) == ()
    assert tally_parts(replace(bare, frames=0, holding=0), goal_cm=60.0) == ()


@pytest.mark.parametrize(
    ("low", "value", "high", "words"),
    [(27.3, 31.4, 33.6, "31 (27–34)"), (4.0, 4.0, 4.0, "4 (4–4)"), (0.0, 0.4, 1.1, "0 (0–2)")],
)
def test_what_a_change_brings(
    builder: ModuleType, low: float, value: float, high: float, words: str
) -> None:
    change = Change(
        text="1/500 s instead of 1/200 s",
        holding=19,
        expected=Measured(value=value, low=low, high=high),
    )
    (part,) = change_parts(replace(builder.bare_sitting(), changes=(change,)))
    assert part.text == "1/500 s instead of 1/200 s"
    assert part.brings == f"{words} frames expected to hold 60\u2009cm instead of 19"


def test_a_habit_says_once_on_how_many_frames_it_rests() -> None:
    told, untold, *_ = habit_parts(HABITS)
    assert told.frames == ""  # "8 of 9 frames"
    assert untold.frames == "over 9 frames"
    (other,) = habit_parts(
        [replace(HABITS[0], frames=8, text="By 8 mm in 9 frames. So 18 frames.")]
    )
    assert other.frames == ""
    (other,) = habit_parts([replace(HABITS[0], frames=8, text="By 88 mm in 18 frames.")])
    assert other.frames == "over 8 frames"


def test_a_terminal_gets_few_lines(builder: ModuleType) -> None:
    lines = summary_lines(builder.make_sitting())
    assert len(lines) == 5
    assert lines[0].startswith("1 of those that hold is a near duplicate · 1 with closed eyes · ")
    sitting = builder.make_sitting()  # a frame that holds is a blink: the tally counts anew
    anew = summary_lines(replace(sitting, holding=3))
    assert anew[0].startswith("2 of 13 hold 60\u2009cm with eyes open · 1 of those")
    assert lines[1] == (
        f"Most help: {CHANGES[0].text}. 6 (4–8) frames expected to hold 60\u2009cm instead of 2."
    )
    assert lines[2] == f"It repeats: {HABITS[0].text} {HABITS[0].advice}"
    assert lines[4] == f"It repeats: {HABITS[2].text} {HABITS[2].advice}"
    assert summary_lines(builder.bare_sitting()) == ()


def test_a_change_that_the_four_lines_name_is_not_said_again(builder: ModuleType) -> None:
    sitting = builder.make_sitting()
    said = replace(sitting, lines=(*sitting.lines[:3], "Focus on the near iris: 6 of 11 frames."))
    assert not any(line.startswith("Most help") for line in summary_lines(said))
    assert [part.text for part in change_parts(sitting)][1:] == [p.text for p in change_parts(said)]
    assert change_is_said(said)
    assert not change_is_said(sitting)


def test_the_tally_leaves_out_what_is_drawn_or_said(builder: ModuleType) -> None:
    sitting = builder.make_sitting()
    assert sitting.tally.holding == sitting.holding
    assert tally_beside(sitting)[0] == "1 of those that hold is a near duplicate"
    assert not any(part.startswith("fall short") for part in tally_beside(sitting, causes=False))
    assert tally_beside(builder.bare_sitting()) == ()
