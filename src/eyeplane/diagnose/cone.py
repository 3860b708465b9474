"""Where the focus plane lay: the cone of blur fitted over places of known relative depth."""

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from eyeplane.diagnose.lens import Z90, Lens
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]

# Blur is compared as log(diameter + SOFT_PX): below half a pixel blurred and sharp look alike.
SOFT_PX = 0.5
STUDENT_NU = 4  # degrees of freedom of the errors: one place in ten may be badly off
LOG_SD_FLOOR = 0.10  # no blur size is trusted better than this: medians of 3 % to 10 %, by size
# Of log(diameter + SOFT_PX): how much softer skin looks than it is blurred (nose tips and lips of
# rendered heads in focus read 1.3 to 2 px).
SKIN_LOG_SD = 0.45
# Blur that no plane explains (glass, demosaicking): diameters in px and how probable beforehand.
# Below zero: blur that the measuring took for the capture's own and left out, in every place alike
# (a spread of 0.25 px² hides a disc of 2 px).
FLOOR_PX = np.array([-2.0, -1.2, 0.0, 1.0, 2.0, 4.5, 8.0, 16.0])
FLOOR_PRIOR = np.array([0.7, 1.0, 1.0, 1.0, 0.7, 0.03, 0.03, 0.03])
GLASS_FLOOR_PX = 4.0  # a floor beyond this is not the lens's daily softness
OFFSET_SPAN_MM = 1500.0  # the grid's end, if the focus plane stays between lens and twice as far
OFFSET_PRIOR_MM = 150.0  # width of the prior 1 / (1 + (z/width)²): misses beyond an arm are rare
GRID_HALF = 110  # steps on either side of zero
GRID_FINE_MM = 20.0  # grid is about linear within this, logarithmic beyond
# Without focal length or aperture the cone's steepness is free: px of disc per mm of depth.
FREE_STEEPNESS_PER_MM = np.geomspace(0.01, 1.0, 13)
# Normal errors are averaged over Gauss-Hermite nodes: three for a depth and for the scale; over
# five for the pose, which keep mean and variance of both angles.
DEPTH_NODES, DEPTH_WEIGHTS = (part.astype(np.float64) for part in hermegauss(3))
DEPTH_WEIGHTS = DEPTH_WEIGHTS / DEPTH_WEIGHTS.sum()
SCALE_NODES = np.sqrt(3.0) * np.array([-1.0, 0.0, 1.0])
SCALE_WEIGHTS = np.array([1.0, 4.0, 1.0]) / 6.0
POSE_NODES = math.sqrt(3.0) * np.array([(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1)])
POSE_WEIGHTS = np.array([2.0, 1.0, 1.0, 1.0, 1.0]) / 6.0
SMALL_SHARE = 0.6  # a smaller share of the pose in a depth's error may as well be its own
OWN_SHARE = (
    0.5  # of a depth's standard deviation that is its own, at least, whatever the pose takes
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ConePlace:
    """A place on the head with its depth and its blur.

    Attributes
    ----------
    depth_mm, depth_sd_mm : float
        Relative to the near iris, + farther, and its standard deviation.
    blur_px : Measured
        Disc diameter.
    skin : bool
        Whether it is mostly skin, whose own texture is soft: then it may look more blurred than
        the lens made it.
    aside_mm : tuple of float
        (x, y) from the near iris as the camera sees it: by as much the depth moves, per radian,
        with an error of the head's yaw and pitch.
    """

    depth_mm: float
    depth_sd_mm: float
    blur_px: Measured
    skin: bool = False
    aside_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PoseError:
    """Standard deviations of the head's pose: an error that all its places share.

    Attributes
    ----------
    yaw_sd_deg, pitch_sd_deg : float
        0 if it is known, or if the places' depths already hold its error as their own.
    """

    yaw_sd_deg: float = 0.0
    pitch_sd_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusFit:
    """Posterior of the focus plane.

    Attributes
    ----------
    offset_mm : Measured
        Focus plane minus near iris: posterior median and 90 % interval.
    size_mm : Measured
        The same without sign.
    behind : float
        Probability that the plane lies behind the near iris, 0..1.
    focus_px : Measured
        Disc that the offset makes at the near iris.
    floor_px : float
        Mean blur that no plane explains.
    glass : float
        Probability that this floor is larger than `GLASS_FLOOR_PX`.
    lens_known : bool
        Whether the cone's steepness came from the lens, not from the fit.
    """

    offset_mm: Measured
    size_mm: Measured
    behind: float
    focus_px: Measured
    floor_px: float
    glass: float
    lens_known: bool


def fit_focus(
    places: Sequence[ConePlace],
    lens: Lens | None,
    *,
    pose: PoseError | None = None,
    evidence: Callable[[FloatArray], FloatArray] | None = None,
) -> FocusFit:
    """Return where the focus plane lay, as a posterior on a grid.

    Parameters
    ----------
    places : sequence of ConePlace
        At least one, the near eye among them; their order does not matter.
    lens : Lens or None
        None: the steepness of the cone is fitted too, over a broad prior.
    pose : PoseError or None
        How well the head's pose is known; None counts it as part of each place's own error.
    evidence : callable or None
        What else tells of the offset: takes offsets in mm, returns their log-likelihood.

    Returns
    -------
    FocusFit
        Always a posterior; with few or flat places a broad one.

    Notes
    -----
    Model: b² = c(z, z0)² ± b0², c the exact thin-lens disc (or k·|z − z0| with free k), b0 a
    floor common to all places, or what the measuring left out of all of them; errors of log blur
    are Student-t, wider on the soft side for skin. Each place's depth is averaged over its own
    normal error, and all of them together over the error of the head's pose.
    """
    ordered = sorted(places, key=lambda p: (p.depth_mm, p.depth_sd_mm, p.blur_px.value, p.aside_mm))
    grid, width = _offset_grid(lens)
    scale, scale_prior = _scales(lens)
    near = _disc_at(np.zeros(1), grid, lens)[0]
    log_post = _over_pose(tuple(ordered), lens, pose or PoseError()) + (
        np.log(scale_prior)[:, None, None] + np.log(FLOOR_PRIOR)[None, :, None]
    )
    log_post += np.log(width / (1.0 + (grid / OFFSET_PRIOR_MM) ** 2))
    if evidence is not None:
        log_post += evidence(grid)
    post = np.exp(log_post - log_post.max())
    post /= post.sum()
    over_grid = post.sum(axis=(0, 1))
    over_floor = post.sum(axis=(0, 2))
    return FocusFit(
        offset_mm=_quantiles(grid, over_grid, width),
        size_mm=_quantiles(np.abs(grid), over_grid, width),
        behind=float(over_grid[grid > 0].sum() + 0.5 * over_grid[grid == 0].sum()),
        focus_px=_quantiles((scale[:, None] * near).ravel(), post.sum(axis=1).ravel(), None),
        floor_px=float(over_floor @ np.maximum(FLOOR_PX, 0.0)),
        glass=float(over_floor[FLOOR_PX > GLASS_FLOOR_PX].sum()),
        lens_known=lens is not None,
    )


# Where a face leaves the side open it is asked again at once, with what else tells of it.
@functools.lru_cache(maxsize=8)
def _over_pose(places: tuple[ConePlace, ...], lens: Lens | None, pose: PoseError) -> FloatArray:
    """Return the log-likelihood [scale, floor, grid], averaged over the error of the pose."""
    grid, _ = _offset_grid(lens)
    turns = np.radians([pose.yaw_sd_deg, pose.pitch_sd_deg])
    if all(_shared(p, turns) <= SMALL_SHARE * p.depth_sd_mm for p in places):
        return _over_scales(places, grid, lens)
    logs = []
    for node in POSE_NODES:
        shifted = [
            replace(p, depth_mm=p.depth_mm + float(node @ (turns * p.aside_mm)))
            for p in _with_own_error(places, turns)
        ]
        logs.append(_over_scales(shifted, grid, lens))
    stack = np.array(logs)
    top = stack.max(axis=0)
    return np.asarray(top + np.log(np.einsum("n,nsfg->sfg", POSE_WEIGHTS, np.exp(stack - top))))


def _with_own_error(places: Sequence[ConePlace], turns: FloatArray) -> list[ConePlace]:
    """Return places whose depths keep only the error that they do not share."""
    own = []
    for p in places:
        left = max(p.depth_sd_mm**2 - _shared(p, turns) ** 2, (OWN_SHARE * p.depth_sd_mm) ** 2)
        own.append(replace(p, depth_sd_mm=math.sqrt(left)))
    return own


def _shared(place: ConePlace, turns: FloatArray) -> float:
    """Return the standard deviation of a depth by errors of the pose."""
    return math.hypot(turns[0] * place.aside_mm[0], turns[1] * place.aside_mm[1])


def _over_scales(places: Sequence[ConePlace], grid: FloatArray, lens: Lens | None) -> FloatArray:
    """Return the log-likelihood [scale, floor, grid]."""
    scale, _ = _scales(lens)
    # Single precision halves the time and is far finer than the model.
    squares = np.square(_discs(places, grid, lens)).astype(np.float32)
    seen = np.log([max(p.blur_px.value, 0.0) + SOFT_PX for p in places]).astype(np.float32)
    sharp = np.array([_log_sd(p.blur_px) for p in places], np.float32)
    soft = np.hypot(sharp, [SKIN_LOG_SD * p.skin for p in places]).astype(np.float32)
    errors = (seen[:, None, None], sharp[:, None, None], soft[:, None, None])
    logs = np.empty((scale.size, FLOOR_PX.size, grid.size))
    for i, factor in enumerate(scale):
        for j, floor in enumerate(FLOOR_PX):
            logs[i, j] = _log_likelihood(
                errors, _with_floor(squares * np.float32(factor**2), floor)
            )
    return logs


def _offset_grid(lens: Lens | None) -> tuple[FloatArray, FloatArray]:
    """Return offsets and the width of each cell, fine near zero, between lens and far behind."""
    u = np.arange(-GRID_HALF, GRID_HALF + 1) / GRID_HALF
    grid = GRID_FINE_MM * np.sinh(u * math.asinh(OFFSET_SPAN_MM / GRID_FINE_MM))
    width = np.gradient(grid)
    if lens is None:
        return grid, width
    distance = lens.distance_mm.value
    front = -min(0.7 * distance, distance - 1.5 * lens.focal_length_mm)
    keep = grid > front
    return grid[keep], width[keep]


def _scales(lens: Lens | None) -> tuple[FloatArray, FloatArray]:
    """Return factors on the discs and their prior weights."""
    if lens is None:
        return FREE_STEEPNESS_PER_MM, np.full(FREE_STEEPNESS_PER_MM.size, 1.0)
    return np.exp(lens.scale_log_sd * SCALE_NODES), SCALE_WEIGHTS


def _disc_at(depth_mm: FloatArray, grid: FloatArray, lens: Lens | None) -> FloatArray:
    """Return discs [..., grid] of places at given depths; unit steepness without a lens."""
    depth = np.asarray(depth_mm)[..., None]
    if lens is None:
        return np.abs(depth - grid)
    distance = lens.distance_mm.value
    subject = np.maximum(distance + depth, 0.2 * distance)
    return lens.circle_px(distance + grid, subject)


def _discs(places: Sequence[ConePlace], grid: FloatArray, lens: Lens | None) -> FloatArray:
    """Return discs [place, depth node, grid]."""
    middle = np.array([p.depth_mm for p in places])[:, None]
    spread = np.array([p.depth_sd_mm for p in places])[:, None]
    return _disc_at(middle + spread * DEPTH_NODES, grid, lens)


def _with_floor(squared_px: NDArray[np.float32], floor_px: float) -> NDArray[np.float32]:
    """Return discs with a floor's square added, or taken off where the floor is below zero."""
    square = np.float32(math.copysign(floor_px**2, floor_px))
    return np.asarray(np.sqrt(np.maximum(squared_px + square, np.float32(0))))


def _log_likelihood(
    errors: tuple[NDArray[np.float32], ...], predicted_px: NDArray[np.float32]
) -> FloatArray:
    """Return the log-likelihood [grid] of all places under predicted discs."""
    seen, sharp, soft = errors
    off = seen - np.log(predicted_px + np.float32(SOFT_PX))
    t = off / np.where(off > 0, soft, sharp)
    u = 1.0 + t * t / np.float32(STUDENT_NU)
    likelihood = 1.0 / (u * u * np.sqrt(u))  # u ** -((nu + 1) / 2), nu = 4, without a slow power
    over_depth = np.einsum("pdg,d->pg", likelihood, DEPTH_WEIGHTS.astype(np.float32))
    return np.asarray(np.log(over_depth.astype(np.float64)).sum(axis=0))


def _log_sd(blur_px: Measured) -> float:
    low, high = max(blur_px.low, 0.0) + SOFT_PX, max(blur_px.high, 0.0) + SOFT_PX
    return max(math.log(high / low) / (2 * Z90), LOG_SD_FLOOR)


def _quantiles(values: FloatArray, mass: FloatArray, width: FloatArray | None) -> Measured:
    """Return median and 90 % interval of weighted values, each cell's mass centred on it."""
    order = np.argsort(values, kind="stable")
    ranked, weight = values[order], mass[order]
    middle = np.cumsum(weight) - 0.5 * weight
    low, value, high = (float(q) for q in np.interp([0.05, 0.5, 0.95], middle, ranked))
    if width is not None:  # the grid itself is no finer than its cells
        half = 0.5 * float(np.interp(value, ranked, width[order]))
        low, high = min(low, value - half), max(high, value + half)
    if np.all(values >= 0):
        low = max(low, 0.0)
    return Measured(value=value, low=low, high=high)
