"""Barten's sensitivity: behaviour that any eye shows."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.optics import Observer, barten_sensitivity
from eyeplane.optics.barten import pupil_mm

PER_DEG = np.geomspace(0.5, 50, 60)


@given(dim=st.floats(1, 1000), factor=st.floats(1, 100))
def test_more_light_never_hurts_and_narrows_the_pupil(dim: float, factor: float) -> None:
    low, high = (
        barten_sensitivity(PER_DEG, observer=Observer(illuminance_td=light))
        for light in (dim, dim * factor)
    )
    assert np.all(high >= low)
    widths = [pupil_mm(luminance_cd_per_m2=light, field_deg=40) for light in (dim, dim * factor)]
    assert 2 <= widths[1] <= widths[0] <= 8


def test_peak_between_one_and_ten_cycles() -> None:
    peak = PER_DEG[np.argmax(barten_sensitivity(PER_DEG))]
    assert 1 < peak < 10
