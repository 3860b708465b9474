"""Blur against depth, and where it is least: the sharpest plane of one frame with its interval.

Depths are mm from the lens along its axis.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Measured

Array = NDArray[np.float64]

PLACES = 161  # of the grid over where the plane may lie, and of a finer one near the best
LEAST_LOG = 8.0  # below the best log-likelihood: what lies lower the finer grid leaves out
BEYOND_SHARE = 0.5  # of the depth seen, that the grid reaches past either end
SHARE_ERROR = 0.05  # of a blur: paper, ink and the shape of the blur; sd, from rendered frames
FLOOR_PX = 0.04  # the same for small blurs
LEAST_SCALE = 0.4  # of the errors as estimated against these
FREEDOM = 4.0  # of Student's t: a stain or a shadow on an edge counts little
ROUNDS = 4  # of reweighting
ALIKE = 6.0  # edges that err alike, from one wing and direction: log-likelihoods are divided by it
RISE = 1.35  # of the blur over the strip against the sharpest, at least, for the plane to be told
LEAST_EDGES = 24
# An evenly lit disc of diameter D over a Gaussian of σ b₀ is read by a blurred step fitted to it as
# √(b₀² + c² D²): c against D / b₀, computed with the step seen to 4 σ either side; 1/4 is the true
# standard deviation of a disc.
DISC_RATIO = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 14.0, 20.0, 30.0, 60.0)
DISC_READ = (
    *(0.25, 0.2513, 0.2548, 0.2593, 0.2636, 0.2673, 0.2702),
    *(0.2742, 0.2765, 0.2789, 0.2804, 0.2812, 0.2817),
)
EDGE_PER_DISC = DISC_READ[-1]  # where the disc is the whole blur
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
        least = max(self.least_px[0 if upright else 1], 1e-3)
        defocus = self.slope_px_mm * np.abs(1 / depth_mm - 1 / at)
        return np.asarray(np.hypot(least, defocus * _shape(defocus, least)))


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
    b² = b₀² + k² (1/z − 1/z₀)², the thin lens with what does not depend on depth added in squares
    (k a little less where the disc does not stand out of b₀: `DISC_READ`);
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
    before, after = _outside(places, logs, near, far)
    if before + after < END_SHARE:
        likely = places[logs > logs.max() - LEAST_LOG]
        step = places[1] - places[0]
        places = np.linspace(likely[0] - 2 * step, likely[-1] + 2 * step, PLACES)
        logs, found = _profile(edges, places)
    best = int(np.argmax(logs))
    curve = found[best]
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    cumulated = np.cumsum(weights) - weights / 2
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


def _outside(places: Array, logs: Array, near_mm: float, far_mm: float) -> tuple[float, float]:
    """Return the probabilities that the plane lies nearer or farther than the depth seen."""
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    return float(weights[places < near_mm].sum()), float(weights[places > far_mm].sum())


def _measured(places: Array, cumulated: Array) -> Measured:
    low, middle, high = (float(np.interp(q, cumulated, places)) for q in (0.05, 0.5, 0.95))
    step = float(places[1] - places[0])
    return Measured(
        value=middle, low=min(low, middle - step / 2), high=max(high, middle + step / 2)
    )


def _profile(edges: BlurredEdges, places: Array) -> tuple[Array, Array]:
    """Return log-likelihoods over places of the plane, and b₀² of both directions and k² there."""
    own = np.hypot(edges.error_px, FLOOR_PX)
    found, sizes = _at(edges, places, own)
    # One error an edge for all places: if it followed each place's own curve, places that call for
    # less blur would look better for that alone.
    error = np.hypot(SHARE_ERROR * edges.spread_px, own)
    logs = np.full(len(places), -np.inf)
    for _ in range(2):
        ratio = (edges.spread_px - sizes) / error
        typical = 1.4826 * np.median(np.abs(ratio), axis=1)
        scale = max(LEAST_SCALE, float(typical.min()))
        logs = -((FREEDOM + 1) / 2 * np.log1p((ratio / scale) ** 2 / FREEDOM)).sum(axis=1)
        error = np.hypot(SHARE_ERROR * sizes[int(np.argmax(logs))], own)
    return logs / ALIKE, found


def _shape(defocus: Array, least: Array | float) -> Array:
    """Return how a blur that would be read so large by itself is read over a Gaussian."""
    ratio = defocus / EDGE_PER_DISC / least
    return np.asarray(np.interp(ratio, DISC_RATIO, DISC_READ) / EDGE_PER_DISC)


def _at(edges: BlurredEdges, places_mm: Array, own: Array) -> tuple[Array, Array]:
    """Return b₀² of both directions and k² for each place, and the blurs so expected.

    Arrays are [place, edge]; the unit of depth is the metre in here.
    """
    defocus = (1000 / edges.depth_mm - 1000 / places_mm[:, None]) ** 2
    first = np.broadcast_to(edges.upright.astype(float), defocus.shape)
    design = np.stack([first, 1 - first, defocus], axis=-1)
    square = edges.spread_px**2
    size = np.broadcast_to(edges.spread_px, defocus.shape)
    robust = np.ones_like(defocus)
    solved = np.zeros((len(places_mm), 3))
    for _ in range(ROUNDS):
        error = 2 * size * np.hypot(SHARE_ERROR * size, own)
        weight = robust / np.maximum(error, 1e-9) ** 2
        solved = _solved(design, square, weight)
        least = np.sqrt(np.maximum(np.where(edges.upright, solved[:, :1], solved[:, 1:2]), 1e-3))
        design[..., 2] = defocus * _shape(np.sqrt(solved[:, 2:] * defocus), least) ** 2
        size = np.sqrt(np.maximum(np.einsum("pei,pi->pe", design, solved), 1e-4))
        off = (edges.spread_px - size) / np.hypot(SHARE_ERROR * size, own)
        scale = np.maximum(1.0, 1.4826 * np.median(np.abs(off), axis=1, keepdims=True))
        robust = (FREEDOM + 1) / (FREEDOM + (off / scale) ** 2)
    return solved * np.array([1.0, 1.0, 1e6]), size


def _solved(design: Array, square: Array, weight: Array) -> Array:
    """Return the least squares with nothing below nought: what would be is left out."""
    weighted = design * weight[..., None]
    normal = np.einsum("pei,pej->pij", weighted, design) + 1e-12 * np.eye(3)
    right = np.einsum("pei,e->pi", weighted, square)
    kept = np.ones_like(right, dtype=bool)
    solved = right
    for _ in range(3):
        both = kept[:, :, None] & kept[:, None, :]
        # Those left out get a unit row of their own, which solves to nought.
        matrix = np.where(both, normal, np.eye(3))
        solved = np.linalg.solve(matrix, np.where(kept, right, 0.0)[..., None])[..., 0]
        kept &= solved >= 0
    return np.asarray(np.maximum(solved, 0.0))
