"""Foretold and found, drawn: every share where its scale says, every part named."""

from eyeplane.deliver.foretold_picture import foretold_picture, part_words
from eyeplane.deliver.sheet import Disc, Shape, Words
from eyeplane.records import Measured
from eyeplane.records.foretold import ForetoldPart


def part(name: str, told: float | None, found: float) -> ForetoldPart:
    return ForetoldPart(
        name=name,  # type: ignore[arg-type]  # one of the names
        foretold_share=None if told is None else about(told),
        found=round(20 * found),
        found_share=about(found),
    )


def about(value: float) -> Measured:
    return Measured(value=value, low=max(value - 0.1, 0.0), high=min(value + 0.1, 1.0))


PARTS = (part("holds", 0.6, 0.4), part("focus", 0.3, 0.5), part("untold", None, 0.1))


def test_shares_stand_where_the_scale_says() -> None:
    sheet = foretold_picture(PARTS).draw(95.0, 3.2)
    dots = [m for m in sheet.marks if isinstance(m, Disc)]
    bands = [m for m in sheet.marks if isinstance(m, Shape) and m.fill == "pale"]
    unit = (dots[1].middle[0] - dots[0].middle[0]) / 0.1  # mm for a share of one
    assert [round(d.middle[0] / unit, 6) for d in dots] == [0.4, 0.5, 0.1]
    edges = [(b.points[0][0] / unit, b.points[1][0] / unit) for b in bands]
    assert [tuple(round(x, 6) for x in edge) for edge in edges] == [(0.5, 0.7), (0.2, 0.4)]
    texts = [m.text for m in sheet.marks if isinstance(m, Words)]
    assert {"holds", "soft: focus", "soft: cannot tell"} <= set(texts)


def test_all_of_it_is_said_in_words() -> None:
    spoken = foretold_picture(PARTS).spoken
    assert "holds: 60\u2009% (50–70) foretold, 40\u2009% (30–50), 8 found" in spoken
    assert part_words(PARTS[2]) == (
        "soft: cannot tell",
        "cannot be foretold",
        "10\u2009% (0–20), 2",
    )
