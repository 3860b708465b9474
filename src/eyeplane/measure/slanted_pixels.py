"""The pixels around a slanted edge, in coordinates along and across it.

Points are (x, y) in px with pixel centres at .5, arrays are [y, x]. Across the edge distances grow
into the bright side.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.errors import InputError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

LEAST_LENGTH_PX = 12.0  # an edge at 5° then passes each phase of the pixels once


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgePixels:
    """The pixels around an edge, in coordinates along and across it.

    Attributes
    ----------
    row, column : ndarray
        Of each pixel.
    along_px, across_px : ndarray
        Its place from the middle.
    light : ndarray
        Its light.
    normal : ndarray
        Unit vector (x, y) of growing `across_px`, into the bright side.
    length_px : float
        Of the edge.
    """

    row: IntArray
    column: IntArray
    along_px: FloatArray
    across_px: FloatArray
    light: FloatArray
    normal: FloatArray
    length_px: float


def edge_pixels(light: FloatArray, corners_px: ArrayLike | None) -> EdgePixels:
    """Return the pixels of a quadrilateral, turned along its edge.

    Parameters
    ----------
    light : ndarray
        Linear light [y, x].
    corners_px : array_like or None
        Corners in order; None: all of it.

    Returns
    -------
    EdgePixels
        With the mean gradient as normal.

    Raises
    ------
    InputError
        If too few pixels are left, or they show no edge.
    """
    inside = _inside(light.shape, corners_px)
    if inside.sum() < 6 * LEAST_LENGTH_PX:
        raise InputError(
            f"only {int(inside.sum())} px lie around the edge",
            where="edge",
            hint="Fill more of the frame with it",
        )
    gradient = np.stack(
        [0.5 * (light[1:-1, 2:] - light[1:-1, :-2]), 0.5 * (light[2:, 1:-1] - light[:-2, 1:-1])]
    )
    core = inside[1:-1, 1:-1]
    mean = gradient[:, core].sum(axis=1)
    size = float(np.hypot(*mean))
    if size == 0.0:
        raise InputError("there is no edge in it", where="edge", hint="Take a piece with an edge")
    normal = mean / size
    row, column = np.nonzero(inside)
    place = np.stack([column + 0.5, row + 0.5])
    weight = np.maximum(normal @ gradient[:, core], 0.0) ** 2
    rows, columns = np.nonzero(core)
    total = max(float(weight.sum()), 1e-300)
    middle = np.array([columns @ weight, rows @ weight]) / total + 1.5
    from_middle = place - middle[:, None]
    along = np.array([-normal[1], normal[0]]) @ from_middle
    near = np.abs(normal @ from_middle) < 2.0
    ends = np.percentile(along[near], [1, 99]) if near.any() else np.zeros(2)
    length = float(np.diff(ends)[0])
    if length < LEAST_LENGTH_PX:
        raise InputError(
            f"the edge is only {length:.0f} px long",
            where="edge",
            hint=f"Take at least {LEAST_LENGTH_PX:.0f} px of it",
        )
    return EdgePixels(
        row=row,
        column=column,
        along_px=along,
        across_px=normal @ from_middle,
        light=light[row, column],
        normal=normal,
        length_px=length,
    )


def _inside(shape: tuple[int, ...], corners_px: ArrayLike | None) -> NDArray[np.bool_]:
    inside = np.ones(shape, bool)
    if corners_px is None:
        return inside
    corners = np.asarray(corners_px, float)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]] + 0.5
    turned = np.roll(corners, -1, axis=0)
    area = float(np.sum(corners[:, 0] * turned[:, 1] - turned[:, 0] * corners[:, 1]))
    sense = 1.0 if area >= 0 else -1.0
    for (x0, y0), (x1, y1) in zip(corners, turned, strict=True):
        inside &= sense * ((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) >= 0
    return inside
