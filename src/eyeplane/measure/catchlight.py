"""Catchlights: where, how large, how much of the light. Points (x, y), arrays [y, x]."""

import math

import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import Picture
from eyeplane.measure.eye_patch import EyePatch, eye_patch, light_levels
from eyeplane.measure.highlights import SKIRT, Spot, find_spots, grown
from eyeplane.records import Blur, Catchlight, Eye, Measured

Light = NDArray[np.float32]

SMALLEST_IRIS_PX = 24.0  # across: below it a highlight is a pixel or two
FOOT = 0.12  # of the peak over its surround: below it nothing counts as the light's
TEXTURED_FOOT = 0.25  # on an iris whose own pattern reaches higher
# Share of the blur's variance that is left above the foot: worked out for squares and discs under
# discs of a quarter to twice their size: 0.75 to 0.95, with the textured foot 0.3 to 0.8.
LEFT_LOW, LEFT, LEFT_HIGH = 0.4, 0.8, 1.0
LEAST_SHARE = 0.02  # of the light: less is a reflection of a reflection
# A box as wide as w has the standard deviation w/√12, a disc w/4; between them, 7 % either way.
SPREADS = 3.73
SHAPE_SHARE = 0.08  # of the size: box or disc, in a 90 % interval
PIXEL_PX2 = 0.30  # squared spread of pixel, demosaicking and glass; 0.1 to 0.6; from memory
PIXEL_LOW_PX2, PIXEL_HIGH_PX2 = 0.1, 0.6
UNKNOWN_PX2 = 1e6  # where nobody knows the blur: it may be all that is seen
HIDDEN_RATIO = 2.5  # a lid that touches a highlight hides up to three fifths of it; our own bound
BLOOM_PX = 3.0  # by which a highlight beyond white may be drawn too large; from memory


def read_catchlights(
    picture: Picture, eye: Eye, blur: Blur, *, mm_per_px: float, roll_deg: float = 0.0
) -> tuple[Catchlight, ...]:
    """Return the highlights on the cornea of an open eye, brightest first.

    Parameters
    ----------
    picture : Picture
        The frame.
    eye : Eye
        Where its iris is.
    blur : Blur
        The eye's own blur, which is taken out of the sizes.
    mm_per_px : float
        Scale at the eye, > 0.
    roll_deg : float
        How far the head leans clockwise in the picture: it tells where the lids lie.

    Returns
    -------
    tuple of Catchlight
        Empty for a closed eye, an iris below 24 px, an eye outside the frame, and where nothing
        stands out: none of these says that there was no light.

    Notes
    -----
    A highlight is a compact piece within the visible iris (its edge included) whose peak in linear
    light is at least twice the brighter parts of the iris, that stands alone at half its height
    and has dark iris or pupil around it. Pieces that merge with lid, skin or the white of the
    eye, and flat glints along the lower lid, are left out. Pieces less than 0.04 irises apart are
    one source.

    The middle is the centroid of light above the surround. The size is 3.73 standard deviations
    of that light along x and y (a box has √12, a disc 4), with the variance of the blur (disc
    D²/16, line L²/12 along it, less the fifth that its dim foot holds) and of pixel and
    demosaicking taken out, and never more than the piece's extent at half height. Beyond white the
    peak is unknown: half of the white is then somewhere between half-way up the edge and its foot,
    so that the true size lies between the extent at that height and the same less the whole width
    of the blur and 3 px of bloom. Where lid or lashes begin right above it, it may be 2.5 times as
    large as what is seen.
    """
    if eye.open is False or eye.iris_diameter_px.value < SMALLEST_IRIS_PX:
        return ()
    patch = eye_patch(picture, eye, blur, roll_deg=roll_deg)
    if patch is None:
        return ()
    levels = light_levels(patch)
    if levels is None:
        return ()
    spots = find_spots(patch, levels, mm_per_px=mm_per_px * patch.step)
    light = [_light(patch, spot, levels.bright) for spot in spots]
    total = max(sum(map(_sum, light)), 1e-9)
    found = [
        _catchlight(patch, spot, weights, blur, share=_sum(weights) / total)
        for spot, weights in zip(spots, light, strict=True)
    ]
    return tuple(sorted((c for c in found if c.share >= LEAST_SHARE), key=lambda c: -c.share))


