"""Flash and the light of the room in one exposure: shares, ghosts, and the black frame."""

from typing import cast

import numpy as np

from eyeplane.light.elementwise import Numbers, above_zero, exp2, log2, not_negative, plain
from eyeplane.light.exposure import over_exposure_ev

# Stops under the right exposure at which a frame without flash passes for black: skin is then at
# code 16 of 255, a ghost at 3 % of the picture. Common practice asks for black, the number is ours.
BLACK_STOPS = 5.0


def ambient_level(
    *,
    exposure_ev: float | Numbers,
    f_number: float | Numbers,
    time_s: float | Numbers,
    iso: float | Numbers,
) -> Numbers:
    """Return what the light of the room alone makes of an exposure.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the room's light at ISO 100; −inf for a dark room.
    f_number : float or ndarray
        Aperture, > 0.
    time_s : float or ndarray
        Shutter time, > 0 s.
    iso : float or ndarray
        Sensitivity, > 0.

    Returns
    -------
    float or ndarray
        Over the right exposure: 1 is right, 1/8 three stops under.

    Raises
    ------
    InputError
        If a setting is not above zero.

    Examples
    --------
    >>> ambient_level(exposure_ev=8, f_number=8, time_s=1 / 128, iso=400)
    0.125
    """
    over: Numbers = over_exposure_ev(
        exposure_ev=exposure_ev, f_number=f_number, time_s=time_s, iso=iso
    )
    return cast("Numbers", exp2(over))


def flash_level(*, flash_f_number: float | Numbers, f_number: float | Numbers) -> Numbers:
    """Return what the flash alone makes of an exposure.

    Parameters
    ----------
    flash_f_number : float or ndarray
        Aperture that the flash alone is right at, > 0 (`flash_f_number`).
    f_number : float or ndarray
        Aperture set, > 0.

    Returns
    -------
    float or ndarray
        Over the right exposure: the square of the ratio.

    Raises
    ------
    InputError
        If an argument is not above zero.

    Examples
    --------
    >>> flash_level(flash_f_number=4, f_number=8)
    0.25
    """
    above_zero(flash_f_number=flash_f_number, f_number=f_number)
    return cast("Numbers", plain((flash_f_number / f_number) ** 2))


def ambient_share(
    *,
    exposure_ev: float | Numbers,
    f_number: float | Numbers,
    time_s: float | Numbers,
    iso: float | Numbers,
    flash_f_number: float | Numbers,
) -> Numbers:
    """Return the room's share of an exposure with flash.

    Parameters
    ----------
    exposure_ev : float or ndarray
        Exposure value of the room's light at ISO 100; −inf for a dark room.
    f_number : float or ndarray
        Aperture set, > 0.
    time_s : float or ndarray
        Shutter time, > 0 s.
    iso : float or ndarray
        Sensitivity, > 0.
    flash_f_number : float or ndarray
        Aperture that the flash alone is right at, > 0.

    Returns
    -------
    float or ndarray
        Room over room and flash, 0..1: what is left to a ghost.

    Raises
    ------
    InputError
        If a setting is not above zero.

    Examples
    --------
    Flash right by itself, the room three stops under:

    >>> share = ambient_share(
    ...     exposure_ev=8, f_number=8, time_s=1 / 128, iso=400, flash_f_number=8
    ... )
    >>> round(share, 3)
    0.111
    """
    room: Numbers = ambient_level(
        exposure_ev=exposure_ev, f_number=f_number, time_s=time_s, iso=iso
    )
    flash: Numbers = flash_level(flash_f_number=flash_f_number, f_number=f_number)
    return room / (room + flash)


def power_beside_ambient(*, full_level: float | Numbers, ambient_level: float | Numbers) -> Numbers:
    """Return the power at which flash and room together expose rightly.

    Parameters
    ----------
    full_level : float or ndarray
        What the flash at full power makes of the exposure, > 0 (`flash_level`).
    ambient_level : float or ndarray
        What the room makes of it, >= 0.

    Returns
    -------
    float or ndarray
        Share of full power, >= 0; 0 where the room is enough, above 1 where the flash is too weak.

    Raises
    ------
    InputError
        If a level is out of range.

    Examples
    --------
    >>> power_beside_ambient(full_level=4.0, ambient_level=0.5)
    0.125
    """
    above_zero(full_level=full_level)
    not_negative(ambient_level=ambient_level)
    return cast("Numbers", plain(np.maximum(1.0 - ambient_level, 0.0) / full_level))


def ghost_share(stops_under_ev: Numbers) -> Numbers:
    """Return how strong a ghost is where the room lies under the flash.

    Parameters
    ----------
    stops_under_ev : float or ndarray
        Stops by which the room is under the flash, any.

    Returns
    -------
    float or ndarray
        Ghost over the picture that the flash draws: 2^−stops.

    Examples
    --------
    >>> ghost_share(3.0), ghost_share(5.0)
    (0.125, 0.03125)
    """
    return cast("Numbers", exp2(-stops_under_ev))


def stops_under_for_ev(ghost_share: Numbers) -> Numbers:
    """Return how far the room must lie under the flash for a ghost no stronger than this.

    Parameters
    ----------
    ghost_share : float or ndarray
        Ghost over the picture that the flash draws, > 0.

    Returns
    -------
    float or ndarray
        Stops.

    Raises
    ------
    InputError
        If the share is not above zero.

    Examples
    --------
    >>> round(stops_under_for_ev(0.03), 1)
    5.1
    """
    above_zero(ghost_share=ghost_share)
    return cast("Numbers", -log2(ghost_share))


def ghost_mm(
    *,
    speed_mm_per_s: float | Numbers,
    time_s: float | Numbers,
    flash_time_s: float | Numbers,
) -> Numbers:
    """Return how far a ghost reaches beyond what the flash froze.

    Parameters
    ----------
    speed_mm_per_s : float or ndarray
        Of the sitter, >= 0.
    time_s : float or ndarray
        Shutter time, > 0 s.
    flash_time_s : float or ndarray
        How long the flash glows, > 0 s.

    Returns
    -------
    float or ndarray
        Millimetres at the sitter; 0 where the flash outlasts the shutter.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> round(ghost_mm(speed_mm_per_s=50, time_s=1 / 60, flash_time_s=1 / 1000), 2)
    0.78
    """
    not_negative(speed_mm_per_s=speed_mm_per_s)
    above_zero(time_s=time_s, flash_time_s=flash_time_s)
    return cast("Numbers", plain(speed_mm_per_s * np.maximum(time_s - flash_time_s, 0.0)))


def black_frame(*, exposure_ev: float, f_number: float, time_s: float, iso: float) -> bool:
    """Return whether these settings give a black frame with the flash off.

    Parameters
    ----------
    exposure_ev : float
        Exposure value of the room's light at ISO 100; −inf for a dark room.
    f_number, time_s, iso : float
        Settings, > 0.

    Returns
    -------
    bool
        Whether the room is `BLACK_STOPS` or more under: then the flash alone draws the picture.

    Raises
    ------
    InputError
        If a setting is not above zero.

    Examples
    --------
    >>> black_frame(exposure_ev=6, f_number=8, time_s=1 / 125, iso=100)
    True
    """
    over = over_exposure_ev(exposure_ev=exposure_ev, f_number=f_number, time_s=time_s, iso=iso)
    return over <= -BLACK_STOPS
