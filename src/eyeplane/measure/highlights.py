"""Bright pieces on a cornea that are lights and not lid, tear film or white of the eye.

Points are (x, y), arrays [y, x].
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import LumaWindow, Picture
from eyeplane.records import Blur, Eye

Array = NDArray[np.float32]
Mask = NDArray[np.bool_]

WORK_IRIS_PX = 110.0  # larger irises are averaged down towards it: 0.1 mm a pixel tells enough
WINDOW_IRISES = 1.7  # side of the window over the iris
LIT_RATIO = 2.0  # a highlight's peak over the brighter parts of the iris
LIT_SHARE = 0.35  # and over skin and white of the eye, which a large soft light's may fall short of
ON_IRIS_RATIO = 1.4  # of what lies around a piece, its darker third, over the same parts
LEVELS = (0.5, 0.65, 0.8)  # of the peak over its surround: the first at which it stands alone
LARGEST_SHARE = 0.22  # of the iris: a softbox one arm away covers a fifth of it
GAP_IRISES = 0.04  # dark bars this wide do not part a source: 0.5 mm, panes of a window
TEAR_MM = 0.5  # narrower glints along the lower lid are the tear film's; from memory
LID_RADII = 0.8  # above it the upper lid covers the cornea by 1 to 2 mm; from memory
OUTSTANDING = 1.15  # a peak this far above skin and white of the eye is neither
LID_SHINE = 1.5  # skin of the upper lid, moist and turned to the light, over the rest of it
DIM_SHARE = 0.08  # of the iris: the most that a dimmer piece may cover: 25 degrees square
EDGE_SHARE = 0.03  # the same for one along the upper lid
FEWEST_PX = 3  # a lens draws no point smaller than this at half height; fewer are hot pixels
MOST = 6  # highlights of one eye: with more of them it is no catchlight but a pattern
FILL_FLAGS = cv2.FLOODFILL_FIXED_RANGE | cv2.FLOODFILL_MASK_ONLY


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EyePatch:
    """The eye, averaged down where it is large, in its own pixels.

    Attributes
    ----------
    luma, smooth : ndarray
        Linear light [y, x], and the same with noise smoothed away.
    clipped : ndarray
        Bool, where the light is unknown.
    step : int
        Frame pixels per pixel of the patch.
    corner_px : tuple of int
        Its upper left corner in the frame.
    middle : tuple of float
        (x, y) of the iris, pixels of the patch.
    radius : float
        Of the iris, pixels of the patch.
    """

    luma: Array
    smooth: Array
    clipped: Mask
    step: int
    corner_px: tuple[int, int]
    middle: tuple[float, float]
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spot:
    """One bright piece with its surroundings.

    Attributes
    ----------
    rows, columns : slice
        Its surroundings in the patch, in which `mask` and `ring` lie.
    mask : ndarray
        Bool, its pixels at half height.
    ring : ndarray
        Bool, a ring a little away from it.
    peak, base : float
        Its linear light, and that of the ring.
    clipped : bool
        Whether its light is unknown somewhere.
    """

    rows: slice
    columns: slice
    mask: Mask
    ring: Mask
    peak: float
    base: float
    clipped: bool

    @property
    def extent(self) -> tuple[int, int]:
        """Return its width and height at half height.

        Returns
        -------
        tuple of int
            Pixels of the patch.
        """
        across, down = self.mask.any(axis=0), self.mask.any(axis=1)
        return int(np.ptp(np.flatnonzero(across))) + 1, int(np.ptp(np.flatnonzero(down))) + 1


@dataclass(frozen=True, slots=True, kw_only=True)
class _Levels:
    """Linear light of the eye: dark and bright parts of the bare iris, and what is around it."""

    dark: float
    bright: float
    around: float


def eye_patch(picture: Picture, eye: Eye, blur: Blur) -> EyePatch | None:
    """Return an eye cut out of its frame.

    Parameters
    ----------
    picture : Picture
        The frame.
    eye : Eye
        The eye.
    blur : Blur
        Its blur: nothing finer is worth keeping.

    Returns
    -------
    EyePatch or None
        None where too little of the eye lies in the frame.
    """
    iris_px = eye.iris_diameter_px.value
    side = math.ceil(WINDOW_IRISES * iris_px)
    x, y = eye.iris_px
    window = picture.luma_window(math.floor(x - side / 2), math.floor(y - side / 2), side, side)
    step = max(1, round(iris_px / WORK_IRIS_PX))
    if min(window.luma.shape) < max(0.8 * iris_px, 8 * step):
        return None
    luma, clipped = _averaged(window, step)
    radius = iris_px / 2 / step
    # Nothing smaller than the blur is there to be lost; noise and grain are.
    blur_px = blur.disc_px.value / step if blur.disc_px is not None else 0.0
    soft = cv2.GaussianBlur(luma, (0, 0), max(0.5, radius / 60, min(0.12 * blur_px, radius / 20)))
    return EyePatch(
        luma=luma,
        smooth=np.asarray(soft, np.float32),
        clipped=clipped,
        step=step,
        corner_px=(window.x_px, window.y_px),
        middle=((x - window.x_px) / step, (y - window.y_px) / step),
        radius=radius,
    )


def _averaged(window: LumaWindow, step: int) -> tuple[Array, Mask]:
    """Return light and clipped pixels, means over blocks; a block with any clipped one counts."""
    if step == 1:
        return window.luma, window.clipped
    rows, columns = (n // step for n in window.luma.shape)
    size = (columns, rows)
    luma = cv2.resize(
        window.luma[: rows * step, : columns * step], size, interpolation=cv2.INTER_AREA
    )
    clipped = window.clipped[: rows * step, : columns * step]
    blocks = clipped.reshape(rows, step, columns, step).any(axis=(1, 3))
    return np.asarray(luma, np.float32), np.asarray(blocks)


def _from_middle(patch: EyePatch) -> tuple[Array, Array]:
    """Return x and y of every pixel from the middle of the iris, in its radii."""
    height, width = patch.luma.shape
    x = (np.arange(width, dtype=np.float32)[None] + 0.5 - patch.middle[0]) / patch.radius
    y = (np.arange(height, dtype=np.float32)[:, None] + 0.5 - patch.middle[1]) / patch.radius
    return np.broadcast_to(x, patch.luma.shape), np.broadcast_to(y, patch.luma.shape)


def _levels(patch: EyePatch, y: Array, away: Array) -> _Levels | None:
    # Lids cover the upper part of the iris; its lower sides are bare in an open eye.
    bare = patch.smooth[(away < 0.85) & (y > -0.35)]
    beyond = patch.smooth[(away > 1.0) & (away < 1.6)]
    if bare.size < 20 or beyond.size < 20:
        return None
    return _Levels(
        dark=_quantile(bare, 0.35), bright=_quantile(bare, 0.70), around=_quantile(beyond, 0.95)
    )


def _quantile(values: Array, share: float) -> float:
    """Return a quantile without interpolation: faster, and exact enough for hundreds of pixels."""
    index = min(values.size - 1, int(share * values.size))
    return float(np.partition(values, index)[index])


def find_spots(patch: EyePatch, *, mm_per_px: float) -> list[Spot]:
    """Return the bright pieces that are highlights of lights, fragments merged.

    Parameters
    ----------
    patch : EyePatch
        The eye.
    mm_per_px : float
        Scale, of the patch's pixels, > 0.

    Returns
    -------
    list of Spot
        Empty where there are so many that they are a pattern, such as that of a coloured lens.

    Notes
    -----
    From the brightest peak down, each piece is followed to half the way down to the iris' level
    (or less far, where it runs into something else there), and kept if it is a light's.
    """
    x, y = _from_middle(patch)
    away = np.hypot(x, y)
    levels = _levels(patch, y, away)
    if levels is None:
        return []
    least = max(LIT_RATIO * levels.bright, LIT_SHARE * levels.around, levels.dark + 0.02)
    todo = (away < 1.0) & (y > -LID_RADII) & (patch.smooth >= least)
    pieces: list[Spot] = []
    for _ in range(4 * MOST):
        at = int(np.argmax(patch.smooth * todo))
        row, column = divmod(at, todo.shape[1])
        if not todo[row, column]:
            break
        todo[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2] = False
        spot = _piece(patch, (row, column), levels.dark, away, todo)
        if spot is not None and _is_light(patch, spot, (x, y), mm_per_px, levels):
            pieces.append(spot)
    spots = _merged(pieces, patch, levels.dark)
    if len(spots) < len(pieces):
        spots = [s for s in spots if _is_light(patch, s, (x, y), mm_per_px, levels)]
    return spots if len(spots) <= MOST else []


def _piece(
    patch: EyePatch, peak_at: tuple[int, int], dark: float, away: Array, todo: Mask
) -> Spot | None:
    """Return the piece around a peak at the first height at which it stands alone.

    What it covers at any height need not be looked at again and is taken out of `todo`.
    """
    row, column = peak_at
    peak = float(patch.smooth[row, column])
    for level in LEVELS:
        drop = (1.0 - level) * (peak - dark)
        filled = np.zeros((todo.shape[0] + 2, todo.shape[1] + 2), np.uint8)
        size, _, _, box = cv2.floodFill(
            patch.smooth, filled, (column, row), 0, drop, 9.0, 8 | (1 << 8) | FILL_FLAGS
        )
        left, top, width, height = box
        rows, columns = slice(top, top + height), slice(left, left + width)
        inside = filled[1:-1, 1:-1][rows, columns] > 0
        todo[rows, columns] &= ~inside
        outside = float(np.count_nonzero(inside & (away[rows, columns] > 1.08)))
        if outside <= 0.2 * size and size <= LARGEST_SHARE * math.pi * patch.radius**2:
            return _spot(patch, filled[1:-1, 1:-1] > 0, (rows, columns), dark)
    return None


def _spot(patch: EyePatch, mask: Mask, box: tuple[slice, slice], dark: float) -> Spot:
    """Return a piece with its surroundings: a ring a little away from its edge."""
    near = max(1, round(0.05 * patch.radius + 0.5))
    wide = near + max(2, round(0.08 * patch.radius))
    rows, columns = (
        slice(max(0, part.start - wide - 1), min(n, part.stop + wide + 1))
        for part, n in zip(box, mask.shape, strict=True)
    )
    mask = np.ascontiguousarray(mask[rows, columns])
    ring = grown(mask, wide) & ~grown(mask, near)
    smooth = patch.smooth[rows, columns]
    return Spot(
        rows=rows,
        columns=columns,
        mask=mask,
        ring=ring,
        peak=float(smooth[mask].max()),
        base=_quantile(smooth[ring], 0.35) if ring.any() else dark,
        clipped=bool((patch.clipped[rows, columns] & mask).any()),
    )


def grown(mask: Mask, by: float) -> Mask:
    """Return a mask grown on all sides.

    Parameters
    ----------
    mask : ndarray
        Bool.
    by : float
        By how many pixels, rounded, at least one.

    Returns
    -------
    ndarray
        Bool, same shape.
    """
    side = 2 * max(1, round(by)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    return np.asarray(cv2.dilate(mask.astype(np.uint8), kernel) > 0)


def _is_light(
    patch: EyePatch, spot: Spot, at: tuple[Array, Array], mm_per_px: float, levels: _Levels
) -> bool:
    """Return whether a piece is a light's highlight and not lid, tear film or white of the eye."""
    size = int(np.count_nonzero(spot.mask))
    ring = patch.smooth[spot.rows, spot.columns][spot.ring]
    if ring.size == 0 or size < FEWEST_PX or spot.peak - spot.base < 0.4 * spot.peak:
        return False
    rise = spot.peak - spot.base
    if spot.base > ON_IRIS_RATIO * levels.bright + 0.05 * rise:
        return False
    half = spot.base + 0.4 * rise
    dark = float(np.mean(ring < max(min(half, 3.0 * levels.bright), 1.5 * levels.bright)))
    x, y = (float(part[spot.rows, spot.columns][spot.mask].mean()) for part in at)
    mostly_white = bool(np.mean(patch.clipped[spot.rows, spot.columns][spot.mask]) > 0.3)
    return dark > _least_dark(
        (x, y),
        share=size / (math.pi * patch.radius**2),
        narrow_mm=min(spot.extent) * mm_per_px,
        ratio=math.inf if mostly_white else spot.peak / levels.around,
    )


