"""Exposure by continuous light: values, light, and the third setting that two others ask for.

All values are at ISO 100 unless a name says otherwise. Give exact third stops (`true_f_number`
and its kind) where sums are to close, marks where a published table was worked out from marks.
"""

from typing import cast

from eyeplane.light.elementwise import Numbers, above_zero, exp2, log2, root

# Incident-light constant with a flat receptor, lx s: ISO 2720:1974 allows 240 to 400 (as quoted;
# check values 2.5), 250 is common: 2.5 lx at EV 0 and ISO 100.
INCIDENT_CONSTANT = 250.0
INCIDENT_CONSTANTS = (240.0, 400.0)  # lx s, flat receptor; ISO 2720:1974, range from memory
# Reflected-light constant, cd s/m²: ISO 2720:1974 allows 10.6 to 13.4; 12.5 is common, 14 is met.
REFLECTED_CONSTANT = 12.5
REFLECTED_CONSTANTS = (10.6, 13.4)  # cd s/m², ISO 2720:1974 as quoted by J. Conrad, 2008


def exposure_value_ev(
    *, f_number: float | Numbers, time_s: float | Numbers, iso: float | Numbers
) -> Numbers:
    """Return the exposure value at ISO 100 that settings are right for.

    Parameters
    ----------
    f_number : float or ndarray
        Aperture N, > 0.
    time_s : float or ndarray
        Exposure time t, > 0 s.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        The logarithm to base 2 of N² / t less that of ISO / 100.

    Raises
    ------
    InputError
        If an argument is not above zero.

    References
    ----------
    ASA PH2.5-1960 (APEX): Av + Tv = Ev = Bv + Sv.

    Examples
    --------
    >>> round(exposure_value_ev(f_number=16, time_s=1 / 125, iso=100), 3)
    14.966
    """
    above_zero(f_number=f_number, time_s=time_s, iso=iso)
    return cast("Numbers", log2(f_number**2 / time_s) - log2(iso / 100.0))


def iso_for(
    *, exposure_ev: float | Numbers, f_number: float | Numbers, time_s: float | Numbers
) -> Numbers:
    """Return the ISO at which aperture and time are right for the light.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the light at ISO 100.
    f_number : float or ndarray
        Aperture N, > 0.
    time_s : float or ndarray
        Exposure time t, > 0 s.

    Returns
    -------
    float or ndarray
        100 N² / (t 2^EV); not rounded (`nearest_iso`), not limited.

    Raises
    ------
    InputError
        If aperture or time is not above zero.

    Examples
    --------
    >>> iso_for(exposure_ev=9, f_number=4, time_s=1 / 128)
    400.0
    """
    above_zero(f_number=f_number, time_s=time_s)
    return cast("Numbers", 100.0 * f_number**2 / (time_s * exp2(exposure_ev)))


def time_for_s(
    *, exposure_ev: float | Numbers, f_number: float | Numbers, iso: float | Numbers
) -> Numbers:
    """Return the exposure time at which aperture and ISO are right for the light.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the light at ISO 100.
    f_number : float or ndarray
        Aperture N, > 0.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        100 N² / (ISO 2^EV), in seconds; not rounded (`nearest_shutter_s`), not limited.

    Raises
    ------
    InputError
        If aperture or ISO is not above zero.

    Examples
    --------
    >>> 1 / time_for_s(exposure_ev=9, f_number=4, iso=400)
    128.0
    """
    above_zero(f_number=f_number, iso=iso)
    return cast("Numbers", 100.0 * f_number**2 / (iso * exp2(exposure_ev)))


def f_number_for(
    *, exposure_ev: float | Numbers, time_s: float | Numbers, iso: float | Numbers
) -> Numbers:
    """Return the aperture at which time and ISO are right for the light.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the light at ISO 100.
    time_s : float or ndarray
        Exposure time t, > 0 s.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        √(t ISO 2^EV / 100); not rounded (`nearest_f_number`), not limited.

    Raises
    ------
    InputError
        If time or ISO is not above zero.

    Examples
    --------
    >>> round(f_number_for(exposure_ev=9, time_s=1 / 128, iso=400), 9)
    4.0
    """
    above_zero(time_s=time_s, iso=iso)
    return cast("Numbers", root(time_s * iso * exp2(exposure_ev) / 100.0))


