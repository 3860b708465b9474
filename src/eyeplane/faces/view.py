"""One frame as the nets look at it: a small copy, and turned square crops at any scale.

Points are (x, y) in the upright frame with pixel centres at .5; arrays are [y, x].
"""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import cv2
import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.imaging import Picture

SMALL_PX = 1500  # long edge of the small copy: the size at which a 20 px face must be found


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """A square of the frame, turned.

    Attributes
    ----------
    x_px, y_px : float
        Its middle.
    side_px : float
        Its side in frame pixels.
    turn_rad : float
        Direction of its x axis in the frame, from +x towards +y (down).
    """

    x_px: float
    y_px: float
    side_px: float
    turn_rad: float = 0.0

    def matrix(self, size: int, *, mirrored: bool = False) -> "NDArray[np.float64]":
        """Return the (2, 3) matrix from positions in a crop of `size` pixels to the frame.

        Parameters
        ----------
        size : int
            Side of the crop in its own pixels.
        mirrored : bool
            Whether the crop is flipped left to right.

        Returns
        -------
        ndarray of float64, shape (2, 3)
            Both sides count pixel centres at .5.
        """
        k = self.side_px / size
        c, s = math.cos(self.turn_rad) * k, math.sin(self.turn_rad) * k
        turn = np.array([[c, -s], [s, c]])
        if mirrored:
            turn = turn @ np.diag([-1.0, 1.0])
        middle = np.array([self.x_px, self.y_px])
        return np.column_stack([turn, middle - turn @ np.full(2, size / 2)])


def carry(matrix: "NDArray[np.float64]", points: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Return points moved by a (2, 3) matrix.

    Parameters
    ----------
    matrix : ndarray of float64, shape (2, 3)
        From `Square.matrix`.
    points : ndarray of float64, shape (n, 2)
        (x, y).

    Returns
    -------
    ndarray of float64, shape (n, 2)
        (x, y).
    """
    moved: NDArray[np.float64] = points @ matrix[:, :2].T + matrix[:, 2]
    return moved


class FrameView:
    """Crops of one frame, taken from a small copy where that is fine enough.

    Parameters
    ----------
    picture : Picture
        The frame.
    """

    def __init__(self, picture: "Picture") -> None:
        self.picture = picture
        self.small, self.small_per_px = picture.rgb_small(SMALL_PX)

    def crop(
        self, square: Square, size: int, *, mirrored: bool = False, beyond: int | None = None
    ) -> "NDArray[np.uint8]":
        """Return a turned square as `size` × `size` RGB.

        Parameters
        ----------
        square : Square
            What to cut out.
        size : int
            Side of the result in pixels.
        mirrored : bool
            Whether to flip it left to right.
        beyond : int or None
            Grey level outside the frame; None repeats the frame's edge.

        Returns
        -------
        ndarray of uint8, shape (size, size, 3)
            In sRGB.
        """
        matrix = square.matrix(size, mirrored=mirrored)
        half = (
            square.side_px / 2 * (abs(math.cos(square.turn_rad)) + abs(math.sin(square.turn_rad)))
        )
        scale = square.side_px / size
        source, per_px, corner = self._source(square, half, scale)
        return sample(source, per_px, corner, matrix, size, beyond=beyond)

    def _source(
        self, square: Square, half: float, scale: float
    ) -> tuple["NDArray[np.uint8]", float, tuple[float, float]]:
        """Return pixels, their number per frame pixel, and the frame place of their corner."""
        k = self.small_per_px
        if k >= 1.0 or scale * k >= 0.9:
            h, w = self.small.shape[:2]
            x0 = min(max(int((square.x_px - half) * k) - 2, 0), w - 2)
            y0 = min(max(int((square.y_px - half) * k) - 2, 0), h - 2)
            x1 = max(min(int((square.x_px + half) * k) + 3, w), x0 + 2)
            y1 = max(min(int((square.y_px + half) * k) + 3, h), y0 + 2)
            return self.small[y0:y1, x0:x1], k, (x0 / k, y0 / k)
        width, height = self.picture.width_px, self.picture.height_px
        x0 = min(max(int(square.x_px - half) - 2, 0), width - 2)
        y0 = min(max(int(square.y_px - half) - 2, 0), height - 2)
        side = int(2 * half) + 5
        return self.picture.rgb_window(x0, y0, side, side), 1.0, (float(x0), float(y0))


def sample(
    source: "NDArray[Any]",
    per_px: float,
    corner: tuple[float, float],
    matrix: "NDArray[np.float64]",
    size: int,
    *,
    beyond: int | None = None,
) -> "NDArray[Any]":
    """Return a crop, the source shrunk by area first where sampling would alias.

    Parameters
    ----------
    source : ndarray, shape (height, width) or (height, width, 3)
        Pixels.
    per_px : float
        Source pixels per frame pixel.
    corner : tuple of float
        (x, y) in the frame of the source's upper left corner.
    matrix : ndarray of float64, shape (2, 3)
        From positions in the crop to the frame.
    size : int
        Side of the crop.
    beyond : int or None
        Grey level outside the source; None repeats its edge.

    Returns
    -------
    ndarray
        Of the source's kind, `size` × `size`.
    """
    pixels_per_sample = float(np.hypot(matrix[0, 0], matrix[1, 0])) * per_px
    h, w = source.shape[:2]
    shrink = min(round(pixels_per_sample), h, w)
    if shrink > 1:  # a whole number, which is several times faster than any other
        new = (w // shrink, h // shrink)
        source = source[: new[1] * shrink, : new[0] * shrink]
        source = cv2.resize(source, new, interpolation=cv2.INTER_AREA)
        per_px = per_px / shrink
    to_source = matrix.copy()
    to_source[:, 2] -= corner
    to_source *= per_px
    to_source[:, 2] += to_source[:, :2] @ np.full(2, 0.5) - 0.5  # cv2 counts centres whole
    crop = cv2.warpAffine(
        source,
        to_source,
        (size, size),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE if beyond is None else cv2.BORDER_CONSTANT,
        borderValue=(beyond or 0,) * 3,
    )
    return np.asarray(crop, source.dtype)
