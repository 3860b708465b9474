"""Contrast transfer (MTF) of the simple shapes of blur: what share of contrast each lets through.

Frequency and size come as cycles per pixel and pixels; as only their product counts, cycles per
mm with mm, or cycles per degree with degrees, serve as well. All are even in the frequency and 1
at frequency 0; a size of 0 lets everything through. Sign kept: below 0 the contrast is reversed.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics.arguments import not_negative

DISC_FIRST_ZERO = 1.2196698912665045  # frequency x diameter, first zero of J1 over pi: exact
SHAKE_FIRST_ZERO = 0.38273988  # frequency x amplitude, first zero of J0 over 2 pi: exact


def airy_mtf(frequency_per_px: ArrayLike, *, airy_px: float) -> NDArray[np.float64]:
    """Return the MTF of an ideal round lens limited by diffraction alone.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel.
    airy_px : float
        Wavelength times f-number, in pixels, >= 0: the inverse of the cutoff frequency. The first
        dark ring of the Airy pattern has the radius 1.22 times this.

    Returns
    -------
    ndarray
        2/π (arccos s − s √(1 − s²)) with s = frequency × `airy_px`; 0 from s = 1 on.

    Raises
    ------
    InputError
        If the size is negative.

    References
    ----------
    J. W. Goodman, Introduction to Fourier Optics, section on the optical transfer function
    (formula from memory; equal to prysm 0.21.1 within 1e-15).

    Examples
    --------
    >>> airy_mtf([0.25, 1.0], airy_px=2).round(4)
    array([0.391, 0.   ])
    """
    not_negative(airy_px=airy_px)
    s = np.clip(np.abs(np.asarray(frequency_per_px, float)) * airy_px, 0.0, 1.0)
    return np.asarray(2 / np.pi * (np.arccos(s) - s * np.sqrt(1 - s * s)), float)


def disc_mtf(frequency_per_px: ArrayLike, *, disc_px: float) -> NDArray[np.float64]:
    """Return the transfer of a uniform disc: geometric defocus of a round pupil.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel.
    disc_px : float
        Diameter of the disc, in pixels, >= 0.

    Returns
    -------
    ndarray
        2 J1(x) / x with x = π × diameter × frequency, between −0.133 and 1.

    Raises
    ------
    InputError
        If the size is negative.

    Notes
    -----
    Valid where the disc is large against the Airy pattern, and before its first zero at diameter ×
    frequency = 1.22: there it is within 0.06 of the exact `defocus_otf` from a diameter of 20
    wavelengths × f-number on, within 0.03 from 40 on. Near the first zero it reads low.

    Examples
    --------
    >>> disc_mtf([0.0, 0.5, 1.0], disc_px=1).round(4)
    array([1.    , 0.7217, 0.1812])
    """
    not_negative(disc_px=disc_px)
    x = np.pi * disc_px * np.abs(np.asarray(frequency_per_px, float))
    tiny = x < 1e-8
    x = np.where(tiny, 1.0, x)
    from scipy import special  # noqa: PLC0415  loading it takes longer than a plan

    return np.asarray(np.where(tiny, 1.0, 2 * special.j1(x) / x), float)


def line_mtf(frequency_per_px: ArrayLike, *, line_px: float) -> NDArray[np.float64]:
    """Return the transfer of steady motion, for patterns that vary along the motion.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency along the motion, cycles per pixel.
    line_px : float
        Length of the path during the exposure, in pixels, >= 0.

    Returns
    -------
    ndarray
        Share of contrast sin(π L f) / (π L f).

    Raises
    ------
    InputError
        If the size is negative.

    Examples
    --------
    >>> line_mtf([0.1, 0.2], line_px=5).round(4)
    array([0.6366, 0.    ])
    """
    not_negative(line_px=line_px)
    return np.asarray(np.sinc(np.asarray(frequency_per_px, float) * line_px), float)


def shake_mtf(frequency_per_px: ArrayLike, *, amplitude_px: float) -> NDArray[np.float64]:
    """Return the transfer of a sine shake of many periods during the exposure, along the shake.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency along the shake, cycles per pixel.
    amplitude_px : float
        Half the distance between the turning points, in pixels, >= 0.

    Returns
    -------
    ndarray
        Share of contrast J0(2 π a f).

    Raises
    ------
    InputError
        If the size is negative.

    Examples
    --------
    >>> shake_mtf([0.0, 0.1], amplitude_px=2).round(4)
    array([1.    , 0.6425])
    """
    not_negative(amplitude_px=amplitude_px)
    x = 2 * np.pi * amplitude_px * np.asarray(frequency_per_px, float)
    from scipy import special  # noqa: PLC0415  loading it takes longer than a plan

    return np.asarray(special.j0(x), float)


def pixel_mtf(frequency_per_px: ArrayLike, *, pixel_px: float = 1.0) -> NDArray[np.float64]:
    """Return the transfer of a square pixel, along its sides.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel.
    pixel_px : float
        Width of the light-sensitive square, in pixels: 1 for a gapless sensor.

    Returns
    -------
    ndarray
        Share of contrast sin(π p f) / (π p f): 0.637 at the Nyquist frequency of a gapless sensor.

    Raises
    ------
    InputError
        If the size is negative.

    Examples
    --------
    >>> pixel_mtf([0.5]).round(5)
    array([0.63662])
    """
    not_negative(pixel_px=pixel_px)
    return np.asarray(np.sinc(np.asarray(frequency_per_px, float) * pixel_px), float)


def gaussian_mtf(frequency_per_px: ArrayLike, *, gaussian_px: float) -> NDArray[np.float64]:
    """Return the transfer of a Gaussian spread, our stand-in for the faults of glass.

    Parameters
    ----------
    frequency_per_px : array_like
        Spatial frequency, cycles per pixel.
    gaussian_px : float
        Standard deviation of the spread, in pixels, >= 0.

    Returns
    -------
    ndarray
        Share of contrast exp(−2 π² σ² f²).

    Raises
    ------
    InputError
        If the size is negative.

    Examples
    --------
    >>> gaussian_mtf([0.187391], gaussian_px=1).round(4)
    array([0.5])
    """
    not_negative(gaussian_px=gaussian_px)
    f = np.asarray(frequency_per_px, float)
    return np.asarray(np.exp(-2 * (np.pi * gaussian_px * f) ** 2), float)
