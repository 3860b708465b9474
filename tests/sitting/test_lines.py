import itertools
import re
from collections.abc import Sequence

import pytest
from tests.sitting.made import answer, reading

from eyeplane.records import Change, FrameAnswer, Measured, SittingFrame, Viewing
from eyeplane.sitting.bursts import find_bursts
from eyeplane.sitting.lines import (
    REMEDIES,
    Tally,
    count_causes,
    four_lines,
    short_cause,
)

FORBIDDEN = ("blurry", "pick", "reject", "flag", "star", "score", "smart", "health", " AI", "great")


def tally(
    answers: Sequence[FrameAnswer],
    *,
    goal_cm: float = 40.0,
    nobody: int = 0,
    unreadable: int = 0,
    gap_s: float | None = 10.0,
) -> Tally:
    """Return what lines are made of: one frame an answer, `gap_s` apart."""
    readings = [
        reading(f"{n:04d}.jpg", at_s=None if gap_s is None else n * gap_s)
        for n in range(len(answers))
    ]
    bursts = find_bursts(readings)
    return Tally(
        frames=tuple(
            SittingFrame(reading=r, answer=a, companions=(), burst=b, best_of_burst=False)
            for r, a, b in zip(readings, answers, bursts, strict=True)
        ),
        goal_cm=goal_cm,
        nobody=nobody,
        unreadable=unreadable,
    )


def said(*args: object, viewing: Viewing | None = None, **kwargs: object) -> list[str]:
    """Return the four lines with plain spaces."""
    made = tally(*args, **kwargs)  # type: ignore[arg-type]  # passed on
    return [line.replace("\u2009", " ") for line in four_lines(made, viewing or Viewing())]


def test_a_sitting_in_four_lines() -> None:
    answers = [answer(60.0)] * 19
    answers += [answer(10.0, "focus", without={"focus": 60.0})] * 12
    answers += [answer(12.0, "sitter", without={"sitter": 45.0})] * 7
    answers += [answer(15.0, "noise", without={"noise": 20.0})] * 2
    lines = said(answers, viewing=Viewing(print_cm=40.0))
    assert lines[0] == "19 of 40 frames hold the promised 40 cm seen from 50 cm."
    assert lines[1] == "Where they fall short the commonest cause is missed focus: 12 of 21 frames."
    assert lines[3] == "Focus on the iris: 31 of 40 frames would hold instead of 19."


def test_the_standard_print_is_named() -> None:
    lines = said([answer(60.0), answer(20.0, "shake")])
    assert lines[0] == "1 of 2 frames holds 40 cm, a standard wall print, seen from 50 cm."


def test_the_goal_and_distance_are_the_ones_asked() -> None:
    viewing = Viewing(print_cm=76.2, distance_cm=80.0)
    lines = said([answer(76.2), answer(76.1, "focus")], goal_cm=76.2, viewing=viewing)
    assert lines[0] == "1 of 2 frames holds the promised 76.2 cm seen from 80 cm."


def test_from_the_diagonal_both_answers_are_given() -> None:
    answers = [answer(60.0, diagonal=True), answer(20.0, "focus", diagonal=True)]
    answers += [answer(10.0, "focus", diagonal=None)]
    line = said(answers, viewing=Viewing(distance_cm=None))[0]
    assert line == (
        "1 of 3 frames holds 40 cm, a standard wall print, seen from 50 cm; "
        "2 look sharp from 1.5 times the print's diagonal."
    )


def test_other_frames_are_told() -> None:
    line = said([answer(60.0), answer(None, "cannot tell")], nobody=2, unreadable=1)[0]
    assert line.endswith(
        "In 1 frame it cannot be told. Nobody was found in 2 frames; 1 frame could not be read."
    )
    assert said([], nobody=1) == ["No face was measured. Nobody was found in 1 frame.", "", "", ""]


def test_nothing_falls_short() -> None:
    lines = said([answer(60.0)] * 3)
    assert lines[1].startswith("Every frame holds")
    assert lines[3] == "Nothing need be changed for this print."


