"""What blurs every frame of a kit, for many apertures at once: glass and diffraction.

What plans count, checks of the kit take out and one kit is held against another with: once, here.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.records import PlanKit

FloatArray = NDArray[np.float64]

WAVELENGTH_UM = 0.55  # green, where the eye is most sensitive; as for measured frames
AIRY_TO_DISC = 1.745  # disc of equal half-contrast frequency over λN: 0.70508 / 0.40397
GAUSSIAN_TO_DISC = 3.7626  # the same over the standard deviation: 0.70508 / 0.187391
# Spread (standard deviation) of a good lens at its best aperture; from memory, x / 1.5.
GLASS_BEST_UM = 1.0
GLASS_WIDE_UM = 3.0  # what a fast lens adds wide open; from memory, x / 1.5
# Both are of lenses for 36 × 24 mm; one drawn for a smaller sensor has its blur in proportion.
FULL_FRAME_LONG_MM = 36.0
GLASS_LOG_SD = 0.25  # how unsure the usual glass is: x / 1.5 nine times in ten; from memory
KNOWN_GLASS_LOG_SD = 0.05  # and one typed without its interval; from memory
Z90 = 1.645  # half an interval of 90 % over the standard deviation
# Spherical aberration goes with the cube of the pupil, axial colour with the pupil itself.
GLASS_WIDE_POWER = 2.0
# What demosaicking and the camera's own sharpening give back, squared spread: files of cameras
# show 0.08 ± 0.08 px² for pixel, glass, diffraction and sharpening together (see how frames are
# measured), of which the pixel's square alone is 0.083; a good lens at f/4 takes 0.06 to 0.14.
# With more than this a finer sensor would often hold less than a coarser one.
SHARPENED_PX2 = 0.05


def glass_um(kit: PlanKit, f_number: ArrayLike) -> FloatArray:
    """Return the Gaussian spread of the glass at many apertures.

    Parameters
    ----------
    kit : PlanKit
        Its `glass_um` at the best aperture and `glass_wide_um`, or usual ones; its widest aperture.
    f_number : array_like
        Apertures, > 0.

    Returns
    -------
    ndarray
        Standard deviation on the sensor in micrometres: the best, and what a lens adds towards
        its widest aperture, as squares.

    Notes
    -----
    A lens made smaller in all its measures makes all its blur smaller but diffraction: what is
    usual goes with the sensor's long side up to 36 mm. With diffraction this puts the sharpest
    aperture one and a half to two stops from wide open, as the trade says of lenses.
    """
    scale = min(1.0, kit.sensor_long_mm / FULL_FRAME_LONG_MM)
    best = scale * GLASS_BEST_UM if kit.glass_um is None else kit.glass_um
    added = scale * GLASS_WIDE_UM if kit.glass_wide_um is None else kit.glass_wide_um
    wide = added * (kit.widest_f_number / np.asarray(f_number, float)) ** GLASS_WIDE_POWER
    return np.asarray(np.hypot(best, wide))


def believed_glass_um(kit: PlanKit, f_number: ArrayLike, glass_z: ArrayLike) -> FloatArray:
    """Return the Gaussian spread of the glass under every belief about it.

    Parameters
    ----------
    kit : PlanKit
        Usual glass or its own numbers, with their intervals where they have any.
    f_number : array_like
        (k,): apertures, > 0.
    glass_z : array_like
        (sets,): standard normal.

    Returns
    -------
    ndarray
        (k, sets), in µm. A number with an interval goes straight to either end of it, which it
        reaches at 90 %, and not below zero; both numbers of a kit go the same way. Without
        intervals the whole is log-normal.
    """
    z, n = np.asarray(glass_z, float), np.asarray(f_number, float)
    log_sd = GLASS_LOG_SD if kit.glass_um is None else KNOWN_GLASS_LOG_SD
    plain = glass_um(kit, n)[:, None] * np.exp(log_sd * z)
    ends_um = (kit.glass_range_um, kit.glass_wide_range_um)
    if ends_um == (None, None):
        return np.asarray(plain)
    best = float(glass_um(replace(kit, glass_wide_um=0.0), kit.widest_f_number))
    added = float(glass_um(replace(kit, glass_um=0.0), kit.widest_f_number))
    best_um, added_um = (
        value * np.exp(log_sd * z) if ends is None else _between(value, ends, z)
        for value, ends in zip((best, added), ends_um, strict=True)
    )
    share = (kit.widest_f_number / n[:, None]) ** GLASS_WIDE_POWER
    return np.asarray(np.hypot(best_um, added_um * share))


def _between(value: float, ends: tuple[float, float], z: FloatArray) -> FloatArray:
    step = np.where(z < 0, value - ends[0], ends[1] - value) / Z90
    return np.asarray(np.maximum(value + step * z, 0.0))


def diffraction_um(f_number: ArrayLike) -> FloatArray:
    """Return wavelength times f-number, the scale of diffraction.

    Parameters
    ----------
    f_number : array_like
        Apertures, > 0.

    Returns
    -------
    ndarray
        Micrometres; 1.745 times this is the disc that softens alike.
    """
    return np.asarray(WAVELENGTH_UM * np.asarray(f_number, float))


def as_sharpened(
    gaussian_px: ArrayLike, airy_px: ArrayLike, sharpened_px2: ArrayLike = SHARPENED_PX2
) -> tuple[FloatArray, FloatArray]:
    """Return what is left of glass and diffraction in a file that the camera sharpened.

    Parameters
    ----------
    gaussian_px, airy_px : array_like
        Spread of the glass, and wavelength times f-number, in px, >= 0.
    sharpened_px2 : array_like
        Squared spread that the camera gives back, >= 0.

    Returns
    -------
    tuple of ndarray
        The same two, less that much of squared spread: taken from the glass first, then
        from diffraction, whose disc of equal contrast counts as D² / 16.

    Notes
    -----
    Measured frames are judged the same way: what softens a whole capture is not counted as blur.

    Examples
    --------
    >>> gaussian, airy = as_sharpened([0.25, 0.6], [0.35, 0.35])
    >>> gaussian.round(2), airy.round(2)
    (array([0.11, 0.56]), array([0.35, 0.35]))
    """
    glass2 = np.asarray(gaussian_px, float) ** 2
    airy2 = (AIRY_TO_DISC * np.asarray(airy_px, float)) ** 2 / 16
    left = np.maximum(np.asarray(sharpened_px2, float) - glass2, 0.0)
    gaussian = np.sqrt(np.maximum(glass2 - np.asarray(sharpened_px2, float), 0.0))
    airy = 4 * np.sqrt(np.maximum(airy2 - left, 0.0)) / AIRY_TO_DISC
    return gaussian, airy
