"""The additive values of exposure (APEX): aperture, time, speed and brightness, each in stops."""

from typing import cast

from eyeplane.light.elementwise import Numbers, above_zero, log2
from eyeplane.light.exposure import REFLECTED_CONSTANT

SPEED_OF_VALUE_ZERO = 3.125  # ISO whose speed value is 0: Exif 2.x, annex on APEX


def aperture_value_ev(f_number: Numbers) -> Numbers:
    """Return the aperture value Av.

    Parameters
    ----------
    f_number : float or ndarray
        Aperture N, > 0.

    Returns
    -------
    float or ndarray
        Base-2 logarithm of N².

    Raises
    ------
    InputError
        If it is not above zero.

    References
    ----------
    ASA PH2.5-1960 (APEX).

    Examples
    --------
    >>> aperture_value_ev(16)
    8.0
    """
    above_zero(f_number=f_number)
    return cast("Numbers", log2(f_number**2))


def time_value_ev(time_s: Numbers) -> Numbers:
    """Return the time value Tv.

    Parameters
    ----------
    time_s : float or ndarray
        Exposure time t, > 0 s.

    Returns
    -------
    float or ndarray
        Base-2 logarithm of 1/t.

    Raises
    ------
    InputError
        If it is not above zero.

    References
    ----------
    ASA PH2.5-1960 (APEX).

    Examples
    --------
    >>> round(time_value_ev(1 / 125), 4)
    6.9658
    """
    above_zero(time_s=time_s)
    return cast("Numbers", -log2(time_s))


def speed_value_ev(iso: Numbers) -> Numbers:
    """Return the speed value Sv.

    Parameters
    ----------
    iso : float or ndarray
        Sensitivity S, > 0.

    Returns
    -------
    float or ndarray
        Base-2 logarithm of S / 3.125: 5 at ISO 100.

    Raises
    ------
    InputError
        If it is not above zero.

    References
    ----------
    ASA PH2.5-1960 (APEX) with the constant of Exif.

    Examples
    --------
    >>> speed_value_ev(100), speed_value_ev(400)
    (5.0, 7.0)
    """
    above_zero(iso=iso)
    return cast("Numbers", log2(iso / SPEED_OF_VALUE_ZERO))


def brightness_value_ev(luminance_cd_per_m2: Numbers) -> Numbers:
    """Return the brightness value Bv.

    Parameters
    ----------
    luminance_cd_per_m2 : float or ndarray
        Luminance L, > 0 cd/m².

    Returns
    -------
    float or ndarray
        Base-2 logarithm of L/4, so that Av + Tv = Bv + Sv with K = 12.5. Exif's annex puts its
        zero at one foot-lambert (3.426 cd/m², from memory), 0.22 lower: allow that much when
        reading files.

    Raises
    ------
    InputError
        If it is not above zero.

    References
    ----------
    ASA PH2.5-1960 (APEX); ISO 2720:1974 for K.

    Examples
    --------
    >>> brightness_value_ev(4.0), brightness_value_ev(4096.0)
    (0.0, 10.0)
    """
    above_zero(luminance_cd_per_m2=luminance_cd_per_m2)
    return cast("Numbers", log2(luminance_cd_per_m2 * SPEED_OF_VALUE_ZERO / REFLECTED_CONSTANT))
