"""The edge of the iris (limbus), fitted to the pixels of the full frame in linear light.

A coarse search over middle and radius for the ring along which the picture brightens most
outwards, on both sides at once; then the brightening along each ray is placed below a pixel,
and an ellipse is laid through those places. Rays run to the sides, where the lids do not cover.
Points are (x, y); arrays are [y, x]. Inside this module lengths are in pixels of a patch that is
turned with the eyes and scaled so that the expected iris is `_PATCH_IRIS_PX` across.
"""

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import cv2
import numpy as np

from eyeplane.faces.view import Square, carry, sample

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from eyeplane.imaging import Picture

_PATCH_IRIS_PX = 40.0  # expected iris in the patch
_PATCH_PX = 112  # side of the patch: 2.8 irises
_SMALLEST_PX = 6.0  # expected iris in the frame below which its edge is not looked for
_SIDE_RAYS_DEG = np.arange(-30.0, 56.0, 5.0)  # of one side, + down: the lower lid covers less
_RAYS = np.radians(np.concatenate([_SIDE_RAYS_DEG, 180.0 - _SIDE_RAYS_DEG]))
_RADII = np.arange(0.72, 1.33, 0.05)  # over the expected radius
_SHIFTS = np.arange(-0.35, 0.36, 0.05)  # over the expected diameter
_MIDDLE_SD = 0.2  # of the net's middle, over the diameter (.11 sharp, .18 soft)
_RADIUS_SD = 0.16  # of the expected radius: heads differ, irises hardly
_PRIOR = 0.004  # what one squared standard deviation costs, in the score's unit, twice
_BOTH_SIDES = 0.3  # share of the score that the weaker side alone decides
_PUPIL = 0.05  # how much the pupil's darkness counts
_RATIO_SD = 0.10  # of the ellipse's axes (logarithm): eyes mostly look within 25° of the lens
_SYSTEMATIC_SD = 0.03  # the limbus is a band of about 1 mm, and which part of it counts differs
# Width of the edge over the radius: a sharp limbus has .10–.25, a disc of a fifth of the iris .30;
# at .37, two fifths, ring, pupil and lids run together (rendered and real faces, blurred).
_WIDEST_EDGE = 0.345
_WIDE_EDGE = 0.25  # from here on the width adds to the spread
_WIDTH_SD = 2.0  # spread of the diameter for each unit of width beyond that
_LEAST_SCORE = 0.008  # mean brightening along the ring (logarithm a patch pixel) to be believed


@dataclass(frozen=True, slots=True, kw_only=True)
class Limbus:
    """An ellipse through the edge of the iris, in frame pixels.

    Attributes
    ----------
    middle_px : tuple of float
        (x, y).
    diameter_px : float
        Long axis.
    sd_px : float
        Standard deviation of the diameter.
    """

    middle_px: tuple[float, float]
    diameter_px: float
    sd_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """Where the edge is looked for.

    Attributes
    ----------
    middle_px : tuple of float
        (x, y) of the iris in the frame.
    diameter_px : float
        Of the iris.
    turn_rad : float
        Direction of the line of the eyes, from +x towards +y.
    """

    middle_px: tuple[float, float]
    diameter_px: float
    turn_rad: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LimbusLook:
    """What a look for the edge of an iris gave.

    Attributes
    ----------
    limbus : Limbus or None
        None where the edge is too soft, too small, covered or not there.
    contrast : float or None
        How much the picture brightens outwards along the best ring (logarithm a patch pixel);
        None where the eye is too soft or too small for this to mean anything.
    """

    limbus: Limbus | None
    contrast: float | None


def look_for_limbus(picture: "Picture", expected: Expected) -> LimbusLook:
    """Return the edge of an iris.

    Parameters
    ----------
    picture : Picture
        The frame.
    expected : Expected
        From the nets.

    Returns
    -------
    LimbusLook
        In frame pixels.

    References
    ----------
    Daugman (1993), the integro-differential operator for iris edges, for the coarse search.
    """
    patch = Square(
        x_px=expected.middle_px[0],
        y_px=expected.middle_px[1],
        side_px=expected.diameter_px * _PATCH_PX / _PATCH_IRIS_PX,
        turn_rad=expected.turn_rad,
    )
    if expected.diameter_px < _SMALLEST_PX:
        return LimbusLook(limbus=None, contrast=None)
    luma = _patch(picture, patch)
    ring = _coarse(luma)
    if ring.score < _LEAST_SCORE:
        return LimbusLook(limbus=None, contrast=None)
    radii, weights, width = _along_rays(luma, ring)
    if width > _WIDEST_EDGE * ring.radius:
        return LimbusLook(limbus=None, contrast=None)
    soft = _WIDTH_SD * max(0.0, width / ring.radius - _WIDE_EDGE)
    limbus = _in_frame(patch, _ellipse(radii, weights, ring), soft)
    return LimbusLook(limbus=limbus, contrast=ring.score)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ring:
    """A circle in the patch and how much the picture brightens outwards along it."""

    x: float
    y: float
    radius: float
    score: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ellipse:
    """An ellipse in the patch, its axes along the patch's, and how well its points lie on it."""

    x: float
    y: float
    across: float
    upright: float
    sd: float


