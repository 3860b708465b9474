"""Where in a frame to look: window sizes around eyes and landmarks, and places away from people.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow, Picture
from eyeplane.records import Face

SIDE_STEP_PX = 16  # window sides the spectral fit takes whole
SMALLEST_SIDE_PX = 64
LARGEST_SIDE_PX = 512  # larger windows only cost time: they are averaged down anyway
EYE_WIDTH_MM = (
    27.0  # iris, lids and lashes: a little less than the palpebral fissure of 30 mm, from memory
)
LANDMARK_WIDTH_MM = 17.0  # as wide as the depth of most landmarks stays the same, from memory
SMALL_EDGE_PX = 1500  # long edge of the picture in which textured places are looked for


def side_for(width_mm: float, *, mm_per_px: float) -> int:
    """Return the window side, in pixels, that comes closest to a width on the face.

    Parameters
    ----------
    width_mm : float
        Wanted width.
    mm_per_px : float
        Scale in the plane of the face.

    Returns
    -------
    int
        A multiple of `SIDE_STEP_PX`, from `SMALLEST_SIDE_PX` to `LARGEST_SIDE_PX`.
    """
    wanted = round(width_mm / mm_per_px / SIDE_STEP_PX) * SIDE_STEP_PX
    return int(min(max(wanted, SMALLEST_SIDE_PX), LARGEST_SIDE_PX))


def window_at(picture: Picture, at_px: tuple[float, float], side_px: int) -> LumaWindow | None:
    """Return the square luma window around a place, or None where the frame cuts it.

    Parameters
    ----------
    picture : Picture
        The frame.
    at_px : tuple of float
        Its middle, (x, y).
    side_px : int
        Its side; a window that would stick out is moved in by up to a quarter of it.

    Returns
    -------
    LumaWindow or None
        None if more than a quarter of it would lie outside, or the frame is smaller than it.
    """
    if min(picture.width_px, picture.height_px) < side_px:
        return None
    corner = [round(c - side_px / 2) for c in at_px]
    limits = (picture.width_px - side_px, picture.height_px - side_px)
    moved = [min(max(c, 0), limit) for c, limit in zip(corner, limits, strict=True)]
    if max(abs(m - c) for m, c in zip(moved, corner, strict=True)) > side_px / 4:
        return None
    return picture.luma_window(moved[0], moved[1], side_px, side_px)


def background_places(
    picture: Picture, faces: Sequence[Face], *, count: int = 3
) -> list[tuple[float, float]]:
    """Return textured places away from people, most textured first.

    Everything below a face and one face width to its sides is left out, since bodies and hair
    move with the sitter.

    Parameters
    ----------
    picture : Picture
        The frame.
    faces : sequence of Face
        The people in it.
    count : int
        How many at most.

    Returns
    -------
    list of (float, float)
        (x, y) in pixels of the upright frame; empty if there is no such place.
    """
    small, scale = picture.rgb_small(SMALL_EDGE_PX)
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY).astype(np.float32)
    detail = np.abs(cv2.Sobel(grey, cv2.CV_32F, 1, 0)) + np.abs(cv2.Sobel(grey, cv2.CV_32F, 0, 1))
    side = max(8, round(160 * scale))
    busy = cv2.blur(np.minimum(detail, 200.0), (side, side))
    busy[people_mask(busy.shape, faces, scale=scale, margin_px=side)] = 0
    edge = side // 2 + 1
    busy[:edge] = busy[-edge:] = 0
    busy[:, :edge] = busy[:, -edge:] = 0
    found: list[tuple[float, float]] = []
    for _ in range(count):
        y, x = np.unravel_index(int(np.argmax(busy)), busy.shape)
        if busy[y, x] < 4.0:  # codes per pixel, two directions: hardly more than grain
            break
        found.append(((x + 0.5) / scale, (y + 0.5) / scale))
        busy[max(0, y - side) : y + side, max(0, x - side) : x + side] = 0
    return found


def people_mask(
    shape: tuple[int, ...], faces: Sequence[Face], *, scale: float, margin_px: int
) -> NDArray[np.bool_]:
    """Return where people are or may be.

    Parameters
    ----------
    shape : tuple of int
        (rows, columns) of the scaled frame.
    faces : sequence of Face
        The people.
    scale : float
        Scaled pixels per frame pixel.
    margin_px : int
        Added on all sides, in scaled pixels.

    Returns
    -------
    ndarray of bool, [y, x]
        True on heads with their hair and on all that lies below them.
    """
    mask = np.zeros(shape[:2], bool)
    for face in faces:
        x, y, w, h = (v * scale for v in face.box_px)
        left, right = int(x - 0.6 * w) - margin_px, int(x + 1.6 * w) + margin_px
        top = max(0, int(y - 0.7 * h) - margin_px)
        mask[top:, max(0, left) : max(0, right)] = True
        shoulders = int(y + 1.1 * h)
        mask[shoulders:, max(0, int(x - 2 * w)) : max(0, int(x + 3 * w))] = True
    return mask
