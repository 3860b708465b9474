"""Other published measures of how sharp a print looks rank prints as ours does."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.optics import (
    Observer,
    PointSpread,
    barten_sensitivity,
    perceived_sharpness,
    px_per_deg,
    true_contrast,
)
from eyeplane.optics.barten import eye_sigma_deg, pupil_mm, retinal_illuminance_td

Array = NDArray[np.float64]
PER_DEG = np.linspace(0.05, 60, 4000)


def mannos_sakrison(nu: Array) -> Array:
    """Return the sensitivity of Mannos and Sakrison (IEEE Trans. IT-20, 1974; from memory)."""
    return np.asarray(2.6 * (0.0192 + 0.114 * nu) * np.exp(-((0.114 * nu) ** 1.1)), float)


def barten_at_a_print(nu: Array) -> Array:
    """Return Barten's sensitivity for a well-lit print: 100 cd/m², 40 degrees (our choice)."""
    pupil = pupil_mm(luminance_cd_per_m2=100, field_deg=40)
    observer = Observer(
        sigma_deg=eye_sigma_deg(pupil_mm=pupil),
        illuminance_td=retinal_illuminance_td(luminance_cd_per_m2=100, pupil_mm=pupil),
        field_deg=40,
    )
    return barten_sensitivity(nu, observer=observer)


def seen(spread: PointSpread, scale: float, nu: Array) -> Array:
    """Return the contrast that reaches the viewer: frame, printed pixel, Nyquist frequency."""
    f = nu / scale
    return true_contrast(spread, f) * np.abs(np.sinc(f)) * (f < 0.5)


def weighted(sensitivity: Callable[[Array], Array], spread: PointSpread, scale: float) -> float:
    weight = sensitivity(PER_DEG)
    return float((seen(spread, scale, PER_DEG) * weight).sum() / weight.sum())


def subjective_quality(contrast: Callable[[Array], Array]) -> float:
    """Return the mean contrast over log frequency from 3 to 12 cycles per degree."""
    nu = np.geomspace(3, 12, 2001)
    values = contrast(nu)
    return float(((values[1:] + values[:-1]) / 2).mean())


def test_mannos_sakrison_as_published() -> None:
    # Peak 1 at about 8 cycles per degree (Matković, thesis, TU Wien); .98088 at 7.891 and the table
    # worked by hand.
    nu = np.array([0, 1, 2, 4, 8, 10, 15, 20, 30, 60], float)
    values = [0.0499, 0.3160, 0.5280, 0.8105, 0.9808, 0.9495, 0.7400, 0.5027, 0.1870, 0.0045]
    assert mannos_sakrison(nu) == pytest.approx(values, abs=1e-4)


def test_subjective_quality_as_published() -> None:
    # Granger & Cupery, Photogr. Sci. Eng. 16, 221-230, 1972 (definition from memory): a flat .5
    # gives .5; 1 − ν/24 gives 1 − (9/24)/ln 4 = .729495.
    assert subjective_quality(lambda nu: 0.5 + 0 * nu) == pytest.approx(0.5)
    assert subjective_quality(lambda nu: 1 - nu / 24) == pytest.approx(0.729495, abs=1e-5)


# From sharp to soft: frame pixels per inch of a print seen from 25 cm, disc in pixels.
SHARP_TO_SOFT = ((400, 0.5), (300, 0.0), (300, 2.0), (200, 1.0), (150, 1.0), (150, 3.0), (72, 1.0))


@pytest.mark.parametrize("measure", ["Barten", "Mannos", "subjective quality", "ours"])
def test_all_rank_prints_alike(measure: str) -> None:
    got = []
    for px_per_inch, disc_px in SHARP_TO_SOFT:
        scale = px_per_deg(long_edge_px=px_per_inch, print_cm=2.54, viewing_cm=25)
        spread = PointSpread(disc_px=disc_px)

        def contrast(nu: Array, spread: PointSpread = spread, scale: float = scale) -> Array:
            return seen(spread, scale, nu)

        got.append(
            {
                "Barten": weighted(barten_at_a_print, spread, scale),
                "Mannos": weighted(mannos_sakrison, spread, scale),
                "subjective quality": subjective_quality(contrast),
                "ours": perceived_sharpness(spread=spread, noise_contrast=0, px_per_deg=scale),
            }[measure]
        )
    assert got == sorted(got, reverse=True)
    assert got[0] - got[-1] > 0.2


def test_barten_meets_the_anchors_less_sharply() -> None:
    # Why the plainer weighting was taken: from 300 to 100 px/inch it falls by more.
    def fall(weight: Callable[[Array], Array]) -> float:
        scales = [px_per_deg(long_edge_px=p, print_cm=2.54, viewing_cm=25) for p in (300, 100)]
        sharp, soft = (weighted(weight, PointSpread(), scale) for scale in scales)
        return sharp - soft

    ours = [
        perceived_sharpness(
            spread=PointSpread(),
            noise_contrast=0,
            px_per_deg=px_per_deg(long_edge_px=p, print_cm=2.54, viewing_cm=25),
        )
        for p in (300, 100)
    ]
    assert fall(barten_at_a_print) == pytest.approx(0.849 - 0.465, abs=0.004)
    assert ours[0] - ours[1] > fall(barten_at_a_print) + 0.03
