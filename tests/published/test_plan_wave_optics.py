"""The disc that a print takes by the plan, against the waves of a general optics library.

The plan multiplies the disc's contrast with that of diffraction. Here prysm carries the light from
a pupil out of focus to its point spread, exact for a perfect lens; acutance is then summed afresh.
"""

import math
import warnings

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.optics import SHARP, Spreads, airy_um, blur_limits

with warnings.catch_warnings():
    warnings.filterwarnings("ignore", message="pkg_resources is deprecated", category=UserWarning)
    from prysm import coordinates, geometry, otf, propagation

FloatArray = NDArray[np.float64]

PITCH_UM, LONG_EDGE_PX, WAVELENGTH_UM = 6.0, 6000, 0.55
PER_DEG = np.linspace(1e-3, 60, 4000)


def library_mtf(*, f_number: float, disc_um: float) -> tuple[FloatArray, FloatArray]:
    """Return frequencies per mm and the contrast of a perfect lens whose disc is so large."""
    waves = disc_um / (8 * f_number * WAVELENGTH_UM)  # W020 = δz / (8 N² λ), δz = c N
    x, y = coordinates.make_xy_grid(512, diameter=10.0)
    radius, _ = coordinates.cart_to_polar(x, y)
    pupil = geometry.circle(5.0, radius).astype(float)
    path_nm = waves * WAVELENGTH_UM * 1e3 * (radius / 5.0) ** 2
    wave = propagation.Wavefront.from_amp_and_phase(
        pupil, path_nm, WAVELENGTH_UM, x[0, 1] - x[0, 0]
    )
    spread = wave.focus(10.0 * f_number, Q=4).intensity
    per_mm, contrast = otf.mtf_from_psf(spread.data, spread.dx).slices().x
    return np.asarray(per_mm), np.asarray(contrast)


def acutance(*, f_number: float, disc_um: float, print_cm: float) -> float:
    """Return the acutance from 50 cm: ∫ M C / ∫ C, up to the first zero and the pixels' end."""
    per_mm, contrast = library_mtf(f_number=f_number, disc_um=disc_um)
    px_per_deg = LONG_EDGE_PX / print_cm * 50.0 * math.radians(1)
    per_px = PER_DEG / px_per_deg
    seen = np.interp(per_px / PITCH_UM * 1000.0, per_mm, contrast) * np.sinc(per_px) ** 2
    rising = np.flatnonzero(np.diff(seen) > 1e-9)  # an MTF has no sign: past its zero it rises
    if len(rising):
        seen[rising[0] :] = 0.0
    seen[per_px > 0.5] = 0.0
    weight = PER_DEG**0.8 * np.exp(-0.2 * PER_DEG)
    return float((seen * weight).sum() / weight.sum())


@pytest.mark.parametrize(("print_cm", "f_number"), [(60.0, 1.4), (60.0, 8.0), (30.0, 11.0)])
def test_a_disc_that_the_plan_allows_looks_sharp(print_cm: float, f_number: float) -> None:
    px_per_deg = LONG_EDGE_PX / print_cm * 50.0 * math.radians(1)
    airy_px = airy_um(f_number=f_number) / PITCH_UM
    limit_um = PITCH_UM * float(
        blur_limits(Spreads(airy_px=airy_px), px_per_deg=px_per_deg).disc_px
    )
    assert limit_um > 0
    # By waves it is a little sharper than the plan thinks, never less sharp: the plan's limit is
    # on the safe side, by no more than a sixth.
    assert acutance(f_number=f_number, disc_um=limit_um, print_cm=print_cm) >= SHARP - 0.001
    assert acutance(f_number=f_number, disc_um=1.18 * limit_um, print_cm=print_cm) < SHARP