def test_causes_are_counted_among_those_that_fall_short() -> None:
    answers = [answer(60.0, "focus"), answer(10.0, "shake"), answer(9.0, "shake")]
    answers += [answer(9.0, "glass"), answer(30.0, "none"), answer(None, "cannot tell")]
    counts = {c.cause: c.frames for c in count_causes(tally(answers))}
    assert counts == {"shake": 2, "glass": 1, "pixels": 1, "cannot tell": 1}
    assert short_cause(answer(None, "none")) == "cannot tell"


def test_one_frame_that_falls_short_is_no_count() -> None:
    assert said([answer(60.0), answer(10.0, "focus")])[1] == (
        "The one that falls short does so by missed focus."
    )


def test_two_causes_may_be_equally_common() -> None:
    answers = [answer(10.0, "focus"), answer(10.0, "noise"), answer(10.0, "cannot tell")]
    assert said(answers)[1] == (
        "Where they fall short the commonest causes are missed focus and noise: "
        "1 of 3 frames each. In 1 the cause cannot be told."
    )


def test_of_three_equally_common_causes_none_stands_out() -> None:
    answers = [answer(10.0, "focus"), answer(10.0, "motion"), answer(10.0, "noise")]
    assert said([*answers, answer(10.0, "cannot tell")])[1] == (
        "Where they fall short no cause stands out: missed focus, motion and noise, 1 of 4 frames "
        "each. In 1 the cause cannot be told."
    )


def test_a_cause_that_cannot_be_told_is_not_the_commonest() -> None:
    answers = [answer(10.0, "cannot tell")] * 5 + [answer(10.0, "glass")]
    assert said(answers)[1] == (
        "Where they fall short the commonest cause is the glass: 1 of 6 frames. "
        "In 5 the cause cannot be told."
    )
    assert "cannot be told" in said([answer(10.0, "cannot tell")] * 5)[1]
    assert said([answer(10.0, "cannot tell")] * 5)[2] == ""


def test_a_trend_is_told_with_its_counts() -> None:
    answers = [answer(60.0)] * 7 + [answer(10.0, "sitter")] * 8
    assert said(answers)[2] == (
        "Over the sitting a moving sitter grew more frequent: "
        "0 of the first 5 frames, 5 of the last 5."
    )
    assert said(answers[::-1])[2].startswith("Over the sitting a moving sitter grew rarer: 5 of")
    mixed = [answer(60.0), answer(10.0, "sitter")] * 8
    assert said(mixed)[2] == "No trend over the sitting that could be told."


def test_one_burst_is_no_trend_and_no_time_no_order() -> None:
    answers = [answer(60.0)] * 7 + [answer(10.0, "sitter")] * 8
    assert said(answers, gap_s=1.0)[2] == "No trend over the sitting that could be told."
    assert "cannot be told: not all frames carry" in said(answers, gap_s=None)[2]


def test_the_change_is_the_one_that_gains_most() -> None:
    # Focus is the commonest cause, but without it these frames still would not hold.
    answers = [answer(10.0, "focus", without={"focus": 30.0, "noise": 11.0})] * 5
    answers += [answer(10.0, "shake", without={"shake": 50.0, "focus": 10.0})] * 2
    answers += [answer(10.0, "motion", without={"motion": 50.0})]
    assert said(answers)[3] == "Use a shorter shutter time: 3 of 8 frames would hold instead of 0."
    none = [answer(10.0, "focus", without={"focus": 30.0})]
    assert said(none)[3] == "No single change would bring a further frame to this print."


def test_among_equal_gains_the_commoner_cause_wins() -> None:
    both = {"focus": 50.0, "noise": 50.0}
    answers = [answer(10.0, "noise", without=both)] * 2 + [answer(10.0, "focus", without=both)]
    assert said(answers)[3].startswith("Give it more light")


