"""Who of a group is in and who is out, by table."""

import re
from collections.abc import Sequence
from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, disc_px, face, frame, measured, sharp_or_disc

from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.group import group_findings, group_stops, group_table, stop_for_all
from eyeplane.diagnose.reach import holds, print_view
from eyeplane.diagnose.stops import aim_cm, spread_at
from eyeplane.optics import focus_between_mm
from eyeplane.records import FaceReading, FrameReading, Measured, Viewing

FRONT, REAR = 3500.0, 4100.0


def sitter(
    distance_mm: float, plane_mm: float, left_px: float, *, f_number: float = 1.8
) -> FaceReading:
    size = disc_px(
        0.0, plane_mm - distance_mm, distance_mm=distance_mm, f_number=f_number, pitch_um=4.4
    )
    one = face(
        near_blur=sharp_or_disc(size), distance_mm=distance_mm, box=(left_px, 800.0, 500.0, 700.0)
    )
    return replace(one, face=replace(one.face, distance_mm=measured(distance_mm, 0.05)))


def group(
    distances_mm: Sequence[float], plane_mm: float, *, f_number: float = 1.8
) -> tuple[list[FaceCase], FrameReading]:
    """Return sitters side by side, given from right to left, as a frame."""
    faces = [
        sitter(d, plane_mm, 1000.0 * (len(distances_mm) - i), f_number=f_number)
        for i, d in enumerate(distances_mm)
    ]
    reading = frame(*faces, exposure=replace(LENS, f_number=f_number))
    view = print_view(reading, Viewing(print_cm=40))
    return [case_of(one, reading, view, sitter=True) for one in faces], reading


def test_a_face_without_blur_is_never_out() -> None:
    # 60 cm is more than these pixels hold: no reach is surely enough, yet the front row is sharp.
    cases, reading = group([FRONT, REAR, FRONT], FRONT)
    view = print_view(reading, Viewing(print_cm=400))
    faint = Measured(value=40.0, low=30.0, high=400.0)
    far = [replace(c, view=view, reach_cm=faint) for c in cases]
    table = group_table(far, reading)
    assert [face.inside for face in table] == [None, False, None]


def test_nobody_is_in_whose_reach_falls_short() -> None:
    cases, reading = group([FRONT, REAR, FRONT], FRONT)
    faint = Measured(value=20.0, low=10.0, high=45.0)
    assert {
        f.inside for f in group_table([replace(c, reach_cm=faint) for c in cases], reading)
    } == {
        None,
        False,
    }


def test_the_table_goes_from_left_to_right_and_says_in_and_out() -> None:
    cases, reading = group([FRONT, REAR, FRONT], FRONT)
    table = group_table(cases, reading)
    assert [face.index for face in table] == [2, 1, 0]
    assert [face.name for face in table] == [
        f"the {n} face from the left" for n in ("first", "second", "third")
    ]
    assert [face.inside for face in table] == [True, False, True]
    rear = table[1]
    assert rear.behind_mm is not None
    assert rear.behind_mm.low <= REAR - FRONT <= rear.behind_mm.high
    assert table[0].stop is None
    # The group tells on which side the plane lies of the rear face, not of those in focus.
    assert rear.offset_mm is not None
    assert rear.offset_mm.low <= FRONT - REAR <= rear.offset_mm.high
    assert table[0].offset_mm is None


def test_a_stop_that_is_named_for_a_face_holds_it() -> None:
    cases, reading = group([FRONT, 3600.0], FRONT)
    out = next(f for f in group_table(cases, reading) if f.inside is False)
    assert out.stop is not None
    case = cases[out.index]
    assert holds(spread_at(case, out.stop, FRONT, 3600.0), case.noise, case.view, aim_cm(case))


@pytest.mark.parametrize("plane", [FRONT, 3620.0])
def test_stops_for_all_as_focused_and_between(plane: float) -> None:
    cases, reading = group([FRONT, FRONT, 3620.0], plane)
    stops = group_stops(cases, reading)
    assert stops.as_focused is not None
    assert stops.between is not None
    assert stops.between < stops.as_focused
    assert stop_for_all(cases, reading) == stops.as_focused
    middle = focus_between_mm(near_mm=FRONT, far_mm=3620.0)
    for case, where in zip(cases, (FRONT, FRONT, 3620.0), strict=True):
        for stop, focus in ((stops.as_focused, plane), (stops.between, middle)):
            # Distances are told from blur and faces to some percent, and so is what would hold.
            spread = spread_at(case, stop, focus, where)
            nearly = replace(spread, disc_px=0.95 * spread.disc_px)
            assert holds(nearly, case.noise, case.view, 40.0)


def test_the_finding_says_rows_distance_and_both_ways() -> None:
    cases, reading = group([FRONT, 3680.0, FRONT, 3680.0, FRONT], FRONT)
    (finding,) = group_findings(cases, reading)
    assert finding.kind == "group"
    assert finding.text.startswith("In, for 40\u2009cm: the first, third and fifth from the left.")
    assert "Out: the rear row (the second and fourth from the left), 1" in finding.text
    assert "behind the focus plane" in finding.text
    assert re.search(
        r"All would have held at f/\S+, or at f/\S+ with the focus between", finding.text
    )
    assert finding.advice.startswith("Focus a little nearer than the middle of the group, at f/")


