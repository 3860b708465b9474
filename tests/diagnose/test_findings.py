"""Findings are in order, said once, and not what the frame's sentence says already."""

from dataclasses import replace
from typing import get_args

import pytest
from tests.diagnose.builders import DEPTHS, blur, face, focused_face, frame
from tests.diagnose.test_group import FRONT, REAR, group

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.findings import ORDER, face_findings, frame_findings, in_order
from eyeplane.diagnose.reach import print_view
from eyeplane.records import FaceReading, Finding, FindingKind, FrameReading, Viewing


def cases(*faces: FaceReading) -> tuple[tuple[FaceCase, ...], FrameReading]:
    reading = frame(*faces)
    view = print_view(reading, Viewing())
    return tuple(case_of(one, reading, view, sitter=True) for one in faces), reading


def test_every_kind_has_its_place_in_the_order() -> None:
    assert set(ORDER) == set(get_args(FindingKind))


def test_order_and_each_text_once() -> None:
    given = [
        Finding(kind="noise", text="c"),
        Finding(kind="caught", text="a"),
        Finding(kind="far eye", text="b"),
        Finding(kind="caught", text="a"),
    ]
    assert [f.text for f in in_order(given)] == ["a", "b", "c"]


def test_a_single_sitter_s_blink_is_the_sentence_s_and_a_group_s_is_named() -> None:
    shut = face(near_blur=blur("none", 0.5), eyes_open=(False, False))
    (one,), reading = cases(shut)
    assert face_findings(one, (one,), reading) == ()
    assert "closed" in answer_frame(reading, Viewing()).sentence
    awake = face(near_blur=blur("none", 0.5), box=(3000.0, 800.0, 900.0, 1200.0))
    both, reading = cases(shut, awake)
    assert not any(f.kind == "closed" for f in face_findings(both[0], both, reading))
    assert "The left face blinks." in answer_frame(reading, Viewing()).sentence
    assert not any(f.kind == "closed" for f in face_findings(both[1], both, reading))
    winking = replace(shut, face=replace(shut.face, eyes=(shut.face.eyes[0], awake.face.eyes[1])))
    both, reading = cases(winking, awake)
    (finding,) = face_findings(both[0], both, reading)
    assert finding.text == "The left face: only the left eye in the picture is closed."


def test_a_closed_eye_caught_nothing() -> None:
    asleep = focused_face(DEPTHS["nose tip"])
    eyes = tuple(replace(eye, open=False) for eye in asleep.face.eyes)
    shut = replace(asleep, face=replace(asleep.face, eyes=(eyes[0], eyes[1])))
    (one,), reading = cases(shut)
    assert face_findings(one, (one,), reading) == ()


def test_what_the_sentence_says_of_the_far_eye_is_not_said_again() -> None:
    (one,), reading = cases(focused_face(0.0))
    answer = answer_frame(reading, Viewing())
    assert "far eye" in answer.sentence
    (finding,) = face_findings(one, (one,), reading)
    assert "holds" not in finding.text
    assert finding == face_findings(one, (one,), reading, cause=answer.cause)[0]
    (longer,) = face_findings(one, (one,), reading, cause="noise")
    assert longer.text.startswith("The far eye")


@pytest.mark.parametrize("sitter", [True, False])
def test_bystanders_get_no_findings(*, sitter: bool) -> None:
    (one,), reading = cases(focused_face(DEPTHS["nose tip"]))
    found = face_findings(replace(one, sitter=sitter), (one,), reading)
    assert bool(found) is sitter


def test_the_frame_s_findings_are_the_group_s() -> None:
    found = frame_findings(*group([FRONT, REAR], FRONT))
    assert [f.kind for f in found] == ["group"]
    (one,), reading = cases(focused_face(0.0))
    assert frame_findings((one,), reading) == ()
