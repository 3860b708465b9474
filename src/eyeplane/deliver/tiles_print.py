"""A piece of a print as a picture for the screen, resampled without sharpening. Points (x, y)."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from eyeplane.deliver.tiles_frame import OpenFrame
from eyeplane.imaging.tone import linear_to_srgb, srgb_to_linear

if TYPE_CHECKING:
    from scipy.sparse import csr_array

MARGIN_PX = 4  # beyond the piece, for the kernel that enlarges (three pixels to each side)
ENOUGH = 2  # times as fine as the picture: what is finer still is taken from a halved level


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintPiece:
    """A piece of a frame with its size on the print.

    Attributes
    ----------
    left_px, top_px, width_px, height_px : float
        In the upright frame.
    width_mm, height_mm : float
        On the print.
    """

    left_px: float
    top_px: float
    width_px: float
    height_px: float
    width_mm: float
    height_mm: float


def piece_around(
    at_px: tuple[float, float],
    *,
    frame_px: tuple[int, int],
    print_cm: float,
    width_mm: float,
    height_mm: float,
) -> PrintPiece:
    """Return the piece of a print around a point.

    Parameters
    ----------
    at_px : tuple of float
        (x, y) of the point, upright frame.
    frame_px : tuple of int
        Width and height of the upright frame, > 0.
    print_cm : float
        Long edge of the print of the whole frame, > 0 cm.
    width_mm, height_mm : float
        Of the piece wanted on the print, > 0 mm.

    Returns
    -------
    PrintPiece
        Moved into the frame where the point lies near its edge, no larger than the frame.

    Examples
    --------
    >>> piece_around(
    ...     (3000, 2000), frame_px=(6000, 4000), print_cm=60, width_mm=60, height_mm=40
    ... ).left_px
    2700.0
    """
    px_per_mm = max(frame_px) / (10 * print_cm)
    sizes = [
        min(mm * px_per_mm, px) for mm, px in zip((width_mm, height_mm), frame_px, strict=True)
    ]
    starts = [
        min(max(0.0, at - size / 2), px - size)
        for at, size, px in zip(at_px, sizes, frame_px, strict=True)
    ]
    return PrintPiece(
        left_px=starts[0],
        top_px=starts[1],
        width_px=sizes[0],
        height_px=sizes[1],
        width_mm=sizes[0] / px_per_mm,
        height_mm=sizes[1] / px_per_mm,
    )


def piece_pixels(
    frame: OpenFrame, piece: PrintPiece, *, width_px: int, height_px: int
) -> NDArray[np.uint8]:
    """Return a piece of a print in so many pixels.

    Parameters
    ----------
    frame : OpenFrame
        The frame.
    piece : PrintPiece
        Of it.
    width_px, height_px : int
        Of the picture, >= 1.

    Returns
    -------
    ndarray
        Of uint8 [y, x, 3], sRGB.

    Notes
    -----
    Each pixel is the mean light of the part of the frame that it covers, parts of pixels counted
    as parts; where the picture is finer than the frame, three-lobed Lanczos fills in. Both in
    linear light, as paper and eye mix it. Nothing is sharpened.

    References
    ----------
    K. Turkowski, Filters for common resampling tasks, Graphics Gems I, 1990, 147-165.
    """
    step = min(piece.width_px / width_px, piece.height_px / height_px)
    level, scale = frame.grid.full_level, 1
    while step / scale >= 2 * ENOUGH and level > 0:
        level, scale = level - 1, scale * 2
    left, top = piece.left_px / scale, piece.top_px / scale
    right, bottom = left + piece.width_px / scale, top + piece.height_px / scale
    window, (x, y) = _window(frame, level, (left, top, right, bottom))
    box = (
        max(0.0, left - x),
        max(0.0, top - y),
        min(float(window.shape[1]), right - x),
        min(float(window.shape[0]), bottom - y),
    )
    resampled = _mean_light if step >= 1 else _filled_in
    made = resampled(_LIGHT[window], box, (width_px, height_px))
    return np.rint(255 * linear_to_srgb(np.clip(made, 0, 1))).astype(np.uint8)


def _mean_light(
    light: NDArray[np.float32], box: tuple[float, float, float, float], size: tuple[int, int]
) -> NDArray[np.float64]:
    height, width = light.shape[:2]
    down = _area_weights(height, box[1], box[3], size[1])
    across = _area_weights(width, box[0], box[2], size[0])
    rows = (down @ light.reshape(height, -1)).reshape(size[1], width, 3)
    columns = across @ rows.swapaxes(0, 1).reshape(width, -1)
    return np.asarray(columns, float).reshape(size[0], size[1], 3).swapaxes(0, 1)


def _area_weights(pixels: int, start: float, end: float, parts: int) -> "csr_array":
    """Return how much of each pixel lies in each of equal parts of a line: [part, pixel]."""
    from scipy.sparse import csr_array  # noqa: PLC0415  slow to load for --help

    edges = np.linspace(start, end, parts + 1)
    first = np.minimum(edges[:-1].astype(int), pixels - 1)
    reach = int(np.ceil((end - start) / parts)) + 1
    at = first[:, None] + np.arange(reach)
    overlap = np.minimum(edges[1:, None], at + 1) - np.maximum(edges[:-1, None], at)
    weight = np.clip(overlap, 0, None) * (at < pixels)
    weight /= weight.sum(axis=1, keepdims=True)
    part = np.repeat(np.arange(parts), reach)
    entries = (weight.ravel().astype(np.float32), (part, np.minimum(at, pixels - 1).ravel()))
    return csr_array(entries, shape=(parts, pixels))


def _filled_in(
    light: NDArray[np.float32], box: tuple[float, float, float, float], size: tuple[int, int]
) -> NDArray[np.float64]:
    made = np.empty((size[1], size[0], 3))
    for channel in range(3):
        whole = Image.fromarray(np.ascontiguousarray(light[..., channel]))
        made[..., channel] = np.asarray(whole.resize(size, Image.Resampling.LANCZOS, box))
    return made


def _window(
    frame: OpenFrame, level: int, box: tuple[float, float, float, float]
) -> tuple[NDArray[np.uint8], tuple[int, int]]:
    """Return whole pixels around a box in a level, and where the first one lies."""
    width, height = frame.grid.size(level)
    left, top = max(0, int(box[0]) - MARGIN_PX), max(0, int(box[1]) - MARGIN_PX)
    right, bottom = min(width, int(box[2]) + MARGIN_PX), min(height, int(box[3]) + MARGIN_PX)
    return frame.piece(level, left, top, (right - left, bottom - top)), (left, top)


_LIGHT = srgb_to_linear(np.arange(256) / 255).astype(np.float32)
