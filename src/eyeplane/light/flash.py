"""Flash: guide number, distance, aperture, ISO and power, each from the others.

A guide number is aperture times distance in metres at ISO 100 and full power, for the head, zoom
or modifier that it was measured with. Indoors pale walls add up to a stop; outdoors nothing does.
"""

import math
from typing import cast

import numpy as np

from eyeplane.light.elementwise import Numbers, above_zero, plain, root

FOOT_M = 0.3048  # exact, by definition
LEAST_POWER = 1 / 128  # of full power, where the dials of most flashes end; common practice
POWER_STEPS = tuple(2.0 ** (-third / 3) for third in range(22))  # thirds of a stop, full to 1/128
# Flashes a second, at most: WCAG 2.2, 2.3.1 (no more than three in any one second), broadcasters'
# rules likewise; 3 to 30 a second is the range that photosensitive people are harmed by.
MOST_FLASHES_PER_S = 3.0


def flash_f_number(
    *,
    guide_number_m: float | Numbers,
    distance_mm: float | Numbers,
    iso: float | Numbers = 100.0,
    power: float | Numbers = 1.0,
) -> Numbers:
    """Return the aperture that a flash alone exposes rightly at.

    Parameters
    ----------
    guide_number_m : float or ndarray
        In metres at ISO 100 and full power, > 0.
    distance_mm : float or ndarray
        Flash to face, > 0.
    iso : float or ndarray
        Sensitivity, > 0.
    power : float or ndarray
        Share of full power, > 0.

    Returns
    -------
    float or ndarray
        GN / d · √(ISO / 100) · √power.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> flash_f_number(guide_number_m=20, distance_mm=4000)
    5.0
    >>> flash_f_number(guide_number_m=20, distance_mm=4000, iso=400, power=1 / 4)
    5.0
    """
    above_zero(guide_number_m=guide_number_m, distance_mm=distance_mm, iso=iso, power=power)
    return cast("Numbers", 1000.0 * guide_number_m / distance_mm * root(power * iso / 100.0))


def flash_guide_number_m(
    *,
    f_number: float | Numbers,
    distance_mm: float | Numbers,
    iso: float | Numbers = 100.0,
    power: float | Numbers = 1.0,
) -> Numbers:
    """Return the guide number at ISO 100 and full power of a flash that was right once.

    Parameters
    ----------
    f_number : float or ndarray
        Aperture that was right, > 0: what a flash meter showed, or the frame.
    distance_mm : float or ndarray
        Flash to face or meter, > 0.
    iso : float or ndarray
        Sensitivity, > 0.
    power : float or ndarray
        Share of full power, > 0.

    Returns
    -------
    float or ndarray
        Metres.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    A flash meter at 2 m shows f/8 at ISO 100 and quarter power:

    >>> flash_guide_number_m(f_number=8, distance_mm=2000, power=1 / 4)
    32.0
    """
    above_zero(f_number=f_number, distance_mm=distance_mm, iso=iso, power=power)
    return cast("Numbers", f_number * distance_mm / 1000.0 / root(power * iso / 100.0))


def flash_distance_mm(
    *,
    guide_number_m: float | Numbers,
    f_number: float | Numbers,
    iso: float | Numbers = 100.0,
    power: float | Numbers = 1.0,
) -> Numbers:
    """Return the distance at which a flash alone exposes rightly.

    Parameters
    ----------
    guide_number_m : float or ndarray
        In metres at ISO 100 and full power, > 0.
    f_number : float or ndarray
        Aperture, > 0.
    iso : float or ndarray
        Sensitivity, > 0.
    power : float or ndarray
        Share of full power, > 0.

    Returns
    -------
    float or ndarray
        Flash to face, in mm.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> round(flash_distance_mm(guide_number_m=45, f_number=11))
    4091
    """
    above_zero(guide_number_m=guide_number_m, f_number=f_number, iso=iso, power=power)
    return cast("Numbers", 1000.0 * guide_number_m / f_number * root(power * iso / 100.0))


def power_for(
    *,
    guide_number_m: float | Numbers,
    distance_mm: float | Numbers,
    f_number: float | Numbers,
    iso: float | Numbers = 100.0,
) -> Numbers:
    """Return the share of full power at which a flash alone exposes rightly.

    Parameters
    ----------
    guide_number_m : float or ndarray
        In metres at ISO 100 and full power, > 0.
    distance_mm : float or ndarray
        Flash to face, > 0.
    f_number : float or ndarray
        Aperture, > 0.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        (N d / GN)² · 100 / ISO; not rounded (`nearest_power`), not limited: above 1 the flash is
        too weak, below `LEAST_POWER` too strong.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> power_for(guide_number_m=40, distance_mm=2000, f_number=5)
    0.0625
    """
    above_zero(guide_number_m=guide_number_m, distance_mm=distance_mm, f_number=f_number, iso=iso)
    root_power = f_number * distance_mm / 1000.0 / guide_number_m
    return cast("Numbers", plain(root_power**2 * 100.0 / iso))


