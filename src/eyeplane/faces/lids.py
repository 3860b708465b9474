"""Whether eyes are open: by the lids' opening and by the iris that shows between them.

The net for lids was made for open eyes and draws shut ones half open, so it is not believed alone:
shut lids show no ring that brightens outwards. Lids shut together, so both eyes are taken together.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Medians of open eyes in 24 real and rendered faces; the same faces with their lids drawn shut had
# .51 and .031. Between the bounds it cannot be told; no open eye came out below them.
OPEN_LIDS = 0.75  # opening over the iris's diameter
OPEN_CONTRAST = 0.055  # brightening along the limbus, logarithm over 1/40 of the iris
SHUT_BELOW = 0.74  # mean of opening and contrast, each over its median
OPEN_ABOVE = 0.82
SMALLEST_IRIS_PX = 6.0  # below this neither lids nor limbus can be told


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeSigns:
    """What tells whether one eye is open.

    Attributes
    ----------
    lids_px : ndarray of float64, shape (16, 2)
        Lower lid from corner to corner (9 points), then the upper lid's inner 7.
    iris_diameter_px : float
        Diameter of the visible iris.
    contrast : float or None
        Of the limbus; None where the eye is too soft or too small.
    weight : float
        How much this eye counts: less on the far side of a turned head.
    """

    lids_px: "NDArray[np.float64]"
    iris_diameter_px: float
    contrast: float | None
    weight: float


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


def are_open(eyes: tuple[EyeSigns, ...]) -> bool | None:
    """Return whether the eyes of one face are open, None where it cannot be told.

    Parameters
    ----------
    eyes : tuple of EyeSigns
        Its eyes.

    Returns
    -------
    bool or None
        None between `SHUT_BELOW` and `OPEN_ABOVE`, and on eyes too small or too soft.
    """
    told = [
        (eye.weight, lid_opening(eye.lids_px, iris_diameter_px=eye.iris_diameter_px), eye.contrast)
        for eye in eyes
        if eye.iris_diameter_px >= SMALLEST_IRIS_PX
    ]
    signs = [
        (weight, (opening / OPEN_LIDS + contrast / OPEN_CONTRAST) / 2)
        for weight, opening, contrast in told
        if contrast is not None
    ]
    total = sum(weight for weight, _ in signs)
    if total < 0.5 * sum(eye.weight for eye in eyes) or total <= 0.0:
        return None
    mean = sum(weight * sign for weight, sign in signs) / total
    if mean < SHUT_BELOW:
        return False
    return True if mean > OPEN_ABOVE else None
