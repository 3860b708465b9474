"""One kit against another in words and on a sheet."""

from dataclasses import replace

import pytest
from tests.kit.against_kits import SOLD_CM, compared, kit_side

from eyeplane.cli.check_show import check_text
from eyeplane.deliver.against_content import against_content
from eyeplane.deliver.against_picture import against_sheet
from eyeplane.deliver.against_words import (
    answer_of,
    border_words,
    change_words,
    parts_words,
    seen_words,
    size_words,
)
from eyeplane.deliver.sheet import Disc, Shape, Words
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.records import Measured
from eyeplane.records.check_json import check_json, check_schema
from eyeplane.records.kit_against import (
    AgainstHabit,
    AgainstPrint,
    AgainstResult,
    AgainstWay,
    SeenFrom,
)

ZOOM = kit_side("old zoom", 24, widest_f_number=2.8, glass_um=5.0)
PRIME = kit_side("new prime", 60, widest_f_number=1.4, glass_um=1.5)


@pytest.fixture(scope="module")
def shown() -> AgainstResult:
    return compared(ZOOM, PRIME, f_numbers=(4.0,), sold_cm=SOLD_CM)


@pytest.fixture(scope="module")
def hidden() -> AgainstResult:
    few = kit_side("24", 24, glass_um=1.0)
    return compared(few, kit_side("45", 45, glass_um=1.0), sold_cm=SOLD_CM[:2])


def text_of(result: AgainstResult) -> str:
    return check_text(against_content(result), why=True).replace("\u2009", " ")


def first(result: AgainstResult) -> AgainstWay:
    return result.ways[0]


def test_a_difference_that_no_print_shows_is_said_plainly_and_the_kit_is_kept(
    hidden: AgainstResult,
) -> None:
    sentence, advice = answer_of(hidden)
    assert sentence == "None of the prints you sell shows the difference."
    assert advice == "For these prints keep the kit you have."
    text = text_of(hidden)
    assert "A (24) holds" in text
    assert "B (45) " in text


def test_the_prints_that_show_it_are_named_and_so_are_those_that_do_not(
    shown: AgainstResult,
) -> None:
    sentence, advice = answer_of(shown)
    seen = [size_words(one) for one in first(shown).sold if one.seen == "yes"]
    unseen = [size_words(one) for one in first(shown).sold if one.seen == "no"]
    assert seen
    assert unseen
    assert all(size in sentence for size in (*seen, *unseen))
    assert sentence.index(seen[0]) < sentence.index("not on") < sentence.index(unseen[0])
    assert advice == ""
    assert "B is sharper" in text_of(shown)


def test_where_another_way_shows_it_that_is_said_beside() -> None:
    soft = kit_side("soft wide open", 24, widest_f_number=1.4, glass_um=1.0, glass_wide_um=9.0)
    fine = kit_side("fine wide open", 24, widest_f_number=1.4, glass_um=1.0, glass_wide_um=0.5)
    result = compared(soft, fine, f_numbers=(8.0,), sold_cm=SOLD_CM[:2])
    sentence, advice = answer_of(result)
    assert sentence.startswith("None of the prints")
    assert advice.startswith("Both at f/1.4, though, ")


def test_nothing_sold_named_gives_the_reaches_as_the_answer() -> None:
    result = compared(ZOOM, PRIME, f_numbers=(4.0,))
    sentence, _ = answer_of(result)
    assert sentence.startswith("Both at f/4 A (old zoom) holds ")
    assert result.verdict == "nothing sold named"
    assert text_of(result).count("Both at f/4 A (old zoom) holds") == 1


def test_an_open_question_is_called_one(shown: AgainstResult) -> None:
    unsure: tuple[AgainstPrint, ...] = tuple(
        replace(one, seen="cannot tell") for one in first(shown).sold[:2]
    )
    ways = (replace(first(shown), sold=unsure),)
    sentence, _ = answer_of(replace(shown, ways=ways, verdict="cannot tell"))
    assert "cannot be told" in sentence
    assert "other prints" not in sentence


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        (SeenFrom(smallest_cm=48.0, low_cm=43.0, high_cm=53.0, up_to_cm=400.0), "48 cm (43–53)"),
        (
            SeenFrom(smallest_cm=125.0, low_cm=105.0, high_cm=None, up_to_cm=400.0),
            "125 cm (105 or more)",
        ),
        (SeenFrom(smallest_cm=None, low_cm=90.0, high_cm=None, up_to_cm=400.0), "90 cm"),
        (SeenFrom(smallest_cm=None, low_cm=None, high_cm=None, up_to_cm=400.0), "never"),
    ],
)
def test_borders_in_words(seen: SeenFrom, expected: str) -> None:
    assert border_words(seen).replace("\u2009", " ") == expected
    told = seen_words(seen, 50.0).replace("\u2009", " ")
    if seen.low_cm is None:
        assert told.endswith("does not tell them apart on any print up to 4 m")
    elif seen.smallest_cm is None:
        assert told.endswith("may tell them apart from 90 cm on, or on no print at all")
    else:
        assert expected in told


