"""The set from above against angles of view as lens makers print them."""

import math

import pytest

from eyeplane.deliver.plan_set_view import takes_in_mm
from eyeplane.records import PlanKit

# Angle of view along the long side of 36 × 24 mm, focused at infinity, as data sheets of lenses
# print it: from memory, rounded there to a degree or a tenth.
ANGLES_DEG = {24.0: 73.7, 35.0: 54.4, 50.0: 39.6, 85.0: 23.9, 135.0: 15.2}


@pytest.mark.parametrize(("focal_length_mm", "angle_deg"), ANGLES_DEG.items())
def test_the_frame_takes_in_the_angle_of_view(focal_length_mm: float, angle_deg: float) -> None:
    far_mm = 1e7
    long, short = takes_in_mm(PlanKit(focal_length_mm=focal_length_mm), far_mm)
    assert math.degrees(2 * math.atan(long / 2 / far_mm)) == pytest.approx(angle_deg, abs=0.15)
    assert long / short == pytest.approx(1.5)


def test_at_twice_the_focal_length_it_takes_in_the_sensor() -> None:
    # Unit magnification: object and image lie at 2 f (any textbook of optics).
    assert takes_in_mm(PlanKit(focal_length_mm=100.0), 200.0) == (36.0, 24.0)
