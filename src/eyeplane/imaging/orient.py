"""The eight orientations of EXIF, as views: no pixel is copied. Arrays are [y, x, …]."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

_VIEWS: dict[int, Callable[[NDArray[Any]], NDArray[Any]]] = {
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.swapaxes(0, 1),
    6: lambda a: np.rot90(a, -1),
    7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
    8: lambda a: np.rot90(a, 1),
}


def upright_view(stored: NDArray[Any], orientation: int) -> NDArray[Any]:
    """Return the stored pixels seen upright.

    Parameters
    ----------
    stored : ndarray
        Pixels [y, x] or [y, x, channel] as they lie in the file.
    orientation : int
        EXIF Orientation, 1 to 8; anything else counts as 1.

    Returns
    -------
    ndarray
        A view of the same memory.

    References
    ----------
    JEITA CP-3451 (EXIF 2.3), tag 274: which corner of the scene the first row and column are.
    """
    view = _VIEWS.get(orientation)
    return stored if view is None else view(stored)


def swaps_axes(orientation: int) -> bool:
    """Return whether rows become columns.

    Parameters
    ----------
    orientation : int
        EXIF Orientation.

    Returns
    -------
    bool
        True for 5 to 8.
    """
    return 5 <= orientation <= 8
