"""Fill clipped highlights from around them, so that their hard edges do not read as sharpness."""

import cv2
import numpy as np
from numpy.typing import NDArray

SMOOTHINGS = 40  # of a 3 x 3 mean inside the hole: evens it out over about 7 px
SCALES_PX = (1.5, 3.0, 6.0, 12.0, 24.0)  # of the weighted means that reach into larger holes


def fill_clipped(luma: NDArray[np.float64], clipped: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return the window with clipped pixels replaced by a smooth continuation of their surround.

    Parameters
    ----------
    luma : ndarray
        Linear light, [y, x].
    clipped : ndarray
        bool, where the true light is unknown; grown by 2 px since JPEG smears the edge.

    Returns
    -------
    ndarray
        A copy where anything was filled, else `luma` itself. All clipped: unchanged.
    """
    if not clipped.any():
        return luma
    hole = cv2.dilate(clipped.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    if hole.all():
        return luma
    known = (~hole).astype(float)
    filled = luma * known
    todo = hole.copy()
    for scale in SCALES_PX:
        total = cv2.GaussianBlur(luma * known, (0, 0), scale)
        share = cv2.GaussianBlur(known, (0, 0), scale)
        reach = todo & (share > 1e-3)
        filled[reach] = total[reach] / share[reach]
        todo &= ~reach
        if not todo.any():
            break
    filled[todo] = float(luma[~hole].mean())
    for _ in range(SMOOTHINGS):
        filled[hole] = cv2.blur(filled, (3, 3))[hole]
    return np.asarray(filled, float)
