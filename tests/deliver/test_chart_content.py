"""A reading of the chart in words and pictures."""

import dataclasses
import re

import pytest
from tests.deliver.chart_builder import aperture, fault, frame, near, reading

from eyeplane.deliver.chart_content import chart_content
from eyeplane.deliver.chart_picture import field_drawing, largest_blur_px
from eyeplane.deliver.chart_words import OPPOSITES, fault_words, lines_words
from eyeplane.deliver.sheet import Disc, Shape, Words
from eyeplane.records import Measured, from_plain, to_plain
from eyeplane.records.check_json import check_json, check_schema
from eyeplane.records.kit_chart import ChartResult


def test_the_answer_comes_first() -> None:
    content = chart_content(reading())
    assert content.sentence == (
        "Sharpest at f/4 in the middle of the frame; f/4 and f/8 cannot be told apart."
    )
    assert content.advice == ""
    assert content.over == "Body with 85mm · 85\u2009mm · 3 frames · chart on A3"
    (glass,) = (line.replace("\u2009", " ") for line in content.lines if "Glass" in line)
    # the disc of equal half contrast is 3.76 times as wide: 0.70508 / 0.187391 (check values)
    assert glass == (
        "Glass for plans, as a standard deviation: 2.0 µm (1.5–2.2) at its best, and 4.0 µm "
        "(3.7–4.3) more at f/2. It blurs like a disc of 7.5 µm at its best and of 17 µm at f/2: "
        "plans list it so."
    )
    assert any("80\u2009% at f/2" in line for line in content.lines)


def test_a_softer_side_is_part_of_the_answer_and_how_to_be_sure_is_said() -> None:
    content = chart_content(reading(faults=(fault(),)))
    assert content.sentence.endswith("The right side is clearly softer than the left side.")
    assert "upside down" in content.advice
    assert "70\u2009% (66–74)" in content.lines[0]
    assert any("its marks" in line for line in content.reasons[0].lines)


def test_one_softer_side_is_told_once_for_all_apertures() -> None:
    many = tuple(dataclasses.replace(fault(), f_number=f) for f in (2.0, 4.0, 8.0))
    lines = chart_content(reading(faults=(*many, fault("upper left corner")))).lines
    assert lines[0].replace("\u2009", " ") == (
        "Of the left side's fineness the right side has 70 % (66–74) at f/2, 70 % (66–74) at f/4 "
        "and 70 % (66–74) at f/8: more than the chart's tilt makes."
    )
    assert lines[1].startswith("Of the lower right corner's fineness the upper left corner has")


def test_what_tilt_may_explain_is_no_accusation() -> None:
    content = chart_content(reading(faults=(fault(explained="chart tilt may be it"),)))
    assert "softer" not in content.sentence
    assert "square to the chart" in content.advice
    assert "askew enough" in content.lines[0]
    assert "cannot be told" in fault_words(fault(explained="cannot tell"))


def test_sharpening_and_shake_come_before_all() -> None:
    sharpened = reading(
        apertures=(aperture(2.0, sharpened=True, glass_um=None, glass_corner_um=None),),
        sharpest_f_number=None,
        glass_best_um=None,
        glass_wide_um=None,
    )
    content = chart_content(sharpened)
    assert content.advice.startswith("This JPEG was sharpened in the camera")
    assert [table.name for table in content.tables][:2] != [
        "Line pairs at half contrast",
        "The glass alone",
    ]
    shaken = reading(frames=(frame(shake_px=2.0), frame("b.jpg")))
    assert "tripod" in chart_content(shaken).advice


def test_one_aperture_tells_its_number() -> None:
    one = reading(apertures=(aperture(2.8, 0.25),), sharpest_f_number=None, sharpest_among=())
    content = chart_content(one)
    assert content.sentence.startswith("At f/2.8 the middle of the frame shows 1000 (990–1010)")
    assert len(content.drawings) == 1  # no curve of one point
    unknown = reading(apertures=(aperture(None, 0.25),), sharpest_f_number=None)
    assert chart_content(unknown).sentence.startswith("The middle of the frame shows 1000")
    none = reading(
        apertures=(aperture(None, middle_per_height=None, middle_per_px=None, places=()),),
        sharpest_f_number=None,
    )
    assert "cannot be told" in chart_content(none).sentence
    assert chart_content(none).drawings == ()


@pytest.mark.parametrize("width", [60.0, 95.0, 170.0, 200.0])
def test_drawings_stay_on_their_sheet(width: float) -> None:
    for drawing in chart_content(reading()).drawings:
        sheet = drawing.draw(width, 3.2)
        assert sheet.width_mm == width
        points = [p for m in sheet.marks if isinstance(m, Shape) for p in m.points]
        points += [m.middle for m in sheet.marks if isinstance(m, Disc)]
        points += [m.at for m in sheet.marks if isinstance(m, Words)]
        assert all(-0.01 <= x <= width + 0.01 for x, _ in points)
        assert all(-0.01 <= y <= sheet.height_mm + 0.01 for _, y in points)


