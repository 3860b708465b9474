"""What a remedy names is the first setting that holds, in numbers that cameras have."""

from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, face, focused_face, frame

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.reach import holds, print_view
from eyeplane.diagnose.remedy import holding_factor, holding_iso, holding_stop, holding_time_s
from eyeplane.light import F_NUMBERS, SHUTTER_PARTS
from eyeplane.optics import PointSpread
from eyeplane.records import FaceReading, FrameReading, Viewing

VIEW = Viewing(print_cm=40)


def case(one: FaceReading, viewing: Viewing = VIEW) -> tuple[FaceCase, FrameReading]:
    reading = frame(one)
    return case_of(one, reading, print_view(reading, viewing), sitter=True), reading


@pytest.mark.parametrize("offset", [12.0, 14.0, -12.0])
def test_stop_is_the_widest_that_holds(offset: float) -> None:
    one, reading = case(focused_face(offset))
    size = one.eye.blur.size_px
    assert size is not None
    stop = holding_stop(one, reading, size.value)
    assert stop in F_NUMBERS
    assert stop > 1.8
    # Shot again at that stop with the same offset, the frame holds; a third stop wider it does not.
    goal = one.goal_cm
    wider = F_NUMBERS[F_NUMBERS.index(stop) - 1]
    assert holds(PointSpread(disc_px=size.value * 1.8 / stop), one.noise, one.view, goal)
    assert not holds(
        PointSpread(disc_px=size.value * 1.8 / wider, airy_px=0.55 * (wider - 1.8) / 4.4),
        one.noise,
        one.view,
        goal,
    )


def test_stop_that_holds_by_thin_lens_and_depth_of_field() -> None:
    # By the depth of field itself: at the named stop the offset lies within the band for the print.
    one, reading = case(focused_face(12.0))
    stop = holding_stop(one, reading, one.spread.disc_px)
    assert stop is not None
    again = frame(focused_face(0.0, f_number=stop), exposure=replace(LENS, f_number=stop))
    band = answer_frame(again, VIEW).faces[0]
    assert band.depth_back_mm is not None
    assert band.depth_back_mm >= 0.9 * 12.0


def test_no_stop_is_named_that_diffraction_spoils_or_exif_does_not_tell() -> None:
    one, reading = case(focused_face(300.0))
    assert holding_stop(one, reading, one.spread.disc_px) is None
    bare = replace(reading, exposure=replace(LENS, f_number=None))
    assert holding_stop(one, bare, 3.0) is None


@pytest.mark.parametrize("length_px", [5.0, 12.0, 30.0])
def test_time_is_the_longest_that_holds(length_px: float) -> None:
    one, reading = case(face(near_blur=blur("line", length_px, angle_deg=90.0)))
    time_s = holding_time_s(one, reading)
    assert time_s is not None
    part = round(1 / time_s)
    assert part in SHUTTER_PARTS
    goal = one.goal_cm
    longer = SHUTTER_PARTS[SHUTTER_PARTS.index(part) - 1]
    assert holds(PointSpread(line_px=length_px * 250 / part), one.noise, one.view, goal)
    assert not holds(PointSpread(line_px=length_px * 250 / longer), one.noise, one.view, goal)
    factor = holding_factor(one)
    assert factor is not None
    assert factor / 2 < part / 250 * 1.01
    assert factor >= part / 250 / 1.3


def test_no_time_without_a_line_or_exif() -> None:
    one, reading = case(focused_face(18.0))
    assert holding_time_s(one, reading) is None
    assert holding_factor(one) is None
    moved, frame_ = case(face(near_blur=blur("line", 9.0, angle_deg=90.0)))
    bare = replace(frame_, exposure=replace(LENS, exposure_time_s=None))
    assert holding_time_s(moved, bare) is None


def test_iso_is_the_highest_full_stop_that_holds() -> None:
    one, reading = case(face(near_blur=blur("none", 0.5), noise=0.2), Viewing(print_cm=80))
    noisy = replace(reading, exposure=replace(LENS, iso=12800.0))
    iso = holding_iso(one, noisy)
    assert iso is not None
    goal = one.light_goal_cm
    assert holds(one.spread, 0.2 * (iso / 12800) ** 0.5, one.view, goal)
    assert not holds(one.spread, 0.2 * (2 * iso / 12800) ** 0.5, one.view, goal)
    assert holding_iso(one, replace(reading, exposure=replace(LENS, iso=None))) is None


@pytest.mark.parametrize(
    ("offset", "said"), [(18.0, "mm behind it."), (-18.0, "mm in front of it.")]
)
def test_side_is_said_the_right_way_round(offset: float, said: str) -> None:
    assert said in answer_frame(frame(focused_face(offset)), Viewing()).sentence


def test_goal_is_the_promised_print_else_a_wall_print_else_what_is_possible() -> None:
    soft = focused_face(18.0)
    assert case(soft, Viewing(print_cm=30))[0].goal_cm == 30
    assert case(soft, Viewing())[0].goal_cm == 60
    huge, _ = case(soft, Viewing(print_cm=500))
    assert huge.goal_cm == pytest.approx(0.9 * huge.reach_without_blur_cm)
    sharp, _ = case(face(near_blur=blur("none", 0.5)), Viewing())
    assert sharp.goal_cm == pytest.approx(0.9 * sharp.reach_without_blur_cm)
