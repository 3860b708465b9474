"""A near eye that holds and a far eye that does not: what is said, by table."""

import re
from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, disc_px, face, focused_face, frame, sharp_or_disc

from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.far_eye import far_eye_findings
from eyeplane.diagnose.reach import holds, print_view
from eyeplane.diagnose.signs import far_eye_soft
from eyeplane.diagnose.stops import aim_cm, spread_at
from eyeplane.optics import focus_between_mm
from eyeplane.records import FaceReading, FrameReading, Viewing


def case(one: FaceReading, print_cm: float | None = None) -> tuple[FaceCase, FrameReading]:
    reading = frame(one)
    view = print_view(reading, Viewing(print_cm=print_cm))
    return case_of(one, reading, view, sitter=True), reading


def test_both_facts_and_both_ways_are_said() -> None:
    one, reading = case(focused_face(0.0))
    (finding,) = far_eye_findings(one, reading)
    assert finding.kind == "far eye"
    assert finding.text.startswith("The far eye, 22\u2009mm behind the near one, holds ")
    assert "60\u2009cm" in finding.text
    assert "midway between them, 11\u2009mm behind the near iris" in finding.text
    assert finding.advice.startswith("Turn the face until both eyes are equally far from you")
    (short,) = far_eye_findings(one, reading, said=True)
    assert "holds" not in short.text
    assert finding.text.endswith(short.text)


def test_the_midway_aperture_holds_both_eyes_by_the_thin_lens() -> None:
    one, reading = case(focused_face(0.0))
    (finding,) = far_eye_findings(one, reading, said=True)
    said = [float(n) for n in re.findall(r"f/([\d.]+\d)", finding.text)]
    assert said == sorted(said, reverse=True)  # as focused takes the smaller aperture
    plane = focus_between_mm(near_mm=1500.0, far_mm=1522.0)
    for eye in (1500.0, 1522.0):
        assert holds(spread_at(one, said[-1], plane, eye), one.noise, one.view, aim_cm(one))


@pytest.mark.parametrize("print_cm", [5.0, 8.0])
def test_nothing_is_said_where_the_far_eye_holds_the_print_too(print_cm: float) -> None:
    one, reading = case(focused_face(0.0), print_cm)
    assert far_eye_findings(one, reading) == ()


def test_nothing_is_said_of_a_near_eye_that_is_soft_itself() -> None:
    one, reading = case(face(near_blur=blur("disc", 3.2), far_blur=blur("disc", 9.0)))
    assert far_eye_soft(one)  # it is, but the near eye does not hold 60 cm either
    assert far_eye_findings(one, reading) == ()


def test_nothing_is_said_of_motion_of_equal_eyes_or_of_a_closed_one() -> None:
    moved = blur("line", 12.0, angle_deg=90.0)
    shaken = face(near_blur=moved, far_blur=moved, together=moved)
    assert far_eye_findings(*case(shaken)) == ()
    even = face(near_blur=blur("none", 0.5), far_blur=blur("disc", 9.0), near=None)
    assert far_eye_findings(*case(even)) == ()
    shut = face(near_blur=blur("none", 0.5), far_blur=blur("disc", 9.0), eyes_open=(True, False))
    assert far_eye_findings(*case(shut)) == ()


def test_where_no_aperture_would_do_the_face_is_to_be_turned() -> None:
    # Two eyes 60 mm apart in depth at 0.5 m: no aperture down to f/16 holds 60 cm in both.
    far = sharp_or_disc(disc_px(60.0, 0.0, distance_mm=500.0, f_number=1.8, pitch_um=4.4))
    one = face(near_blur=blur("none", 0.5), far_blur=far, distance_mm=500.0)
    marks = tuple(
        replace(m, depth_mm=60.0) if m.name == "far iris" else m for m in one.face.landmarks
    )
    one = replace(one, face=replace(one.face, landmarks=marks))
    (finding,) = far_eye_findings(*case(one))
    assert "No aperture down to f/16 would have held 60\u2009cm in both." in finding.text
    assert finding.advice == "Turn the face until both eyes are equally far from you."


def test_without_exif_it_still_says_what_each_eye_holds() -> None:
    one = focused_face(0.0)
    reading = frame(one, exposure=replace(LENS, f_number=None))
    view = print_view(reading, Viewing())
    (finding,) = far_eye_findings(case_of(one, reading, view, sitter=True), reading)
    assert finding.text.startswith("The far eye, 22\u2009mm behind the near one, holds ")
    assert "f/16" not in finding.text  # nothing is claimed of apertures that are not known
