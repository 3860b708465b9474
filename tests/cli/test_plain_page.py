"""Plain pages never grow beyond their width."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver import plan_builder

from eyeplane.cli.plain_page import WIDTH, Page
from eyeplane.cli.plan_print import plan_text

WORDS = st.lists(st.text(st.characters(codec="ascii", categories=["L", "N"]), max_size=12))


@given(WORDS, st.integers(0, 12))
def test_paragraphs_fit(words: list[str], indent: int) -> None:
    page = Page()
    page.say(" ".join(words), indent=indent, hang=indent + 4)
    text = page.text()
    assert all(len(line) <= WIDTH for line in text.splitlines())
    assert "".join(text.split()) == "".join(words)


@given(st.integers(60, 99))
def test_a_unit_stays_with_its_number(before: int) -> None:
    page = Page()
    page.say(f"{'a' * before} 46\u2009% (43–49) of its contrast at 1/250\u2009s", hang=2)
    assert all(
        re.match(r"a|  (46 %|\(43|of|its|contrast|at|1/250 s)", s) for s in page.text().splitlines()
    )
    assert "46 %" in page.text()
    assert "1/250 s" in page.text()


@given(st.lists(st.tuples(*[st.text("abc ", max_size=40)] * 5), min_size=1, max_size=5))
def test_tables_fit_and_lose_no_cell(rows: list[tuple[str, ...]]) -> None:
    page = Page()
    head = ("one", "two", "three", "four", "five")
    page.table([head, *rows])
    text = page.text()
    assert all(len(line) <= WIDTH for line in text.splitlines())
    told = "".join(text.split())
    for row in rows:
        for cell in row:
            assert "".join(cell.split()) in told


def test_empty_columns_are_left_out_and_thin_spaces_become_whole() -> None:
    page = Page()
    page.table([("", "kept", "empty"), ("a", "1\u2009mm", ""), ("b", "", "")])
    assert page.text() == "     kept\n  a  1 mm\n  b\n"


@pytest.mark.parametrize(("columns", "most"), [("60", 60), ("72", 72), ("500", 100), ("5", 40)])
def test_a_plan_keeps_to_a_narrow_terminal(
    columns: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    wide = "".join(plan_text(plan_builder.group_plan()).split())
    monkeypatch.setenv("COLUMNS", columns)
    text = plan_text(plan_builder.group_plan())
    assert max(map(len, text.splitlines())) <= most
    for share in re.findall(r"%\(\d+–\d+\)", wide):  # no cell is lost
        assert share in "".join(text.split())
