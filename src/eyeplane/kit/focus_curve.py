"""Blur against depth, and where it is least: the sharpest plane of one frame with its interval.

Depths are mm from the lens along its axis.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Measured

Array = NDArray[np.float64]

PLACES = 481  # of the grid over where the plane may lie
BEYOND_SHARE = 0.5  # of the depth seen, that the grid reaches past either end
SHARE_ERROR = 0.05  # of a blur: paper, ink and the shape of the blur; sd, from rendered frames
FLOOR_PX = 0.04  # the same for small blurs
FREEDOM = 4.0  # of Student's t: a stain or a shadow on an edge counts little
ROUNDS = 3  # of reweighting
ALIKE = 6.0  # edges that err alike, from one wing and direction: log-likelihoods are divided by it
RISE = 1.35  # of the blur over the strip against the sharpest, at least, for the plane to be told
LEAST_EDGES = 24
END_SHARE = 0.05  # of the probability beyond the depth seen from which the plane is not told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlurredEdges:
    """Edges with their depth and blur.

    Attributes
    ----------
    depth_mm : ndarray
        From the lens.
    spread_px : ndarray
        Standard deviation of the blur.
    error_px : ndarray
        Its standard error.
    upright : ndarray of bool
        Whether the edge runs rather up and down than across: blurred then by motion across.
    """

    depth_mm: Array
    spread_px: Array
    error_px: Array
    upright: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BlurCurve:
    """The curve through blur against depth.

    Attributes
    ----------
    plane_mm : Measured or None
        Where the blur is least, from the lens; None: not within the depth seen, or not told.
    beyond : int
        Where the plane lies if it is past the depth seen: −1 nearer, +1 farther, 0 if neither.
    rise : float
        Largest blur on the curve over the least one.
    least_px : tuple of float
        Blur in the sharpest plane, of edges that run up and down and of those that run across.
    slope_px_mm : float
        Blur of a point far off it: px for a difference of 1 / mm of inverse depth.
    places_mm, log_likelihood : ndarray
        Where the plane may lie, and how well each place explains the blurs.
    """

    plane_mm: Measured | None
    beyond: int
    rise: float
    least_px: tuple[float, float]
    slope_px_mm: float
    places_mm: Array
    log_likelihood: Array

    def spread_px(self, depth_mm: Array, *, upright: bool) -> Array:
        """Return the blur on the curve.

        Parameters
        ----------
        depth_mm : ndarray
            From the lens.
        upright : bool
            Of edges that run up and down, or across.

        Returns
        -------
        ndarray
            Standard deviations in px.
        """
        at = self.places_mm[int(np.argmax(self.log_likelihood))]
        least = self.least_px[0 if upright else 1]
        return np.asarray(np.hypot(least, self.slope_px_mm * (1 / depth_mm - 1 / at)))


def fit_curve(edges: BlurredEdges) -> BlurCurve | None:
    """Return where the blur of edges is least.

    Parameters
    ----------
    edges : BlurredEdges
        In front of and behind the plane, or not.

    Returns
    -------
    BlurCurve or None
        None with fewer than 24 edges.

    Notes
    -----
    b² = b₀² + k² (1/z − 1/z₀)², the thin lens with what does not depend on depth added in squares:
    b₀ by itself for either direction of edges, so that motion or astigmatism is not taken for
    focus. Given z₀ the squares are linear in b₀² and k²; z₀ runs over a grid. Errors are Student's
    t with their size estimated; the likelihood is tempered, since edges of one wing err alike.
    """
    if len(edges.depth_mm) < LEAST_EDGES:
        return None
    near, far = (float(np.quantile(edges.depth_mm, q)) for q in (0.01, 0.99))
    past = BEYOND_SHARE * (far - near)
    places = np.linspace(max(near - past, 0.2 * near), far + past, PLACES)
    logs, found = _profile(edges, places)
    if not np.isfinite(logs).any():
        return None
    best = int(np.argmax(logs))
    curve = found[best]
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    cumulated = np.cumsum(weights)
    before = float(weights[places < near].sum())
    after = float(weights[places > far].sum())
    least = (math.sqrt(curve[0]), math.sqrt(curve[1]))
    defocus = math.sqrt(curve[2]) * np.abs(1 / np.array([near, far]) - 1 / places[best]).max()
    rise = float(np.hypot(max(least), defocus) / max(*least, 1e-3))
    told = rise >= RISE and before <= END_SHARE and after <= END_SHARE
    beyond = 0
    if rise >= RISE and not told:
        beyond = -1 if before > after else 1
    return BlurCurve(
        plane_mm=_measured(places, cumulated) if told else None,
        beyond=beyond,
        rise=rise,
        least_px=least,
        slope_px_mm=math.sqrt(curve[2]),
        places_mm=places,
        log_likelihood=logs,
    )


def _measured(places: Array, cumulated: Array) -> Measured:
    low, middle, high = (float(np.interp(q, cumulated, places)) for q in (0.05, 0.5, 0.95))
    step = float(places[1] - places[0])
    return Measured(
        value=middle, low=min(low, middle - step / 2), high=max(high, middle + step / 2)
    )


def _profile(edges: BlurredEdges, places: Array) -> tuple[Array, Array]:
    """Return log-likelihoods over places of the plane, and b₀² of both directions and k² there."""
    found = np.full((len(places), 3), np.nan)
    sizes = np.full((len(places), len(edges.depth_mm)), np.nan)
    own = np.hypot(edges.error_px, FLOOR_PX)
    for k, place in enumerate(places):
        found[k], sizes[k] = _at(edges, float(place), own)
    ratio = np.full_like(sizes, np.nan)
    error = np.hypot(SHARE_ERROR * sizes, own)
    ratio = (edges.spread_px - sizes) / error
    typical = 1.4826 * np.median(np.abs(ratio), axis=1)
    scale = max(1.0, float(np.nanmin(typical)))
    logs = -((FREEDOM + 1) / 2 * np.log1p((ratio / scale) ** 2 / FREEDOM) + np.log(error)).sum(
        axis=1
    )
    return logs / ALIKE, found


def _at(edges: BlurredEdges, place_mm: float, own: Array) -> tuple[Array, Array]:
    """Return b₀² of both directions and k² for one place of the plane, and the blurs so expected.

    The unit of depth is the metre in here.
    """
    defocus = (1000 / edges.depth_mm - 1000 / place_mm) ** 2
    design = np.column_stack([edges.upright, ~edges.upright, defocus]).astype(float)
    square = edges.spread_px**2
    size = edges.spread_px
    robust = np.ones_like(size)
    solved = np.zeros(3)
    for _ in range(ROUNDS):
        error = 2 * size * np.hypot(SHARE_ERROR * size, own)
        weight = robust / np.maximum(error, 1e-9) ** 2
        solved = _solved(design, square, weight)
        size = np.sqrt(np.maximum(design @ solved, 1e-4))
        off = (edges.spread_px - size) / np.hypot(SHARE_ERROR * size, own)
        scale = max(1.0, 1.4826 * float(np.median(np.abs(off))))
        robust = (FREEDOM + 1) / (FREEDOM + (off / scale) ** 2)
    solved = solved * np.array([1.0, 1.0, 1e6])
    return solved, size


def _solved(design: Array, square: Array, weight: Array) -> Array:
    """Return the least squares with nothing below nought: what would be is left out."""
    kept = np.ones(3, dtype=bool)
    solved = np.zeros(3)
    for _ in range(3):
        own = design[:, kept]
        normal = own.T @ (weight[:, None] * own) + 1e-12 * np.eye(int(kept.sum()))
        solved[:] = 0.0
        solved[kept] = np.linalg.solve(normal, own.T @ (weight * square))
        if (solved >= 0).all():
            return solved
        kept &= solved >= 0
        if not kept.any():
            break
    return np.maximum(solved, 0.0)
