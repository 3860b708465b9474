"""The slanted edge against kernels whose transfer is known in closed form.

Frequencies of half contrast: computed from the kernels' transfer and again from rendered edges with
a plain e-SFR (8 rows of a table of check values). Diffraction: J. W. Goodman, Introduction to
Fourier Optics (formula), and prysm 0.21.1.
"""

import warnings

import numpy as np
import pytest
from scipy import ndimage
from tests.measure.slanted_edges import KERNELS, edge, true_mtf

from eyeplane.measure.slanted import edge_response

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # prysm imports pkg_resources, which warns of its own end
    from prysm import otf


@pytest.mark.parametrize(("kernel", "size_px", "half_per_px"), KERNELS)
def test_known_kernels_come_back(kernel: str, size_px: float, half_per_px: float) -> None:
    seen = edge_response(edge(kernel, size_px, side_px=100))
    truth = true_mtf(seen.frequency_per_px, kernel, size_px)
    nyquist = seen.frequency_per_px <= 0.5
    # the task's bounds are .01 and 1.5 %; ours come within a third of them
    assert np.abs(seen.mtf - truth)[nyquist].max() < 0.0033
    assert seen.mtf50_per_px == pytest.approx(half_per_px, rel=0.005)


@pytest.mark.parametrize("normal_deg", [-175.0, -95.0, -80.0, 10.0, 17.0, 60.0, 95.0, 172.0])
def test_every_direction_and_either_side(normal_deg: float) -> None:
    seen = edge_response(edge("disc", 2.0, normal_deg=normal_deg))
    truth = true_mtf(seen.frequency_per_px, "disc", 2.0, normal_deg=normal_deg)
    assert np.abs(seen.mtf - truth)[seen.frequency_per_px <= 0.5].max() < 0.0033
    assert seen.angle_deg == pytest.approx(normal_deg, abs=0.05)


@pytest.mark.parametrize("f_number", [4.0, 8.0, 16.0])
def test_a_perfect_lens_is_read_as_one(f_number: float) -> None:
    """An edge through the exact point spread of diffraction, pixels of 4 µm."""
    pitch_um, parts, side = 4.0, 16, 96
    n = side * parts
    y, x = np.mgrid[0:n, 0:n]
    a = np.radians(5.0)
    across = (x + 0.5 - n / 2) * np.cos(a) - (y + 0.5 - n / 2) * np.sin(a)
    u, v = np.fft.rfftfreq(n, 1 / parts)[None, :], np.fft.fftfreq(n, 1 / parts)[:, None]
    lens = otf.diffraction_limited_mtf(f_number, 0.55, frequencies=np.hypot(u, v) / pitch_um * 1e3)
    sharp = np.where(across > 0, 0.6, 0.1)
    blurred = np.fft.irfft2(np.fft.rfft2(sharp) * np.nan_to_num(lens), s=sharp.shape)
    pixels = blurred.reshape(side, parts, side, parts).mean((1, 3))
    inner = slice(side // 6, side - side // 6)  # the transform wraps round
    seen = edge_response(pixels[inner, inner], airy_px=0.55 * f_number / pitch_um)
    f = seen.frequency_per_px
    truth = true_mtf(f, "step", 0.0) * otf.diffraction_limited_mtf(
        f_number, 0.55, frequencies=np.maximum(f, 1e-9) / pitch_um * 1e3
    )
    nyquist = f <= 0.5
    # at f/16 the lowest frequencies would need a piece wider than 64 px
    assert np.abs(seen.mtf - truth)[nyquist].max() < 0.013
    assert np.abs(seen.mtf - truth)[nyquist & (f >= 0.1)].max() < 0.007  # nothing beats the limit


@pytest.mark.slow
@pytest.mark.parametrize(
    ("size_px", "side_px", "noise", "smoothed_px"),
    [(0.8, 60, 0.01, 0.0), (1.5, 40, 0.02, 0.0), (0.8, 60, 0.01, 0.7)],
)
def test_intervals_hold_the_truth_nine_times_in_ten(
    size_px: float, side_px: int, noise: float, smoothed_px: float
) -> None:
    """Noise of photons, and noise shared between neighbours as demosaicking shares it."""
    rng = np.random.default_rng(7)
    clean = edge("gauss", size_px, side_px=side_px, normal_deg=6.0)
    truth = edge_response(clean).mtf50_per_px
    hits = []
    for _ in range(100):
        grain = rng.normal(size=clean.shape)
        if smoothed_px:
            grain = ndimage.gaussian_filter(grain, smoothed_px, mode="wrap")
            grain /= grain.std()
        seen = edge_response(clean + noise * grain * np.sqrt(clean / 0.35))
        assert seen.mtf50_per_px is not None
        assert truth is not None
        hits.append(abs(seen.mtf50_per_px - truth) < 1.645 * seen.mtf50_sd_per_px)
    # 85 to 95 %, and what chance adds for 100 draws: 2 standard deviations are 6 %
    assert 0.81 < np.mean(hits) < 0.98
