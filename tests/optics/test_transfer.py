"""Contrast transfer of single shapes of blur."""

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest

from eyeplane.errors import InputError
from eyeplane.optics import (
    PointSpread,
    airy_mtf,
    defocus_otf,
    diffraction_mtf,
    disc_mtf,
    gaussian_mtf,
    line_mtf,
    pixel_mtf,
    shake_mtf,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

FREQUENCIES = np.linspace(0, 1, 301)


def test_all_start_at_one_and_are_even() -> None:
    shapes: dict[str, Callable[[list[float]], NDArray[np.float64]]] = {
        "airy": lambda f: airy_mtf(f, airy_px=2),
        "disc": lambda f: disc_mtf(f, disc_px=3),
        "line": lambda f: line_mtf(f, line_px=3),
        "shake": lambda f: shake_mtf(f, amplitude_px=3),
        "pixel": pixel_mtf,
        "gaussian": lambda f: gaussian_mtf(f, gaussian_px=3),
        "defocus": lambda f: defocus_otf(f, waves=1),
    }
    for name, shape in shapes.items():
        assert shape([0.0])[0] == pytest.approx(1, abs=1e-12), name
        assert shape([-0.1])[0] == pytest.approx(shape([0.1])[0]), name


def test_no_size_lets_everything_through() -> None:
    f = FREQUENCIES
    for values in (
        airy_mtf(f, airy_px=0),
        disc_mtf(f, disc_px=0),
        line_mtf(f, line_px=0),
        shake_mtf(f, amplitude_px=0),
        gaussian_mtf(f, gaussian_px=0),
    ):
        assert np.all(values == 1)


def test_refusals() -> None:
    with pytest.raises(InputError, match="disc_px"):
        PointSpread(disc_px=-1)
    with pytest.raises(InputError, match="line_px"):
        PointSpread(line_px=math.nan)
    with pytest.raises(InputError, match="gaussian_px"):
        gaussian_mtf([0.1], gaussian_px=-1)
    with pytest.raises(InputError, match="f_number"):
        diffraction_mtf([10], f_number=0)
