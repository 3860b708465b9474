"""Which checks are due, and what kept ones tell."""

from datetime import UTC, datetime, timedelta

import pytest
from tests.deliver import chart_builder

from eyeplane.asked.kept_checks import DUE_DAYS, KIT_KINDS, by_kit, content_of
from eyeplane.deliver.chart_content import chart_content
from eyeplane.records import to_plain
from eyeplane.store import KeptCheck

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)


def kept(kind: str, days: float, kit: str = "Studio", number: int = 1) -> KeptCheck:
    """Return a check of some days ago."""
    plain = to_plain(chart_builder.reading()) if kind == "chart" else {"n": 1}
    done = NOW - timedelta(days=days)
    return KeptCheck(kind=kind, kit=kit, done_at=done, result=plain, number=number)


@pytest.mark.parametrize("kind", KIT_KINDS)
def test_a_check_is_due_from_its_day_on(kind: str) -> None:
    limit = DUE_DAYS[kind]
    for days, due in ((0, False), (limit - 0.1, False), (limit, True), (10 * limit, True)):
        (one,) = by_kit([kept(kind, days)], kind, now=NOW)
        assert (one.due, one.days) == (due, int(days))


def test_the_newest_counts_and_kits_are_told_apart_whatever_their_case() -> None:
    checks = [
        kept("dust", 80, "studio", 1), kept("dust", 50, "Other", 2),
        kept("chart", 9, "Studio", 3), kept("dust", 40, "Studio", 4),
    ]  # fmt: skip
    first, second = by_kit(checks, "dust", now=NOW)
    assert (first.kit, first.newest.number, [one.number for one in first.older]) == (
        "Studio", 4, [1]
    )  # fmt: skip
    assert (second.kit, second.older) == ("Other", ())


def test_a_clock_that_was_ahead_makes_no_check_of_the_future() -> None:
    (one,) = by_kit([kept("dust", -3)], "dust", now=NOW)
    assert (one.days, one.due) == (0, False)


def test_a_kept_check_tells_what_it_told() -> None:
    told = content_of(kept("chart", 0))
    assert told is not None
    expected = chart_content(chart_builder.reading())
    assert (told.sentence, told.lines, told.tables) == (
        expected.sentence, expected.lines, expected.tables
    )  # fmt: skip
    assert content_of(kept("dust", 0)) is None  # its numbers are of no dust check
    assert content_of(kept("prints sold", 0)) is None