def _least_dark(at: tuple[float, float], *, share: float, narrow_mm: float, ratio: float) -> float:
    """Return how much of a piece's surround must be as dark as the iris; 1 refuses it.

    The place counts from the middle of the iris, in its radii; a light's highlight on the edge of
    the iris has the white of the eye on one side of it. `ratio` is its peak over skin and white of
    the eye.
    """
    away, y = math.hypot(*at), at[1]
    if away > 1.0 or abs(y) > LID_RADII:
        return 1.0
    if ratio < OUTSTANDING:  # no brighter than skin and white of the eye: only within the bare iris
        return 0.8 if away < 0.75 and y > -0.6 and share < DIM_SHARE else 1.0
    if y > 0.4 and away > 0.7:  # along the lower lid
        return 0.8 if narrow_mm > TEAR_MM else 1.0
    if y < -0.5 and away > 0.75:  # along the upper lid, whose skin may shine
        return 0.75 if share < EDGE_SHARE and ratio > LID_SHINE else 1.0
    if share > DIM_SHARE:
        return 0.6 if away < 0.65 else 1.0
    return 0.45


def _merged(pieces: list[Spot], patch: EyePatch, dark: float) -> list[Spot]:
    """Return the pieces with those joined that lie less than a pane's bar apart."""
    if len(pieces) < 2:
        return pieces
    together = np.zeros(patch.luma.shape, np.bool_)
    for piece in pieces:
        together[piece.rows, piece.columns] |= piece.mask
    gap = max(1.0, GAP_IRISES * patch.radius)
    count, labels, boxes, _ = cv2.connectedComponentsWithStats(
        grown(together, gap).astype(np.uint8), connectivity=8
    )
    return [
        _spot(
            patch,
            np.asarray(together & (labels == label)),
            (slice(top, top + height), slice(left, left + width)),
            dark,
        )
        for label, (left, top, width, height, _) in enumerate(boxes[:count])
        if label > 0
    ]
