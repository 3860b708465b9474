"""Contrast transfer against closed forms, tables and general optics libraries."""

import warnings
from typing import Any

import numpy as np
import pytest
from scipy import integrate, special

from eyeplane.optics import (
    airy_mtf,
    airy_um,
    defocus_mtf,
    defocus_otf,
    defocus_waves,
    diffraction_mtf,
    disc_mtf,
    gaussian_mtf,
    line_mtf,
    photopic_diffraction_mtf,
    photopic_weights,
    pixel_mtf,
    shake_mtf,
)

with warnings.catch_warnings():
    warnings.filterwarnings("ignore", message="pkg_resources is deprecated", category=UserWarning)
    from prysm import coordinates, degredations, detector, geometry, otf, propagation

F_NUMBERS = (1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22)


def test_diffraction_at_parts_of_the_cutoff() -> None:
    # 2/π (acos s − s √(1 − s²)), worked two ways (closed form, prysm).
    s = [0.1, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9]
    mtf = [0.8729, 0.7471, 0.6850, 0.6238, 0.5046, 0.3910, 0.2848, 0.1881, 0.1443, 0.1041, 0.0374]
    assert airy_mtf(s, airy_px=1) == pytest.approx(mtf, abs=5e-5)
    assert airy_mtf([0.40397, 0.80538, 1 / 1.21967], airy_px=1) == pytest.approx(
        [0.5, 0.1, 0.08923], abs=1e-5
    )


# f-number: Airy radius in µm, cutoff per mm, MTF at 10, 20, 40, 50, 80, 100 per mm; 0.55 µm.
DIFFRACTION = {
    1.4: (0.939, 1298.7, 0.9902, 0.9804, 0.9608, 0.9510, 0.9216, 0.9021),
    2.8: (1.878, 649.4, 0.9804, 0.9608, 0.9216, 0.9021, 0.8435, 0.8047),
    4: (2.683, 454.5, 0.9720, 0.9440, 0.8881, 0.8602, 0.7771, 0.7222),
    5.6: (3.757, 324.7, 0.9608, 0.9216, 0.8435, 0.8047, 0.6895, 0.6141),
    8: (5.367, 227.3, 0.9440, 0.8881, 0.7771, 0.7222, 0.5613, 0.4584),
    11: (7.379, 165.3, 0.9230, 0.8463, 0.6949, 0.6208, 0.4087, 0.2797),
    16: (10.733, 113.6, 0.8881, 0.7771, 0.5613, 0.4584, 0.1845, 0.0490),
    22: (14.758, 82.6, 0.8463, 0.6949, 0.4087, 0.2797, 0.0068, 0.0),
}


@pytest.mark.parametrize("f_number", DIFFRACTION)
def test_diffraction_table(f_number: float) -> None:
    radius_um, cutoff_per_mm, *mtf = DIFFRACTION[f_number]
    scale_um = airy_um(f_number=f_number)
    assert special.jn_zeros(1, 1)[0] / np.pi * scale_um == pytest.approx(radius_um, abs=6e-4)
    assert 1000 / scale_um == pytest.approx(cutoff_per_mm, abs=0.05)
    got = diffraction_mtf([10, 20, 40, 50, 80, 100], f_number=f_number)
    assert got == pytest.approx(mtf, abs=6e-5)


@pytest.mark.parametrize("f_number", F_NUMBERS)
def test_diffraction_against_prysm(f_number: float) -> None:
    per_mm = np.linspace(1.0, 120.0, 60)
    theirs = otf.diffraction_limited_mtf(f_number, 0.55, frequencies=per_mm.copy())
    assert np.abs(diffraction_mtf(per_mm, f_number=f_number) - theirs).max() < 1e-6


@pytest.mark.parametrize("f_number", [2.8, 11])
def test_photopic_average_against_prysm(f_number: float) -> None:
    per_mm = np.linspace(1.0, 120.0, 30)
    wavelengths_um, weights = photopic_weights()
    theirs = sum(
        weight * otf.diffraction_limited_mtf(f_number, float(w), frequencies=per_mm.copy())
        for w, weight in zip(wavelengths_um, weights, strict=True)
    )
    ours = photopic_diffraction_mtf(per_mm, f_number=f_number)
    assert np.abs(ours - theirs).max() < 1e-6


