"""Closed eyes are named as a blink, first of all, with more frames as the remedy."""

import pytest
from tests.diagnose.builders import DEPTHS, blur, face, frame

from eyeplane.diagnose import answer_frame
from eyeplane.records import FrameReading, Viewing

SHARP, SOFT, LINE = blur("none", 1.0), blur("disc", 9.0), blur("line", 9.0, angle_deg=90.0)
BOTH, NEAR, FAR = (False, False), (False, True), (True, False)


def shut(kind: str, eyes: tuple[bool, bool]) -> FrameReading:
    """Return a single sitter whose eyes are closed; closed lids show the given blur."""
    lids = {"sharp": SHARP, "soft": SOFT, "line": LINE}[kind]
    probes = [(n, d, SHARP) for n, d in DEPTHS.items()]
    near, far = (lids if not is_open else SHARP for is_open in eyes)
    together = LINE if kind == "line" else SHARP
    return frame(
        face(near_blur=near, far_blur=far, probes=probes, together=together, eyes_open=eyes)
    )


@pytest.mark.parametrize("eyes", [BOTH, NEAR, FAR])
@pytest.mark.parametrize("kind", ["sharp", "soft", "line"])
def test_blink_comes_first_and_asks_for_another_frame(kind: str, eyes: tuple[bool, bool]) -> None:
    answer = answer_frame(shut(kind, eyes), Viewing())
    assert "closed, a blink" in answer.sentence.split(".")[0]
    # "Take two or three more": people / 3 rounded up, Svenson and Barnes, CSIRO, 2006.
    assert answer.advice == "Take one more frame."
    assert answer.faces[0].eyes_open is False


def test_closed_far_eye_is_no_depth_fault() -> None:
    answer = answer_frame(shut("soft", FAR), Viewing())
    assert answer.cause == "none"
    assert not any(f.kind == "far eye" for f in answer.faces[0].findings)


def test_blink_in_a_group_names_who() -> None:
    people = [
        face(near_blur=SHARP, box=(300.0 + 1500 * k, 800.0, 600.0, 800.0), eyes_open=eyes)
        for k, eyes in enumerate(((True, True), BOTH, (True, True)))
    ]
    answer = answer_frame(frame(*people), Viewing())
    assert "The second face from the left blinks." in answer.sentence
    assert answer.advice == "Take one more frame."
    assert answer.faces[1].cause == "none"


def test_eyes_that_cannot_be_told_are_no_blink() -> None:
    reading = frame(face(near_blur=SHARP, eyes_open=(None, None)))
    answer = answer_frame(reading, Viewing())
    assert "closed" not in answer.sentence
    assert answer.faces[0].eyes_open is None
