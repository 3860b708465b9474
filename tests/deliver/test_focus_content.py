"""What a check of the focus tells, read aloud."""

from dataclasses import replace

import pytest

from eyeplane.deliver.focus_content import focus_content
from eyeplane.deliver.sheet import Shape
from eyeplane.kit.focus import check_focus
from eyeplane.records import Measured
from eyeplane.records.kit_focus import FocusPoint, TargetFrame

POINTS = tuple(
    FocusPoint(
        behind_mm=float(z),
        spread_px=0.4 + abs(z - 14) / 20,
        fitted_px=0.4 + abs(z - 14) / 20,
        upright=bool(z % 2),
        edges=6,
    )
    for z in range(-65, 66, 5)
)


def frame(offset: float, **notes: object) -> TargetFrame:
    plain = TargetFrame(
        path="/x/IMG_1.jpg",
        kit="Body with 85 mm",
        f_number=1.8,
        focal_length_mm=85.0,
        distance_mm=1500.0,
        tilt_deg=1.0,
        offset_mm=Measured(value=offset, low=offset - 0.8, high=offset + 0.8),
        depth_front_mm=9.0,
        depth_behind_mm=9.1,
        pitch_um=6.0,
        points=POINTS,
    )
    return replace(plain, **notes)  # type: ignore[arg-type]  # by name


OFF = (-2.0, -1.0, 0.0, 0.5, 1.0, 1.5)


def test_constant_offset_says_which_way_and_how_far_to_adjust() -> None:
    content = focus_content(check_focus([frame(14 + v) for v in OFF]))
    assert content.over.startswith("Body with 85 mm · 85\u2009mm · 6 frames of the focus")
    assert all(head == head.lower() for table in content.tables for head in table.head)
    assert content.sentence.startswith(
        "Focus misses the same way each time: 14\u2009mm behind the field ("
    )
    assert "at 1.50\u2009m and f/1.8" in content.sentence
    assert content.advice.startswith("Move the focus 14\u2009mm (")
    assert "towards the camera" in content.advice
    assert "No file says what one step" in content.advice
    assert "old value" in content.cautions[0]
    assert any("outside" in line for line in content.lines)
    front = focus_content(check_focus([frame(-14 + v) for v in OFF]))
    assert "away from the camera" in front.advice
    assert "in front of the field" in front.sentence


def test_scatter_is_told_as_scatter_and_nothing_is_to_be_adjusted() -> None:
    content = focus_content(check_focus([frame(9 * v) for v in (-1.2, -0.7, 0.1, 0.4, 1.3) * 3]))
    assert content.sentence.startswith("Scatter, not a constant offset")
    assert content.advice.startswith("No adjustment cures scatter")
    assert "old value" not in " ".join(content.cautions)


def test_few_scattered_frames_are_no_proof_of_anything() -> None:
    content = focus_content(check_focus([frame(6 * v) for v in (-1.2, -0.7, 0.1, 0.4, 1.3)]))
    assert content.sentence.startswith("No offset is sure yet")
    assert content.advice.startswith("Take ten frames")


@pytest.mark.parametrize(
    ("frames", "words"),
    [
        ([frame(14.0)], "one frame cannot tell offset from scatter"),
        ([frame(14.0), frame(2.0)], "Too few frames"),
        (
            [frame(0.0, offset_mm=None, beyond="behind", at_least_mm=61.0)],
            "at least 61\u2009mm behind the field",
        ),
        (
            [frame(0.0, offset_mm=None, beyond="in front", at_least_mm=44.0)] * 4,
            "at least 44\u2009mm in front of the field in 4 of 4 frames",
        ),
        ([frame(0.05 * v) for v in OFF], "Focus is right"),
    ],
)
def test_other_answers(frames: list[TargetFrame], words: str) -> None:
    assert words in focus_content(check_focus(frames)).sentence


def test_focus_shift_and_other_distances_are_said() -> None:
    frames = [frame(2 + v) for v in OFF] + [frame(14 + v, f_number=4.0) for v in OFF]
    lines = " ".join(focus_content(check_focus(frames)).lines)
    assert "From f/1.8 to f/4 the plane moves back by 12\u2009mm" in lines
    assert "The same fault at 3.00\u2009m" in lines


@pytest.mark.parametrize("width", [60.0, 95.0, 170.0])
def test_drawings_stay_on_their_sheet_and_the_field_is_to_scale(width: float) -> None:
    content = focus_content(check_focus([frame(14 + v) for v in OFF]))
    assert [d.name for d in content.drawings] == [
        "Where the focus lies",
        "Blur against depth, one frame",
    ]
    for drawing in content.drawings:
        assert "14\u2009mm" in drawing.spoken
        sheet = drawing.draw(width, 2.8)
        for mark in sheet.marks:
            if isinstance(mark, Shape):
                for x, y in mark.points:
                    assert -0.01 <= x <= sheet.width_mm + 0.01
                    assert -0.01 <= y <= sheet.height_mm + 0.01
    depth = content.drawings[0].draw(width, 2.8)
    upright = [
        m.points
        for m in depth.marks
        if isinstance(m, Shape)
        and len(m.points) == 2
        and m.points[0][0] == m.points[1][0]
        and m.pen is not None
        and m.pen.width_mm >= 0.6
    ]
    field, plane = (points[0][0] for points in upright)
    assert (plane - field) / width == pytest.approx(14.0 / 80.0, abs=0.01)


def test_a_frame_left_out_is_named_with_its_reason() -> None:
    bad = TargetFrame(path="/x/IMG_9.jpg", kit="", problem="the sheet is flat. Fold it.")
    content = focus_content(check_focus([*[frame(14 + v) for v in OFF], bad]))
    assert any(
        "IMG_9.jpg" in row and "the sheet is flat. Fold it." in row
        for row in content.tables[1].rows
    )
    assert any("1 frame left out" in note for note in content.notes)


def test_an_offset_below_the_scatter_is_not_called_alike() -> None:
    """Of 5 mm and 8 mm the scatter is what most frames suffer from, and no adjustment cures it."""
    content = focus_content(
        check_focus([frame(5 + 7 * v) for v in (-1.5, -0.9, -0.4, 0.2, 1.1, 1.5) * 2])
    )
    assert "alike" not in content.sentence
    assert "scatters by more" in content.sentence
    assert "cures the smaller part only" in content.advice


def test_three_scattered_frames_leave_open_whether_an_offset_hides_behind() -> None:
    """The mean is known to 20 mm only: neither 'no offset' nor 'inside the depth of field'."""
    content = focus_content(check_focus([frame(0.0), frame(14.0), frame(-22.0)]))
    assert content.sentence.startswith("Focus scatters by")
    assert "not a constant offset" not in content.sentence
    assert "constant offset as well cannot be told" in content.sentence
    assert content.advice.startswith("No adjustment cures scatter")
    assert any("lies inside is not sure" in line for line in content.lines)
    assert not any("same fault" in line for line in content.lines)
    assert any("the same scatter" in line for line in content.lines)
