"""The edge guard: how blurred the sharpest edges of a window are, apart from the spectrum.

An edge blurred once more loses gradient, the less so the more it was blurred already; the ratio
of the gradients of two re-blurred copies gives its spread. Arrays are [y, x].
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numba import njit
from numpy.typing import NDArray

PAIRS_PX = ((1.0, 2.0), (2.0, 4.0), (3.5, 7.0))  # standard deviations of the two re-blurs
LEAST_EDGE_PIXELS = 24  # fewer say nothing
NOISE_FACTOR = 5.0  # an edge must rise above the gradient noise by this
SHARPEST_SHARE = 0.25  # quantile over edges: natural soft edges only ever look more blurred
DISC_PER_SIGMA = 4.0  # a disc of diameter D has the standard deviation D / 4 per axis: exact


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeReading:
    """Blur at a window's edges.

    Attributes
    ----------
    sharpest_px, middle_px : float
        Diameter of the disc of equal spread, of the sharpest quarter and the middle of the edges.
    count : int
        Edge pixels used.
    across_px : tuple of (float or None)
        As `middle_px`, of edges whose normals lie within 22.5° of 0°, 45°, 90° and 135°
        (counter-clockwise from +x, y up); None where a direction has too few.
    """

    sharpest_px: float
    middle_px: float
    count: int
    across_px: tuple[float | None, ...]


def read_edges(luma: NDArray[np.float32], *, noise_sd: float) -> EdgeReading | None:
    """Return the blur at the edges of a window.

    Parameters
    ----------
    luma : ndarray
        Linear light.
    noise_sd : float
        Standard deviation of the noise per pixel, same unit.

    Returns
    -------
    EdgeReading or None
        None where there are too few edges above the noise.

    References
    ----------
    S. Zhuo and T. Sim, Defocus map estimation from a single image, Pattern Recognition 44 (2011).
    """
    reading = None
    for narrow, wide in PAIRS_PX:
        reading = _at_scale(luma, narrow, wide, noise_sd) or reading
        if reading is not None and reading.sharpest_px < 2 * DISC_PER_SIGMA * narrow:
            return reading
    return reading


def _at_scale(
    image: NDArray[np.float32], narrow: float, wide: float, noise_sd: float
) -> EdgeReading | None:
    ax, ay, strength = _gradient(cv2.GaussianBlur(image, (0, 0), narrow))
    _, _, weaker = _gradient(cv2.GaussianBlur(image, (0, 0), wide))
    least = max(NOISE_FACTOR * noise_sd / (narrow**2 * np.sqrt(8 * np.pi)), 1e-6)
    found = _ridge(strength, ax, ay, weaker, least, int(2 * narrow) + 4)
    if len(found) < LEAST_EDGE_PIXELS:
        return None
    read = _discs(found, narrow, wide)
    classes = [found[found[:, 2] == c] for c in range(4)]
    return EdgeReading(
        sharpest_px=float(read[int(SHARPEST_SHARE * len(read))]),
        middle_px=float(read[len(read) // 2]),
        count=len(read),
        across_px=tuple(
            float(np.median(_discs(c, narrow, wide))) if len(c) >= LEAST_EDGE_PIXELS else None
            for c in classes
        ),
    )


def _discs(found: NDArray[np.float32], narrow: float, wide: float) -> NDArray[np.float64]:
    """Return the disc diameters of the stronger half of edges, rising."""
    strong = found[found[:, 0] >= np.median(found[:, 0]), 1].astype(float)
    ratio2 = np.maximum(strong, 1.0005) ** 2
    variance = np.clip((wide**2 - ratio2 * narrow**2) / (ratio2 - 1), 0.0, 900.0)
    return np.asarray(DISC_PER_SIGMA * np.sqrt(np.sort(variance)))


def _gradient(image: Any) -> tuple[Any, Any, Any]:  # noqa: ANN401  cv2 has no element types
    x = cv2.Sobel(image, cv2.CV_32F, 1, 0, scale=0.125)
    y = cv2.Sobel(image, cv2.CV_32F, 0, 1, scale=0.125)
    return x, y, cv2.magnitude(x, y)


@njit(cache=True, fastmath=True, nogil=True)
def _ridge(strength, x, y, weaker, least, margin):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Return strength, ratio and class of direction where the gradient is largest across it."""
    height, width = strength.shape
    found = np.empty((height * width, 3), np.float32)
    count = 0
    for i in range(margin, height - margin):
        for j in range(margin, width - margin):
            here = strength[i, j]
            if here <= least:
                continue
            ax, ay = abs(x[i, j]), abs(y[i, j])
            dy = 0 if ay < 0.4142 * ax else 1
            dx = 0 if ax < 0.4142 * ay else 1
            if dy == 1 and dx == 1 and x[i, j] * y[i, j] < 0:
                dx = -1
            if here >= strength[i + dy, j + dx] and here >= strength[i - dy, j - dx]:
                found[count, 0] = here
                found[count, 1] = here / max(weaker[i, j], 1e-12)
                if dy == 0:
                    found[count, 2] = 0
                elif dx == 0:
                    found[count, 2] = 2
                else:
                    found[count, 2] = 3 if dx == 1 else 1
                count += 1
    return found[:count]
