"""Fill clipped highlights and hot pixels from around them: their hard edges are no sharpness."""

import math

import cv2
import numpy as np
from numba import njit
from numpy.typing import NDArray

SMOOTHINGS = 40  # of a 3 x 3 mean inside the hole: evens it out over about 7 px
SCALES_PX = (1.5, 3.0, 6.0, 12.0, 24.0)  # of the weighted means that reach into larger holes
REACH = 5  # standard deviations that such a mean looks at most, and a little more
BLOCK_PX = 16  # more than processors work on at once
APART_PX = 16  # holes farther apart are smoothed apart: less is looked at


HOT_RATIO = 1.25  # a pixel this far above the third brightest of its 8 neighbours was not drawn by
# a lens: even a point of light spreads over 4 pixels by lens and demosaicking
HOT_SIGMAS = 6.0  # and this far above the noise


@njit(cache=True, nogil=True)
def hot_pixels(luma, noise_sd):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Return where single pixels stand out as no lens can draw them.

    Parameters
    ----------
    luma : ndarray
        Linear light, [y, x].
    noise_sd : float
        Standard deviation of the noise per pixel, same unit.

    Returns
    -------
    ndarray
        Of bool; the outermost pixels are never marked.
    """
    height, width = luma.shape
    hot = np.zeros((height, width), np.bool_)
    for i in range(1, height - 1):
        for j in range(1, width - 1):
            here = luma[i, j]
            if here <= HOT_RATIO * luma[i, j - 1] and here <= HOT_RATIO * luma[i, j + 1]:
                continue
            above = 0
            for di in range(-1, 2):
                for dj in range(-1, 2):
                    near = luma[i + di, j + dj]
                    if here < HOT_RATIO * near + HOT_SIGMAS * noise_sd:
                        above += 1
            hot[i, j] = above < 3
    return hot


def fill_clipped(
    luma: NDArray[np.float64], clipped: NDArray[np.bool_], hot: NDArray[np.bool_] | None = None
) -> NDArray[np.float64]:
    """Return the window with clipped pixels replaced by a smooth continuation of their surround.

    Parameters
    ----------
    luma : ndarray
        Linear light, [y, x].
    clipped : ndarray
        Bool, where the true light is unknown; grown by 2 px since JPEG smears the edge.
    hot : ndarray or None
        Bool, single pixels to be filled as well; grown by 1 px.

    Returns
    -------
    ndarray
        A copy where anything was filled, else `luma` itself. All clipped: unchanged.
    """
    if not clipped.any() and (hot is None or not hot.any()):
        return luma
    hole = cv2.dilate(clipped.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    if hot is not None:
        hole |= cv2.dilate(hot.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    if hole.all():
        return luma
    known = (~hole).astype(float)
    bare = luma * known
    filled = bare.copy()
    todo = hole.copy()
    for scale in SCALES_PX:
        at = _around(todo, math.ceil(REACH * scale))
        total = cv2.GaussianBlur(bare[at], (0, 0), scale)
        share = cv2.GaussianBlur(known[at], (0, 0), scale)
        reach = todo[at] & (share > 1e-3)
        filled[at][reach] = total[reach] / share[reach]
        todo[at] &= ~reach
        if not todo.any():
            break
    filled[todo] = float(luma[~hole].mean())
    for at in _strips(hole):
        filled[at] = _smoothed(filled[at], hole[at])
    return np.asarray(filled, float)


def _around(places: NDArray[np.bool_], margin_px: int) -> tuple[slice, slice]:
    """Return the box that holds all places and a margin: what a mean there can see.

    Its columns begin and end at multiples of `BLOCK_PX`, as windows do: the last few columns of a
    picture are summed in another manner, which rounds otherwise.
    """
    rows, columns = (np.flatnonzero(places.any(axis=axis)) for axis in (1, 0))
    left, right = int(columns[0]) - margin_px, int(columns[-1]) + margin_px + 1
    return (
        slice(max(0, int(rows[0]) - margin_px), int(rows[-1]) + margin_px + 1),
        slice(max(0, left // BLOCK_PX * BLOCK_PX), -(-right // BLOCK_PX) * BLOCK_PX),
    )


def _strips(hole: NDArray[np.bool_]) -> list[tuple[slice, slice]]:
    """Return strips from the top that hold all holes and what lies beside them.

    From the top, since the running sums of a mean then round as over the whole window.
    """
    columns = np.flatnonzero(hole.any(axis=0))
    parts = np.split(columns, np.flatnonzero(np.diff(columns) > APART_PX) + 1)
    strips = []
    for part in parts:
        first, last = int(part[0]), int(part[-1])
        rows = np.flatnonzero(hole[:, first : last + 1].any(axis=1))
        strips.append((slice(0, int(rows[-1]) + 2), slice(max(0, first - 1), last + 2)))
    return strips


def _smoothed(light: NDArray[np.float64], hole: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return light evened out inside holes."""
    even = np.array(light, order="C")
    mean, places = np.empty_like(even), np.flatnonzero(hole)
    for _ in range(SMOOTHINGS):
        cv2.blur(even, (3, 3), dst=mean)
        even.reshape(-1)[places] = mean.reshape(-1)[places]
    return even
