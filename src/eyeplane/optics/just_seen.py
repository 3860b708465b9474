"""The smallest difference in sharpness that viewers see between two prints.

The measure is that of the quality ruler of ISO 20462-3: prints blurred by an ideal lens of known
cut-off, put in order by viewers, in steps of one just noticeable difference (of two prints one step
apart three viewers in four prefer the better one). Here the same ruler is read by the perceived
sharpness of its own prints, so that any print can be laid beside it.
"""

import functools

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics.sharpness import sharpness_cells
from eyeplane.optics.transfer import airy_mtf

# Cut-off of the ruler's lens as degrees per cycle, sharpest and softest: ISO 20462-3:2005, 5.4;
# B. W. Keelan and H. Urabe, Proc. SPIE 5294, 181, 2004. These and the two polynomials from memory;
# they meet 0 at the soft end and 32 at the sharp one, as that ruler does.
SHARPEST_DEG, SOFTEST_DEG = 0.01, 0.26
_ABOVE = (-3_571_075.0, -114_950.0, 203_792.0, 17_249.0)
_BELOW = (357_372.0, -1304.0, 578.0)
# How far viewers, pictures and tasks differ from the ruler's: a step of one photograph seen by one
# person is x / 1.5 of it, nine times in ten; from memory.
STEP_RATIO = 1.5
_PRINTS = 160  # of the ruler that are worked out: error below 0.01 step


@functools.cache
def _ruler() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return sharpness and steps of the ruler's prints, both rising."""
    cutoff_deg = np.geomspace(SOFTEST_DEG, SHARPEST_DEG, _PRINTS)
    steps = np.polyval(_ABOVE, cutoff_deg) / np.polyval(_BELOW, cutoff_deg)
    _, middles, weights = sharpness_cells()
    relative = np.minimum(cutoff_deg[:, None] * middles, 1.0)
    acutance = np.asarray(airy_mtf(relative, airy_px=1.0) * weights).sum(axis=1)
    best = int(np.argmax(steps)) + 1  # the last few prints fall by a twentieth of a step
    return acutance[:best], steps[:best]


def quality_steps(acutance: ArrayLike) -> NDArray[np.float64]:
    """Return how many just noticeable steps a print lies above the ruler's softest.

    Parameters
    ----------
    acutance : array_like
        Perceived sharpness, 0..1, as `perceived_sharpness` returns it.

    Returns
    -------
    ndarray
        Never falls. From 0.88 on all prints are alike, about 32: sharper ones viewers do not tell
        apart. Below the ruler's softest it goes on straight.

    Notes
    -----
    For the viewer and picture in the middle; one of them needs `STEP_RATIO` times more or less.

    References
    ----------
    ISO 20462-3:2005, Psychophysical experimental methods to estimate image quality, part 3:
    quality ruler method (from memory). B. W. Keelan and H. Urabe, Proc. SPIE 5294, 181, 2004.

    Examples
    --------
    >>> quality_steps([0.98, 0.84, 0.68, 0.5]).round(1)
    array([32.1, 31.9, 27.3, 18.9])
    """
    sharp, steps = _ruler()
    value = np.asarray(acutance, float)
    slope = (steps[1] - steps[0]) / (sharp[1] - sharp[0])
    below = steps[0] + slope * (value - sharp[0])
    return np.asarray(np.where(value < sharp[0], below, np.interp(value, sharp, steps)))
