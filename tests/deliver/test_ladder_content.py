"""A ladder in words and as a plot: the answer first, one-sided limits, nothing that is not so."""

from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.ladders import Shooter, ladder

from eyeplane.deliver.check_content import CheckContent
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.deliver.ladder_plot import FIT, WANTED
from eyeplane.deliver.ladder_words import (
    lapse_words,
    limit_words,
    range_words,
    setting_words,
)
from eyeplane.deliver.plan_words import share_words
from eyeplane.deliver.sheet import Disc, Shape, Words
from eyeplane.records import Measured
from eyeplane.records.ladder import LadderLimit, LadderResult
from eyeplane.records.plain import from_plain, to_plain
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked

ASKED = LadderAsked(prints_cm=(40.0, 60.0), stabiliser="off", sitter="child 3", name="ladder")


@pytest.fixture(scope="module")
def result() -> LadderResult:
    """Return a ladder that tells shake from the sitter."""
    shooter = Shooter(sitter_mm_per_s=15.0, focus=0.1)
    return ladder_of(ladder(np.random.default_rng(3), shooter), ASKED)


@pytest.fixture(scope="module")
def content(result: LadderResult) -> CheckContent:
    """Return what it tells."""
    return ladder_content(result)


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


def limit(
    *,
    shutter_s: Measured | None = None,
    least_s: float | None = None,
    most_s: float | None = None,
) -> LadderLimit:
    return LadderLimit(
        share=0.9,
        shutter_s=shutter_s,
        least_s=least_s,
        most_s=most_s,
        setting_s=None,
        shake_deg_per_s=None,
        sitter_mm_per_s=None,
    )


def test_the_answer_comes_first_with_its_range(result: LadderResult, content: CheckContent) -> None:
    shake = next(p for p in result.parts if p.mover == "shake")
    wanted = next(one for one in shake.limits if one.share == 0.9)
    assert wanted.shutter_s is not None
    time = plain(setting_words(wanted.shutter_s.value))
    assert plain(content.sentence) == (
        f"With your hand 9 frames in 10 hold 40 cm at {time} ({range_words(wanted.shutter_s)})"
        f", but for the {plain(share_words(shake.lapse_share))} that come off at any time."
    )
    assert "To halve that range shoot" in content.advice
    assert plain(content.over).startswith("Body A with 85 mm · 85 mm · stabiliser off · child 3")
    assert any("a child on a stool" in one for one in content.cautions)


def test_frames_lost_at_any_time_are_told_where_they_count(result: LadderResult) -> None:
    for lapse, told in ((0.05, True), (0.021, True), (0.01, False), (0.0, False)):
        share = Measured(value=lapse, low=0.0, high=lapse + 0.14)
        parts = tuple(replace(part, lapse_share=share) for part in result.parts)
        said = ladder_content(replace(result, parts=parts))
        assert ("that come off at any time" in said.sentence) == told
        assert ("the two meet below" in said.drawings[0].note) == told
    assert "but for the 5 % (0–19) that come off" in plain(
        lapse_words(replace(result.parts[0], lapse_share=Measured(value=0.05, low=0.0, high=0.19)))
    )


@pytest.mark.parametrize("seed", [3, 4])
def test_the_mark_of_a_limit_meets_the_curve(seed: int) -> None:
    shooter = Shooter(lapse=0.15)
    found = ladder_of(ladder(np.random.default_rng(seed), shooter, each=8), ASKED)
    content = ladder_content(found)
    tops = []
    for drawing in content.drawings:
        lines = [m for m in drawing.draw(150.0, 3.0).marks if isinstance(m, Shape)]
        (curve,) = (line for line in lines if line.pen == FIT)
        xs, ys = zip(*curve.points, strict=True)
        ends = [line.points[1] for line in lines if line.pen == WANTED]
        assert all(y == pytest.approx(np.interp(x, xs, ys), abs=0.01) for x, y in ends)
        tops += ends
    assert tops


def test_every_frame_is_accounted_for(result: LadderResult, content: CheckContent) -> None:
    counts = [int(word) for word in content.lines[0].replace(",", " ").split() if word.isdigit()]
    assert counts[0] == sum(counts[1:]) == len(result.frames)
    left_out = [one for one in result.frames if one.verdict == "left out"]
    listed = next(one for one in content.reasons if one.name == "Frames left out")
    assert len(listed.lines) == len(left_out) > 0


def test_tables_are_whole(content: CheckContent) -> None:
    for table in content.tables:
        assert all(len(row) == len(table.head) for row in table.rows)
        assert table.rows
    limits, lenses = content.tables[0], content.tables[1]
    assert [row[0].replace("\u2009", " ") for row in limits.rows] == [
        "50 %",
        "80 %",
        "90 %",
        "95 %",
    ]
    assert limits.head == ("of the frames", "your hand", "the sitter")
    assert [plain(one) for one in lenses.head] == ["lens", "40 cm", "60 cm", "reciprocal rule"]
    assert "85\u2009mm" in [row[0] for row in lenses.rows]


