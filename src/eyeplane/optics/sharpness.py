"""How sharp a print looks: the contrast that arrives, weighted by what the eye makes of it.

Perceived sharpness is the acutance ∫ M(ν) C(ν) dν / ∫ C(ν) dν over cycles per degree at the
viewer's eye, M the contrast that arrives true and C the eye's weighting. It lies between 0 and 1
and depends on the print only through the number of frame pixels in a degree of view.
"""

import functools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics import special
from eyeplane.optics.arguments import above_zero, not_negative
from eyeplane.optics.spread import PointSpread, contrast_before_zero, first_zero_per_px

RISE = 0.8  # exponent of the eye's weighting; form and value of IEEE 1858, from memory
FALL_DEG = 0.2  # degrees, its decay; IEEE 1858, from memory
FINEST_PER_DEG = 60.0  # cycles/degree, end of the weighting; nobody resolves more, from memory
DETAIL_CONTRAST = 0.06  # of detail at eyes, median of 23; 10-90 %: .026-.118; our own, see docs
LEAST_NOISE = 1e-9  # less is none: it would vanish beside contrasts that are tiny themselves
CELLS = 96  # of the sum over frequency: error of the sharpness below 2e-4


def visual_weight(frequency_per_deg: ArrayLike) -> NDArray[np.float64]:
    """Return how much the eye makes of contrast at a frequency.

    Parameters
    ----------
    frequency_per_deg : array_like
        Spatial frequency, cycles per degree, >= 0.

    Returns
    -------
    ndarray
        Weight ν^0.8 exp(−0.2 ν), highest at 4 cycles per degree; only its shape matters.

    References
    ----------
    IEEE 1858, Standard for Camera Phone Image Quality (form and values from memory); D. Baxter
    et al., Proc. SPIE 8293, 2012.

    Examples
    --------
    >>> visual_weight([1, 4, 16]).round(3)
    array([0.819, 1.362, 0.375])
    """
    nu = np.asarray(frequency_per_deg, float)
    return np.asarray(nu**RISE * np.exp(-FALL_DEG * nu), float)


def px_per_deg(*, long_edge_px: float, print_cm: float, viewing_cm: float) -> float:
    """Return how many frame pixels lie in one degree of view on a print.

    Parameters
    ----------
    long_edge_px : float
        Long edge of the frame, in pixels, > 0.
    print_cm : float
        Long edge of the print, > 0.
    viewing_cm : float
        Distance from eye to print, > 0.

    Returns
    -------
    float
        Pixels per degree, at the point looked at.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    3000 pixels on 10 inches, seen from 25 cm:

    >>> round(px_per_deg(long_edge_px=3000, print_cm=25.4, viewing_cm=25), 2)
    51.54
    """
    above_zero(long_edge_px=long_edge_px, print_cm=print_cm, viewing_cm=viewing_cm)
    return long_edge_px / print_cm * viewing_cm * math.radians(1)


def cycles_per_deg(
    frequency_per_px: ArrayLike, *, long_edge_px: float, print_cm: float, viewing_cm: float
) -> NDArray[np.float64]:
    """Return a frequency of the frame as the viewer of the print meets it.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel of the frame.
    long_edge_px : float
        Long edge of the frame, in pixels, > 0.
    print_cm : float
        Long edge of the print, > 0.
    viewing_cm : float
        Distance from eye to print, > 0.

    Returns
    -------
    ndarray
        Cycles per degree.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> cycles_per_deg([0.5], long_edge_px=3000, print_cm=25.4, viewing_cm=25).round(2)
    array([25.77])
    """
    scale = px_per_deg(long_edge_px=long_edge_px, print_cm=print_cm, viewing_cm=viewing_cm)
    return np.asarray(frequency_per_px, float) * scale