def _patch(picture: "Picture", patch: Square) -> "NDArray[np.float32]":
    """Return the patch in linear light, over its own bright level."""
    turned = abs(math.cos(patch.turn_rad)) + abs(math.sin(patch.turn_rad))
    half = patch.side_px / 2 * turned + 3.0
    side = int(2 * half) + 1
    window = picture.luma_window(int(patch.x_px - half), int(patch.y_px - half), side, side)
    luma = np.asarray(window.luma, np.float32)
    if min(luma.shape) < 4:
        return np.zeros((_PATCH_PX, _PATCH_PX), np.float32)
    bright_index = int(0.95 * _PATCH_PX**2)
    crop = sample(luma, 1.0, (window.x_px, window.y_px), patch.matrix(_PATCH_PX), _PATCH_PX)
    bright = float(np.partition(crop.ravel(), bright_index)[bright_index])
    return np.asarray(crop / bright if bright > 0.0 else crop, np.float32)


@functools.cache
def _ring_places() -> tuple["NDArray[np.intp]", "NDArray[np.float64]"]:
    """Return, for every ray, radius and shift, the pixel looked at, and what the guess costs."""
    radius = _RADII[None, :, None, None] * _PATCH_IRIS_PX / 2
    dy = _SHIFTS[None, None, :, None] * _PATCH_IRIS_PX
    dx = _SHIFTS[None, None, None, :] * _PATCH_IRIS_PX
    cosine, sine = (f(_RAYS)[:, None, None, None] for f in (np.cos, np.sin))
    x = np.rint(_PATCH_PX / 2 - 0.5 + dx + radius * cosine).astype(np.intp)
    y = np.rint(_PATCH_PX / 2 - 0.5 + dy + radius * sine).astype(np.intp)
    off = (_SHIFTS[None, :, None] ** 2 + _SHIFTS[None, None, :] ** 2) / _MIDDLE_SD**2
    size = (np.log(_RADII)[:, None, None] / _RADIUS_SD) ** 2
    return y * _PATCH_PX + x, (off + size) * _PRIOR / 2


def _coarse(luma: "NDArray[np.float32]") -> _Ring:
    """Return the ring that fits edge, pupil and expectation best."""
    log = cv2.GaussianBlur(np.log(np.maximum(luma, 0.0) + 0.03), (0, 0), 1.8)
    slope_x = cv2.Sobel(log, cv2.CV_32F, 1, 0, scale=1 / 8).ravel()
    slope_y = cv2.Sobel(log, cv2.CV_32F, 0, 1, scale=1 / 8).ravel()
    places, cost = _ring_places()
    cosine, sine = (f(_RAYS).astype(np.float32)[:, None, None, None] for f in (np.cos, np.sin))
    outwards = slope_x[places] * cosine + slope_y[places] * sine
    np.clip(outwards, -0.03, 0.06, out=outwards)  # neither a lash nor a highlight decides alone
    half = len(_SIDE_RAYS_DEG)
    right, left = outwards[:half].mean(axis=0), outwards[half:].mean(axis=0)
    edge = _BOTH_SIDES * np.minimum(right, left) + (1.0 - _BOTH_SIDES) * (right + left) / 2
    score = edge + _PUPIL * _pupil(np.asarray(log, np.float32)) - cost
    k, j, i = np.unravel_index(int(np.argmax(score)), score.shape)
    return _Ring(
        x=_PATCH_PX / 2 + float(_SHIFTS[i]) * _PATCH_IRIS_PX,
        y=_PATCH_PX / 2 + float(_SHIFTS[j]) * _PATCH_IRIS_PX,
        radius=float(_RADII[k]) * _PATCH_IRIS_PX / 2,
        score=float(edge[k, j, i]),
    )


