"""Frames as small pictures of linear light, and two of one view laid over each other.

Points are (x, y), arrays [y, x].
"""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.imaging import Picture

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Image = NDArray[Any]

WORK_PX = 1200  # long edge at which two frames are laid over each other
STRIP_ROWS = 64  # of the small picture, read at a time: a frame of 60 MP stays out of memory
LEAST_PX = 200  # long edge below which there is nothing to measure
SMOOTH_PX = 1.2  # standard deviation of what both frames are smoothed by before they are laid
LIFT = 0.01  # of white, added before logarithms
MOST_SHIFT = 0.12  # of the long edge; more is another view
LEAST_LIKENESS = 0.7  # correlation of the logarithms; six pairs of unlike rooms: at most .4
CLIPPED_PART = 0.02  # of a small pixel: with more of it clipped its light is unknown


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameLight:
    """A frame, small, in linear light.

    Attributes
    ----------
    luma : ndarray
        Light [y, x], white = 1.
    known : ndarray
        bool [y, x], where nothing is clipped.
    clipped_share : float
        Of the frame.
    """

    luma: Array
    known: Mask
    clipped_share: float

    @property
    def long_px(self) -> int:
        """Return the long edge.

        Returns
        -------
        int
            Small pixels.
        """
        return int(max(self.luma.shape))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidPair:
    """Two frames of one view, the second laid over the first.

    Attributes
    ----------
    first, second : ndarray
        Light [y, x] of both, smoothed alike.
    known : ndarray
        bool [y, x], where both are seen and not clipped.
    shift_share : float
        How far the view had moved, as a share of the long edge.
    likeness : float
        Correlation of the logarithms of their light.
    warp : ndarray
        [2, 3], from places (x, y) in the first small picture to places in the second.
    """

    first: Array
    second: Array
    known: Mask
    shift_share: float
    likeness: float
    warp: Array


def frame_light(picture: Picture, long_px: int = WORK_PX) -> FrameLight:
    """Return a frame as a small picture of linear light.

    Parameters
    ----------
    picture : Picture
        The frame.
    long_px : int
        Long edge wanted; whole pixels are averaged, so it may come out up to half as long again.

    Returns
    -------
    FrameLight
        Averages of light, not of codes: a bright edge keeps its light.

    Raises
    ------
    InputError
        If the frame is too small.
    """
    step = max(1, round(max(picture.width_px, picture.height_px) / long_px))
    rows, columns = picture.height_px // step, picture.width_px // step
    if max(rows, columns) < LEAST_PX or min(rows, columns) < LEAST_PX // 4:
        raise InputError(
            f"the frame is {picture.width_px} × {picture.height_px} px, too small to tell anything "
            "of the glass",
            where=picture.path,
            hint="Use the frame as the camera wrote it",
        )
    luma, clipped = np.empty((rows, columns)), np.empty((rows, columns))
    for top in range(0, rows, STRIP_ROWS):
        part = slice(top, min(top + STRIP_ROWS, rows))
        height = (part.stop - top) * step
        window = picture.luma_window(0, top * step, columns * step, height)
        size = (columns, part.stop - top)
        luma[part] = cv2.resize(window.luma, size, interpolation=cv2.INTER_AREA)
        flat = window.clipped.astype(np.float32)
        clipped[part] = cv2.resize(flat, size, interpolation=cv2.INTER_AREA)
    return FrameLight(luma=luma, known=clipped <= CLIPPED_PART, clipped_share=float(clipped.mean()))


def lay_over(first: FrameLight, second: FrameLight, *, where: str) -> LaidPair:
    """Return the second frame laid over the first.

    Parameters
    ----------
    first, second : FrameLight
        Two frames of one view.
    where : str
        Name of the second, for messages.

    Returns
    -------
    LaidPair
        On the first frame's pixels.

    Raises
    ------
    InputError
        If they are not of the same view, or of different sizes.

    Notes
    -----
    The shift comes from phase correlation of the edges of their logarithms, then shift, turn,
    scale and shear from the enhanced correlation coefficient, which neither a gain nor an added
    light changes to first order.

    References
    ----------
    Evangelidis, G. D. and Psarakis, E. Z. (2008), "Parametric image alignment using enhanced
    correlation coefficient maximization", IEEE PAMI 30, 1858-1865.
    """
    if first.luma.shape != second.luma.shape:
        raise InputError(
            f"the two frames have different shapes: {_sides(first)} and {_sides(second)}",
            where=where,
            hint="Take both with the same camera, held the same way, and crop neither",
        )
    logs = [_log(one.luma) for one in (first, second)]
    try:
        warp = _motion(*logs)
    except cv2.error:
        warp = None
    height, width = first.luma.shape
    if warp is None or not _plausible(warp, (height, width)):
        raise _unlike(where)
    moved = _warped(second.luma, warp, np.nan)
    seen = np.isfinite(moved)
    known = seen & first.known & (_warped(second.known.astype(float), warp, 0.0) > 0.98)
    moved = np.where(seen, moved, 0.0)
    likeness = _likeness(logs[0], _log(np.maximum(moved, 0.0)), known)
    if likeness < LEAST_LIKENESS:
        raise _unlike(where)
    middle = np.array([width / 2, height / 2, 1.0])
    shift = float(np.hypot(*(warp @ middle - middle[:2]))) / max(height, width)
    smooth = [
        cv2.GaussianBlur(one, (0, 0), SMOOTH_PX)
        for one in (first.luma, np.where(seen, moved, first.luma))
    ]
    inner = cv2.erode(known.astype(np.uint8), np.ones((7, 7), np.uint8)) > 0
    return LaidPair(
        first=np.asarray(smooth[0]),
        second=np.asarray(np.maximum(smooth[1], 0.0)),
        known=inner,
        shift_share=shift,
        likeness=likeness,
        warp=warp,
    )


