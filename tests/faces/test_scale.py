"""Scale and distance from eyes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.faces.scale import Scale, distance_mm, relative_interval, scale_at_eyes
from eyeplane.records import Measured

PITCH = Measured(value=6.0, low=6.0, high=6.0)


def at_eyes(iris_px: float, apart_px: float, shown: float = 1.0) -> Scale:
    return scale_at_eyes(
        iris_px=iris_px,
        iris_sd_px=0.03 * iris_px,
        eyes_apart_px=apart_px,
        foreshortening=shown,
        foreshortening_sd=0.01,
    )


def test_an_average_adult_by_hand() -> None:
    """Iris 11.71 mm and eyes 60 mm apart at 0.1 mm per pixel: both say the same."""
    scale = at_eyes(117.1, 600.0)
    assert scale.mm_per_px == pytest.approx(0.1, rel=1e-6)
    assert scale.relative_sd < math.hypot(0.42 / 11.71, 0.03)  # two witnesses are surer than one


def test_a_turned_head_shows_its_eyes_closer_together() -> None:
    assert at_eyes(117.1, 600.0 * 0.8, 0.8).mm_per_px == pytest.approx(0.1, rel=1e-6)


def test_a_childs_eyes_do_not_set_the_scale() -> None:
    """A newborn's irises are 10–11 mm but its eyes some 40 mm apart (common knowledge)."""
    assert at_eyes(117.1, 400.0).mm_per_px == pytest.approx(0.1, rel=1e-6)


@given(st.floats(20.0, 300.0), st.floats(500.0, 20000.0))
def test_distance_is_the_inverse_of_magnification(focal_mm: float, beyond_mm: float) -> None:
    """Thin lens: magnification f / (u − f), here from u to pixels and back."""
    subject_mm = focal_mm + beyond_mm
    magnification = focal_mm / (subject_mm - focal_mm)
    mm_per_px = 6.0 / 1000.0 / magnification
    told = distance_mm(
        Scale(mm_per_px=mm_per_px, relative_sd=0.04), focal_length_mm=focal_mm, pitch_um=PITCH
    )
    assert told is not None
    assert told.value == pytest.approx(subject_mm, rel=1e-9)
    assert told.low < subject_mm < told.high


def test_distance_cannot_be_told_without_the_lens_or_the_pitch() -> None:
    scale = Scale(mm_per_px=0.1, relative_sd=0.04)
    assert distance_mm(scale, focal_length_mm=None, pitch_um=PITCH) is None
    assert distance_mm(scale, focal_length_mm=85.0, pitch_um=None) is None


def test_relative_interval_is_even_in_the_logarithm() -> None:
    told = relative_interval(10.0, 0.1)
    assert told.low * told.high == pytest.approx(100.0)
    assert told.high / told.value == pytest.approx(math.exp(0.1645), rel=1e-3)
