"""Leaning towards the focus plane: who must, how far, and from where on it is a step."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

MOST_LEAN_MM = 250.0  # mm; farther than this from the waist is no lean but a step; from memory


def lean_mm(effective_mm: FloatArray, *, near_mm: float, far_mm: float) -> FloatArray:
    """Return how far each must move to come within two limits.

    Parameters
    ----------
    effective_mm : ndarray
        Where they are, from the lens.
    near_mm, far_mm : float
        The limits, from the lens; the far one may be infinite.

    Returns
    -------
    ndarray
        In mm, + towards the camera, − away from it; 0 for whoever is inside.

    Examples
    --------
    >>> lean_mm(np.array([3500.0, 4100.0]), near_mm=3550, far_mm=4000)
    array([-50., 100.])
    """
    beyond = np.maximum(effective_mm - far_mm, 0.0)
    short = np.maximum(near_mm - effective_mm, 0.0)
    return np.asarray(beyond - short, dtype=np.float64)


def lean_in_mm(effective_mm: FloatArray, *, most_mm: float) -> FloatArray:
    """Return how far each leans in if the depth of the group is cut from behind.

    Parameters
    ----------
    effective_mm : ndarray
        Where they are, from the lens.
    most_mm : float
        What the farthest lean in by, >= 0.

    Returns
    -------
    ndarray
        In mm, >= 0: the farthest by `most_mm`, all others just as far as these then are, the
        nearest never.

    Notes
    -----
    Only leaning in is asked for: nobody sits well leaning back, and every mm that the farthest come
    in lets the focus plane come in too.

    Examples
    --------
    >>> lean_in_mm(np.array([3500.0, 4000.0, 4100.0]), most_mm=150)
    array([  0.,  50., 150.])
    """
    line = max(float(effective_mm.max()) - most_mm, float(effective_mm.min()))
    return np.asarray(np.maximum(effective_mm - line, 0.0), dtype=np.float64)


def in_words(towards_mm: float) -> str:
    """Return a move in words.

    Parameters
    ----------
    towards_mm : float
        How far, + towards the camera.

    Returns
    -------
    str
        "leans in by 6 cm", "leans back by 4 cm", "comes a step closer, 40 cm" or
        "goes a step back, 30 cm"; whole cm, rounded up.
    """
    whole = int(np.ceil(abs(towards_mm) / 10.0 - 1e-9))
    size = f"{whole}\u2009cm"
    if abs(towards_mm) <= MOST_LEAN_MM:
        return f"leans {'in' if towards_mm > 0 else 'back'} by {size}"
    return f"comes a step closer, {size}" if towards_mm > 0 else f"goes a step back, {size}"
