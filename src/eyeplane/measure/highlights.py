"""Bright pieces on a cornea that are lights and not lid, tear film or white of the eye.

Points are (x, y), arrays [y, x].
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from eyeplane.measure.eye_patch import (
    Array,
    EyePatch,
    LightLevels,
    Mask,
    from_middle,
    quantile,
)

LIT_RATIO = 2.0  # a highlight's peak over the brighter parts of the iris
LIT_SHARE = 0.35  # and over skin and white of the eye, which a large soft light's may fall short of
ON_IRIS_RATIO = 1.4  # of what lies around a piece, its darker third, over the same parts
LEVELS = (0.5, 0.65, 0.8)  # of the peak over its surround: the first at which it stands alone
LARGEST_SHARE = 0.22  # of the iris: a softbox one arm away covers a fifth of it
GAP_IRISES = 0.04  # dark bars this wide do not part a source: 0.5 mm, panes of a window
TEAR_MM = 0.7  # narrower glints along the lower lid are the tear film's; from memory
LID_RADII = 0.8  # above it the upper lid covers the cornea by 1 to 2 mm; from memory
OUTSTANDING = 1.15  # a peak this far above skin and white of the eye is neither
LID_NEAR_RADII = 0.12  # above a piece: edge and lashes of a lid that may cover part of it
PUPIL_RADII = 0.5  # a wide pupil's; what is dark farther out is no pupil
LID_SHINE = 1.5  # skin of the upper lid, moist and turned to the light, over the rest of it
DIM_SHARE = 0.08  # of the iris: the most that a dimmer piece may cover: 25 degrees square
EDGE_SHARE = 0.03  # the same for one along the upper lid
SKIRT = 0.35  # of the blur's disc: what a blurred edge reaches beyond its half height
FEWEST_PX = 3  # a lens draws no point smaller than this at half height; fewer are hot pixels
MOST = 6  # highlights of one eye: with more of them it is no catchlight but a pattern
FILL_FLAGS = cv2.FLOODFILL_FIXED_RANGE | cv2.FLOODFILL_MASK_ONLY


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
    hidden : bool
        Whether the upper lid comes so near that it may cover part of it.
    """

    rows: slice
    columns: slice
    mask: Mask
    ring: Mask
    peak: float
    base: float
    clipped: bool
    hidden: bool = False

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


def find_spots(patch: EyePatch, levels: LightLevels, *, mm_per_px: float) -> list[Spot]:
    """Return the bright pieces that are highlights of lights, fragments merged.

    Parameters
    ----------
    patch : EyePatch
        The eye.
    levels : LightLevels
        How bright it is.
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
    x, y = from_middle(patch)
    away = np.hypot(x, y)
    least = max(LIT_RATIO * levels.bright, LIT_SHARE * levels.around, levels.dark + 0.02)
    todo = (away < 1.0) & (y > -LID_RADII) & (patch.smooth >= least)
    pieces: list[Spot] = []
    looks = 0
    peaks = np.flatnonzero(todo)
    for at in peaks[np.argsort(-patch.smooth.ravel()[peaks], kind="stable")]:
        row, column = divmod(int(at), todo.shape[1])
        if not todo[row, column]:
            continue
        looks += 1
        if looks > 4 * MOST:
            break
        todo[max(0, row - 1) : row + 2, max(0, column - 1) : column + 2] = False
        spot = _piece(patch, (row, column), levels.dark, away, todo)
        if spot is not None and _is_light(patch, spot, (x, y), mm_per_px, levels):
            pieces.append(spot)
    spots = _merged(pieces, patch, levels.dark)
    if len(spots) < len(pieces):
        spots = [s for s in spots if _is_light(patch, s, (x, y), mm_per_px, levels)]
    if len(spots) > MOST:
        return []
    return [replace(spot, hidden=_under_lid(patch, spot, levels)) for spot in spots]


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
        if float(patch.smooth[rows, columns][inside].max()) > peak:
            continue  # the shoulder of something brighter
        outside = float(np.count_nonzero(inside & (away[rows, columns] > 1.08)))
        if outside <= 0.2 * size and size <= LARGEST_SHARE * math.pi * patch.radius**2:
            return _spot(patch, filled[1:-1, 1:-1] > 0, (rows, columns), dark)
    return None


def _spot(patch: EyePatch, mask: Mask, box: tuple[slice, slice], dark: float) -> Spot:
    """Return a piece with its surroundings: a ring a little away from its edge."""
    near = max(1, round(0.05 * patch.radius + 0.5 + min(SKIRT * patch.blur, 0.2 * patch.radius)))
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
        base=quantile(smooth[ring], share=0.35) if ring.any() else dark,
        clipped=bool((patch.clipped[rows, columns] & mask).any()),
    )


def grown(mask: Mask, by_px: float) -> Mask:
    """Return a mask grown on all sides.

    Parameters
    ----------
    mask : ndarray
        Bool.
    by_px : float
        By how much, rounded, at least one pixel.

    Returns
    -------
    ndarray
        Bool, same shape.
    """
    side = 2 * max(1, round(by_px)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (side, side))
    return np.asarray(cv2.dilate(mask.astype(np.uint8), kernel) > 0)


def _is_light(
    patch: EyePatch, spot: Spot, at: tuple[Array, Array], mm_per_px: float, levels: LightLevels
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


def _under_lid(patch: EyePatch, spot: Spot, levels: LightLevels) -> bool:
    """Return whether lid or lashes begin right above a piece: it may go on beneath them.

    Upwards along the head, what is much darker than the iris outside the pupil is the lid's edge
    with its lashes, and what is brighter is its skin.
    """
    rows, columns = np.nonzero(spot.mask)
    turn = math.radians(patch.roll_deg)
    up = np.array([math.sin(turn), -math.cos(turn)])
    places = np.stack([columns + spot.columns.start, rows + spot.rows.start], axis=1) + 0.5
    top = float(((places - places.mean(axis=0)) @ up).max())
    near = LID_NEAR_RADII * patch.radius + min(patch.blur / 2, 0.3 * patch.radius)
    reach = top + np.arange(1.0, max(3.0, near) + 1.0)
    line = places.mean(axis=0)[None] + reach[:, None] * up[None]
    x, y = np.clip(line.astype(int), 0, np.array(patch.smooth.shape[::-1]) - 1).T
    along = patch.smooth[y, x]
    lowest = np.minimum.accumulate(along)
    rises = (lowest < spot.base + 0.3 * (spot.peak - spot.base)) & (along > 1.5 * lowest)
    outside = np.hypot(*((line - patch.middle) / patch.radius).T) > PUPIL_RADII
    edge = outside & (along < 0.4 * levels.dark)
    skin = rises & outside & (along > max(1.6 * levels.bright, 0.3 * levels.around))
    return bool((edge | skin).any())