def shrunk(values: Array, step: int) -> Array:
    """Return averages of whole squares of pixels.

    Parameters
    ----------
    values : ndarray
        [y, x].
    step : int
        Side of the squares; what is left over at the lower and right edge is left off.

    Returns
    -------
    ndarray
        [y, x].
    """
    rows, columns = (side // step for side in values.shape)
    whole = values[: rows * step, : columns * step]
    return np.asarray(whole.reshape(rows, step, columns, step).mean(axis=(1, 3)))


def _sides(light: FrameLight) -> str:
    height, width = light.luma.shape
    return f"{width} : {height}"


def _unlike(where: str) -> InputError:
    return InputError(
        "this is not the view of the other frame: the two cannot be laid over each other",
        where=where,
        hint="Put the camera on a stand, shoot, wipe, and shoot the same view again",
    )


def _log(luma: Array) -> NDArray[np.float32]:
    smooth = cv2.GaussianBlur(luma, (0, 0), SMOOTH_PX)
    return np.log(np.maximum(smooth, 0.0) + LIFT).astype(np.float32)


def _edges(log: Image) -> NDArray[np.float32]:
    across, down = cv2.Sobel(log, cv2.CV_32F, 1, 0), cv2.Sobel(log, cv2.CV_32F, 0, 1)
    edges = np.hypot(across, down)
    return np.asarray(edges - edges.mean(), np.float32)


def _motion(first: NDArray[np.float32], second: NDArray[np.float32]) -> Array:
    """Return the affine map [2, 3] from places in the first picture to places in the second."""
    halves = [
        np.asarray(cv2.resize(one, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA))
        for one in (first, second)
    ]
    window = cv2.createHanningWindow(halves[0].shape[::-1], cv2.CV_32F)
    edges = [_edges(one) for one in halves]
    (across, down), _ = cv2.phaseCorrelate(edges[0], edges[1], window)
    warp = np.array([[1, 0, across], [0, 1, down]], np.float32)
    kinds = cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT
    no_mask = np.ones(halves[0].shape, np.uint8)
    _, found = cv2.findTransformECC(
        halves[0], halves[1], warp, cv2.MOTION_AFFINE, (kinds, 60, 1e-6), no_mask, 5
    )
    fine = np.array(found, np.float32)
    fine[:, 2] *= 2
    no_mask = np.ones(first.shape, np.uint8)
    _, found = cv2.findTransformECC(
        first, second, fine, cv2.MOTION_AFFINE, (kinds, 30, 1e-6), no_mask, 3
    )
    return np.asarray(found, float)


def _plausible(warp: Array, shape: tuple[int, int]) -> bool:
    height, width = shape
    middle = np.array([width / 2, height / 2, 1.0])
    shift = np.hypot(*(warp @ middle - middle[:2])) / max(shape)
    return bool(shift < MOST_SHIFT and np.abs(warp[:, :2] - np.eye(2)).max() < MOST_SHIFT)


def _warped(values: Array, warp: Array, outside: float) -> Array:
    return np.asarray(
        cv2.warpAffine(
            values.astype(np.float32),
            warp.astype(np.float32),
            values.shape[::-1],
            flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=outside,
        ),
        float,
    )


def _likeness(first: NDArray[np.float32], second: NDArray[np.float32], known: Mask) -> float:
    if np.count_nonzero(known) < 0.1 * known.size:
        return 0.0
    a, b = first[known], second[known]
    if min(a.std(), b.std()) < 1e-6:
        return 0.0
    return float(np.corrcoef(a, b)[0, 1])