def over_exposure_ev(
    *,
    exposure_ev: float | Numbers,
    f_number: float | Numbers,
    time_s: float | Numbers,
    iso: float | Numbers,
) -> Numbers:
    """Return by how many stops settings over-expose in some light.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the light at ISO 100.
    f_number : float or ndarray
        Aperture, > 0.
    time_s : float or ndarray
        Exposure time, > 0 s.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        Stops, + too bright, − too dark.

    Raises
    ------
    InputError
        If a setting is not above zero.

    Examples
    --------
    A candle-lit room, EV 4, with the settings of a bright shop window:

    >>> over_exposure_ev(exposure_ev=4, f_number=4, time_s=1 / 64, iso=400)
    -4.0
    """
    settings: Numbers = exposure_value_ev(f_number=f_number, time_s=time_s, iso=iso)
    return exposure_ev - settings


def illuminance_lux(exposure_ev: Numbers, *, constant: float = INCIDENT_CONSTANT) -> Numbers:
    """Return the illuminance for which an exposure value at ISO 100 is right.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value.
    constant : float
        Incident-light constant C of the meter in lx s, > 0.

    Returns
    -------
    float or ndarray
        Lux: C · 2^EV / 100.

    Raises
    ------
    InputError
        If the constant is not above zero.

    Notes
    -----
    Between meters of `INCIDENT_CONSTANTS` the same value means 0.74 stop more or less light.

    References
    ----------
    ISO 2720:1974, incident-light meters.

    Examples
    --------
    >>> illuminance_lux(10)
    2560.0
    """
    above_zero(constant=constant)
    return cast("Numbers", constant * exp2(exposure_ev) / 100.0)


def exposure_from_lux_ev(
    illuminance_lux: Numbers, *, constant: float = INCIDENT_CONSTANT
) -> Numbers:
    """Return the exposure value at ISO 100 that an illuminance asks for.

    Parameters
    ----------
    illuminance_lux : float or ndarray
        At the face, > 0 lx.
    constant : float
        Incident-light constant C of the meter in lx s, > 0.

    Returns
    -------
    float or ndarray
        Base-2 logarithm of 100 E / C.

    Raises
    ------
    InputError
        If an argument is not above zero.

    References
    ----------
    ISO 2720:1974, incident-light meters.

    Examples
    --------
    >>> exposure_from_lux_ev(2560.0), round(exposure_from_lux_ev(800.0), 2)
    (10.0, 8.32)
    """
    above_zero(illuminance_lux=illuminance_lux, constant=constant)
    return cast("Numbers", log2(100.0 * illuminance_lux / constant))


def luminance_cd_per_m2(exposure_ev: Numbers, *, constant: float = REFLECTED_CONSTANT) -> Numbers:
    """Return the luminance for which an exposure value at ISO 100 is right.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value.
    constant : float
        Reflected-light constant K of the meter in cd s/m², > 0.

    Returns
    -------
    float or ndarray
        K · 2^EV / 100, in cd/m².

    Raises
    ------
    InputError
        If the constant is not above zero.

    References
    ----------
    ISO 2720:1974, reflected-light meters.

    Examples
    --------
    >>> luminance_cd_per_m2(15)
    4096.0
    """
    above_zero(constant=constant)
    return cast("Numbers", constant * exp2(exposure_ev) / 100.0)


def exposure_from_luminance_ev(
    luminance_cd_per_m2: Numbers, *, constant: float = REFLECTED_CONSTANT
) -> Numbers:
    """Return the exposure value at ISO 100 that a luminance asks for.

    Parameters
    ----------
    luminance_cd_per_m2 : float or ndarray
        > 0 cd/m².
    constant : float
        Reflected-light constant K of the meter in cd s/m², > 0.

    Returns
    -------
    float or ndarray
        Base-2 logarithm of 100 L / K.

    Raises
    ------
    InputError
        If an argument is not above zero.

    References
    ----------
    ISO 2720:1974, reflected-light meters.

    Examples
    --------
    >>> exposure_from_luminance_ev(4096.0)
    15.0
    """
    above_zero(luminance_cd_per_m2=luminance_cd_per_m2, constant=constant)
    return cast("Numbers", log2(100.0 * luminance_cd_per_m2 / constant))