@pytest.mark.parametrize(("width_mm", "type_mm"), [(60.0, 3.2), (95.0, 3.2), (200.0, 3.0)])
def test_the_plot_is_laid_out_for_any_width(
    result: LadderResult, content: CheckContent, width_mm: float, type_mm: float
) -> None:
    for drawing, part in zip(content.drawings, result.parts, strict=True):
        sheet = drawing.draw(width_mm, type_mm)
        assert sheet.width_mm == width_mm
        points = [mark for mark in sheet.marks if isinstance(mark, Disc)]
        assert len(points) == len(part.steps)
        heights = [mark.middle[1] for mark in points]
        shares = [step.share.value for step in part.steps]
        order = sorted(range(len(shares)), key=lambda k: -shares[k])
        assert [heights[k] for k in order] == sorted(heights)
        words = [plain(mark.text) for mark in sheet.marks if isinstance(mark, Words)]
        assert sum(word in {"1/1000", "1/500", "1/250", "1/125", "1/60"} for word in words) >= 2
        assert any(word.startswith("90 %: ") for word in words)
        assert any("reciprocal rule 1/85 s" in word for word in words) == (part.mover == "shake")
        for mark in sheet.marks:
            if isinstance(mark, Words):
                assert 0 <= mark.at[0] <= width_mm
    assert "1/125 s 5 of 6" in plain(content.drawings[0].spoken)


def test_limits_in_words() -> None:
    time = Measured(value=1 / 130, low=1 / 290, high=1 / 57)
    assert plain(limit_words(limit(shutter_s=time))) == "1/160 s (1/320–1/60)"
    assert plain(limit_words(limit(least_s=1 / 48))) == "at least 1/50 s"
    assert plain(limit_words(limit(most_s=1 / 900))) == "1/1000 s or faster"
    assert limit_words(limit(least_s=1 / 20000)) == "cannot tell"
    assert limit_words(limit()) == "cannot tell"
    fast = Measured(value=1 / 5000, low=1 / 20000, high=1 / 1000)
    assert plain(limit_words(limit(shutter_s=fast))) == ("1/5000 s (faster than 1/8000–1/1000)")


@pytest.mark.parametrize(
    ("shooter", "start"),
    [
        (Shooter(shake_deg_per_s=0.001, sitter_mm_per_s=0.001), "Hand and sitter together, 9"),
        (Shooter(shake_deg_per_s=900.0), "With your hand it takes"),
        (Shooter(shake_deg_per_s=0.02, sitter_mm_per_s=60.0), "With this sitter 9 frames in 10"),
    ],
)
def test_one_sided_answers_in_plain_words(shooter: Shooter, start: str) -> None:
    found = ladder_of(ladder(np.random.default_rng(5), shooter), ASKED)
    said = ladder_content(found)
    assert said.sentence.startswith(start)
    for text in (said.sentence, said.advice, *said.lines, *said.notes):
        assert "None" not in text
        assert "nan" not in text.lower().split()


def test_the_record_goes_through_json(result: LadderResult) -> None:
    assert from_plain(LadderResult, to_plain(result)) == result


def test_another_share_and_no_labels() -> None:
    asked = replace(ASKED, wanted_share=0.85, sitter="", stabiliser="")
    said = ladder_content(ladder_of(ladder(np.random.default_rng(3), Shooter()), asked))
    assert "85 % of the frames hold" in plain(said.sentence)
    assert "stabiliser" not in said.over
    assert said.cautions == ()
    assert [row[0] for row in said.tables[0].rows][2].startswith("85")


@pytest.mark.parametrize("frames", [1, 2])
def test_a_frame_or_two_tell_no_limit_but_what_to_shoot(frames: int) -> None:
    steady = Shooter(shake_deg_per_s=0.001, sitter_mm_per_s=0.001)
    shot = ladder(np.random.default_rng(5), steady, times_s=(1 / 125,), each=frames)
    said = ladder_content(ladder_of(shot, ASKED))
    assert "cannot be told from these frames" in said.sentence
    assert said.advice.startswith("Shoot the same framing at")
    assert {cell for row in said.tables[0].rows for cell in row[1:]} == {"cannot tell"}
    texts = (said.sentence, *said.lines, *(drawing.spoken for drawing in said.drawings))
    assert plain(said.notes[0]).endswith("cannot tell a limit.")
    assert not any("at least" in text or "or faster" in text for text in texts)


def test_at_least_goes_no_slower_than_what_was_tried() -> None:
    steady = Shooter(shake_deg_per_s=0.001, sitter_mm_per_s=0.001)
    shot = ladder(np.random.default_rng(5), steady, times_s=(1 / 250,), each=30)
    said = ladder_content(ladder_of(shot, ASKED))
    assert "at 1/250 s at least; slower than 1/250 s was not tried" in plain(said.sentence)
    assert plain(said.advice).startswith("Go on slower")
