"""The sketch of a group: heads where they are, as large as they are, and who is in."""

import re
from dataclasses import replace
from itertools import pairwise
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from eyeplane.deliver.group_sketch import MOST_HIGH, WIDTH, GroupSketch, group_sketch
from eyeplane.records import FaceReading, Measured, SittingFrame

PLACES = ("first", "second", "third")


@pytest.fixture(scope="module")
def group(builder: ModuleType) -> SittingFrame:
    """Return three sitters, of whom the first is in, the second near and the third far behind."""
    frame: SittingFrame = builder._group()
    standing = {0: (False, 40.0), 1: (True, 3.0), 2: (False, -62.0)}  # by index, not by place
    faces = tuple(
        replace(
            face,
            name=f"the {('second', 'first', 'third')[k]} face from the left",
            inside=standing[k][0],
            behind_mm=Measured(value=v, low=v - 9, high=v + 12),
        )
        if k in standing and (v := standing[k][1]) is not None
        else face
        for k, face in enumerate(frame.answer.faces)
    )
    return replace(frame, answer=replace(frame.answer, faces=faces))


def many(builder: ModuleType, count: int, *, rows: int = 1) -> SittingFrame:
    """Return so many sitters side by side, the even ones out."""
    across = -(-count // rows)
    wide = 5600 / across
    readings, answers = [], []
    for n in range(count):
        x, y = 200 + wide * (n % across) + 0.3 * wide * (n // across % 2), n // across
        reading = builder.face_reading(builder.blur_of("disc", 5.0), x_px=x)
        size = 0.8 * wide
        box = (x, 700 + 1.6 * size * y, size, 1.2 * size)
        left, right = reading.face.eyes
        eyes = (
            replace(left, iris_px=(x + 0.3 * size, box[1] + 0.4 * size)),
            replace(right, iris_px=(x + 0.7 * size, box[1] + 0.4 * size)),
        )
        readings.append(replace(reading, face=replace(reading.face, box_px=box, eyes=eyes)))
        answer = builder.face_answer("depth", 30.0, None)
        behind = Measured(value=50.0 + n, low=40.0, high=90.0)
        answers.append(replace(answer, inside=bool(n % 2), behind_mm=behind))
    frame: SittingFrame = builder._group()
    return replace(
        frame,
        reading=replace(frame.reading, faces=tuple(readings)),
        answer=replace(frame.answer, faces=tuple(answers), deciding=0),
    )


def sketch_of(frame: SittingFrame, names: dict[int, str] | None = None) -> GroupSketch:
    """Return the sketch of a group that is one."""
    found = group_sketch(frame, names or {})
    assert found is not None
    return found


def test_a_single_sitter_is_no_group(builder: ModuleType) -> None:
    assert group_sketch(builder.make_sitting().frames[0], {}) is None


def test_sitters_stand_from_left_to_right_and_a_bystander_is_left_out(group: SittingFrame) -> None:
    heads = sketch_of(group).heads
    assert [head.number for head in heads] == [1, 2, 3]
    assert [head.held for head in heads] == [True, False, False]
    middles = [sum(x for x, *_ in head.eyes) for head in heads]
    assert middles == sorted(middles)


def test_who_is_out_is_told_by_how_much_and_on_which_side(group: SittingFrame) -> None:
    spoken = sketch_of(group).spoken.replace("\u2009", " ")
    assert "second from the left: 40 mm behind the plane (31–52)" in spoken
    assert "third from the left: 62 mm in front of the plane (50–71)" in spoken
    assert "first from the left: in" in spoken


def test_a_side_that_is_not_known_is_not_told(group: SittingFrame) -> None:
    faces = list(group.answer.faces)
    faces[0] = replace(faces[0], behind_mm=Measured(value=5.0, low=-12.0, high=22.0))
    faces[2] = replace(faces[2], inside=None)
    spoken = sketch_of(replace(group, answer=replace(group.answer, faces=tuple(faces)))).spoken
    assert "within 22\u2009mm of the plane" in spoken
    assert "third from the left: cannot tell" in spoken


def test_one_line_says_how_many_are_in(group: SittingFrame) -> None:
    assert sketch_of(group).counted == "One of three is in the depth of field."
    unknown = tuple(replace(face, inside=None) for face in group.answer.faces)
    told = sketch_of(replace(group, answer=replace(group.answer, faces=unknown)))
    assert told.counted == "Who is in the depth of field we cannot tell."
    held = tuple(replace(face, inside=True) for face in group.answer.faces)
    told = sketch_of(replace(group, answer=replace(group.answer, faces=held)))
    assert told.counted == "All three are in the depth of field."


def test_names_belong_to_places(group: SittingFrame) -> None:
    told = sketch_of(group, {2: "Anna", 9: "nobody there"})
    assert "Anna: 40" in told.spoken
    assert "first from the left" in told.spoken
    assert "nobody there" not in told.spoken


def test_a_typed_name_cannot_turn_the_line_around(group: SittingFrame) -> None:
    assert "\u202e" not in sketch_of(group, {1: "A\u202eB"}).spoken


def test_a_stop_that_would_have_held_all_is_said_where_the_answer_says_nothing(
    group: SittingFrame,
) -> None:
    assert sketch_of(group).change == group.answer.advice
    silent = replace(group.answer, advice="", findings=(), stop_for_all=8.0)
    change = sketch_of(replace(group, answer=silent)).change
    assert change == "f/8 would have held everybody where the focus lay."


def test_heads_keep_their_sizes_in_proportion(group: SittingFrame) -> None:
    """Half as large in the frame is half as large in the sketch."""
    faces = list(group.reading.faces)
    small = faces[1].face
    x, y, wide, high = small.box_px
    left, right = (
        replace(e, iris_px=((e.iris_px[0] + x) / 2, (e.iris_px[1] + y) / 2)) for e in small.eyes
    )
    eyes = (left, right)
    faces[1] = replace(faces[1], face=replace(small, box_px=(x, y, wide / 2, high / 2), eyes=eyes))
    heads = sketch_of(replace(group, reading=replace(group.reading, faces=tuple(faces)))).heads
    assert _breadth(heads[0].path) == pytest.approx(_breadth(heads[1].path) / 2, rel=0.02)


def _breadth(path: str) -> float:
    xs = [float(one) for one in re.findall(r"-?[\d.]+", path)][::2]
    return max(xs) - min(xs)


@pytest.mark.parametrize(("count", "rows"), [(2, 1), (3, 1), (5, 1), (8, 2), (12, 2), (30, 3)])
def test_two_to_thirty_heads_fit_and_nothing_written_overlaps(
    builder: ModuleType, count: int, rows: int
) -> None:
    told = sketch_of(many(builder, count, rows=rows))
    assert len(told.heads) == count
    assert told.height <= MOST_HIGH + 80
    for head in told.heads:
        half = max(len(line) for line in head.lines) * 7.6 / 2
        assert -1 <= head.x - half <= head.x + half <= WIDTH + 1
    out = [head for head in told.heads if head.held is not True]
    written = [head for head in out if len(head.lines) > 1]
    assert len(written) == len(out) or len(told.listed) == len(out)  # nobody who is out is lost
    boxes = sorted(
        (head.x - len(head.lines[0]) * 3.0, head.x + len(head.lines[0]) * 3.0, head.y)
        for head in told.heads
    )
    for one, other in pairwise(boxes):
        assert one[1] <= other[0] or abs(one[2] - other[2]) > 10


def test_a_frame_edge_is_drawn_only_where_it_is_near(builder: ModuleType) -> None:
    frame = many(builder, 3)
    assert len(sketch_of(frame).edges) >= 2  # the outer heads stand at both sides
    tall = replace(frame.reading, height_px=40_000)
    edges = sketch_of(replace(frame, reading=tall)).edges
    assert len(edges) < 4


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(scale=st.floats(0.1, 3.0))
def test_a_frame_with_more_pixels_gives_the_same_sketch(group: SittingFrame, scale: float) -> None:
    one, other = sketch_of(group), sketch_of(_enlarged(group, scale))
    assert other.height == pytest.approx(one.height, rel=0.02)
    for head, same in zip(one.heads, other.heads, strict=True):
        assert same.lines == head.lines
        assert (same.x, same.y) == pytest.approx((head.x, head.y), abs=1.5)


def _enlarged(frame: SittingFrame, scale: float) -> SittingFrame:
    def larger(reading: FaceReading) -> FaceReading:
        x, y, wide, high = reading.face.box_px
        left, right = (
            replace(e, iris_px=(e.iris_px[0] * scale, e.iris_px[1] * scale))
            for e in reading.face.eyes
        )
        eyes = (left, right)
        box = (x * scale, y * scale, wide * scale, high * scale)
        return replace(reading, face=replace(reading.face, box_px=box, eyes=eyes))

    reading = frame.reading
    return replace(
        frame,
        reading=replace(
            reading,
            width_px=round(reading.width_px * scale),
            height_px=round(reading.height_px * scale),
            faces=tuple(larger(face) for face in reading.faces),
        ),
    )
