"""The eye: contrast sensitivity and V(λ) against published values and colour-science."""

import math
import warnings

import numpy as np
import pytest
from scipy import integrate

from eyeplane.optics import (
    Observer,
    barten_sensitivity,
    cycles_per_deg,
    photopic_weights,
    visual_weight,
)
from eyeplane.optics.barten import eye_mtf, eye_sigma_deg, pupil_mm, retinal_illuminance_td

# Importing colour-science sets numpy's print options for the whole process: put them back.
with warnings.catch_warnings(), np.printoptions():
    warnings.filterwarnings("ignore", message='"Matplotlib" related API features')
    from colour.colorimetry import SDS_LEFS
    from colour.contrast import contrast_sensitivity_function_Barten1999 as theirs
    from colour.contrast.barten1999 import pupil_diameter_Barten1999 as their_pupil


@pytest.mark.parametrize(
    ("per_deg", "changes", "sensitivity"),
    [
        (4, {}, 352.7613421),
        (8, {}, 177.7063388),
        (4, {"sigma_deg": 0.02}, 320.8724016),
        (4, {"illuminance_td": 130.0}, 455.1713158),
        (4, {"photons_per_td": 1.4e6}, 374.7913286),
    ],
)
def test_barten_values(per_deg: float, changes: dict[str, float], sensitivity: float) -> None:
    # Barten 1999 as printed in the tests of colour-science 0.4.7: σ .01, E 65, p 1.2e6.
    settings = {"sigma_deg": 0.01, "illuminance_td": 65.0, "photons_per_td": 1.2e6} | changes
    got = barten_sensitivity(per_deg, observer=Observer(**settings))
    assert float(got) == pytest.approx(sensitivity, rel=1e-8)


def test_barten_standard_observer() -> None:
    # colour-science 0.4.7, defaults, run.
    got = barten_sensitivity([4, 8, 16, 30])
    assert got == pytest.approx([360.8691122, 186.164, 70.969, 14.206], abs=1e-3)


def test_barten_against_colour_science() -> None:
    per_deg = np.geomspace(0.3, 50, 40)
    assert barten_sensitivity(per_deg) == pytest.approx(theirs(per_deg), rel=1e-9)


def test_barten_parts() -> None:
    # Printed in the tests of colour-science 0.4.7.
    assert eye_mtf([4, 8], sigma_deg=0.01) == pytest.approx([0.968910791, 0.881323137], abs=1e-9)
    assert eye_sigma_deg(pupil_mm=2.1) == pytest.approx(0.008791157, abs=1e-9)
    assert retinal_illuminance_td(luminance_cd_per_m2=20, pupil_mm=2.1) == pytest.approx(
        66.08231606, abs=1e-8
    )


def test_pupil_takes_the_logarithm_to_base_ten() -> None:
    # As published (Watson & Yellott, J. Vision 12(10):12, 2012, say so of this formula) and as
    # colour-science 0.4.7 has it. An older version of that library printed 2.272517 mm for 20 cd/m²
    # and 60°, which is the natural logarithm.
    ours = pupil_mm(luminance_cd_per_m2=20, field_deg=60)
    assert ours == pytest.approx(float(their_pupil(20, 60)), abs=1e-9)
    assert 5 - 3 * math.tanh(0.4 * math.log(20 * 60**2 / 40**2)) == pytest.approx(
        2.272517, abs=1e-6
    )
    # Barten's formula for 100 cd/m² and 60°, colour-science's own example.
    assert pupil_mm(luminance_cd_per_m2=100, field_deg=60) == pytest.approx(2.7931307, abs=1e-6)


def test_photopic_response_against_colour_science() -> None:
    # CIE 1924 V(λ), which that library tabulates at 1 nm.
    table = SDS_LEFS["CIE 1924 Photopic Standard Observer"]
    wavelengths_um, weights = photopic_weights()
    v = np.array([float(table[round(1000 * w)]) for w in wavelengths_um])
    assert weights == pytest.approx(v / v.sum(), abs=2e-6)


def test_weighting_peaks_at_four_cycles_and_only_its_shape_counts() -> None:
    # ν^c e^(−bν) peaks at c/b = 4 cycles per degree (closed form).
    per_deg = np.linspace(0.1, 40, 4000)
    assert per_deg[np.argmax(visual_weight(per_deg))] == pytest.approx(4, abs=0.02)


@pytest.mark.parametrize(
    ("sigma_deg", "acutance"), [(0.01, 0.8313), (0.02, 0.5908), (0.03, 0.4253)]
)
def test_acutance_of_gaussians(sigma_deg: float, acutance: float) -> None:
    # ∫ M C / ∫ C up to 30 cycles per degree, worked apart from this code.
    def weighted(nu: float) -> float:
        return float(visual_weight(nu) * math.exp(-2 * (math.pi * sigma_deg * nu) ** 2))

    seen, _ = integrate.quad(weighted, 0, 30)
    whole, _ = integrate.quad(lambda nu: float(visual_weight(nu)), 0, 30)
    assert seen / whole == pytest.approx(acutance, abs=1e-4)


def test_pixels_in_the_view() -> None:
    # 300 pixels per inch at 25 cm: 1.164 arc minutes a pixel, Nyquist 25.77 cycles per degree;
    # a pixel is one arc minute at 11.46 in (question-and-answer page, and by hand).
    inch_cm = 2.54
    nyquist = cycles_per_deg([0.5], long_edge_px=300, print_cm=inch_cm, viewing_cm=25)[0]
    assert nyquist == pytest.approx(25.77, abs=0.005)
    assert 30 / nyquist == pytest.approx(1.164, abs=0.001)
    one_minute = cycles_per_deg(
        [0.5], long_edge_px=300, print_cm=inch_cm, viewing_cm=11.46 * inch_cm
    )
    assert one_minute[0] == pytest.approx(30, abs=0.01)
    # ISO 12232:2019 notes to 6.3: prints of 70 px/cm at 25 cm, 30.5 pixels per degree.
    assert cycles_per_deg([1.0], long_edge_px=70, print_cm=1, viewing_cm=25)[0] == pytest.approx(
        30.546, abs=0.01
    )


def test_angle_of_the_old_criterion() -> None:
    # 0.25 mm at 250 mm is 3.438 arc minutes; one arc minute at 250 mm is 0.0727 mm (by hand).
    assert math.degrees(math.atan(0.25 / 250)) * 60 == pytest.approx(3.438, abs=5e-4)
    assert 250 * math.tan(math.radians(1 / 60)) == pytest.approx(0.0727, abs=5e-5)
