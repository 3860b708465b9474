"""Who is in and who is out."""

from dataclasses import replace
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.group import away_words, group_of, standing_words
from eyeplane.records import FaceAnswer, Finding, FrameAnswer, Measured


def face(builder: ModuleType, **given: object) -> FaceAnswer:
    made: FaceAnswer = replace(builder.face_answer("depth", 45.0, 6.0), **given)
    return made


def frame(**given: object) -> FrameAnswer:
    answer = FrameAnswer(
        reach_cm=None,
        holds_diagonal=None,
        cause="depth",
        sentence="The second face holds 22 cm.",
        advice="",
        deciding=1,
        faces=(),
    )
    made: FrameAnswer = replace(answer, **given)  # type: ignore[arg-type]  # fields of a record
    return made


@pytest.mark.parametrize(
    ("low", "value", "high", "words"),
    [
        (10.0, 14.0, 18.0, "out, too near"),  # the plane lies behind this eye
        (-18.0, -14.0, -10.0, "out, too far"),
        (-2.0, 3.0, 8.0, "out"),
    ],
)
def test_who_is_out_is_on_the_other_side_of_the_plane(
    builder: ModuleType, low: float, value: float, high: float, words: str
) -> None:
    offset = Measured(value=value, low=low, high=high)
    assert standing_words(face(builder, inside=False, offset_mm=offset)) == words


def test_in_out_and_cannot_tell(builder: ModuleType) -> None:
    assert standing_words(face(builder, inside=True)) == "in"
    assert standing_words(face(builder, inside=False, offset_mm=None)) == "out"
    assert standing_words(face(builder, inside=None)) == "cannot tell"
    assert away_words(None) == "cannot tell"


@given(value=st.floats(-500, 500), spread=st.floats(0.5, 50))
def test_eye_from_plane_is_plane_from_eye_turned(
    builder: ModuleType, value: float, spread: float
) -> None:
    offset = Measured(value=value, low=value - spread, high=value + spread)
    faces = [face(builder, offset_mm=offset)] * 2
    group = group_of(faces, frame(), places=["1", "2"])
    assert group is not None
    if abs(value) >= spread:
        assert ("nearer" if value > 0 else "farther") in group.rows[0].away.partition("(")[0]


def test_what_the_group_tells_together_goes_before_what_a_face_tells(builder: ModuleType) -> None:
    behind = Measured(value=660.0, low=460.0, high=1000.0)
    rear = face(builder, inside=False, behind_mm=behind)  # the face alone: plane 6 mm behind it
    assert standing_words(rear) == "out, too far"
    group = group_of([rear, rear], frame(), places=["1", "2"])
    assert group is not None
    assert group.rows[0].away == "660\u2009mm farther (460\u2009mm to 1.0\u2009m)"
    assert group.placed
    lost = face(builder, inside=False, offset_mm=None)
    group = group_of([lost, lost], frame(), places=["1", "2"])
    assert group is not None
    assert group.told
    assert not group.placed


def test_distances_are_told_with_their_spread() -> None:
    assert away_words(Measured(value=-14.0, low=-18.0, high=-10.0)) == "14\u2009mm nearer (10–18)"
    assert away_words(Measured(value=2.0, low=-3.0, high=7.0)) == (
        "within 7\u2009mm"  # in front or behind is not known
    )
    assert away_words(Measured(value=200.0, low=-310.0, high=764.0)) == ("within 760\u2009mm")


def test_what_would_have_held(builder: ModuleType) -> None:
    faces = [
        face(builder, inside=True),
        face(builder, inside=False, stop=5.6),
        face(builder, inside=False),
        face(builder),
    ]
    group = group_of(faces, frame(), places=["1", "2", "3", "4"])
    assert group is not None
    assert [row.stop for row in group.rows] == ["as shot", "f/5.6", "none would", "cannot tell"]
    assert group.for_all == ""
    assert group.heading == "sitter"


def test_what_the_frame_says_of_everybody_is_not_said_again(builder: ModuleType) -> None:
    faces = [face(builder, inside=True), face(builder, inside=False, stop=11.0)]

    def for_all(answer: FrameAnswer) -> str:
        group = group_of(faces, answer, places=["1", "2"])
        assert group is not None
        return group.for_all

    said = "f/11 would have held everybody where the focus lay."
    assert for_all(frame(stop_for_all=11.0)) == said
    assert for_all(frame(stop_for_all=11.0, advice="Close to f/11.")) == ""
    finding = Finding(kind="group", text="f/11 holds all.", advice="")
    assert for_all(frame(stop_for_all=11.0, findings=(finding,))) == ""
    assert for_all(frame(stop_for_all=1.4, advice="Close to f/1.45.")) != ""


def test_two_faces_keep_their_sides(builder: ModuleType) -> None:
    faces = [face(builder, name="the left face"), face(builder, name="the right face")]
    group = group_of(faces, frame(), places=["left face", "right face"])
    assert group is not None
    assert [row.who for row in group.rows] == ["left face", "right face"]
    assert group.heading == "sitter"
    assert group_of(faces[:1], frame(), places=["left face"]) is None
