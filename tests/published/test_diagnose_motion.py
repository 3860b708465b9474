"""Motion's lengths and rates against worked numbers."""

import pytest
from tests.diagnose.builders import LENS, blur, face, frame

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.motion import shake_rate_deg_per_s
from eyeplane.optics import magnification
from eyeplane.records import Viewing


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
