"""Checks of arguments that all of optics shares: a wrong value is named, never computed with."""

import math

from eyeplane.errors import InputError


def above_zero(**values: float) -> None:
    """Refuse any value that is not a finite number above zero.

    Parameters
    ----------
    **values : float
        Arguments by name.

    Raises
    ------
    InputError
        If a value is zero, negative, infinite or not a number.
    """
    for name, value in values.items():
        if not (value > 0 and math.isfinite(value)):
            raise InputError(
                f"{value} is not above zero", where=name, hint="Give a positive number"
            )


def not_negative(**values: float) -> None:
    """Refuse any value that is not a finite number of zero or more.

    Parameters
    ----------
    **values : float
        Arguments by name.

    Raises
    ------
    InputError
        If a value is negative, infinite or not a number.
    """
    for name, value in values.items():
        if not (value >= 0 and math.isfinite(value)):
            raise InputError(
                f"{value} is negative", where=name, hint="Give zero or a number above it"
            )


def farther_than(limit_mm: float, **distances_mm: float) -> None:
    """Refuse any distance that does not lie beyond `limit_mm`; infinity is a distance.

    Parameters
    ----------
    limit_mm : float
        The focal length: nearer objects have no real image.
    **distances_mm : float
        Distances by name, from the lens.

    Raises
    ------
    InputError
        If a distance is not above the limit.
    """
    for name, value in distances_mm.items():
        if not value > limit_mm:
            raise InputError(
                f"{value} mm is not beyond the focal length of {limit_mm} mm",
                where=name,
                hint="Give a distance from the lens in millimetres",
            )
