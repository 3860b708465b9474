"""Motion's lengths and rates against worked numbers."""

import math
from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, face, frame
from tests.diagnose.moves import MIDDLE, head_at, in_field, scene, shown, turning

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.motion import shake_rate_deg_per_s
from eyeplane.diagnose.motion_findings import ghost_findings
from eyeplane.diagnose.rotation import rotation_of
from eyeplane.optics import magnification
from eyeplane.records import Ghost, Measured, Viewing


@pytest.mark.parametrize(("length_um", "rate"), [(30.0, 1.719), (63.0, 3.610)])
@pytest.mark.parametrize("focal_length_mm", [35.0, 85.0, 200.0])
def test_reciprocal_rule_as_a_rate(length_um: float, rate: float, focal_length_mm: float) -> None:
    # At 1/f s a blur of 30 um is 1.719 deg/s, 63 um (threshold of AS ISO 20954-1:2019) 3.610
    # deg/s, whatever the focal length.
    found = shake_rate_deg_per_s(
        length_mm=length_um / 1000, focal_length_mm=focal_length_mm, time_s=1 / focal_length_mm
    )
    assert found == pytest.approx(rate, abs=0.001)


def test_walking_speed_on_the_sensor_and_back_at_the_sitter() -> None:
    # 1 m/s across at 2 m before an 85 mm lens, 1/250 s: 177.5 um on the sensor (v m t, computed).
    m = magnification(focal_length_mm=85.0, subject_distance_mm=2000.0)
    pitch_um = 4.4
    length_px = 1000.0 * 1000.0 * m / 250.0 / pitch_um
    moved = face(near_blur=blur("line", length_px, angle_deg=0.0))
    scale = pitch_um / 1000.0 / m
    exact = frame(moved, background=[blur("none", 1.0)], exposure=LENS)
    answer = answer_frame(exact, Viewing()).faces[0]
    assert answer.motion_um is not None
    assert answer.motion_um.value == pytest.approx(177.5, abs=0.1)
    assert answer.motion_mm is not None
    # The builder's scale is 0.1 mm per px; the exact one gives the 4 mm walked in 1/250 s.
    assert answer.motion_mm.value * scale / 0.1 == pytest.approx(4.0, rel=1e-6)
    assert answer.cause == "sitter"


def test_arc_of_a_turn() -> None:
    # An arc is radius times angle: 0.3 degrees 3000 px from the centre draw 15.71 px, across the
    # radius (geometry of the circle).
    field = turning(0.3, MIDDLE)
    drawn = field(MIDDLE[0] + 3000.0, MIDDLE[1])
    assert math.hypot(*drawn) == pytest.approx(15.708, abs=0.001)
    assert drawn[0] == pytest.approx(0.0, abs=1e-9)
    found = rotation_of(in_field(field, heads=[(1500.0, 2500.0)]))
    assert found is not None
    assert found.turned_deg.value == pytest.approx(0.3, rel=0.02)


def test_soft_everywhere_alike_is_no_turn() -> None:
    # A turn leaves its centre sharp and grows outwards; a push is alike everywhere (kinematics of
    # a rigid body: velocity is v + w x r).
    push = (9.0, -4.0)
    spots = ((400.0, 300.0), (5600.0, 300.0), (5600.0, 3700.0), (400.0, 3700.0))
    pushed = scene([head_at(MIDDLE, push)], [(at, shown(push)) for at in spots])
    assert rotation_of(pushed) is None


@pytest.mark.parametrize(("stops", "percent"), [(3, 11), (5, 3)])
def test_share_of_a_ghost_by_stops_of_room_light(stops: int, percent: int) -> None:
    # Steady light n stops under the flash draws 1 / (2^n + 1) of the picture: three stops a ghost
    # of 1/9 (12 % of the flash's light), five of 1/33 (3 %). Common practice, no source; the sums
    # are ours.
    share = 1 / (1 + 2.0**-stops)
    ghost = Ghost(
        core_share=Measured(value=share, low=share, high=share),
        length_px=Measured(value=14.0, low=12.0, high=16.0),
        angle_deg=0.0,
        gain=20.0,
    )
    reading = frame(replace(face(near_blur=blur("none", 1.0)), ghost=ghost), exposure=LENS)
    (found,) = ghost_findings(reading.faces[0], reading)
    assert f"with {percent}\u2009% of the light" in found.text