# Hopkins 1955 (from memory); worked four ways that agree: direct integral, Bessel series of 40
# terms, prysm and another propagation library. Rows: part of the cutoff; columns: waves.
WAVES = (0.25, 0.5, 0.75, 1, 2, 5)
DEFOCUS = {
    0.05: (0.9260, 0.8955, 0.8462, 0.7801, 0.4130, -0.0863),
    0.1: (0.8389, 0.7421, 0.5975, 0.4266, -0.0840, -0.0316),
    0.2: (0.6586, 0.4348, 0.1764, -0.0144, 0.0450, 0.0063),
    0.3: (0.5016, 0.2293, -0.0000, -0.0695, -0.0081, 0.0035),
    0.4: (0.3794, 0.1257, -0.0373, -0.0369, -0.0155, -0.0038),
    0.5: (0.2875, 0.0846, -0.0327, -0.0201, -0.0077, -0.0021),
    0.8: (0.0924, 0.0627, 0.0281, 0.0020, 0.0062, 0.0009),
}


@pytest.mark.parametrize("s", DEFOCUS)
def test_defocus_table(s: float) -> None:
    got = [float(defocus_otf(s, waves=waves)) for waves in WAVES]
    assert got == pytest.approx(list(DEFOCUS[s]), abs=1e-4)


@pytest.mark.parametrize("waves", [0.0, 0.3, 1.0, 5.0, 40.0])
def test_defocus_against_the_direct_integral(waves: float) -> None:
    for s in (0.003, 0.05, 0.3, 0.7, 0.97):

        def integrand(x: float, s: float = s) -> float:
            root = np.sqrt(max(0.0, 1 - (x + s) ** 2))
            return float(np.cos(8 * np.pi * waves * s * x) * root)

        value, _ = integrate.quad(integrand, 0, 1 - s, limit=1000, epsabs=1e-11)
        assert float(defocus_otf(s, waves=waves)) == pytest.approx(4 / np.pi * value, abs=1e-8)


@pytest.mark.slow
@pytest.mark.parametrize("waves", [0.5, 2.0])
def test_defocus_against_prysm_propagation(waves: float) -> None:
    # Pupil of 10 mm at f/4, propagated to its focus, transformed to an MTF.
    x, y = coordinates.make_xy_grid(512, diameter=10.0)
    r, _ = coordinates.cart_to_polar(x, y)
    pupil = geometry.circle(5.0, r).astype(float)
    path_nm = waves * 0.55e3 * (r / 5.0) ** 2
    front = propagation.Wavefront.from_amp_and_phase(pupil, path_nm, 0.55, x[0, 1] - x[0, 0])
    image: Any = front.focus(40.0, Q=4).intensity
    per_mm, theirs = otf.mtf_from_psf(image.data, image.dx).slices().x
    below = (per_mm > 0) & (per_mm < 0.98 / (0.55e-3 * 4))
    ours = defocus_mtf(per_mm[below], blur_um=waves * 8 * 4 * 0.55, f_number=4)
    assert below.sum() > 100
    assert np.abs(ours - theirs[below]).max() < 1e-3


def test_waves_from_a_blur_circle() -> None:
    # δ = c N and W = δ / (8 N² λ): 20 µm of focus error at f/2.8 are 7.14 µm of blur, 0.58 waves.
    assert defocus_waves(blur_um=20 / 2.8, f_number=2.8) == pytest.approx(
        20 / (8 * 2.8**2 * 0.55), rel=1e-12
    )


def test_geometric_disc() -> None:
    # |2 J1(π c ν) / (π c ν)|: zero at 1.2197, one half at 0.70508 (closed form).
    got = disc_mtf([1.21967, 0.70508, 0.5, 1.0], disc_px=1)
    assert got == pytest.approx([0, 0.5, 0.7217, 0.1812], abs=5e-5)


