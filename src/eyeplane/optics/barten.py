"""Barten's model of contrast sensitivity (1999): what the eye can just see, from physics.

Kept beside the plainer weighting that the reach uses (`sensitivity`), to check it against.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics.arguments import above_zero


def eye_mtf(frequency_per_deg: ArrayLike, *, sigma_deg: float) -> NDArray[np.float64]:
    """Return the MTF of the eye's own optics, a Gaussian.

    Parameters
    ----------
    frequency_per_deg : array_like
        Spatial frequency, cycles per degree.
    sigma_deg : float
        Standard deviation of the eye's line spread, in degrees, > 0.

    Returns
    -------
    ndarray
        Share of contrast exp(−2 π² σ² u²).

    References
    ----------
    P. G. J. Barten, Contrast Sensitivity of the Human Eye and Its Effects on Image Quality,
    SPIE, 1999, doi 10.1117/3.353254, chapter 3.

    Examples
    --------
    >>> float(eye_mtf(4, sigma_deg=0.01).round(6))
    0.968911
    """
    above_zero(sigma_deg=sigma_deg)
    u = np.asarray(frequency_per_deg, float)
    return np.asarray(np.exp(-2 * (np.pi * sigma_deg * u) ** 2), float)


def pupil_mm(*, luminance_cd_per_m2: float, field_deg: float) -> float:
    """Return the diameter of the eye's pupil.

    Parameters
    ----------
    luminance_cd_per_m2 : float
        Mean luminance of what is looked at, > 0.
    field_deg : float
        Width of its square field, in degrees, > 0.

    Returns
    -------
    float
        5 − 3 tanh(0.4 log10(L X² / 40²)), in mm, between 2 and 8.

    References
    ----------
    Barten 1999, chapter 3, after Le Grand.

    Examples
    --------
    >>> round(pupil_mm(luminance_cd_per_m2=20, field_deg=60), 4)
    3.2623
    """
    above_zero(luminance_cd_per_m2=luminance_cd_per_m2, field_deg=field_deg)
    spread = np.log10(luminance_cd_per_m2 * field_deg**2 / 40**2)
    return float(5 - 3 * np.tanh(0.4 * spread))


def eye_sigma_deg(*, pupil_mm: float) -> float:
    """Return the standard deviation of the eye's line spread.

    Parameters
    ----------
    pupil_mm : float
        Diameter of the pupil, > 0.

    Returns
    -------
    float
        √(σ0² + (C d)²) with σ0 = 0.5 and C = 0.08 arc minutes (per mm), in degrees.

    References
    ----------
    Barten 1999, chapter 3.

    Examples
    --------
    >>> round(eye_sigma_deg(pupil_mm=2.1), 9)
    0.008791157
    """
    above_zero(pupil_mm=pupil_mm)
    return float(np.hypot(0.5 / 60, 0.08 / 60 * pupil_mm))


def retinal_illuminance_td(*, luminance_cd_per_m2: float, pupil_mm: float) -> float:
    """Return the light on the retina, corrected for the Stiles-Crawford effect.

    Parameters
    ----------
    luminance_cd_per_m2 : float
        Mean luminance of what is looked at, > 0.
    pupil_mm : float
        Diameter d of the pupil, > 0.

    Returns
    -------
    float
        Trolands, π d²/4 L (1 − (d/9.7)² + (d/12.4)⁴).

    References
    ----------
    Barten 1999, chapter 3.

    Examples
    --------
    >>> round(retinal_illuminance_td(luminance_cd_per_m2=20, pupil_mm=2.1), 5)
    66.08232
    """
    above_zero(luminance_cd_per_m2=luminance_cd_per_m2, pupil_mm=pupil_mm)
    correction = 1 - (pupil_mm / 9.7) ** 2 + (pupil_mm / 12.4) ** 4
    return float(np.pi * pupil_mm**2 / 4 * luminance_cd_per_m2 * correction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Observer:
    """Who looks, and at what; the defaults are Barten's young observer with both eyes.

    Attributes
    ----------
    sigma_deg : float
        Standard deviation of the eye's line spread.
    illuminance_td : float
        Light on the retina, in trolands.
    field_deg : float
        Width of the square that is looked at.
    photons_per_td : float
        Photons per second, square degree and troland: depends on the light.
    snr : float
        Signal-to-noise ratio k at which half of the patterns are seen.
    integration_s : float
        Time over which the eye sums light.
    max_field_deg : float
        Widest square over which it sums light.
    max_cycles : float
        Most cycles over which it sums.
    quantum_efficiency : float
        Share of photons that count.
    neural_noise : float
        Spectral density of the neural noise, in seconds times square degrees.
    inhibition_per_deg : float
        Frequency above which lateral inhibition ends.
    """

    sigma_deg: float = 0.008791157173230634  # pupil of 2.1 mm; Barten 1999
    illuminance_td: float = 66.08231606052992  # 20 cd/m² through that pupil; Barten 1999
    field_deg: float = 60.0  # as in Report ITU-R BT.2246-4 (2015), figure 31
    photons_per_td: float = 1.2274e6  # as there
    snr: float = 3.0  # Barten 1999
    integration_s: float = 0.1  # Barten 1999
    max_field_deg: float = 12.0  # Barten 1999
    max_cycles: float = 15.0  # Barten 1999
    quantum_efficiency: float = 0.03  # Barten 1999
    neural_noise: float = 3e-8  # Barten 1999
    inhibition_per_deg: float = 7.0  # Barten 1999


def barten_sensitivity(
    frequency_per_deg: ArrayLike, *, observer: Observer | None = None
) -> NDArray[np.float64]:
    """Return the contrast sensitivity of the eye after Barten (1999).

    Parameters
    ----------
    frequency_per_deg : array_like
        Spatial frequency, cycles per degree, > 0.
    observer : Observer, optional
        Who looks, and at what; Barten's standard observer if left out.

    Returns
    -------
    ndarray
        Inverse of the least modulation of a sine pattern that is seen half of the time.

    References
    ----------
    P. G. J. Barten, Contrast Sensitivity of the Human Eye and Its Effects on Image Quality,
    SPIE, 1999, doi 10.1117/3.353254; the same, Proc. SPIE 5294, 231-238, 2003,
    doi 10.1117/12.537476. Equal to colour-science 0.4.7.

    Examples
    --------
    >>> barten_sensitivity([4.0, 8.0]).round(2)
    array([360.87, 186.16])
    """
    o = Observer() if observer is None else observer
    u = np.asarray(frequency_per_deg, float)
    field = 1 / o.field_deg**2 + 1 / o.max_field_deg**2 + (u / o.max_cycles) ** 2
    photon_noise = 1 / (o.quantum_efficiency * o.photons_per_td * o.illuminance_td)
    inhibited = 1 - np.exp(-((u / o.inhibition_per_deg) ** 2))
    noise = 2 / o.integration_s * field * (photon_noise + o.neural_noise / inhibited)
    return np.asarray(eye_mtf(u, sigma_deg=o.sigma_deg) / o.snr / np.sqrt(noise), float)
