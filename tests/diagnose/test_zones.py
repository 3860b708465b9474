"""Places of a head: their depths by pose, on a head whose places are known."""

import math
from dataclasses import replace

import pytest
from tests.diagnose.builders import blur, face, sharp_or_disc

from eyeplane.diagnose.zones import zones_of
from eyeplane.people import glasses_frame_depth, head_depth
from eyeplane.records import FaceReading, Landmark, Measured


def turned(yaw_deg: float, *, glasses: bool | None = None) -> FaceReading:
    """Return a face turned by an angle, its far iris where the standard head has it."""
    one = face(near_blur=sharp_or_disc(6.0))
    marks = tuple(
        replace(m, depth_mm=63.0 * math.sin(math.radians(yaw_deg))) if m.name == "far iris" else m
        for m in one.face.landmarks
    )
    pose = Measured(value=yaw_deg, low=yaw_deg - 5, high=yaw_deg + 5)
    return replace(one, face=replace(one.face, yaw_deg=pose, landmarks=marks), glasses=glasses)


def depth(one: FaceReading, name: str) -> float:
    return next(z.depth_mm for z in zones_of(one) if z.name == name)


def test_places_that_are_no_landmarks_follow_people_and_pose() -> None:
    # Lash tips 8 mm before the iris on average (people/head_depths.py), the longest 8 to 12 mm
    # (from memory); bridge of the nose 20 mm ahead (canonical face mesh: 57.9 less 37 mm).
    lashes = next(z for z in zones_of(turned(0.0)) if z.name == "the lashes")
    tips = head_depth("lash tips").mean_mm
    assert lashes.depth_mm - lashes.extent_mm < tips < lashes.depth_mm + lashes.extent_mm
    assert -12.0 <= lashes.depth_mm - lashes.extent_mm <= -8.0
    assert depth(turned(0.0), "the bridge of the nose") == pytest.approx(-20.0, abs=0.01)
    # Turned by 30°: half of what lies between the eyes, 63 sin 30° / 2 = 15.75, less 20 cos 30°.
    assert depth(turned(30.0), "the bridge of the nose") == pytest.approx(-1.57, abs=0.01)


def test_glasses_are_a_place_only_where_they_are_worn() -> None:
    # Vertex distance 12 to 14 mm (opticians' practice), 3 mm of chamber, 2 mm of rim: 17 to 19 mm.
    worn = turned(0.0, glasses=True)
    assert depth(worn, "the glasses frame") == glasses_frame_depth().mean_mm
    assert -19.0 <= glasses_frame_depth().mean_mm <= -16.0
    for glasses in (None, False):
        names = {z.name for z in zones_of(turned(0.0, glasses=glasses))}
        assert "the glasses frame" not in names
    aside = next(z for z in zones_of(turned(25.0, glasses=True)) if z.name == "the glasses frame")
    # Near rim at −18 cos 25° = −16.3, bridge 13.3 behind that: the frame reaches over both.
    assert aside.depth_mm - aside.extent_mm < -16.3
    assert aside.depth_mm + aside.extent_mm > -3.1


def test_zones_are_in_order_once_each_and_skip_bare_skin() -> None:
    one = turned(20.0)
    extra = (
        Landmark(name="near cheek", at_px=(1.0, 1.0), depth_mm=1.0, depth_sd_mm=4.0),
        Landmark(name="chin", at_px=(1.0, 1.0), depth_mm=-11.0, depth_sd_mm=6.0),
    )
    one = replace(one, face=replace(one.face, landmarks=(*one.face.landmarks, *extra)))
    zones = zones_of(one)
    assert [z.depth_mm for z in zones] == sorted(z.depth_mm for z in zones)
    assert len({z.name for z in zones}) == len(zones)
    assert not {"the chin", "the cheek"} & {z.name for z in zones}


def test_a_measured_place_carries_its_disc_and_a_line_is_none() -> None:
    one = face(
        near_blur=blur("disc", 6.0),
        far_blur=blur("disc", 3.0),
        probes=[
            ("near brow", -8.0, blur("disc", 4.0)),
            ("mouth", -14.0, blur("line", 5.0, angle_deg=10.0)),
        ],
    )
    discs = {z.name: z.blur_px for z in zones_of(one)}
    assert discs["the brow"] is not None
    assert discs["the brow"].value == 4.0
    assert discs["the mouth"] is None
    assert discs["the far eye"] is not None
    shut = replace(
        one,
        face=replace(one.face, eyes=(one.face.eyes[0], replace(one.face.eyes[1], open=False))),
    )
    assert {z.name: z.blur_px for z in zones_of(shut)}["the far eye"] is None


def test_without_a_near_eye_there_is_no_far_one() -> None:
    names = {z.name for z in zones_of(face(near_blur=blur("disc", 6.0), near=None))}
    assert "the far eye" not in names
