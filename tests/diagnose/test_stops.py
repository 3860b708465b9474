"""Apertures that hold several eyes, by table and by the thin lens."""

from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, face, focused_face, frame

from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.reach import holds, print_view
from eyeplane.diagnose.stops import aim_cm, spread_at, stop_as_focused, stop_with_focus_between
from eyeplane.light import F_NUMBERS
from eyeplane.optics import focus_between_mm
from eyeplane.records import FaceReading, FrameReading, Viewing


def case(one: FaceReading, viewing: Viewing | None = None) -> tuple[FaceCase, FrameReading]:
    reading = frame(one)
    view = print_view(reading, viewing or Viewing(print_cm=40))
    return case_of(one, reading, view, sitter=True), reading


def test_aim_is_the_promise_else_a_wall_print_and_never_more_than_the_pixels_hold() -> None:
    sharp = face(near_blur=blur("none", 0.5))
    assert aim_cm(case(sharp)[0]) == 40.0
    assert aim_cm(case(sharp, Viewing())[0]) == 60.0
    small = replace(frame(sharp), width_px=1500, height_px=1000)
    view = print_view(small, Viewing())
    tiny = case_of(sharp, small, view, sitter=True)
    assert aim_cm(tiny) == pytest.approx(0.7 * tiny.reach_without_blur_cm)


def test_rows_of_a_handbook_are_held_with_the_focus_between_them() -> None:
    # NAVEDTRA 14209 (1993): rows at 9.8 and 10.2 ft are held with the focus at 10 ft, the harmonic
    # mean. Here the aperture: at the named stop both hold, a third of a stop wider neither does.
    one, reading = case(focused_face(0.0))
    rows = (9.8 * 304.8, 10.2 * 304.8)
    stop = stop_with_focus_between([(one, rows[0]), (one, rows[1])], reading)
    assert stop in F_NUMBERS
    plane = focus_between_mm(near_mm=rows[0], far_mm=rows[1])
    assert plane == pytest.approx(10.0 * 304.8, rel=1e-3)
    wider = F_NUMBERS[F_NUMBERS.index(stop) - 1]
    for eye in rows:
        assert holds(spread_at(one, stop, plane, eye), one.noise, one.view, 40.0)
        assert not holds(spread_at(one, wider, plane, eye), one.noise, one.view, 40.0)
        near, far = (spread_at(one, stop, plane, row).disc_px for row in rows)
        assert near == pytest.approx(far, rel=1e-6)


def test_focus_between_never_needs_a_smaller_aperture_than_focus_on_the_near_one() -> None:
    for apart in (50.0, 150.0, 400.0):
        one, reading = case(focused_face(0.0))
        far_px = spread_at(one, 1.8, 1500.0, 1500.0 + apart).disc_px
        fixed = stop_as_focused([(one, 0.3), (one, far_px)], reading)
        between = stop_with_focus_between([(one, 1500.0), (one, 1500.0 + apart)], reading)
        assert fixed is None or (between is not None and between <= fixed)


def test_the_aperture_used_is_enough_where_nothing_is_apart() -> None:
    one, reading = case(focused_face(0.0))
    assert stop_with_focus_between([(one, 1500.0), (one, 1500.0)], reading) == 1.8


def test_no_stop_without_what_it_rests_on() -> None:
    one, reading = case(focused_face(0.0))
    bare = replace(reading, exposure=replace(LENS, f_number=None))
    assert stop_as_focused([(one, 5.0)], bare) is None
    assert stop_with_focus_between([(one, 1500.0)], bare) is None
    assert stop_with_focus_between([], reading) is None
    assert stop_with_focus_between([(one, 500.0), (one, 9000.0)], reading) is None
    lensless = case_of(one.reading, bare, one.view, sitter=True)
    assert stop_with_focus_between([(lensless, 1500.0)], reading) is None
    assert spread_at(lensless, 2.8, 1500.0, 1600.0).disc_px == 0.0