def _pupil(log: "NDArray[np.float32]") -> "NDArray[np.float64]":
    """Return how much darker the pupil's place is than its surround, for every shift."""
    middle = slice(_PATCH_PX // 2 - 20, _PATCH_PX // 2 + 20)
    capped = np.minimum(log, np.median(log[middle, middle]))  # catchlights lie in pupils
    inner = cv2.blur(capped, (7, 7))
    outer = (cv2.blur(capped, (25, 25)) * 625 - cv2.blur(capped, (11, 11)) * 121) / 504
    at = np.rint(_PATCH_PX / 2 - 0.5 + _SHIFTS * _PATCH_IRIS_PX).astype(np.intp)
    return np.clip((outer - inner)[np.ix_(at, at)], 0.0, 0.6).astype(np.float64)[None]


def _along_rays(
    luma: "NDArray[np.float32]", ring: _Ring
) -> tuple["NDArray[np.float64]", "NDArray[np.float64]", float]:
    """Return where each ray brightens most near the ring, how much it counts, the edge's width."""
    step = 0.25
    reach = np.arange(0.72 * ring.radius, 1.28 * ring.radius, step)
    x = (ring.x - 0.5 + reach[None] * np.cos(_RAYS)[:, None]).astype(np.float32)
    y = (ring.y - 0.5 + reach[None] * np.sin(_RAYS)[:, None]).astype(np.float32)
    soft = cv2.GaussianBlur(luma, (0, 0), 0.8)
    along = cv2.remap(soft, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    rise = np.gradient(along.astype(np.float64), axis=1)
    rise = np.asarray(
        cv2.GaussianBlur(rise, (0, 0), sigmaX=0.035 * ring.radius / step, sigmaY=0.01), np.float64
    )
    near = np.exp(-0.5 * ((reach / ring.radius - 1.0) / 0.10) ** 2)
    at = np.clip(np.argmax(rise * near, axis=1), 1, len(reach) - 2)
    rays = np.arange(len(_RAYS))
    before, peak, after = rise[rays, at - 1], rise[rays, at], rise[rays, at + 1]
    bend = np.minimum(before - 2 * peak + after, -1e-9)
    radii = reach[at] + step * np.clip(0.5 * (before - after) / bend, -1.0, 1.0)
    usual = float(np.median(np.maximum(peak, 1e-6)))
    weights = np.clip(peak / usual, 0.0, 1.0)
    side = int(0.2 * ring.radius / step)
    outside = along[rays, np.minimum(at + side, len(reach) - 1)]
    widths = (outside - along[rays, np.maximum(at - side, 0)]) * step / np.maximum(peak, 1e-9)
    return radii, weights, float(np.median(widths[peak >= usual]))


def _ellipse(radii: "NDArray[np.float64]", weights: "NDArray[np.float64]", ring: _Ring) -> _Ellipse:
    """Return the ellipse through the rays' edges by robust Gauss-Newton steps (Cauchy weights)."""
    x, y = ring.x + radii * np.cos(_RAYS), ring.y + radii * np.sin(_RAYS)
    p = np.array([ring.x, ring.y, math.log(ring.radius), math.log(ring.radius)])
    curvature, spread, half = np.eye(4), 1.0, len(radii) // 2
    for _ in range(8):
        a, b = np.exp(p[2:])
        u, v = (x - p[0]) / a, (y - p[1]) / b
        q = np.maximum(np.hypot(u, v), 1e-6)
        size = math.sqrt(a * b)
        miss = (q - 1.0) * size
        spread = max(1.4826 * float(np.partition(np.abs(miss), half)[half]), 0.15)
        w = weights / (1.0 + (miss / (1.5 * spread)) ** 2) / spread**2
        slope = np.stack([-u / q / a, -v / q / b, -u * u / q, -v * v / q], axis=1) * size
        curvature = (slope * w[:, None]).T @ slope + np.eye(4) * 1e-9
        gradient = (slope * w[:, None]).T @ miss
        prior = 1.0 / _RATIO_SD**2
        curvature[2:, 2:] += prior * np.array([[1.0, -1.0], [-1.0, 1.0]])
        gradient[2:] += prior * (p[2] - p[3]) * np.array([1.0, -1.0])
        move = np.linalg.solve(curvature, -gradient)
        p = p + np.clip(move, -3.0, 3.0)
        if float(np.abs(move).max()) < 1e-2:
            break
    covariance = np.linalg.inv(curvature)
    # Neighbouring rays share their errors, so a fit is worth about a fourth of its rays.
    sd = 2.0 * math.sqrt(float(covariance[2, 2]))
    return _Ellipse(
        x=float(p[0]),
        y=float(p[1]),
        across=2.0 * math.exp(float(p[2])),
        upright=2.0 * math.exp(float(p[3])),
        sd=math.hypot(sd, 0.5 * spread / _PATCH_IRIS_PX),
    )


def _in_frame(patch: Square, ellipse: _Ellipse, soft: float) -> Limbus | None:
    """Return the ellipse in frame pixels; None if it ran away from where it was looked for."""
    diameter = max(ellipse.across, math.sqrt(ellipse.across * ellipse.upright))
    away = math.hypot(ellipse.x - _PATCH_PX / 2, ellipse.y - _PATCH_PX / 2)
    if not 0.6 < diameter / _PATCH_IRIS_PX < 1.5 or away > 0.6 * _PATCH_IRIS_PX:
        return None
    middle = carry(patch.matrix(_PATCH_PX), np.array([[ellipse.x, ellipse.y]]))[0]
    size = diameter * patch.side_px / _PATCH_PX
    return Limbus(
        middle_px=(float(middle[0]), float(middle[1])),
        diameter_px=size,
        sd_px=size * math.hypot(_SYSTEMATIC_SD, ellipse.sd, soft),
    )
