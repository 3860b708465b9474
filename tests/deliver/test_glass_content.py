"""What a check of the glass says: answer first, cautions where something is to be done."""

from dataclasses import replace
from pathlib import Path

import pytest

from eyeplane.deliver import write_check
from eyeplane.deliver.glass_content import glass_content
from eyeplane.deliver.glass_words import answer, percent_words
from eyeplane.deliver.sheet import Shape, Words
from eyeplane.records import Measured, from_plain, to_plain
from eyeplane.records.kit_glass import (
    GlassHalo,
    GlassKept,
    GlassResult,
    GlassSmudge,
    GlassStreak,
    GlassZone,
)


def spread(value: float, away: float = 0.2) -> Measured:
    return Measured(value=value, low=value * (1 - away), high=value * (1 + away))


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


HALO = GlassHalo(
    share=spread(0.04),
    width_share=spread(0.03),
    radius_share=(0.01, 0.02, 0.05, 0.1, 0.2, 0.4),
    light_ratio=(1e-3, 5e-4, 1e-4, 2e-5, 3e-6, 0.0),
    low_ratio=(8e-4, 4e-4, 8e-5, 1e-5, 1e-6, 0.0),
    high_ratio=(2e-3, 6e-4, 2e-4, 3e-5, 4e-6, 1e-6),
)
RESULT = GlassResult(
    kit="portrait kit",
    way="record pair",
    verdict="veil",
    frame="/a/now.jpg",
    other="/a/clean.jpg",
    worse="now",
    focal_length_mm=85.0,
    f_number=2.8,
    zones=tuple(
        GlassZone(loss_share=None if n == 3 else spread(0.01 * n), smudged=n == 20)
        for n in range(24)
    ),
    veil_share=Measured(value=0.031, low=0.026, high=0.037),
    halo=HALO,
    loss_share=spread(0.04),
    reach_ratio=spread(0.8, 0.1),
    shift_share=0.012,
    exposure_ev=0.02,
)


def test_the_answer_is_one_sentence_with_its_interval() -> None:
    said = plain(answer(replace(RESULT, way="chart")))
    assert said == (
        "A veil lies on the glass: 3.1 % (2.6–3.7) of the light is spread over the frame."
    )


def test_what_was_wiped_away_is_told_as_past() -> None:
    content = glass_content(replace(RESULT, way="pair", worse="before"))
    assert "clearer now" in content.sentence
    assert "a veil lay on the glass" in content.sentence
    assert any("on what you wiped" in line for line in content.lines)


def test_a_clipped_light_makes_upper_ends() -> None:
    assert "at most 3.1 %" in plain(answer(replace(RESULT, at_most=True)))


@pytest.mark.parametrize("verdict", ["veil", "smudge", "halo", "cannot tell"])
def test_where_something_is_to_be_done_the_cautions_stand(verdict: str) -> None:
    changed = {"verdict": verdict}
    if verdict == "smudge":
        changed["smudges"] = (  # type: ignore[assignment]  # a record's own field
            GlassSmudge(
                place="the left side", at_share=(0.1, 0.5), zones=(6,), loss_share=spread(0.1)
            ),
        )
    content = glass_content(replace(RESULT, **changed))  # type: ignore[arg-type]  # as above
    assert content.advice
    assert any("sensor" in one and "blower" in one for one in content.cautions)
    assert any("laser" in one and "hot" in one for one in content.cautions)


def test_clear_glass_asks_for_nothing() -> None:
    content = glass_content(replace(RESULT, verdict="clear", worse="neither"))
    assert content.sentence.startswith("The glass is as clear as in your record")
    assert content.advice == ""
    assert content.cautions == ()


def test_cannot_tell_says_why_and_what_to_shoot() -> None:
    bare = GlassResult(
        kit="", way="dark", verdict="cannot tell", frame="a.jpg", reasons=("nothing is dark",)
    )
    content = glass_content(bare)
    assert content.sentence == "Cannot tell: nothing is dark."
    assert "stand" in content.advice
    assert any("no record of this kit" in note for note in content.notes)
    assert any("does not say its focal length" in note for note in content.notes)
    assert content.drawings == ()


def test_a_streak_says_how_it_was_wiped() -> None:
    streak = GlassStreak(
        glow_deg=Measured(value=135.0, low=130.0, high=140.0), wiped_deg=45.0, strength_ratio=3.0
    )
    said = answer(replace(RESULT, way="lamp", verdict="smudge", streak=streak, veil_share=None))
    assert "rising to the left at 45°" in said
    assert "rising to the right at 45°" in said


def test_the_record_is_named() -> None:
    kept = GlassKept(done_at="2026-01-02T10:00", frame="x.jpg", halo_share=spread(0.02), clean=True)
    content = glass_content(replace(RESULT, way="lamp", verdict="halo", kept=kept))
    assert any("2026-01-02" in line and "clean" in line for line in content.lines)


@pytest.mark.parametrize("width", [60.0, 95.0, 170.0])
def test_drawings_stay_on_their_sheet_and_hatch_by_loss(width: float) -> None:
    zones, halo = glass_content(RESULT).drawings
    for drawing in (zones, halo):
        sheet = drawing.draw(width, 2.6)
        for mark in sheet.marks:
            points = mark.points if isinstance(mark, Shape) else (getattr(mark, "at", (0, 0)),)
            assert all(-0.1 <= x <= sheet.width_mm + 0.1 for x, _ in points)
            assert all(-0.1 <= y <= sheet.height_mm + 0.1 for _, y in points)
    drawn = zones.draw(width, 2.6)
    strokes = [m for m in drawn.marks if isinstance(m, Shape) and not m.closed]
    side = min(width / 6, 1.05 * width / 4)
    rows = [
        sum(1 for s in strokes if n * side < s.points[0][1] <= (n + 1) * side + 0.3) for n in (0, 3)
    ]
    assert rows[1] > rows[0]
    assert {"–", "23"} <= {m.text for m in drawn.marks if isinstance(m, Words)}


def test_percent_keeps_small_shares() -> None:
    assert plain(percent_words(Measured(value=0.004, low=0.0, high=0.012))) == "0.4 % (0–1.2)"
    assert percent_words(None) == "cannot tell"


def test_the_record_survives_json_and_the_page_is_written(tmp_path: Path) -> None:
    assert from_plain(GlassResult, to_plain(RESULT)) == RESULT
    page = tmp_path / "glass.html"
    write_check(glass_content(RESULT), page)
    assert "A veil" in page.read_text(encoding="utf-8") or "a veil" in page.read_text("utf-8")


def test_frames_that_are_not_equally_sharp_do_not_call_the_glass_clear() -> None:
    alike = replace(
        RESULT, way="pair", verdict="clear", worse="neither", halo=None, smudges=(), zones=()
    )
    assert answer(alike).startswith("The glass is as clear as in the frame before")
    told = plain(answer(replace(alike, focus_moved=True)))
    assert told.startswith("No veil of more than 3.8 % lies on the glass beyond the frame before")
    assert "whether a smudge does cannot be told" in told
