"""What focusing in the middle and turning the camera costs, against figures of the trade.

Focus and recompose puts the plane behind the eye by s (1 − cos θ); worked out with a pocket
calculator: 1.5 m and 8° make 15 mm, 2 m and 10° make 30 mm, 3 m and 15° make 102 mm.
"""

import math
from dataclasses import replace

import pytest
from tests.sitting.made import face, reading

from eyeplane.records import Exposure, FaceReading, Measured
from eyeplane.sitting.offsets import recomposed_mm

FOCAL_MM, PITCH_UM = 50.0, 6.0


def eye_at(angle_deg: float, straight_mm: float) -> FaceReading:
    """Return a face whose near eye lies so far off the axis, `straight_mm` from the lens."""
    axis_mm = straight_mm * math.cos(math.radians(angle_deg))
    image_mm = FOCAL_MM * axis_mm / (axis_mm - FOCAL_MM)
    off_px = math.tan(math.radians(angle_deg)) * image_mm / (PITCH_UM / 1000.0)
    one = face((3000 + off_px - 60, 2000 - 104, 200.0, 260.0))  # its left iris at (60, 104)
    distance = Measured(value=axis_mm, low=axis_mm, high=axis_mm)
    return replace(one, face=replace(one.face, distance_mm=distance))


@pytest.mark.parametrize(
    ("straight_mm", "angle_deg", "expected_mm"),
    [(1500.0, 8.0, 15.0), (2000.0, 10.0, 30.0), (3000.0, 15.0, 102.0), (2000.0, 0.0, 0.0)],
)
def test_the_shift_behind_the_eye(straight_mm: float, angle_deg: float, expected_mm: float) -> None:
    frame = reading(size_px=(6000, 4000), exposure=Exposure(focal_length_mm=FOCAL_MM))
    found = recomposed_mm(eye_at(angle_deg, straight_mm), frame)
    assert found == pytest.approx(expected_mm, abs=0.5)
