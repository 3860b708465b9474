"""A card is one page, whatever the plan is, and never leaves a caution out."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeplane.deliver import write_card
from eyeplane.deliver.plan_contents import content_of
from eyeplane.deliver.plan_layout import PAPERS_MM, card_sheet
from eyeplane.deliver.sheet_type import printable
from eyeplane.errors import InputError
from eyeplane.records import Measured
from eyeplane.records.plans import BurstPlan, GroupPlan, SitterPlan

GERMAN = (
    "Kindertagesstätte Straßenbahnbetriebshofgelände e. V., Vorschulgruppe Regenbogenfischchen, "
    "z. Hd. Frau Dr. Annegret von Hohenlohe-Waldenburg-Schillingsfürst"
)
Plan = SitterPlan | GroupPlan | BurstPlan


def all_plans(plans: ModuleType) -> list[Plan]:
    return [
        plans.sitter_plan(),
        plans.burst_plan(),
        *(plans.group_plan(r, f) for r, f in ((1, 2), (2, 4), (3, 8), (6, 12))),
    ]


def long_plan(plans: ModuleType) -> SitterPlan:
    """Return a plan that says far more than a card can hold."""
    plan: SitterPlan = plans.sitter_plan()
    more = " Nothing within the limits holds the print, and this sentence says why at some length."
    return replace(
        plan,
        sentence=plan.sentence + more,
        advice=plan.advice + more,
        limits=tuple(f"Limit {k}: {more}" for k in range(8)),
        cautions=tuple(f"Caution {k}: {more}" for k in range(9)),
        notes=tuple(f"Note {k}: {more}" for k in range(9)),
        frames=tuple(replace(f, text=f.text + more) for f in plan.frames * 3),
    )


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_a_card_is_one_page_of_its_paper(
    plans: ModuleType, reader: ModuleType, tmp_path: Path, paper: str
) -> None:
    some = [plans.sitter_plan(), plans.group_plan(6, 12), plans.burst_plan()]
    for plan in some if paper == "A5" else some[:1]:
        path = tmp_path / "card.pdf"
        write_card(plan, path, title="Anna", paper=paper)
        document = path.read_bytes()
        assert reader.pages(document) == 1
        assert reader.media_mm(document) == pytest.approx(PAPERS_MM[paper], abs=0.01)


@pytest.mark.parametrize("title", ["", GERMAN])
def test_nothing_leaves_the_page_or_covers_anything(
    plans: ModuleType, reader: ModuleType, title: str
) -> None:
    for plan in [*all_plans(plans), long_plan(plans)]:
        sheet = card_sheet(content_of(plan, title), paper="A5")
        assert (sheet.width_mm, sheet.height_mm) == PAPERS_MM["A5"]
        assert reader.sticking_out(sheet) == []
        assert reader.overlapping(sheet) == []


def test_cautions_stay_whatever_else_goes(plans: ModuleType, reader: ModuleType) -> None:
    for plan in [*all_plans(plans), long_plan(plans)]:
        told = reader.said(card_sheet(content_of(plan, GERMAN), paper="A5"))
        for caution in plan.cautions:
            assert " ".join(caution.split()) in told
        assert plan.sentence in told
        assert plan.advice in told


def test_what_is_left_out_is_named(plans: ModuleType, reader: ModuleType) -> None:
    plan = long_plan(plans)
    told = reader.said(card_sheet(content_of(plan, ""), paper="A5"))
    assert "Note 3" not in told
    assert "Left out for room, but on the card as a page:" in told
    assert "what it rests on" in told
    whole = reader.said(card_sheet(content_of(plans.burst_plan(), ""), paper="A5"))
    assert "Left out" not in whole


def test_type_grows_with_the_paper_and_stays_readable(
    plans: ModuleType, reader: ModuleType
) -> None:
    """At arm's length (70 cm) capitals of 1.2 mm span 6 minutes of arc; 5 are the 6/6 letter."""
    content = content_of(plans.sitter_plan(), "Anna")
    least = {}
    for paper in PAPERS_MM:
        sheet = card_sheet(content, paper=paper)
        least[paper] = min(words.letters.size_mm for words in reader.texts(sheet))
        sentence = max(w.letters.size_mm for w in reader.texts(sheet) if w.letters.face == "serif")
        assert sentence > 4.0
    assert least["A5"] * 0.68 > 1.2  # capitals are 0.66 to 0.72 em
    assert least["A4"] > 1.3 * least["A5"]


def test_the_settings_stand_with_their_shares_and_intervals(
    plans: ModuleType, reader: ModuleType, tmp_path: Path
) -> None:
    write_card(plans.sitter_plan(), tmp_path / "card.pdf", title="Anna")
    told = reader.pdf_text((tmp_path / "card.pdf").read_bytes()).split("\n")
    assert told[0] == "Anna"
    for line in ("f/4", "1/320\u2009s", "ISO 800", "66\u2009%", "(52–78)"):
        assert line in told
    assert "f/2.8, 1/320\u2009s, ISO 400" in told
    assert "57\u2009% (43–70)" in told