def test_every_table_is_whole_and_parts_sum_to_the_last_row(shown: AgainstResult) -> None:
    content = against_content(shown)
    for table in content.tables:
        assert all(len(row) == len(table.head) for row in table.rows)
    parts = next(table for table in content.tables if table.name.startswith("Where"))
    assert parts.rows[-1][0] == "together"
    assert len(parts.rows) == len(first(shown).parts) + 1


@pytest.mark.parametrize("width", [60.0, 95.0, 170.0, 200.0])
def test_the_drawing_keeps_to_its_sheet_at_every_width(shown: AgainstResult, width: float) -> None:
    sheet = against_sheet(shown, width, 3.2)
    for mark in sheet.marks:
        if isinstance(mark, Words):
            wide = width_mm(mark.text, mark.letters)
            start = (
                mark.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.letters.anchor] * wide
            )
            assert start >= -0.5
            assert start + wide <= width + 0.5, mark.text
            assert 0 <= mark.at[1] <= sheet.height_mm
        elif isinstance(mark, Shape):
            for x, y in mark.points:
                assert -0.5 <= x <= width + 0.5
                assert -0.5 <= y <= sheet.height_mm + 0.5
        else:
            assert isinstance(mark, Disc)


def test_a_reach_lies_on_the_drawing_where_the_curve_crosses_the_sharp_line(
    shown: AgainstResult,
) -> None:
    """The bars above and the curves below are one scale: they must tell the same reach."""
    for side, reach in (("a", first(shown).a_reach_cm), ("b", first(shown).b_reach_cm)):
        curve = [
            (point.print_cm, getattr(point, f"{side}_acutance").value) for point in shown.curve
        ]
        above = max(size for size, sharp in curve if sharp >= 0.84)
        below = min(size for size, sharp in curve if sharp < 0.84)
        assert above <= reach.value * 1.01
        assert below >= reach.value * 0.99


def test_who_cannot_see_the_drawing_is_told_all_of_it(shown: AgainstResult) -> None:
    spoken = against_content(shown).drawings[0].spoken.replace("\u2009", " ")
    assert "A (old zoom) holds" in spoken
    for one in first(shown).sold:
        assert size_words(one).replace("\u2009", " ") in spoken


def test_a_habit_that_does_more_than_the_other_kit_is_said_to(shown: AgainstResult) -> None:
    habit = AgainstHabit(
        part="focus",
        a_reach_cm=Measured(value=35.0, low=20.0, high=45.0),
        b_reach_cm=Measured(value=38.0, low=22.0, high=60.0),
        a_without_cm=52.0,
        known=True,
    )
    text = " ".join(text_of(replace(shown, habit=habit)).split())
    assert "where the focus lands: put right, A holds 50 cm, which does more than B." in text
    less = replace(habit, a_without_cm=37.0)
    text = " ".join(text_of(replace(shown, habit=less)).split())
    assert "A holds 37 cm, B does more than that." in text


def test_the_json_follows_its_schema(shown: AgainstResult) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    told = check_json("against", shown)
    jsonschema.validate(told, check_schema("against", AgainstResult))
    assert told["ways"][0]["parts"][0]["part"] == "glass"


def test_parts_are_told_as_a_difference_in_reach(shown: AgainstResult) -> None:
    way = first(shown)
    assert parts_words(way).startswith("B reaches ")
    assert "\u2009cm farther than A: +" in parts_words(way)
    turned = replace(
        way,
        difference_cm=Measured(value=-26.2, low=-30.0, high=-20.0),
        parts=tuple(
            replace(one, change_cm=Measured(value=-26.2, low=-30.0, high=-0.2))
            for one in way.parts[:1]
        ),
    )
    assert parts_words(turned).startswith("B reaches 26\u2009cm less far than A: −26 by ")
    assert change_words(turned.parts[0].change_cm) == "−26\u2009cm (−30 to 0)"
    alike = replace(turned, difference_cm=Measured(value=0.3, low=-1.0, high=1.0))
    assert parts_words(alike).startswith("Both reach alike: ")
