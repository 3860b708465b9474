"""Arcs: of people and of the surface that a lens has in focus, and what one does to the other."""

import math

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError

FloatArray = NDArray[np.float64]

WIDEST_DEG = 80.0  # deg from the middle of an arc to its end: beyond that it closes; our own


def sag_mm(aside_mm: FloatArray | float, *, radius_mm: float) -> FloatArray:
    """Return how far an arc lies from its tangent.

    Parameters
    ----------
    aside_mm : ndarray or float
        Distances from the point where the tangent touches, along the tangent.
    radius_mm : float
        Radius of the arc, its sign kept.

    Returns
    -------
    ndarray
        |R| − √(R² − x²), with the sign of R; as far as the radius itself beyond the arc's end.

    Examples
    --------
    The end of an arc of 3 m radius, 20 degrees from its middle:

    >>> round(float(sag_mm(3000 * np.sin(np.radians(20)), radius_mm=3000)))
    181
    """
    radius = abs(radius_mm)
    inside = np.sqrt(np.maximum(radius**2 - np.asarray(aside_mm, dtype=np.float64) ** 2, 0.0))
    return np.asarray(math.copysign(1.0, radius_mm) * (radius - inside), dtype=np.float64)


def field_sag_mm(aside_mm: FloatArray, *, radius_mm: float | None) -> FloatArray:
    """Return how much farther than they are eyes beside the axis count.

    Parameters
    ----------
    aside_mm : ndarray
        Distances from the lens axis.
    radius_mm : float or None
        Radius of the surface in focus, + where its edges bend towards the camera; None: flat.

    Returns
    -------
    ndarray
        In mm: 0 for a flat field; above zero where the surface bends towards the camera, since an
        eye in the plane then lies behind it.

    Raises
    ------
    InputError
        If the radius is zero or not a number.
    """
    if radius_mm is None:
        return np.zeros_like(aside_mm)
    if radius_mm == 0 or not math.isfinite(radius_mm):
        raise InputError(
            f"{radius_mm} mm is no radius",
            where="field_radius_mm",
            hint="Give the radius of the surface in focus, or leave it out for a flat one",
        )
    return sag_mm(aside_mm, radius_mm=radius_mm)


def bend(
    along_mm: NDArray[np.floating], *, radius_mm: float | None
) -> tuple[FloatArray, FloatArray]:
    """Return where people stand who are spaced evenly along an arc.

    Parameters
    ----------
    along_mm : ndarray
        Distances along the row from its middle, + to the right.
    radius_mm : float or None
        Radius of the arc, its middle farthest from the camera; None: a straight row.

    Returns
    -------
    tuple of ndarray
        Distances beside the lens axis, and how much nearer than the middle each stands, in mm.

    Raises
    ------
    InputError
        If the radius is not above zero, or the row goes more than 80 degrees around it.

    Examples
    --------
    >>> across, nearer = bend(np.array([-1000.0, 0.0, 1000.0]), radius_mm=3000)
    >>> across.round(), nearer.round()
    (array([-982.,    0.,  982.]), array([165.,   0., 165.]))
    """
    along = np.asarray(along_mm, dtype=np.float64)
    if radius_mm is None:
        return along, np.zeros_like(along)
    if not (radius_mm > 0 and math.isfinite(radius_mm)):
        raise InputError(
            f"{radius_mm} mm is no radius",
            where="arc_radius_mm",
            hint="Give the radius of the curve, or leave it out for straight rows",
        )
    angle = along / radius_mm
    widest = math.degrees(float(np.abs(angle).max()))
    if widest > WIDEST_DEG:
        raise InputError(
            f"a radius of {radius_mm / 1000:.1f} m bends the row by {widest:.0f} degrees to "
            "either side",
            where="arc_radius_mm",
            hint="Use a larger radius, or fewer faces in a row",
        )
    return radius_mm * np.sin(angle), radius_mm * (1.0 - np.cos(angle))