def flash_iso_for(
    *,
    guide_number_m: float | Numbers,
    distance_mm: float | Numbers,
    f_number: float | Numbers,
    power: float | Numbers = 1.0,
) -> Numbers:
    """Return the ISO at which a flash alone exposes rightly.

    Parameters
    ----------
    guide_number_m : float or ndarray
        In metres at ISO 100 and full power, > 0.
    distance_mm : float or ndarray
        Flash to face, > 0.
    f_number : float or ndarray
        Aperture, > 0.
    power : float or ndarray
        Share of full power, > 0.

    Returns
    -------
    float or ndarray
        100 (N d / GN)² / power; not rounded, not limited.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> flash_iso_for(guide_number_m=40, distance_mm=2000, f_number=5, power=1 / 64)
    400.0
    """
    above_zero(power=power)
    full: Numbers = power_for(
        guide_number_m=guide_number_m, distance_mm=distance_mm, f_number=f_number
    )
    return 100.0 * full / power


def combined_guide_number_m(*guide_numbers_m: float) -> float:
    """Return the guide number of several flashes side by side.

    Parameters
    ----------
    *guide_numbers_m : float
        One or more, > 0, all at ISO 100 and the power they are used at.

    Returns
    -------
    float
        The root of the sum of their squares: their light adds.

    Raises
    ------
    InputError
        If one is not above zero.

    Examples
    --------
    >>> round(combined_guide_number_m(40, 40), 1)
    56.6
    """
    for number in guide_numbers_m:
        above_zero(guide_number_m=number)
    return math.hypot(*guide_numbers_m)


def guide_number_from_feet_m(guide_number_ft: Numbers) -> Numbers:
    """Return a guide number in metres that was given in feet.

    Parameters
    ----------
    guide_number_ft : float or ndarray
        Aperture times distance in feet, > 0.

    Returns
    -------
    float or ndarray
        Metres.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(guide_number_from_feet_m(80.0), 2)
    24.38
    """
    above_zero(guide_number_ft=guide_number_ft)
    return guide_number_ft * FOOT_M


def guide_number_ft(guide_number_m: Numbers) -> Numbers:
    """Return a guide number in feet that was given in metres.

    Parameters
    ----------
    guide_number_m : float or ndarray
        Aperture times distance in metres, > 0.

    Returns
    -------
    float or ndarray
        Feet.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(guide_number_ft(40.0))
    131
    """
    above_zero(guide_number_m=guide_number_m)
    return guide_number_m / FOOT_M


def nearest_power(power: Numbers, *, higher: bool = False) -> Numbers:
    """Return the step of the dial next to a share of full power.

    Parameters
    ----------
    power : float or ndarray
        Share of full power, > 0.
    higher : bool
        Whether it may not be lower than asked for.

    Returns
    -------
    float or ndarray
        One of `POWER_STEPS`, nearest by ratio; their end beyond their ends.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> nearest_power(0.24), round(nearest_power(0.26, higher=True), 3)
    (0.25, 0.315)
    """
    above_zero(power=power)
    thirds = -3.0 * np.log2(power)
    whole = np.floor(thirds + 1e-6) if higher else np.round(thirds)
    return cast("Numbers", plain(np.exp2(-np.clip(whole, 0, len(POWER_STEPS) - 1) / 3.0)))


def power_name(power: float) -> str:
    """Return a share of full power as flashes show it.

    Parameters
    ----------
    power : float
        Share of full power, > 0; the nearest step is named.

    Returns
    -------
    str
        For instance "1/1", "1/4", "1/4 + 0.3": so many stops more than the fraction.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> power_name(1.0), power_name(0.315), power_name(0.4)
    ('1/1', '1/4 + 0.3', '1/4 + 0.7')
    """
    thirds = round(-3.0 * math.log2(nearest_power(power)))
    stops = math.ceil(thirds / 3)
    more = ("", " + 0.3", " + 0.7")[3 * stops - thirds]
    return f"1/{2**stops}{more}"


def may_flash_at(frames_per_s: float) -> bool:
    """Return whether flash may be fired at a rate where people may be photosensitive.

    Parameters
    ----------
    frames_per_s : float
        Frames with flash in a second, >= 0.

    Returns
    -------
    bool
        Whether there are at most `MOST_FLASHES_PER_S`. It is no statement that this is harmless:
        ask first.

    Examples
    --------
    >>> may_flash_at(3), may_flash_at(8)
    (True, False)
    """
    return frames_per_s <= MOST_FLASHES_PER_S
