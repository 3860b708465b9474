"""Which share of every pixel a polygon covers: exact, by the signed areas of its edges."""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Picture = NDArray[np.float64]


def coverage(polygon_px: Points, width_px: int, height_px: int) -> Picture:
    """Return the share of each pixel [y, x] that a polygon (x, y) covers, 0 to 1.

    Pixel i reaches from i to i + 1. Each edge is cut where it crosses the borders of pixels; a
    piece within one pixel adds its height, less the area to its left, and the sum along a row
    then gives the area (from Green's theorem; exact but for rounding).
    """
    area = np.zeros((height_px, width_px + 2))
    for start, end in zip(polygon_px, np.roll(polygon_px, -1, axis=0), strict=True):
        if start[1] != end[1]:
            _add_edge(area, start, end)
    return np.abs(np.cumsum(area, axis=1)[:, :width_px])


def _add_edge(area: Picture, start: Points, end: Points) -> None:
    height, width = area.shape[0], area.shape[1] - 2
    clipped = np.clip((np.array([0.0, height]) - start[1]) / (end[1] - start[1]), 0.0, 1.0)
    low, high = clipped.min(), clipped.max()
    if high <= low:
        return
    cuts = np.concatenate(
        [
            [low, high],
            _crossings(start[0], end[0], width),
            _crossings(start[1], end[1], height),
        ]
    )
    cuts = np.sort(cuts[(cuts >= low) & (cuts <= high)])
    x = np.clip(start[0] + cuts * (end[0] - start[0]), 0.0, width)
    y = start[1] + cuts * (end[1] - start[1])
    drop = np.diff(y)
    middle_x, middle_y = (x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2
    column = np.clip(np.floor(middle_x).astype(int), 0, width)
    row = np.clip(np.floor(middle_y).astype(int), 0, height - 1)
    left_share = middle_x - column
    np.add.at(area, (row, column), drop * (1 - left_share))
    np.add.at(area, (row, column + 1), drop * left_share)


def _crossings(start: float, end: float, size: int) -> Points:
    """Return where along an edge it crosses whole numbers from 0 to size."""
    if start == end:
        return np.empty(0)
    first = max(0, int(np.ceil(min(start, end))))
    last = min(size, int(np.floor(max(start, end))))
    return np.asarray((np.arange(first, last + 1) - start) / (end - start), float)
