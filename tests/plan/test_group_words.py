"""What a group's plan says."""

from dataclasses import replace

import pytest
from tests.plan.group_requests import TWO_ROWS

from eyeplane.plan.group_words import (
    FocusOnRow,
    focus_words,
    leaning,
    moving,
    row_name,
    row_names,
)
from eyeplane.records import GroupRow, Measured

THIN = "\u2009"
SHARE = Measured(value=0.5, low=0.4, high=0.6)


def _row(row: int, lean_cm: float) -> GroupRow:
    return GroupRow(
        row=row, distance_mm=3500.0, inside=lean_cm == 0.0, lean_cm=lean_cm, share=SHARE
    )


def test_rows_have_names() -> None:
    assert [row_name(row, 4) for row in (1, 2, 3, 4)] == [
        "the front row",
        "the second row",
        "the third row",
        "the back row",
    ]
    assert row_name(1, 1) == "the row"
    assert row_name(10, 12) == "row 10"


@pytest.mark.parametrize(
    ("out", "rows", "said"),
    [
        ((), 2, "nobody"),
        ((1, 2), 2, "both rows"),
        ((1, 2, 3), 3, "every row"),
        ((1, 3), 3, "the front row and the back row"),
    ],
)
def test_rows_are_named_together(out: tuple[int, ...], rows: int, said: str) -> None:
    assert row_names(out, rows) == said


def test_leans_have_a_direction_in_words() -> None:
    assert leaning((_row(1, 0.0), _row(2, 5.2))) == f"the back row leans in by 6{THIN}cm"
    both = leaning((_row(1, -4.0), _row(2, 5.2)))
    assert both == (f"the front row leans back by 4{THIN}cm and the back row leans in by 6{THIN}cm")
    assert leaning((_row(1, 0.0),)) == ""


def test_a_step_is_called_one() -> None:
    said = moving((_row(1, 0.0), _row(2, 40.0)))
    assert f"the back row comes a step closer, 40{THIN}cm" in said
    assert "no lean but a step" in said
    assert "no lean" not in moving((_row(1, 0.0), _row(2, 6.0)))
    assert moving((_row(1, 0.0),)) == ""


def test_where_to_focus() -> None:
    near = FocusOnRow(row=2, share=0.9, harmless=True)
    far = FocusOnRow(row=1, share=0.5, harmless=False)
    front = FocusOnRow(row=1, share=0.3, harmless=False)
    three = replace(TWO_ROWS, rows=3)
    assert focus_words(three, 4012.0, near, None).startswith("Focus on an eye of the second row")
    assert f"only 30{THIN}% of frames hold" in focus_words(three, 4012.0, near, front)
    between = focus_words(TWO_ROWS, 3776.0, far, None)
    assert f"28{THIN}cm behind the front row's eyes, 3.78{THIN}m from the lens" in between
    assert "hand held up there" in between
    assert focus_words(TWO_ROWS, 3500.0, None, None).startswith("Focus on any eye")
