"""How light falls off with distance: across a face, and from row to row of a group."""

from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from eyeplane.errors import InputError
from eyeplane.light.elementwise import FloatArray, Numbers, above_zero, not_negative, plain

# Breadth of a head, from the side that faces the light to the other: ANSUR II, women 148 mm,
# men some 154 (from memory). Light from before the face loses less from side to side.
HEAD_BREADTH_MM = 150.0


def falloff_ev(
    *,
    near_mm: float | Numbers,
    far_mm: float | Numbers,
    source_size_mm: float | Numbers = 0.0,
) -> Numbers:
    """Return how many stops of light are lost from one distance to another.

    Parameters
    ----------
    near_mm, far_mm : float or ndarray
        Distances from the source, > 0.
    source_size_mm : float or ndarray
        Diameter of a flat round source that faces both places, >= 0; 0 for a small one.

    Returns
    -------
    float or ndarray
        2 log2(far / near), the inverse square, for a small source; log2 of
        (R² + far²) / (R² + near²) for one of radius R. Negative where `far_mm` is nearer.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    The inverse square overstates what a large source near by loses: a softbox at its own width by
    a fifth.

    Examples
    --------
    >>> falloff_ev(near_mm=1000, far_mm=2000), round(falloff_ev(near_mm=1000, far_mm=1400), 3)
    (2.0, 0.971)
    """
    above_zero(near_mm=near_mm, far_mm=far_mm)
    not_negative(source_size_mm=source_size_mm)
    radius2 = np.square(source_size_mm / 2.0)
    ratio = (radius2 + np.square(far_mm)) / (radius2 + np.square(near_mm))
    return cast("Numbers", plain(np.log2(ratio)))


def face_falloff_ev(
    *,
    source_distance_mm: float | Numbers,
    across_mm: float | Numbers = HEAD_BREADTH_MM,
    source_size_mm: float | Numbers = 0.0,
) -> Numbers:
    """Return how many stops are lost across a face.

    Parameters
    ----------
    source_distance_mm : float or ndarray
        Source to the side of the face that is towards it, > 0.
    across_mm : float or ndarray
        How much farther the other side is, >= 0: the breadth of a head for light from the side,
        less for light from the front.
    source_size_mm : float or ndarray
        Diameter of the source, >= 0; 0 for a small one.

    Returns
    -------
    float or ndarray
        Stops by distance alone, shadows left out.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> round(face_falloff_ev(source_distance_mm=600, across_mm=200), 2)
    0.83
    """
    above_zero(source_distance_mm=source_distance_mm)
    not_negative(across_mm=across_mm)
    return falloff_ev(
        near_mm=source_distance_mm,
        far_mm=source_distance_mm + across_mm,
        source_size_mm=source_size_mm,
    )


def light_distances_mm(*, source_mm: ArrayLike, places_mm: ArrayLike) -> FloatArray:
    """Return how far places are from a source, wherever it stands.

    Parameters
    ----------
    source_mm : array_like
        Three numbers: aside (+ to the right as the camera sees it), above the eyes, and along the
        lens axis away from the camera.
    places_mm : array_like
        The same of the places, shape (..., 3).

    Returns
    -------
    ndarray
        Straight distances in mm, shape (...).

    Raises
    ------
    InputError
        If a place or the source has not three numbers, or one of them is not finite.

    Examples
    --------
    A light 1 m to the right and 1 m above a face, 1 m before it:

    >>> light_distances_mm(source_mm=(1000, 1000, 1000), places_mm=(0, 0, 2000)).round(1)
    np.float64(1732.1)
    """
    source, places = np.asarray(source_mm, float), np.asarray(places_mm, float)
    if source.shape != (3,) or places.shape[-1:] != (3,):
        raise InputError(
            f"{source.shape} and {places.shape} are not three numbers a place",
            where="source_mm, places_mm",
            hint="Give aside, above and along the lens axis in mm",
        )
    if not (np.isfinite(source).all() and np.isfinite(places).all()):
        raise InputError(
            "a place is not finite", where="source_mm, places_mm", hint="Give numbers in mm"
        )
    return np.asarray(np.linalg.norm(places - source, axis=-1))


def row_falloff_ev(
    *, row_distances_mm: ArrayLike, source_mm: ArrayLike, source_size_mm: float = 0.0
) -> FloatArray:
    """Return by how many stops each row gets less light than the front row.

    Parameters
    ----------
    row_distances_mm : array_like
        Rows along the lens axis, from the lens, front row first.
    source_mm : array_like
        The source: aside, above the eyes, and along the lens axis from the lens.
    source_size_mm : float
        Its diameter, >= 0; 0 for a small one.

    Returns
    -------
    ndarray
        Stops, 0 for the front row, + where darker; negative where a row is nearer to the light.

    Raises
    ------
    InputError
        If the source stands in a row's middle, or a number is out of range.

    Notes
    -----
    A light far aside or high above falls off less from row to row, since straight distances then
    differ less. Taken at the middle of each row; how the source is turned is left out.

    Examples
    --------
    Rows 60 cm apart, the light beside the camera at 3.5 m, then 2 m aside and 1.5 m above:

    >>> row_falloff_ev(row_distances_mm=[3500, 4100], source_mm=(0, 0, 0)).round(2)
    array([0.  , 0.46])
    >>> row_falloff_ev(row_distances_mm=[3500, 4100], source_mm=(2000, 1500, 1500)).round(2)
    array([0.  , 0.34])
    """
    rows = np.atleast_1d(np.asarray(row_distances_mm, float))
    places = np.stack([np.zeros_like(rows), np.zeros_like(rows), rows], axis=-1)
    far_mm = light_distances_mm(source_mm=source_mm, places_mm=places)
    return falloff_ev(near_mm=far_mm[:1], far_mm=far_mm, source_size_mm=source_size_mm)
