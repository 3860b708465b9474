"""Where in a frame to look: window sizes around eyes and landmarks, and places away from people.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow, Picture
from eyeplane.records import Face

SIDE_STEP_PX = 16  # window sides the spectral fit takes whole
SMALLEST_SIDE_PX = 64
LARGEST_SIDE_PX = 512  # larger windows only cost time: they are averaged down anyway
EYE_WIDTH_MM = 20.0  # iris, lids and lashes; 27 takes in places 5 to 10 mm off in depth
LANDMARK_WIDTH_MM = 14.0  # as wide as the depth of most landmarks stays the same (rendered heads)
SMALL_EDGE_PX = 1500  # long edge of the small picture that faces are looked for in
BACKGROUND_SIDE_PX = 128
LEAST_DETAIL = 4.0  # codes per pixel, two directions: less is hardly more than grain


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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Detail:
    """How much detail there is where, in a frame made small.

    Attributes
    ----------
    detail : ndarray
        [y, x], mean gradient in sRGB codes per pixel, two directions, over a window's size.
    level : ndarray
        [y, x], mean sRGB code likewise.
    scale : float
        Pixels of it per frame pixel.
    side_px : int
        Side of a window in it.
    """

    detail: NDArray[np.float32]
    level: NDArray[np.float32]
    scale: float
    side_px: int


def frame_detail(picture: Picture) -> Detail:
    """Return where a frame has detail.

    Parameters
    ----------
    picture : Picture
        The frame.

    Returns
    -------
    Detail
        Places too near to the edge for a window have a level of -1.
    """
    small, scale = picture.rgb_small(SMALL_EDGE_PX)
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY)
    if max(grey.shape) > SMALL_EDGE_PX // 2:
        grey = cv2.resize(grey, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
        scale /= 2
    codes = grey.astype(np.float32)
    slope = np.abs(cv2.Sobel(codes, cv2.CV_32F, 1, 0)) + np.abs(cv2.Sobel(codes, cv2.CV_32F, 0, 1))
    side = max(4, round(BACKGROUND_SIDE_PX * scale))
    level = np.asarray(cv2.blur(codes, (side, side)), np.float32)
    edge = side // 2 + 1
    level[:edge] = level[-edge:] = -1
    level[:, :edge] = level[:, -edge:] = -1
    detail = np.asarray(cv2.blur(np.minimum(slope, 200.0), (side, side)), np.float32)
    return Detail(detail=detail, level=level, scale=scale, side_px=side)


def flat_places(frame: Detail, *, count: int = 3) -> list[tuple[float, float]]:
    """Return the smoothest places that are neither dark nor bright: they show the noise.

    Parameters
    ----------
    frame : Detail
        The frame.
    count : int
        How many at most.

    Returns
    -------
    list of (float, float)
        (x, y) in pixels of the upright frame, smoothest first.
    """
    usable = (frame.level >= 40.0) & (frame.level <= 220.0)
    return _highest(np.where(usable, 1.0 / (1.0 + frame.detail), 0.0), frame, count)


def _highest(merit: NDArray[np.floating], frame: Detail, count: int) -> list[tuple[float, float]]:
    """Return the places of highest merit, a window apart; merit 0 is never taken."""
    left = merit.copy()
    found: list[tuple[float, float]] = []
    for _ in range(count):
        y, x = np.unravel_index(int(np.argmax(left)), left.shape)
        if left[y, x] <= 0:
            break
        found.append(((x + 0.5) / frame.scale, (y + 0.5) / frame.scale))
        reach = frame.side_px
        left[max(0, y - reach) : y + reach, max(0, x - reach) : x + reach] = 0
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