def test_the_same_plan_makes_the_same_bytes(
    plans: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for kind in ("pdf", "html"):
        one, other = tmp_path / f"one.{kind}", tmp_path / f"other.{kind}"
        write_card(plans.sitter_plan(), one)
        with monkeypatch.context() as patch:
            patch.setattr("fpdf.output.datetime", _Later)
            write_card(plans.sitter_plan(), other)
        assert one.read_bytes() == other.read_bytes()
    assert datetime.now(UTC).strftime("%Y%m%d").encode() not in (tmp_path / "one.pdf").read_bytes()


class _Later(datetime):
    @classmethod
    def now(cls, tz: object = None) -> "_Later":  # noqa: ARG003  # as the real one
        return cls(2031, 5, 6, 7, 8, 9, tzinfo=UTC)


def test_a_foreign_name_is_said_plainly(plans: ModuleType, reader: ModuleType) -> None:
    told = reader.said(card_sheet(content_of(plans.sitter_plan(), "Familie 李娜"), paper="A5"))
    assert "2 signs of the name or text cannot be printed in this type" in told
    whole = reader.said(card_sheet(content_of(plans.sitter_plan(), "Łukasz Δημήτρης"), paper="A5"))
    assert "cannot be printed" not in whole


def test_a_page_shows_any_name_and_escapes_it(plans: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "card.html"
    write_card(plans.sitter_plan(), path, title="<script>李\x1b & Söhne")
    text = path.read_text(encoding="utf-8")
    assert "<script" not in text
    assert "&lt;script&gt;李\\x1b &amp; Söhne" in text


def test_a_page_asks_for_nothing_and_runs_nothing(plans: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "card.html"
    write_card(plans.group_plan(), path, title="Anna")
    text = path.read_text(encoding="utf-8")
    assert re.search(r"(?:src|href)\s*=|url\(|@import|<script|\sstyle=", text) is None
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    assert policy[1].startswith("default-src &#39;none&#39;")
    assert "script-src" not in policy[1]


@pytest.mark.parametrize("name", ["card.txt", "card", "card.svg"])
def test_another_ending_is_refused(plans: ModuleType, tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"\.html or \.pdf"):
        write_card(plans.sitter_plan(), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_another_paper_is_refused(plans: ModuleType, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="A6") as caught:
        write_card(plans.sitter_plan(), tmp_path / "card.pdf", paper="A6")
    assert "A5, A4, Letter" in str(caught.value)


def test_a_card_is_whole_or_not_there(
    plans: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "card.pdf").write_text("before")
    monkeypatch.setattr("eyeplane.deliver.plan_card.pdf", lambda *_, **__: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_card(plans.sitter_plan(), tmp_path / "card.pdf")
    assert (tmp_path / "card.pdf").read_text() == "before"
    with pytest.raises(InputError, match="cannot be written"):
        write_card(plans.sitter_plan(), tmp_path / "nowhere" / "card.html")
    assert [p.name for p in tmp_path.iterdir()] == ["card.pdf"]


def test_what_the_plan_cannot_tell_is_left_out_not_made_up(
    plans: ModuleType, reader: ModuleType
) -> None:
    plan = plans.sitter_plan()
    bare = replace(
        plan,
        settings=(replace(plan.settings[0], share_both=None, background_blur_mm=None),),
        curve=(),
        scaling=(),
        ways=(),
        recompose=None,
        frames=(),
        light=None,
        background="",
        limits=(),
        cautions=(),
        notes=(),
        advice="",
        marks=tuple(m for m in plan.marks if m.name != "background"),
    )
    sheet = card_sheet(content_of(bare, ""), paper="A5")
    told = reader.said(sheet)
    for word in ("None", "Take care", "Background", "Both eyes", "Frames to take"):
        assert word not in told
    assert reader.sticking_out(sheet) == []


words = st.text(
    st.sampled_from("abcdefghijklmnopqrstuvwxyz      –−°äöß李"), min_size=1, max_size=300
)


@given(
    said=st.tuples(words, st.lists(words, max_size=12), st.lists(words, max_size=8), words),
    value=st.floats(0.0, 1.0),
)
@settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_whatever_is_said_one_page_holds_it(
    plans: ModuleType,
    reader: ModuleType,
    said: tuple[str, list[str], list[str], str],
    value: float,
) -> None:
    sentence, cautions, notes, title = said
    plan = plans.sitter_plan()
    share = Measured(value=value, low=0.0, high=1.0)
    plan = replace(
        plan,
        sentence=sentence,
        cautions=tuple(cautions),
        notes=tuple(notes),
        settings=tuple(replace(s, share=share) for s in plan.settings),
    )
    sheet = card_sheet(content_of(plan, title), paper="A5")
    assert reader.sticking_out(sheet) == []
    assert reader.overlapping(sheet) == []
    told = "".join(reader.said(sheet).split())
    for caution in cautions:
        assert "".join(printable(caution).split()) in told