def test_a_front_row_is_called_so() -> None:
    cases, reading = group([FRONT, FRONT, REAR], REAR)
    (finding,) = group_findings(cases, reading)
    assert "the front row (the second and third from the left)" in finding.text
    assert "in front of the focus plane" in finding.text


def test_rows_too_far_apart_are_to_come_closer() -> None:
    cases, reading = group([1500.0, 4100.0], 1500.0)
    (finding,) = group_findings(cases, reading)
    assert "No aperture down to f/16 would have held all." in finding.text
    assert finding.advice == "Bring the faces closer together in depth."


def test_nothing_is_said_of_one_sitter_or_where_all_are_in() -> None:
    for distances in ([FRONT], [FRONT, FRONT, FRONT]):
        cases, reading = group(distances, FRONT)
        assert group_findings(cases, reading) == ()
        assert stop_for_all(cases, reading) is None
    cases, reading = group([FRONT], FRONT)
    assert [f.name for f in group_table(cases, reading)] == [""]


def test_bystanders_do_not_count() -> None:
    cases, reading = group([FRONT, REAR], FRONT)
    cases[1] = replace(cases[1], sitter=False)
    assert len(group_table(cases, reading)) == 1
    assert group_findings(cases, reading) == ()


def test_motion_is_neither_in_nor_out_and_no_aperture_helps_it() -> None:
    cases, reading = group([FRONT, REAR], FRONT)
    moved = blur("line", 12.0, angle_deg=90.0)
    cases[0] = replace(cases[0], eye=replace(cases[0].eye, blur=moved))
    table = {f.index: f for f in group_table(cases, reading)}
    assert table[0].inside is None
    assert table[0].stop is None
    assert group_stops(cases, reading).as_focused is None
    assert group_stops(cases, reading).between is None


def test_without_exif_in_and_out_are_told_by_the_reach_alone() -> None:
    one, two = sitter(FRONT, FRONT, 1000.0), sitter(REAR, FRONT, 2000.0)
    reading = frame(one, two, exposure=replace(LENS, f_number=None))
    view = print_view(reading, Viewing(print_cm=20))
    cases = [case_of(f, reading, view, sitter=True) for f in (one, two)]
    table = group_table(cases, reading)
    assert [f.inside for f in table] == [True, False]
    assert [f.behind_mm for f in table] == [None, None]
    (finding,) = group_findings(cases, reading)
    assert finding.text == "In, for 20\u2009cm: the left face. Out: the right face."
    assert "f/" not in finding.advice


def test_a_group_that_is_soft_throughout_is_not_put_down_to_depth() -> None:
    # Nobody is in focus and no cone calls a side: haze or a slip of the hand would look the same.
    cases, reading = group([FRONT, 3650.0], 9000.0)
    assert not any(case.offset.side for case in cases)
    assert [f.inside for f in group_table(cases, reading)] == [False, False]
    assert [(f.behind_mm, f.stop) for f in group_table(cases, reading)] == [(None, None)] * 2
    assert group_findings(cases, reading) == ()
    assert stop_for_all(cases, reading) is None


def test_a_reach_that_only_may_fall_short_is_not_out() -> None:
    # Blur of 3.5 to 5 px straddles what 40 cm bears (4.4 px): with the plane known only by a face
    # whose distance is known to 5 %, it is neither in nor out.
    size = Measured(value=4.3, low=3.3, high=5.4)
    cases, reading = group([FRONT, FRONT], FRONT)
    unsure = replace(cases[1].eye.blur, kind="disc", size_px=size, disc_px=size)
    one = replace(cases[1].reading, eyes=(replace(cases[1].eye, blur=unsure),) * 2)
    reading = replace(reading, faces=(cases[0].reading, one))
    cases[1] = case_of(one, reading, cases[1].view, sitter=True)
    assert cases[1].reach_cm is not None
    assert cases[1].reach_cm.low < 40.0 < cases[1].reach_cm.high
    assert {f.index: f.inside for f in group_table(cases, reading)} == {0: True, 1: None}


def test_a_single_sitter_stands_where_the_face_alone_says() -> None:
    cases, reading = group([FRONT], FRONT)
    told = Measured(value=18.0, low=12.0, high=24.0)
    behind = replace(cases[0], offset=replace(cases[0].offset, offset_mm=told, side="behind"))
    (row,) = group_table([behind], reading)
    assert row.name == ""
    assert row.behind_mm == Measured(value=-18.0, low=-24.0, high=-12.0)
    (row,) = group_table([replace(cases[0], offset=replace(cases[0].offset, side=""))], reading)
    assert row.behind_mm is None


def test_a_place_as_unsure_as_the_distance_is_none() -> None:
    cases, reading = group([FRONT, REAR, FRONT], FRONT)
    table = group_table(cases, reading)
    assert all(face.behind_mm is not None for face in table)
    # A phone's lens: its discs hardly change with depth, so that the plane may lie anywhere.
    lenses = [case.lens for case in cases if case.lens is not None]
    vague = [
        replace(case, lens=replace(lens, f_number=800.0))
        for case, lens in zip(cases, lenses, strict=True)
    ]
    assert all(face.behind_mm is None for face in group_table(vague, reading))
