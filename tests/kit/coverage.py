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
    start = np.asarray(polygon_px, np.float64)
    along = np.roll(start, -1, axis=0) - start
    edge, share = _cuts(start, along, (width_px, height_px))
    first, last = slice(None, -1), slice(1, None)
    same = edge[first] == edge[last]
    ends = start[edge] + share[:, None] * along[edge]
    x = np.clip(ends[:, 0], 0.0, width_px)
    y = np.clip(ends[:, 1], 0.0, height_px)
    drop = np.where(same, y[last] - y[first], 0.0)
    middle_x, middle_y = (x[first] + x[last]) / 2, (y[first] + y[last]) / 2
    column = np.clip(np.floor(middle_x).astype(int), 0, width_px)
    row = np.clip(np.floor(middle_y).astype(int), 0, height_px - 1)
    at = row * (width_px + 2) + column
    left_share = middle_x - column
    count = height_px * (width_px + 2)
    area = np.bincount(at, drop * (1 - left_share), count)
    area += np.bincount(at + 1, drop * left_share, count)
    area = area.reshape(height_px, width_px + 2)
    return np.abs(np.cumsum(area, axis=1)[:, :width_px])


def _cuts(
    start: Points, along: Points, size_px: tuple[int, int]
) -> tuple[NDArray[np.int64], Points]:
    """Return where every edge is cut, from 0 to 1, edge by edge in order: ends, and borders."""
    count = len(start)
    edges, shares = [np.repeat(np.arange(count), 2)], [np.tile([0.0, 1.0], count)]
    for axis, size in enumerate(size_px):
        low = np.minimum(start[:, axis], start[:, axis] + along[:, axis])
        high = np.maximum(start[:, axis], start[:, axis] + along[:, axis])
        first = np.clip(np.ceil(low), 0, size + 1).astype(int)
        many = np.maximum(np.clip(np.floor(high), -1, size).astype(int) - first + 1, 0)
        many[along[:, axis] == 0] = 0
        edge = np.repeat(np.arange(count), many)
        step = np.arange(many.sum()) - np.repeat(np.cumsum(many) - many, many)
        border = first[edge] + step
        edges.append(edge)
        shares.append((border - start[edge, axis]) / along[edge, axis])
    edge, share = np.concatenate(edges), np.clip(np.concatenate(shares), 0.0, 1.0)
    order = np.lexsort((share, edge))
    return edge[order], share[order]
