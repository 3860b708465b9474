"""Lids drawn by hand."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.faces.lids import is_open, lid_opening


def lids(opening_px: float, turn_rad: float = 0.0) -> NDArray[np.float64]:
    """Return an almond 60 px wide that opens by so much in its middle, turned."""
    lower_x = np.linspace(0.0, 60.0, 9)
    upper_x = lower_x[1:8]
    bow = opening_px / 2 * np.sin(np.pi * lower_x / 60.0)
    lower = np.column_stack([lower_x, bow])
    upper = np.column_stack([upper_x, -bow[1:8]])
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    turned: NDArray[np.float64] = np.vstack([lower, upper]) @ np.array([[c, s], [-s, c]])
    return turned + 100.0


@pytest.mark.parametrize("turn_rad", [0.0, 0.4, math.pi / 2, 3.0])
def test_opening_is_read_whatever_the_turn(turn_rad: float) -> None:
    assert lid_opening(lids(18.0, turn_rad), iris_diameter_px=24.0) == pytest.approx(0.75)


def test_open_shut_and_in_between() -> None:
    """Looking ahead an eye opens 8–11 mm over an iris of 11.7 (common practice, no source)."""
    assert is_open(lids(24.0 * 9.5 / 11.7), iris_diameter_px=24.0) is True
    assert is_open(lids(24.0 * 1.5 / 11.7), iris_diameter_px=24.0) is False
    assert is_open(lids(24.0 * 3.4 / 11.7), iris_diameter_px=24.0) is None


def test_a_tiny_eye_cannot_be_told() -> None:
    assert is_open(lids(18.0), iris_diameter_px=3.0) is None