def grain_share(
    contrast: ArrayLike, frequency_per_px: ArrayLike, *, noise_contrast: float
) -> NDArray[np.float64]:
    """Return the share of the contrast seen at a frequency that is detail, not grain.

    Parameters
    ----------
    contrast : array_like
        Share of the sitter's contrast that reaches the file, 0..1.
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel, > 0.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.

    Returns
    -------
    ndarray
        √(S / (S + N)), S the power of the detail, N that of the noise: the correlation between
        what is seen and what was there. 1 without noise.

    Raises
    ------
    InputError
        If the noise is negative.

    Notes
    -----
    Our own, derived so. Detail of natural things has a power per unit of two-dimensional frequency
    that falls as 1/f² (D. J. Field, J. Opt. Soc. Am. A 4, 2379, 1987), here (0.06 M / f)²; white
    noise of standard deviation σ per pixel has σ² at all frequencies. Both scale alike with the
    print, so the share depends on the frame alone.

    Examples
    --------
    >>> grain_share([1.0, 1.0], [0.05, 0.4], noise_contrast=0.1).round(3)
    array([0.997, 0.832])
    """
    not_negative(noise_contrast=noise_contrast)
    f = np.asarray(frequency_per_px, float)
    return _grain_share(np.asarray(contrast, float), f, noise_contrast)


def _grain_share(
    contrast: NDArray[np.float64], f: NDArray[np.float64], noise_contrast: float
) -> NDArray[np.float64]:
    if noise_contrast < LEAST_NOISE:
        return np.ones_like(contrast * f)
    detail = DETAIL_CONTRAST * contrast
    return np.asarray(detail / np.hypot(detail, noise_contrast * f), float)


@functools.cache
def sharpness_cells(
    cells: int = CELLS,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return the cells of the sum over frequency.

    Parameters
    ----------
    cells : int
        How many; half of the usual ones leave an error below 1e-3.

    Returns
    -------
    tuple of ndarray
        Edges (one more than cells), centroids and weights: exact moments of the weighting, cycles
        per degree; weights sum to 1.
    """
    edges = FINEST_PER_DEG * np.linspace(0, 1, cells + 1) ** 1.5
    area = math.gamma(1 + RISE) * np.diff(special.gammainc(1 + RISE, FALL_DEG * edges))
    moment = math.gamma(2 + RISE) * np.diff(special.gammainc(2 + RISE, FALL_DEG * edges))
    return edges, moment / area / FALL_DEG, area / area.sum()


_EDGES, _MIDDLES, _WEIGHTS = sharpness_cells()
_WIDTHS = np.diff(_EDGES)


def perceived_sharpness(*, spread: PointSpread, noise_contrast: float, px_per_deg: float) -> float:
    """Return how sharp the near eye looks, 0..1.

    Parameters
    ----------
    spread : PointSpread
        What blurs the frame at that place.
    noise_contrast : float
        Standard deviation of the noise over the mean, per pixel, linear light, >= 0.
    px_per_deg : float
        Frame pixels in a degree of the viewer's view, > 0.

    Returns
    -------
    float
        Acutance in the worse of the two directions. Never falls when `px_per_deg` grows (a
        smaller print, or a viewer farther off), never rises with any blur or with noise.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The print shows each frame pixel as a square of its size and nothing beyond the frame's
    Nyquist frequency. Every term of the sum is monotone, hence so is the whole: a cell of the
    sum that the Nyquist frequency cuts counts by the part of it that lies below.

    Examples
    --------
    A perfect frame printed with 300 and with 100 pixels per inch, seen from 25 cm:

    >>> perfect = PointSpread()
    >>> round(perceived_sharpness(spread=perfect, noise_contrast=0, px_per_deg=51.54), 3)
    0.865
    >>> round(perceived_sharpness(spread=perfect, noise_contrast=0, px_per_deg=17.18), 3)
    0.438
    """
    above_zero(px_per_deg=px_per_deg)
    not_negative(noise_contrast=noise_contrast)
    # All in the sum ends at the first zero, and at the Nyquist frequency within its cell.
    to_zero = int(np.searchsorted(_MIDDLES, first_zero_per_px(spread) * px_per_deg))
    counted = min(to_zero, int(np.searchsorted(_EDGES[:-1], px_per_deg / 2)))
    f = _MIDDLES[:counted] / px_per_deg
    seen = contrast_before_zero(spread, f)
    if noise_contrast > 0:
        seen = seen * _grain_share(seen, f, noise_contrast)
    seen = seen * np.sin(np.pi * f) / (np.pi * f)  # the printed pixel's square
    below = np.clip((px_per_deg / 2 - _EDGES[:counted]) / _WIDTHS[:counted], 0.0, 1.0)
    return float(np.dot(_WEIGHTS[:counted] * below, seen))
