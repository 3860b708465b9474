"""Why the best of a burst is the best, held against how the best is found."""

import re
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.burst_best import why_best
from eyeplane.deliver.wording import reach_parts, whole_cm
from eyeplane.records import FaceAnswer, FrameAnswer, Measured
from eyeplane.records.live import FrameRow
from eyeplane.sitting.bursts import best_of_burst

GOAL_CM = 60.0


def row(
    reach: float | None,
    *,
    eyes: bool | None = True,
    best: bool = False,
    part: float = 0.1,
    number: int = 1,
) -> FrameRow:
    told = None
    if reach is not None:
        told = Measured(value=reach, low=reach * (1 - part), high=reach * (1 + part))
    return FrameRow(
        number=number,
        name=f"{number}.jpg",
        status="measured",
        captured_at="",
        burst=1,
        best=best,
        holds=None if reach is None else reach >= GOAL_CM,
        reach_cm=told,
        offset_mm=None,
        cause="focus",
        eyes_open=eyes,
        sitters=1,
        window_mm_per_px=None,
        sentence="",
        chosen=False,
    )


def said(*rows: FrameRow) -> str:
    return why_best(rows).replace("\u2009", " ")


# Common practice, no source: what a photographer says when asked why this one.
@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((row(62, best=True), row(40)), "Holds 60 cm, the next 40 cm; eyes open."),
        (
            (row(62, best=True), row(55)),
            "Holds 60 cm, the next 55 cm; their ranges overlap; eyes open.",
        ),
        (
            (row(62, best=True), row(61)),
            "Holds 60 cm, the next as much; little tells them apart; eyes open.",
        ),
        (
            (row(62, best=True), row(62, eyes=False)),
            "Holds 60 cm, the next as much but with an eye closed; eyes open.",
        ),
        (
            (row(62, best=True), row(80, eyes=False)),
            "Holds 60 cm with eyes open; the one that holds 80 cm has an eye closed.",
        ),
        (
            (row(62, best=True, eyes=None), row(80, eyes=False)),
            "Holds 60 cm; the one that holds 80 cm has an eye closed.",
        ),
        (
            (row(30, best=True, eyes=False), row(20)),
            "Holds 30 cm, the next 20 cm; an eye is closed.",
        ),
        (
            (row(62, best=True, eyes=None), row(None)),
            "Holds 60 cm; what the others hold cannot be told; whether the eyes are open cannot "
            "be told.",
        ),
        (
            (row(None, eyes=False), row(None, best=True)),
            "What these frames hold cannot be told; marked is the first whose eyes are open.",
        ),
        (
            (row(None, best=True, eyes=None), row(None, eyes=None)),
            "What these frames hold cannot be told; marked is the first of them.",
        ),
        ((row(0.4, best=True), row(0.1)), "Holds under 1 cm, the next as much; little tells them "),
    ],
)
def test_what_is_said(rows: Sequence[FrameRow], words: str) -> None:
    assert said(*rows).startswith(words)


def test_nothing_is_said_of_a_burst_of_one_or_without_a_best() -> None:
    assert why_best([row(62, best=True)]) == ""
    assert why_best([row(62), row(40)]) == ""
    assert why_best([]) == ""


def answer(one: FrameRow) -> FrameAnswer:
    face = FaceAnswer(
        sitter=True,
        reach_cm=one.reach_cm,
        holds_diagonal=None,
        offset_mm=None,
        offset_why="",
        cause="focus",
        motion_um=None,
        motion_mm=None,
        motion_angle_deg=None,
        budget=(),
        marks=(),
        depth_front_mm=None,
        depth_back_mm=None,
        eyes_open=one.eyes_open,
    )
    return FrameAnswer(
        reach_cm=one.reach_cm,
        holds_diagonal=None,
        cause="focus",
        sentence="",
        advice="",
        deciding=0,
        faces=(face,),
    )


@given(
    st.lists(
        st.tuples(
            st.none() | st.floats(0.5, 200), st.sampled_from([True, False, None]), st.floats(0, 0.5)
        ),
        min_size=2,
        max_size=6,
    )
)
def test_the_sentence_is_true_of_the_frame_that_is_found_best(
    drawn: list[tuple[float | None, bool | None, float]],
) -> None:
    rows = [row(r, eyes=e, part=p, number=n) for n, (r, e, p) in enumerate(drawn)]
    best = best_of_burst({one.number: answer(one) for one in rows}, GOAL_CM)
    rows = [replace(one, best=one.number == best) for one in rows]
    text, one = why_best(rows), rows[best]
    others = [other for other in rows if other is not one]
    if one.reach_cm is None:
        assert "cannot be told" in text
        return
    assert f"Holds {reach_parts(one.reach_cm)[0]}" in text
    longer = [
        o
        for o in others
        if o.reach_cm and whole_cm(o.reach_cm.value) > whole_cm(one.reach_cm.value)
    ]
    assert all(o.eyes_open is False for o in longer)
    assert not longer or "has an eye closed" in text
    if one.eyes_open:
        assert "eyes open" in text
    told = re.search(r"the next ([\d.]+)", text)
    if told and "overlap" not in text:
        second = [o for o in others if o.reach_cm and str(whole_cm(o.reach_cm.value)) == told[1]]
        assert any(one.reach_cm.low > o.reach_cm.high for o in second if o.reach_cm)
