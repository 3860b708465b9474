"""Diffraction on the sensor, in focus and exactly with defocus, in cycles per millimetre."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics.arguments import above_zero, not_negative
from eyeplane.optics.luminosity import photopic_weights
from eyeplane.optics.transfer import airy_mtf

GREEN_UM = 0.55  # µm, near the peak of V(λ): what "the" wavelength of a photograph means here
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(16)  # per piece of the defocus integral


def airy_um(*, f_number: float, wavelength_um: float = GREEN_UM) -> float:
    """Return wavelength times f-number: the scale of the Airy pattern on the sensor.

    Parameters
    ----------
    f_number : float
        N, > 0.
    wavelength_um : float
        Wavelength in micrometres, > 0.

    Returns
    -------
    float
        Micrometres. The first dark ring has 1.22 times this as radius; its inverse is the cutoff.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(1.21967 * airy_um(f_number=8), 3)
    5.367
    """
    above_zero(f_number=f_number, wavelength_um=wavelength_um)
    return f_number * wavelength_um


def diffraction_mtf(
    frequency_per_mm: ArrayLike, *, f_number: float, wavelength_um: float = GREEN_UM
) -> NDArray[np.float64]:
    """Return the MTF of a perfect lens in focus, light of one wavelength.

    Parameters
    ----------
    frequency_per_mm : array_like
        Spatial frequency on the sensor, cycles per mm.
    f_number : float
        N, > 0.
    wavelength_um : float
        Wavelength in micrometres, > 0.

    Returns
    -------
    ndarray
        As `airy_mtf`: 0 from the cutoff 1 / (λ N) on.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> diffraction_mtf([10, 100], f_number=8).round(4)
    array([0.944 , 0.4584])
    """
    scale_mm = airy_um(f_number=f_number, wavelength_um=wavelength_um) / 1000
    return airy_mtf(frequency_per_mm, airy_px=scale_mm)


def photopic_diffraction_mtf(
    frequency_per_mm: ArrayLike, *, f_number: float
) -> NDArray[np.float64]:
    """Return the MTF of a perfect lens in focus, white light as the eye weighs it.

    Parameters
    ----------
    frequency_per_mm : array_like
        Spatial frequency on the sensor, cycles per mm.
    f_number : float
        N, > 0.

    Returns
    -------
    ndarray
        Mean of `diffraction_mtf` over wavelength, weighted with V(λ), light of equal energy.

    Raises
    ------
    InputError
        If the f-number is not above zero.

    Examples
    --------
    Close to that of 0.56 µm until near the cutoff:

    >>> photopic_diffraction_mtf([10, 100], f_number=8).round(3)
    array([0.943, 0.449])
    """
    wavelengths_um, weights = photopic_weights()
    parts = [
        weight * diffraction_mtf(frequency_per_mm, f_number=f_number, wavelength_um=float(w))
        for w, weight in zip(wavelengths_um, weights, strict=True)
    ]
    return np.asarray(np.sum(parts, axis=0), float)


def defocus_waves(*, blur_um: float, f_number: float, wavelength_um: float = GREEN_UM) -> float:
    """Return the path error at the edge of the pupil that belongs to a blur circle.

    Parameters
    ----------
    blur_um : float
        Diameter of the geometric blur circle on the sensor, in micrometres, >= 0.
    f_number : float
        N, > 0.
    wavelength_um : float
        Wavelength in micrometres, > 0.

    Returns
    -------
    float
        W020 = c / (8 N λ), in wavelengths: with a focus error δ = c N at the sensor, δ / (8 N² λ).

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> round(defocus_waves(blur_um=17.6, f_number=4), 6)
    1.0
    """
    not_negative(blur_um=blur_um)
    return blur_um / (8 * airy_um(f_number=f_number, wavelength_um=wavelength_um))


def defocus_otf(relative_frequency: ArrayLike, *, waves: float) -> NDArray[np.float64]:
    """Return the exact transfer of a perfect lens out of focus, light of one wavelength.

    Parameters
    ----------
    relative_frequency : array_like
        Spatial frequency over the cutoff 1 / (λ N).
    waves : float
        Path error W020 at the edge of the pupil, in wavelengths, either sign; see `defocus_waves`.

    Returns
    -------
    ndarray
        (4/π) ∫ cos(8 π W s x) √(1 − (x + s)²) dx, x from 0 to 1 − s: 1 at 0, 0 from 1 on, and
        negative where the contrast is reversed. With W = 0 it is `airy_mtf`.

    Raises
    ------
    InputError
        If `waves` is not finite.

    Notes
    -----
    Integrated by Gauss and Legendre over arcs of the pupil, at least one for each wave: the error
    stays below 1e-9 at any defocus; time grows with it.

    References
    ----------
    H. H. Hopkins, Proc. R. Soc. London A 231, 91-103, 1955 (from memory; four independent
    ways agree, see the tests).

    Examples
    --------
    >>> defocus_otf([0.1, 0.2], waves=1).round(4)
    array([ 0.4266, -0.0144])
    """
    not_negative(waves=abs(waves))
    s = np.clip(np.abs(np.asarray(relative_frequency, float)), 0.0, 1.0)[..., np.newaxis]
    pieces = 1 + math.ceil(abs(waves))
    # x + s = sin θ takes the root's infinite slope at the edge of the pupil away.
    start = np.arcsin(s)
    within = (np.arange(pieces)[:, np.newaxis] + (_NODES + 1) / 2).ravel() / pieces
    width = np.pi / 2 - start
    theta = start + width * within
    waving = np.cos(8 * np.pi * waves * s * (np.sin(theta) - s))
    weights = np.tile(_NODE_WEIGHTS, pieces) / (2 * pieces)
    total = np.sum(weights * waving * np.cos(theta) ** 2, axis=-1)
    return np.asarray(4 / np.pi * width[..., 0] * total, float)


def defocus_mtf(
    frequency_per_mm: ArrayLike, *, blur_um: float, f_number: float, wavelength_um: float = GREEN_UM
) -> NDArray[np.float64]:
    """Return the exact MTF on the sensor of a perfect lens that missed the focus.

    Parameters
    ----------
    frequency_per_mm : array_like
        Spatial frequency on the sensor, cycles per mm.
    blur_um : float
        Diameter of the geometric blur circle on the sensor, in micrometres, >= 0.
    f_number : float
        N, > 0.
    wavelength_um : float
        Wavelength in micrometres, > 0.

    Returns
    -------
    ndarray
        Modulus of `defocus_otf`.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    A blur circle of 17.9 µm at f/2.8; the disc alone gives 0.490 at 40 cycles per mm:

    >>> defocus_mtf([40], blur_um=17.857, f_number=2.8).round(3)
    array([0.5])
    """
    waves = defocus_waves(blur_um=blur_um, f_number=f_number, wavelength_um=wavelength_um)
    scale_mm = airy_um(f_number=f_number, wavelength_um=wavelength_um) / 1000
    s = np.asarray(frequency_per_mm, float) * scale_mm
    return np.abs(defocus_otf(s, waves=waves))
