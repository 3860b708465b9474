"""Diffraction and exact defocus: limits, bounds, and the range of the simple shapes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.optics import (
    airy_mtf,
    defocus_otf,
    diffraction_mtf,
    disc_mtf,
    photopic_diffraction_mtf,
)


def test_defocus_without_defocus_is_diffraction() -> None:
    s = np.linspace(0, 1.2, 50)
    assert defocus_otf(s, waves=0) == pytest.approx(airy_mtf(s, airy_px=1), abs=1e-9)
    assert defocus_otf(s, waves=-1) == pytest.approx(defocus_otf(s, waves=1), abs=1e-12)


@given(waves=st.floats(0, 30), s=st.floats(0, 1))
def test_defocus_never_beats_focus(waves: float, s: float) -> None:
    assert abs(float(defocus_otf(s, waves=waves))) <= airy_mtf([s], airy_px=1)[0] + 1e-9


@given(ratio=st.floats(0.1, 80))
def test_disc_times_diffraction_is_on_the_safe_side(ratio: float) -> None:
    # Disc in units of wavelength times f-number; up to the first zero of the disc, as documented.
    s = np.linspace(0, min(1.0, 1.2196 / ratio), 60)
    exact = defocus_otf(s, waves=ratio / 8)
    product = disc_mtf(s, disc_px=ratio) * airy_mtf(s, airy_px=1)
    assert np.max(product - exact) < 1e-3
    assert np.max(exact - product) < 0.25


@given(ratio=st.floats(20, 200))
def test_disc_alone_within_its_stated_range(ratio: float) -> None:
    s = np.linspace(0, 1.2196 / ratio, 60)
    off = np.abs(disc_mtf(s, disc_px=ratio) - defocus_otf(s, waves=ratio / 8))
    assert np.max(off) < (0.06 if ratio < 40 else 0.03)


def test_photopic_lies_between_blue_and_red() -> None:
    per_mm = np.linspace(5, 150, 30)
    blue, red = (diffraction_mtf(per_mm, f_number=8, wavelength_um=w) for w in (0.45, 0.65))
    photopic = photopic_diffraction_mtf(per_mm, f_number=8)
    assert np.all((red < photopic) & (photopic < blue))