def _light(patch: EyePatch, spot: Spot, bright: float) -> Light:
    """Return the light of a spot above its surround, zero elsewhere."""
    reach = grown(spot.mask, max(1.5, 0.06 * patch.radius, SKIRT * patch.blur))
    rise = spot.peak - spot.base
    foot = spot.base + max(FOOT * rise, min(TEXTURED_FOOT * rise, bright - spot.base))
    lit = (reach & (patch.smooth[spot.rows, spot.columns] > foot)) | spot.mask
    above = np.maximum(patch.luma[spot.rows, spot.columns] - spot.base, 0.0)
    return np.asarray(np.where(lit, above, 0.0), np.float32)


def _sum(light: Light) -> float:
    return float(light.sum(dtype=np.float64))


def _catchlight(
    patch: EyePatch, spot: Spot, weights: Light, blur: Blur, *, share: float
) -> Catchlight:
    x = spot.columns.start + np.arange(weights.shape[1]) + 0.5
    y = spot.rows.start + np.arange(weights.shape[0]) + 0.5
    across, down = weights.sum(axis=0, dtype=np.float64), weights.sum(axis=1, dtype=np.float64)
    middle_x, middle_y = float(across @ x / across.sum()), float(down @ y / down.sum())
    spread_x = float(across @ (x - middle_x) ** 2 / across.sum())
    spread_y = float(down @ (y - middle_y) ** 2 / down.sum())
    wide, high = spot.extent
    step = float(patch.step)
    blur_x, blur_y = _blur_px2(blur)
    return Catchlight(
        at_px=(
            patch.corner_px[0] + middle_x * step,
            patch.corner_px[1] + middle_y * step,
        ),
        width_px=_size(spread_x * step**2, wide * step, blur_x, spot=spot),
        height_px=_size(spread_y * step**2, high * step, blur_y, spot=spot),
        share=min(1.0, share),
    )


def _blur_px2(blur: Blur) -> tuple[Measured, Measured]:
    """Return the variance that the eye's blur and the pixels add along x and along y."""
    across = np.array([PIXEL_LOW_PX2, PIXEL_PX2, PIXEL_HIGH_PX2])
    down = across.copy()
    left = np.array([LEFT_LOW, LEFT, LEFT_HIGH])
    disc = blur.disc_beside_px if blur.kind == "line" else (blur.size_px or blur.disc_px)
    if disc is not None:
        across += left * _ends(disc) ** 2 / 16
        down += left * _ends(disc) ** 2 / 16
    if blur.kind == "line" and blur.size_px is not None and blur.angle_deg is not None:
        turn = math.radians(blur.angle_deg)
        across += left * _ends(blur.size_px) ** 2 / 12 * math.cos(turn) ** 2
        down += left * _ends(blur.size_px) ** 2 / 12 * math.sin(turn) ** 2
    if blur.size_px is None and disc is None:
        across[2] = down[2] = UNKNOWN_PX2
    return (
        Measured(value=float(across[1]), low=float(across[0]), high=float(across[2])),
        Measured(value=float(down[1]), low=float(down[0]), high=float(down[2])),
    )


def _ends(size: Measured) -> NDArray[np.float64]:
    return np.array([size.low, size.value, size.high])


def _size(spread_px2: float, extent_px: float, blur_px2: Measured, *, spot: Spot) -> Measured:
    """Return a size from the variance of light, with the blur's variance taken out."""

    def without(variance_px2: float) -> float:
        return min(SPREADS * math.sqrt(max(0.0, spread_px2 - variance_px2)), extent_px)

    if not spot.clipped:
        value = without(blur_px2.value)
        low = without(blur_px2.high) * (1 - SHAPE_SHARE) - 0.5
        high = without(blur_px2.low) * (1 + SHAPE_SHARE) + 0.5
    else:
        # Half of the white lies at most a whole blur beyond the true edge, on both sides together.
        whole = min(without(0.0), extent_px)
        low = whole - 4.0 * math.sqrt(blur_px2.high) - BLOOM_PX
        high = whole * (1 + SHAPE_SHARE) + 0.5
        value = (max(0.0, whole - 4.0 * math.sqrt(blur_px2.value)) + whole) / 2
    if spot.hidden:
        high *= HIDDEN_RATIO
    return Measured(value=value, low=max(0.0, min(low, value)), high=max(high, value))