def test_a_group_holds_only_if_every_sitter_would() -> None:
    soft = answer(10.0, "focus", without={"focus": 50.0})
    other = answer(20.0, "focus", without={"focus": 30.0})
    group = type(soft)(
        reach_cm=soft.reach_cm,
        holds_diagonal=None,
        cause="focus",
        sentence="",
        advice="",
        deciding=0,
        faces=(*soft.faces, *other.faces),
    )
    assert said([group])[3].startswith("No single change")
    passer = answer(20.0, "focus", sitter=False)
    fine = type(soft)(
        reach_cm=soft.reach_cm,
        holds_diagonal=None,
        cause="focus",
        sentence="",
        advice="",
        deciding=0,
        faces=(*soft.faces, *passer.faces),
    )
    assert said([fine])[3].startswith("Focus on the iris: 1 of 1 frame would")


def test_a_part_without_shape_goes_with_the_cause_that_made_it() -> None:
    moved = answer(5.0, "motion", without={"cannot tell": 50.0})
    assert said([moved])[3].startswith("Use a shorter shutter time")
    unknown = answer(5.0, "cannot tell", without={"cannot tell": 50.0})
    assert said([unknown])[3].startswith("No single change")


@pytest.mark.parametrize("cause", sorted({c for parts, _ in REMEDIES for c in parts}))
def test_every_part_has_a_remedy_in_our_words(cause: str) -> None:
    lines = said([answer(10.0, "focus", without={cause: 50.0})] * 2 + [answer(60.0)])
    assert re.search(r": 3 of 3 frames would hold instead of 1\.$", lines[3])
    text = " ".join(lines)
    assert not [word for word in FORBIDDEN if word in text]


def test_no_sentence_is_left_open() -> None:
    kinds = [answer(60.0), answer(10.0, "focus"), answer(None, "cannot tell"), answer(8.0, "none")]
    for chosen in itertools.chain.from_iterable(
        itertools.combinations_with_replacement(kinds, size) for size in (1, 2, 3)
    ):
        for line in said(list(chosen)):
            assert line == "" or ((line.endswith(".") and line[0].isupper()) or line[0].isdigit())
            assert "  " not in line


def brings(text: str, low: float, value: float, high: float) -> Change:
    """Return a change and what it is expected to bring, from 19 frames."""
    return Change(text=text, holding=19, expected=Measured(value=value, low=low, high=high))


def test_the_best_change_of_settings_is_the_fourth_line() -> None:
    answers = [answer(60.0)] * 19
    answers += [answer(12.0, "sitter", without={"sitter": 45.0})] * 21
    changes = (brings("1/500\u2009s instead of 1/200\u2009s", 27.0, 31.2, 34.0),)
    line = four_lines(tally(answers), Viewing(), changes)[3]
    assert line.replace("\u2009", " ") == (
        "1/500 s instead of 1/200 s: 31 of 40 frames expected to hold 40 cm instead of 19 "
        "(27 to 34)."
    )
    assert (
        four_lines(tally(answers), Viewing(), changes)[:3]
        == four_lines(tally(answers), Viewing())[:3]
    )


def test_what_no_setting_brings_stands_beside_it() -> None:
    answers = [answer(60.0)] * 19
    answers += [answer(12.0, "focus", without={"focus": 45.0})] * 21
    changes = (
        brings("aperture f/4 instead of f/1.8", 27.0, 31.2, 34.0),
        brings("light", 20, 21, 22),
    )
    line = four_lines(tally(answers), Viewing(), changes)[3]
    assert line.startswith("Focus on the iris: up to 40 of 40 frames would hold instead of 19. Ap")
    assert line.endswith("instead of 19 (27 to 34).")
    moved = [answer(60.0)] * 19 + [answer(12.0, "sitter", without={"sitter": 15.0})] * 12
    moved += [answer(12.0, "focus", without={"focus": 45.0})] * 9
    few = (brings("1/500", 20.0, 21.0, 23.0),)
    line_two = four_lines(tally(moved), Viewing(), few)[3]
    assert line_two.endswith("(20 to 23). With the focus on the iris every time: 28 at most.")
    assert "light" not in line
    sure = (brings("aperture f/8 instead of f/1.8", 39.0, 40.0, 40.0),)
    assert "at most" not in four_lines(tally(answers), Viewing(), sure)[3]