def test_marks_of_blur_are_true_to_each_other() -> None:
    """Twice the blur is twice as wide, on one drawing and from drawing to drawing."""
    soft, fine = aperture(2.0, 0.15), aperture(8.0, 0.3)
    largest = largest_blur_px([soft, fine])

    def widest(one: object) -> float:
        drawing = field_drawing(reading(), one, largest_px=largest)  # type: ignore[arg-type]  # an aperture
        assert drawing is not None
        rings = [
            m for m in drawing.draw(170.0, 3.2).marks if isinstance(m, Shape) and m.fill == "pale"
        ]
        assert len(rings) == 24
        spans = [max(x for x, _ in r.points) - min(x for x, _ in r.points) for r in rings]
        heights = [max(y for _, y in r.points) - min(y for _, y in r.points) for r in rings]
        assert heights[7] / spans[7] == pytest.approx(1.1 / 0.9, rel=0.01)
        assert spans[0] / spans[7] == pytest.approx(1 / 0.8, rel=0.01)
        return max(spans)

    assert widest(soft) == pytest.approx(2 * widest(fine), rel=0.01)


def test_drawings_are_spoken() -> None:
    drawings = chart_content(reading()).drawings
    assert "f/4 1200 (1188–1212)" in drawings[0].spoken
    assert "upper left" in drawings[1].spoken
    assert [d.name for d in drawings[1:]] == [
        "Blur across the frame, f/2",
        "Blur across the frame, f/4",
    ]


def test_the_glass_is_told_as_the_disc_too_that_a_plan_lists() -> None:
    table = next(t for t in chart_content(reading()).tables if t.name == "The glass alone")
    assert table.head[-1] == "middle, as a disc"
    assert table.rows[0][-1].replace("\u2009", " ") == "7.5 µm (7.4–7.6)"


def test_apertures_that_differ_by_less_than_a_print_shows_are_not_said_to_be_unknown() -> None:
    """Told apart by their intervals, yet within 2 %: alike on the print, not unsure."""
    sure = [aperture(f, middle_per_px=near(h, 0.002)) for f, h in ((4.0, 0.3), (5.6, 0.2958))]
    alike = reading(apertures=tuple(sure), sharpest_among=(4.0, 5.6))
    said = "Sharpest at f/4 in the middle of the frame; f/4 and f/5.6 "
    assert chart_content(alike).sentence == f"{said}look alike on any print."
    unsure = [aperture(f, middle_per_px=near(h, 0.05)) for f, h in ((4.0, 0.3), (5.6, 0.28))]
    apart = reading(apertures=tuple(unsure), sharpest_among=(4.0, 5.6))
    assert chart_content(apart).sentence == f"{said}cannot be told apart."
    both = reading(apertures=(*sure, aperture(8.0, middle_per_px=near(0.28, 0.08))))
    mixed = dataclasses.replace(both, sharpest_among=(4.0, 5.6, 8.0))
    assert chart_content(mixed).sentence == (
        "Sharpest at f/4 in the middle of the frame; f/4 and f/8 cannot be told apart; f/4 and "
        "f/5.6 look alike on any print."
    )
    corners = [aperture(f, corner_per_px=near(h, 0.002)) for f, h in ((4.0, 0.2), (8.0, 0.202))]
    lines = chart_content(reading(apertures=tuple(corners), corners_among=(4.0, 8.0))).lines
    assert "Corners are sharpest at f/8 (f/4 and f/8 look alike on any print)." in lines


def test_words() -> None:
    assert lines_words(None) == "cannot tell"
    assert all(OPPOSITES[OPPOSITES[where]] == where for where in OPPOSITES)


def test_unsure_numbers_are_said_so_in_the_tables() -> None:
    bare = aperture(
        None, middle_per_mm=None, corner_per_mm=None, glass_um=None, glass_corner_um=None
    )
    tables = chart_content(reading(apertures=(bare,), pitch_um=None)).tables
    assert tables[0].rows[0] == (
        "aperture not known",
        "1200 (1188–1212)",
        "960 (950–970)",
        "cannot tell",
    )
    assert [t.name for t in tables] == ["Line pairs at half contrast", "Frames"]


def test_the_record_is_the_json() -> None:
    result = reading(faults=(fault(),), field_curved=True, notes=("one",))
    assert from_plain(ChartResult, to_plain(result)) == result
    import jsonschema  # noqa: PLC0415  only here

    jsonschema.validate(check_json("chart", result), check_schema("chart", ChartResult))


def test_no_word_of_programs() -> None:
    content = chart_content(reading(faults=(fault(),), notes=("x",)))
    said = " ".join([content.sentence, content.advice, *content.lines, *content.notes])
    assert not re.search(r"\b(?:score|blurry|smart|AI|preset)\b", said)


def test_an_interval_of_glass_keeps_its_order() -> None:
    for field in dataclasses.fields(ChartResult):
        value = getattr(reading(), field.name)
        if isinstance(value, Measured):
            assert value.low <= value.value <= value.high
