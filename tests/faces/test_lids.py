"""Lids drawn by hand."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.faces.lids import EyeSigns, are_open, lid_opening


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


def signs(opening_mm: float, contrast: float | None, *, weight: float = 1.0) -> EyeSigns:
    return EyeSigns(
        lids_px=lids(24.0 * opening_mm / 11.7),
        iris_diameter_px=24.0,
        contrast=contrast,
        weight=weight,
    )


def test_open_and_shut() -> None:
    """Looking ahead an eye opens 8–11 mm over an iris of 11.7 (common practice, no source)."""
    wide, shut = signs(9.5, 0.055), signs(1.5, 0.01)
    assert are_open((wide, wide)) is True
    assert are_open((shut, shut)) is False
    assert are_open((signs(6.4, 0.045), signs(6.6, 0.045))) is None


def test_lids_drawn_half_open_are_not_believed_without_an_iris() -> None:
    assert are_open((signs(6.0, 0.01), signs(6.0, 0.02))) is False


def test_what_cannot_be_seen_cannot_be_told() -> None:
    assert are_open((signs(9.5, None), signs(9.5, None))) is None
    tiny = EyeSigns(lids_px=lids(3.0), iris_diameter_px=4.0, contrast=0.06, weight=1.0)
    assert are_open((tiny, tiny)) is None
    assert are_open(()) is None


def test_the_far_eye_counts_less() -> None:
    assert are_open((signs(9.0, 0.055), signs(2.0, 0.03, weight=0.1))) is True
