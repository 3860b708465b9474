"""The glass out of the chart: what is left of the blur when pixel and diffraction are taken out."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.chart_design import TILT_DEG
from eyeplane.kit.chart_frame import Half
from eyeplane.kit.chart_zones import Z90
from eyeplane.optics import airy_mtf
from eyeplane.optics.kit_blur import GLASS_WIDE_POWER, WAVELENGTH_UM
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]

# Spread of a print's edges, standard deviation; from memory: 40 to 80 µm from 10 to 90 % of the
# step, laser and ink alike; x / 1.5 nine times in ten.
PRINT_EDGE_MM = 0.02
PRINT_EDGE_RATIO = 1.5
MODEL_SHARE = 0.08  # of a squared spread: how well two numbers describe a lens; our own
LEAST_STOPS_APART = 1.9  # between widest and smallest aperture, for two numbers


def glass_px2(half_per_px: float, *, airy_px: float) -> float:
    """Return the squared Gaussian spread that pixel and diffraction leave.

    Parameters
    ----------
    half_per_px : float
        Frequency of half the contrast, > 0.
    airy_px : float
        Wavelength times f-number, in px.

    Returns
    -------
    float
        In px²; 0 where pixel and diffraction alone let no more through.

    Notes
    -----
    As plans count it: contrasts multiply, sin(π f) / (π f) of the pixel, that of a perfect lens,
    and exp(−2 π² σ² f²) of the glass. What a camera's sharpening gives back is not taken out, since
    the chart is read from frames without it; plans take it off the glass by themselves.

    Examples
    --------
    A Gaussian of 0.8 px before pixels of 1 px, no diffraction, falls to half at 0.2201:

    >>> round(glass_px2(0.2201, airy_px=0.0) ** 0.5, 2)
    0.8
    """
    a = np.radians(TILT_DEG)
    pixel = np.sinc(half_per_px * np.cos(a)) * np.sinc(half_per_px * np.sin(a))
    through = float(pixel * airy_mtf([half_per_px], airy_px=airy_px)[0])
    if through <= 0.5:
        return 0.0
    return float(np.log(through / 0.5) / (2.0 * (np.pi * half_per_px) ** 2))


def glass_of(
    half: Half | None,
    *,
    f_number: float | None,
    pitch_um: float | None,
    scale_px_per_mm: float,
    print_edge_mm: float = PRINT_EDGE_MM,
) -> Measured | None:
    """Return the glass at one aperture.

    Parameters
    ----------
    half : Half or None
        Frequency of half the contrast.
    f_number, pitch_um : float or None
        Aperture and distance of pixel centres.
    scale_px_per_mm : float
        Pixels for a millimetre of the chart.
    print_edge_mm : float
        Spread of a usual print's edges; 0 leaves them in.

    Returns
    -------
    Measured or None
        Gaussian spread on the sensor in µm, a usual print's edges taken out; softer and sharper
        prints lie in the interval. None where aperture, pixels or frequency are not known.

    Notes
    -----
    At magnification m a lens stands farther from the sensor, and diffraction is that of N (1 + m),
    pupils taken to be alike.
    """
    if half is None or f_number is None or pitch_um is None:
        return None
    magnification = scale_px_per_mm * pitch_um / 1000.0
    airy_px = WAVELENGTH_UM * f_number * (1.0 + magnification) / pitch_um
    sharper, seen, softer = (
        glass_px2(float(np.exp(half.log + z * half.sd)), airy_px=airy_px) for z in (Z90, 0.0, -Z90)
    )
    ends = (seen - sharper, softer - seen)
    return _behind_print(
        seen * pitch_um**2,
        (ends[0] * pitch_um**2, ends[1] * pitch_um**2),
        (print_edge_mm * scale_px_per_mm * pitch_um) ** 2,
    )


def _behind_print(seen_um2: float, errors_um2: tuple[float, float], print_um2: float) -> Measured:
    """Return the spread that a print's edges leave, from squares; errors: down, up."""
    value = max(seen_um2 - print_um2, 0.0)
    down = np.hypot(errors_um2[0], print_um2 * (PRINT_EDGE_RATIO**2 - 1.0))
    up = np.hypot(errors_um2[1], print_um2 * (1.0 - PRINT_EDGE_RATIO**-2))
    low, high = max(seen_um2 - print_um2 - down, 0.0), max(seen_um2 - print_um2 + up, 0.0)
    return Measured(value=float(np.sqrt(value)), low=float(np.sqrt(low)), high=float(np.sqrt(high)))


def two_numbers(
    glass: Sequence[tuple[float, Measured]], *, print_um: float
) -> tuple[Measured, Measured, float] | None:
    """Return the glass at its best and what it adds wide open, as plans know a lens.

    Parameters
    ----------
    glass : sequence of (float, Measured)
        Apertures and the glass there in µm, the print's edges not taken out.
    print_um : float
        What a usual print's edges count for on the sensor; they lie in the first number alone.

    Returns
    -------
    tuple of (Measured, Measured, float) or None
        Best, added at the widest aperture, and that aperture: σ² = best² + wide² (N₀ / N)⁴ by
        least squares, neither below zero. None where apertures lie within two stops.
    """
    if len(glass) < 2:
        return None
    f_numbers = np.array([f for f, _ in glass])
    widest = float(f_numbers.min())
    if 2.0 * np.log2(f_numbers.max() / widest) < LEAST_STOPS_APART:
        return None
    squared = np.array([g.value**2 for _, g in glass])
    spread = np.array([(g.high**2 - g.value**2) / Z90 for _, g in glass])
    sd = np.sqrt(spread**2 + (MODEL_SHARE * squared) ** 2 + 0.02**2)  # µm²: what no print tells
    table = np.stack([np.ones_like(squared), (widest / f_numbers) ** (2 * GLASS_WIDE_POWER)])
    from scipy.optimize import nnls  # noqa: PLC0415  loaded only for this

    solved, _ = nnls((table / sd).T, squared / sd)
    covariance = np.linalg.inv((table / sd) @ (table / sd).T)
    error = Z90 * np.sqrt(np.diag(covariance))
    best, wide = (
        _behind_print(float(value), (float(one), float(one)), of_print)
        for value, one, of_print in zip(solved, error, (print_um**2, 0.0), strict=True)
    )
    return best, wide, widest