@pytest.mark.parametrize(
    ("blur_um", "per_mm", "exact", "disc", "product"),
    [(17.857, 40, 0.4998, 0.4896, 0.4512), (71.43, 10, 0.4930, 0.4896, 0.4800)],
)
def test_where_the_geometric_disc_is_fair(
    blur_um: float, per_mm: float, exact: float, disc: float, product: float
) -> None:
    # f/2.8, 0.55 µm; exact by the integral, all three worked by hand.
    got_exact = defocus_mtf([per_mm], blur_um=blur_um, f_number=2.8)[0]
    got_disc = disc_mtf([per_mm], disc_px=blur_um / 1000)[0]
    assert got_exact == pytest.approx(exact, abs=2e-4)
    assert got_disc == pytest.approx(disc, abs=2e-4)
    assert got_disc * diffraction_mtf([per_mm], f_number=2.8)[0] == pytest.approx(product, abs=2e-4)


def test_line_pixel_gaussian_and_shake() -> None:
    # Closed forms, confirmed by Monte Carlo.
    assert line_mtf([0.603355, 1.0], line_px=1) == pytest.approx([0.5, 0.0], abs=1e-5)
    assert pixel_mtf([0.5])[0] == pytest.approx(0.63662, abs=1e-5)
    assert gaussian_mtf([0.187391], gaussian_px=1)[0] == pytest.approx(0.5, abs=1e-5)
    assert shake_mtf([0.38274], amplitude_px=1)[0] == pytest.approx(0, abs=1e-5)


def test_pixel_against_prysm() -> None:
    per_um = np.linspace(0.001, 0.1, 20)
    theirs = detector.pixel_ft(per_um, 0 * per_um, 4.35, 4.35)
    assert np.abs(pixel_mtf(per_um, pixel_px=4.35) - theirs).max() < 1e-12


def test_line_and_gaussian_against_prysm() -> None:
    # Its smear needs the angle 360 (0 raises); its jitter of scale s is a Gaussian of σ = s / 2.
    per_um = np.linspace(0.001, 0.1, 20)
    smear = degredations.smear_ft(per_um, 0 * per_um, 10, 360.0)
    assert np.abs(line_mtf(per_um, line_px=10) - smear).max() < 1e-9
    jitter = degredations.jitter_ft(per_um, 10)
    assert np.abs(gaussian_mtf(per_um, gaussian_px=5) - jitter).max() < 1e-12


def test_airy_pattern_behind_the_diffraction_mtf() -> None:
    # The pattern's dark rings lie at 1.21967, 2.23313 and 3.23832 λN (closed form, zeros of J1 over
    # π), its full width at half height is 1.028994 λN (photutils and by hand).
    def brightness(radius: float) -> float:
        def ring(s: float) -> float:
            return float(airy_mtf([s], airy_px=1)[0] * special.j0(2 * np.pi * radius * s) * s)

        return float(integrate.quad(ring, 0, 1, limit=200)[0])

    middle = brightness(0)
    for radius in (1.21967, 2.23313, 3.23832):
        assert brightness(radius) / middle == pytest.approx(0, abs=1e-5)
    assert brightness(1.028994 / 2) / middle == pytest.approx(0.5, abs=1e-5)


def test_shapes_against_sampled_point_spreads() -> None:
    # Monte Carlo with fixed seed: the mean phase of points drawn from the spread is its transfer.
    rng = np.random.default_rng(7)
    n = 200_000
    f = 0.11
    across_disc = np.sqrt(rng.random(n)) * np.cos(2 * np.pi * rng.random(n)) * 5 / 2
    swing = 3 * np.sin(2 * np.pi * rng.random(n))
    for points, expected in (
        (across_disc, disc_mtf([f], disc_px=5)),
        (swing, shake_mtf([f], amplitude_px=3)),
        (rng.random(n) * 6, line_mtf([f], line_px=6)),
        (rng.normal(scale=1.5, size=n), gaussian_mtf([f], gaussian_px=1.5)),
    ):
        measured = np.abs(np.mean(np.exp(2j * np.pi * f * points)))
        assert measured == pytest.approx(abs(expected[0]), abs=0.006)
