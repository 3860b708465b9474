"""The depth line is to scale, whatever it has to show."""

from dataclasses import replace
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.depthline import (
    AT_ARMS_LENGTH,
    LETTER,
    MARGIN,
    WIDTH,
    DepthLine,
    depth_line,
    joined,
)
from eyeplane.deliver.profile import HALF_EYE_DISTANCE_MM, head_outline
from eyeplane.records import DepthMark, Measured


def line_of(builder: ModuleType, offset: Measured | None, **given: object) -> DepthLine:
    reading = builder.face_reading(builder.blur_of("disc", 6.0))
    answer = replace(builder.face_answer("focus", 35.0, 14.0), offset_mm=offset, **given)
    return depth_line(reading, answer)


def measured(low: float, value: float, high: float) -> Measured:
    return Measured(value=value, low=low, high=high)


def test_distances_in_the_drawing_are_distances_in_the_room(builder: ModuleType) -> None:
    line = line_of(builder, measured(11.0, 14.0, 17.0))
    iris = next(t.x for t in line.ticks if t.name == "near iris")
    per_mm = line.units_per_mm
    assert line.plane_x is not None
    assert (line.plane_x - iris) / per_mm == pytest.approx(14.0)
    assert line.interval is not None
    assert line.interval.width / per_mm == pytest.approx(6.0)
    assert (line.interval.x - iris) / per_mm == pytest.approx(11.0)
    assert line.field is not None
    assert (line.field.x - iris) / per_mm == pytest.approx(14.0 - 9.0)
    assert line.field.width / per_mm == pytest.approx(9.0 + 9.2)
    assert (line.foot_y - line.head_y) / per_mm == pytest.approx(120.0)  # the same scale upright


def test_what_lies_in_the_depth_of_field_is_held(builder: ModuleType) -> None:
    ticks = line_of(builder, measured(11.0, 14.0, 17.0)).ticks
    held = {t.name for t in ticks if t.held}
    assert held == set()  # the field reaches from 5 to 23.2 mm; the far iris lies at 24.4 mm
    ticks = line_of(builder, measured(15.0, 16.0, 17.0)).ticks
    assert {t.name for t in ticks if t.held} == {"far iris"}


def test_cannot_tell_draws_no_plane(builder: ModuleType) -> None:
    line = line_of(builder, None)
    assert line.plane_x is None
    assert line.interval is None
    assert line.field is None
    assert "cannot tell" in line.plane_words
    assert all(t.held for t in line.ticks)


def test_a_plane_far_off_is_named_not_drawn(builder: ModuleType) -> None:
    line = line_of(builder, measured(-1500.0, -1331.0, -1200.0))
    assert line.plane_x is None
    assert line.plane_words.startswith("←")
    assert line.units_per_mm == line_of(builder, None).units_per_mm  # the head stays as large


def test_the_backdrop_is_named_with_its_distance(builder: ModuleType) -> None:
    line = line_of(builder, None)
    assert line.beyond == ("backdrop, 1.50\u2009m further",)
    assert "backdrop" not in {t.name for t in line.ticks}
    assert "backdrop 1.5\u2009m behind" in line.spoken


@given(
    low=st.floats(-2000, 2000),
    gaps=st.tuples(st.floats(0, 300), st.floats(0, 300)),
    front_mm=st.floats(0, 1e6) | st.just(float("inf")),
    depths=st.lists(st.floats(-500, 3000), max_size=12),
)
def test_nothing_is_drawn_outside(
    low: float, gaps: tuple[float, float], front_mm: float, depths: list[float], builder: ModuleType
) -> None:
    offset = measured(low, low + gaps[0], low + gaps[0] + gaps[1])
    marks = tuple(DepthMark(name=f"row {k}", depth_mm=d) for k, d in enumerate(depths))
    line = line_of(
        builder, offset, marks=marks, depth_front_mm=front_mm, depth_back_mm=front_mm + 1.0
    )
    spans = [s for s in (line.interval, line.field) if s is not None]
    for x in [t.x for t in line.ticks] + [s.x for s in spans] + [s.x + s.width for s in spans]:
        assert MARGIN - 1e-6 <= x <= WIDTH - MARGIN + 1e-6
    named = sum(1 + len(t.others) for t in line.ticks)
    assert named + len(line.beyond) == len(depths)
    boxes = [(t.label_x, t.label_y, len(t.name) * 5.9) for t in line.ticks]
    for k, (x, y, width) in enumerate(boxes):
        for other_x, other_y, other_width in boxes[:k]:
            assert y != other_y or abs(x - other_x) >= (width + other_width) / 2


def test_large_type_leaves_out_what_has_no_room(builder: ModuleType) -> None:
    reading = builder.face_reading(builder.blur_of("disc", 6.0))
    offset = measured(-2.5, 14.0, 25.0)
    answer = replace(builder.face_answer("focus", 35.0, 14.0), offset_mm=offset)
    large, small = depth_line(reading, answer, drawn=AT_ARMS_LENGTH), depth_line(reading, answer)
    half = len(large.plane_words) * LETTER * AT_ARMS_LENGTH.type_ratio / 2
    assert large.plane_label_x + half <= WIDTH
    assert large.plane_words in small.plane_words
    assert small.plane_words.removeprefix(large.plane_words) in large.spoken


def test_names_that_begin_alike_are_said_once() -> None:
    assert joined(["near iris", "near lashes"]) == "near iris and lashes"
    assert joined(["nose tip"]) == "nose tip"
    assert joined(["far iris", "near ear"]) == "far iris and near ear"


@pytest.mark.parametrize("yaw_deg", [-60.0, -25.0, 0.0, 25.0, 45.0])
def test_the_outline_is_a_head_turned(yaw_deg: float) -> None:
    face, back = head_outline(yaw_deg=yaw_deg, nose_tip_mm=None)
    assert np.array_equal(face[:, 1], back[:, 1])
    depth = back[:, 0] - face[:, 0]
    assert depth.min() > 80  # a head is 180–200 mm deep and 140–155 mm wide, adults, from memory
    assert depth.max() < 225
    mirrored = head_outline(yaw_deg=-yaw_deg, nose_tip_mm=None)
    assert np.array_equal(face, mirrored[0])


def test_a_turned_nose_ends_where_it_was_measured() -> None:
    """The rendered heads: nose tip 32.6 mm before the iris at 0 degrees, 16.0 mm at 25."""
    for yaw_deg, nose_tip_mm in ((0.0, -32.6), (25.0, -16.0)):
        face, _ = head_outline(yaw_deg=yaw_deg, nose_tip_mm=nose_tip_mm)
        tip = face[(face[:, 1] > 20) & (face[:, 1] < 36), 0].min()
        assert tip == pytest.approx(nose_tip_mm, abs=1.0)


def test_the_nose_of_an_average_head_fits_the_rendered_one() -> None:
    """Thin lines need no more: within 3 mm of the rendered head (../shared/data/rendered)."""
    for yaw_deg, nose_tip_mm in ((0.0, -32.6), (25.0, -16.0), (45.0, 1.1)):
        face, _ = head_outline(yaw_deg=yaw_deg, nose_tip_mm=None)
        rows = (face[:, 1] > 20) & (face[:, 1] < 36)
        assert face[rows, 0].min() == pytest.approx(nose_tip_mm, abs=3.5)
    assert pytest.approx(63.0) == 2 * HALF_EYE_DISTANCE_MM
