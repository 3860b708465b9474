"""How blurred the edges of a target are: a blurred step fitted to the pixels beside each edge.

Arrays of edges are [edge, pixel]; points (x, y) px.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.imaging import LumaWindow

Array = NDArray[np.float64]

TRIAL_PX = (0.5, 1.0, 2.0, 4.0, 8.0)  # standard deviations the fit starts from
ROUNDS, MORE_ROUNDS = 10, 4  # of the fit, first and from a fit before; more change nothing
LEAST_PIXELS = 24  # beside an edge
MOST_PIXELS = 1500  # used of one edge: more tell no more than the paper does
LEAST_CONTRAST = 0.15  # (bright − dark) / (bright + dark): less is shadow or a misplaced sheet
MOST_SHARE = 0.25  # of the clear breadth beside an edge that its spread may fill: 4 σ are seen
MOST_CLIPPED = 0.15  # of an edge's pixels
SEEN_SPREADS = 4.0  # of the blur, either side of the edge, that the last fit sees
SEEN_PX = 4.0  # and at least
SMALLEST_PX, LARGEST_PX = 0.15, 60.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeLines:
    """Edges as they should lie in a frame.

    Attributes
    ----------
    from_px, to_px : ndarray
        Their ends, (n, 2).
    dark_px : ndarray
        Points off their middles, on the dark side, (n, 2).
    clear_px : ndarray
        How far from each edge the next one begins to tell, n.
    """

    from_px: Array
    to_px: Array
    dark_px: Array
    clear_px: Array


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeBlurs:
    """What was read at edges; only those that could be read.

    Attributes
    ----------
    index : ndarray of int
        Which of the edges.
    spread_px : ndarray
        Standard deviation of the blur across the edge.
    error_px : ndarray
        Its standard error, from the noise beside the fit.
    shift_px : ndarray
        How far the edge lies from where it should, + to the dark side.
    too_soft : ndarray of int
        Edges whose blur is too wide for the room beside them.
    clipped_share : float
        Share of edges with burnt-out pixels.
    """

    index: NDArray[np.intp]
    spread_px: Array
    error_px: Array
    shift_px: Array
    too_soft: NDArray[np.intp]
    clipped_share: float


def edge_blurs(window: LumaWindow, lines: EdgeLines) -> EdgeBlurs:
    """Return how blurred edges are.

    Parameters
    ----------
    window : LumaWindow
        Of the frame, holding the edges.
    lines : EdgeLines
        Where they should lie, to a few px.

    Returns
    -------
    EdgeBlurs
        Without edges outside the window, burnt out, without contrast, or too blurred for the room
        beside them.

    Notes
    -----
    Level + height × erf((s − s₀ − τ t) / (√2 σ)) over distance s from the edge and place t along
    it, least squares by Levenberg and Marquardt, all edges at once. A disc of diameter D reads as
    σ within 3 % of D / 4 where it is the whole blur.

    References
    ----------
    Marquardt, D. W. (1963), "An algorithm for least-squares estimation of nonlinear parameters",
    J. SIAM 11, 431-441.
    """
    across, along, value, weight, burnt, room = _pixels(window, lines)
    usable = np.flatnonzero((weight.sum(axis=1) >= LEAST_PIXELS) & (burnt <= MOST_CLIPPED))
    inside = burnt[np.isfinite(burnt)]
    clipped = float(np.mean(inside > MOST_CLIPPED)) if len(inside) else 0.0
    if not len(usable):
        none = np.zeros(0)
        return EdgeBlurs(
            index=usable,
            spread_px=none,
            error_px=none,
            shift_px=none,
            too_soft=usable,
            clipped_share=clipped,
        )
    across, along, value, weight = (a[usable] for a in (across, along, value, weight))
    fit = _fitted(across, along, value, weight)
    for _ in range(2):  # the same stretch in units of the blur, wherever there is room for more
        seen_px = np.maximum(SEEN_SPREADS * fit.spread_px, SEEN_PX)
        near = np.abs(across - fit.shift_px[:, None]) <= seen_px[:, None]
        fit = _fitted(across, along, value, weight * near, start=fit)
    contrast = -fit.height / np.maximum(fit.level, 1e-6)
    seen = contrast > LEAST_CONTRAST
    near = np.abs(fit.shift_px) < 0.5 * room[usable]
    soft = seen & (fit.spread_px > MOST_SHARE * room[usable])
    good = seen & near & ~soft & (fit.error_px < 0.3 * fit.spread_px + 0.05)
    return EdgeBlurs(
        index=usable[good],
        spread_px=fit.spread_px[good],
        error_px=fit.error_px[good],
        shift_px=fit.shift_px[good],
        too_soft=usable[soft],
        clipped_share=clipped,
    )


def _pixels(
    window: LumaWindow, lines: EdgeLines
) -> tuple[Array, Array, Array, Array, Array, Array]:
    """Return distance across, place along, light and weight of pixels beside edges.

    And the share of each edge's pixels that are burnt out (NaN outside the window), and the room
    beside it.
    """
    parts, burnt, room = [], [], []
    for k in range(len(lines.from_px)):
        part, share, wide = _beside(window, lines, k)
        parts.append(part)
        burnt.append(share)
        room.append(wide)
    most = max((part.shape[1] for part in parts), default=0)
    block = np.zeros((4, len(parts), max(most, 1)))
    for k, part in enumerate(parts):
        block[:3, k, : part.shape[1]] = part
        block[3, k, : part.shape[1]] = 1.0
    return block[0], block[1], block[2], block[3], np.array(burnt), np.array(room)


def _beside(window: LumaWindow, lines: EdgeLines, k: int) -> tuple[Array, float, float]:
    start, end = lines.from_px[k], lines.to_px[k]
    run = end - start
    long = float(np.hypot(*run))
    unit = run / max(long, 1e-9)
    normal = np.array([-unit[1], unit[0]])
    middle = (start + end) / 2
    if normal @ (lines.dark_px[k] - middle) < 0:
        normal = -normal
    wide = float(lines.clear_px[k])
    reach = abs(unit) * long / 2 + abs(normal) * wide
    corner = np.array([window.x_px, window.y_px])
    low = np.floor(middle - reach - corner).astype(int)
    high = np.ceil(middle + reach - corner).astype(int) + 1
    height, width = window.luma.shape
    if low.min() < 0 or high[0] > width or high[1] > height or long < 2:
        return np.zeros((3, 0)), math.nan, wide
    y, x = np.mgrid[low[1] : high[1], low[0] : high[0]]
    dx, dy = x + 0.5 + corner[0] - middle[0], y + 0.5 + corner[1] - middle[1]
    s, t = dx * normal[0] + dy * normal[1], dx * unit[0] + dy * unit[1]
    inside = (np.abs(s) <= wide) & (np.abs(t) <= long / 2)
    burnt = window.clipped[low[1] : high[1], low[0] : high[0]][inside]
    light = window.luma[low[1] : high[1], low[0] : high[0]][inside]
    step = max(1, math.ceil(len(light) / MOST_PIXELS))
    part = np.stack([s[inside], t[inside], light])[:, ::step]
    return part, float(burnt.mean()) if burnt.size else math.nan, wide


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    parameters: Array
    level: Array
    height: Array
    shift_px: Array
    spread_px: Array
    error_px: Array


def _fitted(s: Array, t: Array, value: Array, weight: Array, *, start: _Fit | None = None) -> _Fit:
    best = _tried(s, value, weight) if start is None else start.parameters.copy()
    cost = _cost(best, s, t, value, weight)
    damping = np.full(len(s), 1e-2)
    for _ in range(ROUNDS if start is None else MORE_ROUNDS):
        jacobian, off = _slopes(best, s, t, value)
        weighted = np.swapaxes(jacobian * weight[..., None], 1, 2)
        squares = weighted @ jacobian
        right = (weighted @ off[..., None])[..., 0]
        diagonal = np.einsum("eii->ei", squares)
        damped = squares + np.einsum("ei,ij->eij", damping[:, None] * diagonal + 1e-12, np.eye(5))
        step = np.linalg.solve(damped, right[..., None])[..., 0]
        step[:, 4] = np.clip(step[:, 4], -0.7, 0.7)
        trial = best + step
        trial[:, 4] = np.clip(trial[:, 4], math.log(SMALLEST_PX), math.log(LARGEST_PX))
        costs = _cost(trial, s, t, value, weight)
        better = costs < cost
        best[better], cost[better] = trial[better], costs[better]
        damping = np.where(better, damping / 5, damping * 5).clip(1e-6, 1e6)
    jacobian, _ = _slopes(best, s, t, value)
    squares = np.swapaxes(jacobian * weight[..., None], 1, 2) @ jacobian
    covariance = np.linalg.pinv(squares, hermitian=True)
    noise = cost / np.maximum(weight.sum(axis=1) - 5, 1)
    spread = np.exp(best[:, 4])
    return _Fit(
        parameters=best,
        level=best[:, 0],
        height=best[:, 1],
        shift_px=best[:, 2],
        spread_px=spread,
        error_px=spread * np.sqrt(np.maximum(covariance[:, 4, 4] * noise, 0.0)),
    )


def _tried(s: Array, value: Array, weight: Array) -> Array:
    """Return level, height, shift, tilt and logarithm of the spread to start from."""
    best = np.zeros((len(s), 5))
    least = np.full(len(s), np.inf)
    count = np.maximum(weight.sum(axis=1), 1)
    mean = (weight * value).sum(axis=1) / count
    for spread in TRIAL_PX:
        shape = special.erf(s / (math.sqrt(2) * spread))
        centred = shape - ((weight * shape).sum(axis=1) / count)[:, None]
        power = np.maximum((weight * centred**2).sum(axis=1), 1e-12)
        height = (weight * centred * value).sum(axis=1) / power
        level = mean - height * (weight * shape).sum(axis=1) / count
        trial = np.column_stack(
            [
                level,
                height,
                np.zeros_like(mean),
                np.zeros_like(mean),
                np.full_like(mean, math.log(spread)),
            ]
        )
        cost = (weight * (value - level[:, None] - height[:, None] * shape) ** 2).sum(axis=1)
        better = cost < least
        best[better], least[better] = trial[better], cost[better]
    return best


def _cost(p: Array, s: Array, t: Array, value: Array, weight: Array) -> Array:
    z = (s - p[:, 2:3] - p[:, 3:4] * t) / (math.sqrt(2) * np.exp(p[:, 4:5]))
    off = value - p[:, 0:1] - p[:, 1:2] * special.erf(z)
    return np.asarray((weight * off**2).sum(axis=1))


def _slopes(p: Array, s: Array, t: Array, value: Array) -> tuple[Array, Array]:
    wide = math.sqrt(2) * np.exp(p[:, 4:5])
    z = (s - p[:, 2:3] - p[:, 3:4] * t) / wide
    shape = special.erf(z)
    slope = p[:, 1:2] * 2 / math.sqrt(math.pi) * np.exp(-(z**2))
    jacobian = np.stack(
        [np.ones_like(z), shape, -slope / wide, -slope * t / wide, -slope * z], axis=-1
    )
    return jacobian, value - p[:, 0:1] - p[:, 1:2] * shape
