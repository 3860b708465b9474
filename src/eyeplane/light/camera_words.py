"""Apertures and shutter times in words, as lenses and cameras write them."""

import math

from eyeplane.light.camera_values import SHUTTER_PARTS

_THIN = "\u2009"  # thin space, stands before every unit
_MARK = 0.06  # of ln(time): nearer than this to a mark, it is that mark


def f_stop(f_number: float) -> str:
    """Return an aperture as lenses write it.

    Parameters
    ----------
    f_number : float
        Focal length over pupil diameter.

    Returns
    -------
    str
        For instance "f/2.8" or "f/11".

    Examples
    --------
    >>> f_stop(2.8), f_stop(11.0)
    ('f/2.8', 'f/11')
    """
    return f"f/{f_number:.1f}".removesuffix(".0")


def shutter(time_s: float) -> str:
    """Return a shutter time as cameras write it.

    Parameters
    ----------
    time_s : float
        Exposure time, > 0 s.

    Returns
    -------
    str
        For instance "1/250 s", "0.5 s", "2 s".

    Examples
    --------
    >>> [shutter(time_s).split("\u2009")[0] for time_s in (1 / 256, 0.5, 2.0)]
    ['1/250', '0.5', '2']
    """
    if time_s >= 0.29:
        return f"{time_s:.1f}".removesuffix(".0") + f"{_THIN}s"
    parts = 1.0 / time_s
    near = min(SHUTTER_PARTS, key=lambda p: abs(math.log(p / parts)))
    return f"1/{near if abs(math.log(near / parts)) < _MARK else round(parts)}{_THIN}s"
