"""Apertures, shutter times and ISO as cameras mark them in third stops, and what they truly are.

Marks are rounded: f/5.6 stands for 5.657 and 1/125 s for 1/128 s. Sums of exposure use the exact
third stops, so that they close; optics uses the marked aperture, which is off by 3 % at most.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from eyeplane.light.elementwise import Either, FloatArray, Numbers, above_zero

# Third-stop series as engraved or shown by cameras; common practice, no source.
F_NUMBERS = (
    *(1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6),
    *(6.3, 7.1, 8.0, 9.0, 10.0, 11.0, 13.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 29.0, 32.0),
)
SHUTTER_PARTS = (  # exposure times are 1 s divided by these
    *(4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400),
    *(500, 640, 800, 1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000),
)
_LONG_S = (
    *(30.0, 25.0, 20.0, 15.0, 13.0, 10.0, 8.0, 6.0, 5.0, 4.0),
    *(3.2, 2.5, 2.0, 1.6, 1.3, 1.0, 0.8, 0.6, 0.5, 0.4, 0.3),
)
_ELECTRONIC_PARTS = (10_000, 12_800, 16_000, 20_000, 25_600, 32_000)
# All of them, longest first: those under 1/8000 s by electronic shutters only.
SHUTTER_TIMES_S = (*_LONG_S, *(1.0 / part for part in (*SHUTTER_PARTS, *_ELECTRONIC_PARTS)))
ISOS = (
    *(50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600, 2000),
    *(2500, 3200, 4000, 5000, 6400, 8000, 10_000, 12_800, 16_000, 20_000, 25_600, 32_000),
    *(40_000, 51_200, 64_000, 80_000, 102_400),
)
_SAME = 0.005  # of a mark: nearer than this it is the mark, e.g. 0.0167 s for 1/60 s


def _like(found: Either, value: Either) -> Either:
    return found if isinstance(value, np.ndarray) else float(found)


class _Series(NamedTuple):
    marks: FloatArray  # rising
    exact: FloatArray

    def place(self, value: Either) -> NDArray[np.intp]:
        """Return the index of the nearest mark by ratio."""
        log, logs = np.log(np.asarray(value, float)), np.log(self.marks)
        above = np.clip(np.searchsorted(logs, log), 1, len(logs) - 1)
        return np.asarray(above - (log - logs[above - 1] <= logs[above] - log))

    def nearest(self, value: Numbers, *, rounding: int) -> Numbers:
        """Return the nearest mark; with rounding −1 one not above the value, +1 not below it."""
        at = self.place(value)
        # A mark and what it stands for are the same: f/5.6 is not wider than 5.657.
        marked, exact = ((s[at] / value - 1.0) * rounding for s in self)
        wrong = (marked < -_SAME) & (exact < -_SAME)
        found = self.marks[np.clip(at + rounding * wrong, 0, len(self.marks) - 1)]
        return cast("Numbers", _like(found, value))

    def true(self, value: Numbers) -> Numbers:
        """Return what a mark stands for, and anything else as it is."""
        at = self.place(value)
        found = np.where(np.abs(self.marks[at] / value - 1.0) < _SAME, self.exact[at], value)
        return cast("Numbers", _like(found, value))


def _series(marks: Sequence[float], *, one: float, thirds: float) -> _Series:
    """Return a series whose mark `one` is exact, growing by so many thirds of 2 a mark."""
    rising = np.sort(np.asarray(marks, float))
    steps = np.arange(len(rising)) - int(np.argmin(np.abs(rising - one)))
    return _Series(rising, np.asarray(one * np.exp2(steps * thirds / 3.0)))


_APERTURES = _series(F_NUMBERS, one=1.0, thirds=0.5)
_TIMES = _series(SHUTTER_TIMES_S, one=1.0, thirds=1.0)
_SPEEDS = _series(ISOS, one=100.0, thirds=1.0)


def nearest_f_number(f_number: Numbers, *, smaller: bool = False) -> Numbers:
    """Return the marked aperture next to one.

    Parameters
    ----------
    f_number : float or ndarray
        Any aperture, > 0.
    smaller : bool
        Whether it may not open wider than asked for (a mark and what it stands for are one).

    Returns
    -------
    float or ndarray
        One of `F_NUMBERS`, nearest by ratio; their end beyond their ends.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> nearest_f_number(5.657), nearest_f_number(5.7, smaller=True)
    (5.6, 6.3)
    """
    above_zero(f_number=f_number)
    return _APERTURES.nearest(f_number, rounding=int(smaller))


def nearest_shutter_s(time_s: Numbers, *, faster: bool = False) -> Numbers:
    """Return the marked shutter time next to one.

    Parameters
    ----------
    time_s : float or ndarray
        Any time, > 0.
    faster : bool
        Whether it may not be longer than asked for.

    Returns
    -------
    float or ndarray
        One of `SHUTTER_TIMES_S`, nearest by ratio; their end beyond their ends.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(1 / nearest_shutter_s(1 / 300)), round(1 / nearest_shutter_s(1 / 300, faster=True))
    (320, 320)
    >>> round(1 / nearest_shutter_s(1 / 270)), round(1 / nearest_shutter_s(1 / 270, faster=True))
    (250, 320)
    """
    above_zero(time_s=time_s)
    return _TIMES.nearest(time_s, rounding=-int(faster))


def nearest_iso(iso: Numbers, *, higher: bool = False) -> Numbers:
    """Return the marked ISO next to one.

    Parameters
    ----------
    iso : float or ndarray
        Any sensitivity, > 0.
    higher : bool
        Whether it may not be lower than asked for.

    Returns
    -------
    float or ndarray
        One of `ISOS`, nearest by ratio; their end beyond their ends.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> nearest_iso(383.0), nearest_iso(430.0, higher=True)
    (400.0, 500.0)
    """
    above_zero(iso=iso)
    return _SPEEDS.nearest(iso, rounding=int(higher))


def true_f_number(f_number: Numbers) -> Numbers:
    """Return the aperture that a mark stands for.

    Parameters
    ----------
    f_number : float or ndarray
        As marked, > 0.

    Returns
    -------
    float or ndarray
        The exact third stop √2^(k/3) for one of `F_NUMBERS`, anything else as it is.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(true_f_number(5.6), 3), round(true_f_number(3.5), 3), true_f_number(0.95)
    (5.657, 3.564, 0.95)
    """
    above_zero(f_number=f_number)
    return _APERTURES.true(f_number)


def true_shutter_s(time_s: Numbers) -> Numbers:
    """Return the exposure time that a mark stands for.

    Parameters
    ----------
    time_s : float or ndarray
        As marked, > 0.

    Returns
    -------
    float or ndarray
        The exact third stop 2^(−k/3) s for one of `SHUTTER_TIMES_S`, anything else as it is.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(1 / true_shutter_s(1 / 125), 3), true_shutter_s(30.0), true_shutter_s(1 / 180) * 180
    (128.0, 32.0, 1.0)
    """
    above_zero(time_s=time_s)
    return _TIMES.true(time_s)


def true_iso(iso: Numbers) -> Numbers:
    """Return the sensitivity that a mark stands for.

    Parameters
    ----------
    iso : float or ndarray
        As marked, > 0.

    Returns
    -------
    float or ndarray
        The exact third stop 100 · 2^(k/3) for one of `ISOS`, anything else as it is.

    Raises
    ------
    InputError
        If it is not above zero.

    Examples
    --------
    >>> round(true_iso(125.0), 2), round(true_iso(640.0), 1), true_iso(400.0)
    (125.99, 635.0, 400.0)
    """
    above_zero(iso=iso)
    return _SPEEDS.true(iso)


def stops_between(*, wider_f_number: float, smaller_f_number: float) -> float:
    """Return how many stops lie between two apertures.

    Parameters
    ----------
    wider_f_number, smaller_f_number : float
        As marked, > 0.

    Returns
    -------
    float
        Stops of light lost from the first to the second, by the exact third stops.

    Raises
    ------
    InputError
        If one is not above zero.

    Examples
    --------
    >>> round(stops_between(wider_f_number=2.8, smaller_f_number=5.6), 9)
    2.0
    """
    ratio = true_f_number(smaller_f_number) / true_f_number(wider_f_number)
    return 2.0 * math.log2(ratio)
