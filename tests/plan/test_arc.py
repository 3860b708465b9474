"""Arcs of people and of the surface in focus."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.plan.arc import bend, field_sag_mm, sag_mm

ALONG = np.linspace(-1500.0, 1500.0, 7)


@given(st.floats(1500, 50_000))
def test_everybody_stands_on_the_circle(radius: float) -> None:
    across, nearer = bend(ALONG, radius_mm=radius)
    assert np.hypot(across, radius - nearer) == pytest.approx(radius)
    # Evenly spaced along the curve: neighbours see each other under one angle.
    angles = np.arctan2(across, radius - nearer)
    assert np.diff(angles) == pytest.approx(500.0 / radius)


def test_a_straight_row_is_the_limit_of_a_flat_arc() -> None:
    across, nearer = bend(ALONG, radius_mm=1e9)
    assert across == pytest.approx(ALONG, abs=1e-3)
    assert nearer == pytest.approx(0.0, abs=2e-3)
    same, none = bend(ALONG, radius_mm=None)
    assert (same == ALONG).all()
    assert not none.any()


@given(st.floats(2000, 20_000))
def test_the_sag_of_a_field_undoes_an_arc_of_its_radius(radius: float) -> None:
    across, nearer = bend(ALONG, radius_mm=radius)
    assert field_sag_mm(across, radius_mm=radius) == pytest.approx(nearer, abs=1e-6)


def test_a_field_that_bends_away_counts_the_other_way() -> None:
    towards = field_sag_mm(ALONG, radius_mm=4000)
    assert (towards >= 0).all()
    assert field_sag_mm(ALONG, radius_mm=-4000) == pytest.approx(-towards)
    assert not field_sag_mm(ALONG, radius_mm=None).any()


def test_the_sag_is_the_circles_own() -> None:
    # By Pythagoras: 300, 400, 500.
    assert float(sag_mm(300.0, radius_mm=500)) == pytest.approx(100.0)


@pytest.mark.parametrize("radius", [0.0, -3000.0, float("inf"), 900.0])
def test_impossible_arcs_are_refused(radius: float) -> None:
    with pytest.raises(InputError, match="arc_radius_mm"):
        bend(ALONG, radius_mm=radius)


def test_a_field_of_no_radius_is_refused() -> None:
    with pytest.raises(InputError, match="field_radius_mm"):
        field_sag_mm(ALONG, radius_mm=0.0)
