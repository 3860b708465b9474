"""What blurs an eye by where it stands: missed focus, for many settings at once.

The same thin lens as `eyeplane.optics.blur_circle_um`, on arrays; a test holds the two together.
What blurs every frame of a kit alike, glass and diffraction, lies in `eyeplane.optics.kit_blur`.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.records import PlanKit

FloatArray = NDArray[np.float64]


def disc_um(
    *, focal_length_mm: float, f_number: ArrayLike, focus_mm: ArrayLike, eye_mm: ArrayLike
) -> FloatArray:
    """Return the blur disc's diameter for many planes, eyes and apertures, exact thin lens.

    Parameters
    ----------
    focal_length_mm : float
        Focal length, > 0.
    f_number : array_like
        Apertures, > 0.
    focus_mm, eye_mm : array_like
        Focus plane and eye, distances from the lens, > focal length.

    Returns
    -------
    ndarray
        (f / N) · f / (s − f) · |d − s| / d in micrometres, in the broadcast shape.

    Examples
    --------
    >>> disc_um(focal_length_mm=85, f_number=1.8, focus_mm=2000, eye_mm=[1990, 2010]).round(2)
    array([10.53, 10.43])
    """
    s, d = np.asarray(focus_mm, float), np.asarray(eye_mm, float)
    scale = 1000.0 * focal_length_mm**2 / np.asarray(f_number, float)
    return np.asarray(scale / (s - focal_length_mm) * np.abs(d - s) / d)


def image_distance_mm(kit: PlanKit, *, focus_mm: float) -> float:
    """Return how far the sensor lies behind the lens.

    Parameters
    ----------
    kit : PlanKit
        For the focal length.
    focus_mm : float
        Focus plane, from the lens, > focal length.

    Returns
    -------
    float
        In mm, f s / (s − f): what a turn of the camera is multiplied with on the sensor.
    """
    return kit.focal_length_mm * focus_mm / (focus_mm - kit.focal_length_mm)
