"""An even surface made flat: smooth fall-off, gradients, bands, and the sensor's own lines removed.

Arrays are [y, x].
"""

import numpy as np
from numpy.typing import NDArray

ORDER = 4  # of the polynomial for vignetting and light from one side; our own choice
UNEVEN = (
    0.12  # 90 % of an even surface keeps within this share of its smooth course; our own choice
)
LINES = 0.02  # most that one row or column of a sensor differs from the next; from memory
FIELDS = 96  # across the long edge, for the smooth course


def unevenness(light: NDArray[np.float32]) -> float:
    """Return how far a frame is from showing one even surface.

    Parameters
    ----------
    light : ndarray
        Of float32 [y, x], linear light.

    Returns
    -------
    float
        Share of the light within which nine tenths of the frame keep to a smooth course: above
        `UNEVEN` it is a scene.
    """
    return _smooth_course(_shrunk(light))[1]


def flatten(light: NDArray[np.float32], *, widest_px: float) -> NDArray[np.float32]:
    """Return the light over its smooth course.

    Parameters
    ----------
    light : ndarray
        Of float32 [y, x], linear light, mostly above 0.
    widest_px : float
        Shadows up to this wide stay; wider ones count as smooth.

    Returns
    -------
    ndarray
        Of float32 [y, x] around 1.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = light.shape
    course = _smooth_course(_shrunk(light))[0]
    ratio = light / cv2.resize(course, (width, height), interpolation=cv2.INTER_CUBIC)
    ratio /= _local_course(ratio, widest_px)
    _remove_lines(ratio)
    return np.asarray(ratio, np.float32)


def _shrunk(light: NDArray[np.float32]) -> NDArray[np.float32]:
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = light.shape
    scale = FIELDS / max(height, width)
    size = (max(8, round(width * scale)), max(8, round(height * scale)))
    return np.asarray(cv2.resize(light, size, interpolation=cv2.INTER_AREA))


def _smooth_course(small: NDArray[np.float32]) -> tuple[NDArray[np.float32], float]:
    """Return a polynomial in x and y fitted to the logarithm, outliers losing their say."""
    height, width = small.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    terms = np.stack(
        [x**i * y**j for i in range(ORDER + 1) for j in range(ORDER + 1 - i)], axis=-1
    ).reshape(height * width, -1)
    told = np.log(np.maximum(small.ravel().astype(float), 1e-6))
    weight = np.ones_like(told)
    off, found = np.zeros_like(told), np.zeros(terms.shape[1])
    for _ in range(6):
        root = np.sqrt(weight)[:, None]
        found = np.linalg.lstsq(terms * root, told * root[:, 0], rcond=None)[0]
        off = told - terms @ found
        spread = max(1.4826 * float(np.median(np.abs(off))), 1e-5)
        weight = np.clip(1 - (off / (4.7 * spread)) ** 2, 0.0, 1.0) ** 2 + 1e-9  # Tukey's biweight
    course = np.exp(terms @ found).reshape(height, width)
    return course.astype(np.float32), float(np.quantile(np.abs(off), 0.9))


def _local_course(ratio: NDArray[np.float32], widest_px: float) -> NDArray[np.float32]:
    """Return what is left of the smooth course, from a wide mean that leaves shadows out."""
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = ratio.shape
    step = max(1.0, widest_px / 12)
    size = (max(4, round(width / step)), max(4, round(height / step)))
    small = cv2.resize(ratio, size, interpolation=cv2.INTER_AREA)
    wide = widest_px / step * 0.75
    course = cv2.GaussianBlur(small, (0, 0), wide)
    for _ in range(3):
        off = small - course
        spread = max(1.4826 * float(np.median(np.abs(off))), 1e-6)
        kept = (np.abs(off) < 2.5 * spread).astype(np.float32)
        weight = cv2.GaussianBlur(kept, (0, 0), wide)
        mean = cv2.GaussianBlur(small * kept, (0, 0), wide) / np.maximum(weight, 1e-3)
        course = np.where(weight > 0.05, mean, course).astype(np.float32)
    return np.asarray(cv2.resize(course, (width, height), interpolation=cv2.INTER_LINEAR))


def _remove_lines(ratio: NDArray[np.float32]) -> None:
    """Take each row's and each column's own level out, which amplifiers leave."""
    for axis in (1, 0):
        thin = ratio[:, ::3] if axis == 1 else ratio[::3]
        level = np.median(thin, axis=axis)
        level = np.clip(level, 1 - LINES, 1 + LINES)
        ratio /= level[:, None] if axis == 1 else level[None, :]
