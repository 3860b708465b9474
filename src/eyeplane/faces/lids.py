"""Whether an eye is open: the opening of its lids over the iris's diameter."""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

# An eye that looks ahead opens 8–11 mm, 0.7–0.9 of the visible iris; a laughing one about half of
# that (common practice, no source). The net leaves a gap between the lids of a shut eye.
SHUT_BELOW = 0.22
OPEN_ABOVE = 0.36
SMALLEST_IRIS_PX = 4.0  # below this the lids cannot be told apart


def lid_opening(lids_px: "NDArray[np.float64]", *, iris_diameter_px: float) -> float:
    """Return the largest opening between the lids over the diameter of the iris.

    Parameters
    ----------
    lids_px : ndarray of float64, shape (16, 2)
        Lower lid from corner to corner (9 points), then the upper lid's inner 7.
    iris_diameter_px : float
        Diameter of the visible iris.

    Returns
    -------
    float
        0 for lids that touch.
    """
    lower, upper = lids_px[1:8], lids_px[9:16]
    across = lids_px[8] - lids_px[0]
    length = float(np.hypot(*across))
    if length <= 0.0 or iris_diameter_px <= 0.0:
        return 0.0
    normal = np.array([-across[1], across[0]]) / length
    return float(np.max(np.abs((lower - upper) @ normal))) / iris_diameter_px


def is_open(lids_px: "NDArray[np.float64]", *, iris_diameter_px: float) -> bool | None:
    """Return whether an eye is open, None where it cannot be told.

    Parameters
    ----------
    lids_px : ndarray of float64, shape (16, 2)
        As in `lid_opening`.
    iris_diameter_px : float
        Diameter of the visible iris.

    Returns
    -------
    bool or None
        None between `SHUT_BELOW` and `OPEN_ABOVE`, and on very small eyes.
    """
    if iris_diameter_px < SMALLEST_IRIS_PX:
        return None
    opening = lid_opening(lids_px, iris_diameter_px=iris_diameter_px)
    if opening < SHUT_BELOW:
        return False
    return True if opening > OPEN_ABOVE else None
