"""Sums that work on single numbers and on whole arrays alike, and checks of what goes into them."""

import math
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError

FloatArray = NDArray[np.float64]
Either: TypeAlias = float | FloatArray
# A function of `float | Numbers` arguments gives a float where all are floats, else an array.
Numbers = TypeVar("Numbers", float, FloatArray)


def log2(value: Either) -> Either:
    """Return the logarithm to base 2: stops of a ratio.

    Parameters
    ----------
    value : float or ndarray
        > 0.

    Returns
    -------
    float or ndarray
        Stops.
    """
    if isinstance(value, np.ndarray):
        return np.asarray(np.log2(value))
    return math.log2(value)


def exp2(stops: Either) -> Either:
    """Return 2 to a power: the ratio of so many stops.

    Parameters
    ----------
    stops : float or ndarray
        Any.

    Returns
    -------
    float or ndarray
        Ratio, > 0.
    """
    if isinstance(stops, np.ndarray):
        return np.asarray(np.exp2(stops))
    return math.exp2(stops)


def root(value: Either) -> Either:
    """Return the square root.

    Parameters
    ----------
    value : float or ndarray
        >= 0.

    Returns
    -------
    float or ndarray
        The root.
    """
    if isinstance(value, np.ndarray):
        return np.asarray(np.sqrt(value))
    return math.sqrt(value)


def plain(value: Either) -> Either:
    """Return a single number as a float, and an array as it is.

    Parameters
    ----------
    value : float or ndarray
        What numpy made of a sum: of single numbers it makes its own kind of them.

    Returns
    -------
    float or ndarray
        The same.
    """
    return float(value) if np.ndim(value) == 0 else np.asarray(value, float)


def between(value: Either, *limits: float) -> Either:
    """Return the nearest value that lies between two limits.

    Parameters
    ----------
    value : float or ndarray
        Any.
    *limits : float
        The lower and the upper limit.

    Returns
    -------
    float or ndarray
        The value itself, or the limit that it lies beyond.
    """
    low, high = limits
    if isinstance(value, np.ndarray):
        return np.clip(value, low, high)
    return min(max(value, low), high)


def _first_bad(value: Either, *, zero: bool) -> float | None:
    if not isinstance(value, np.ndarray):  # the quick way: plans call this often
        good = math.isfinite(value) and (value > 0 or (zero and value == 0))
        return None if good else float(value)
    bad = ~(np.isfinite(value) & ((value >= 0) if zero else (value > 0)))
    return float(np.asarray(value)[bad].flat[0]) if bad.any() else None


def above_zero(**values: Either) -> None:
    """Refuse any value that is not a finite number above zero.

    Parameters
    ----------
    **values : float or ndarray
        Arguments by name.

    Raises
    ------
    InputError
        If a value, or one of an array, is zero, negative, infinite or not a number.
    """
    for name, value in values.items():
        bad = _first_bad(value, zero=False)
        if bad is not None:
            raise InputError(
                f"{bad:g} is not above zero", where=name, hint="Give a positive number"
            )


def not_negative(**values: Either) -> None:
    """Refuse any value that is not a finite number of zero or more.

    Parameters
    ----------
    **values : float or ndarray
        Arguments by name.

    Raises
    ------
    InputError
        If a value, or one of an array, is negative, infinite or not a number.
    """
    for name, value in values.items():
        bad = _first_bad(value, zero=True)
        if bad is not None:
            raise InputError(
                f"{bad:g} is negative", where=name, hint="Give zero or a number above it"
            )


def share_of_one(**values: Either) -> None:
    """Refuse any value that is not above zero and at most one.

    Parameters
    ----------
    **values : float or ndarray
        Arguments by name.

    Raises
    ------
    InputError
        If a value, or one of an array, lies outside.
    """
    above_zero(**values)
    for name, value in values.items():
        largest = float(np.max(value))
        if largest > 1:
            raise InputError(
                f"{largest:g} is more than the whole", where=name, hint="Give a share up to 1"
            )
