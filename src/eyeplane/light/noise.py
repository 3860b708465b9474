"""Noise that an ISO brings: photons and read-out of a usual sensor, before any picture is taken."""

from typing import cast

from eyeplane.light.elementwise import Numbers, above_zero, between, root

FULL_WELL = 50_000.0  # electrons at white, ISO 100: 35 mm sensors of 6 um, from memory, x / 1.6
READ_ELECTRONS = 3.0  # of today's sensors, from memory, x / 2
REFERENCE_PITCH_UM = 6.0  # of the pixels that hold `FULL_WELL`: 24 MP on 36 × 24 mm
LUMA_POWER = 0.561  # sum of the squared luma weights: noise of luma against that of one channel
SKIN_LEVEL = 0.18  # linear luma of skin over white, exposed as a meter does; from memory, x / 2
PITCHES_UM = (0.7, 12.0)  # of pixels that there are; beyond them the nearest stands
ISO_SPREAD = 0.35  # of ln(noise) by ISO alone: pixels of 3 to 9 um and pushed exposures


def electrons_at_white(*, iso: float | Numbers, pitch_um: float | Numbers) -> Numbers:
    """Return how many electrons a pixel holds at white.

    Parameters
    ----------
    iso : float or ndarray
        Sensitivity, > 0.
    pitch_um : float or ndarray
        Distance of pixel centres, > 0: a pixel holds electrons by its area.

    Returns
    -------
    float or ndarray
        `FULL_WELL` · (pitch / 6 µm)² · 100 / ISO.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> electrons_at_white(iso=400.0, pitch_um=6.0)
    12500.0
    """
    above_zero(iso=iso, pitch_um=pitch_um)
    sides = between(pitch_um, *PITCHES_UM) / REFERENCE_PITCH_UM
    return cast("Numbers", FULL_WELL * sides**2 * 100.0 / iso)


def noise_variance(*, iso: float | Numbers, pitch_um: float | Numbers) -> tuple[Numbers, Numbers]:
    """Return the two parts of the noise of linear luma, white = 1.

    Parameters
    ----------
    iso : float or ndarray
        Sensitivity, > 0.
    pitch_um : float or ndarray
        Distance of pixel centres, > 0.

    Returns
    -------
    tuple of float or ndarray
        (read, photon): variance at level 0, and its growth with the level.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> read, photon = noise_variance(iso=3200.0, pitch_um=6.0)
    >>> round(1e6 * read, 2), round(1e6 * photon, 0)
    (2.07, 359.0)
    """
    white: Numbers = electrons_at_white(iso=iso, pitch_um=pitch_um)
    return LUMA_POWER * (READ_ELECTRONS / white) ** 2, LUMA_POWER / white


def noise_contrast(
    *, iso: float | Numbers, pitch_um: float | Numbers, level: float | Numbers = SKIN_LEVEL
) -> Numbers:
    """Return the noise to expect at a level: standard deviation of luma over its mean.

    Parameters
    ----------
    iso : float or ndarray
        Sensitivity, > 0.
    pitch_um : float or ndarray
        Distance of pixel centres, > 0.
    level : float or ndarray
        Linear luma, > 0, white = 1; skin unless said.

    Returns
    -------
    float or ndarray
        Per pixel; by ISO alone right to × / `e^ISO_SPREAD` (one standard deviation). Smoothing in
        the camera hides some of it and detail with it.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(noise_contrast(iso=100.0, pitch_um=6.0), 4)
    0.0079
    >>> import numpy as np
    >>> noise_contrast(iso=np.array([400.0, 6400.0]), pitch_um=6.0).round(4)
    array([0.0158, 0.0652])
    """
    above_zero(level=level)
    read, photon = noise_variance(iso=iso, pitch_um=pitch_um)
    return cast("Numbers", root(read + photon * level) / level)
