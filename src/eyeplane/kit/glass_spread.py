"""How far glass spreads light: a glare spread function fitted to two frames of one view.

The veiled frame is the clean one with some of its light moved: a S + Σ h_k (S * K_k) + u mean(S),
with kernels K_k of growing width. What the exposures were cancels: the parts are shares of their
sum. Arrays are [y, x]; radii are shares of the long edge.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.records import Measured

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

WIDTHS = (0.005, 0.01, 0.02, 0.04, 0.08, 0.16)  # of the kernels (1 + (r/w)²)^-1.5
FOCUS = 0.003  # standard deviation of the kernel that takes up focus and registration, either way
HALO_FROM, VEIL_FROM = 0.01, 0.1  # light landing farther off is halo, and veil
FLOOR = 0.02  # of the mean light: darker places are held against this
ROUNDS = 5  # of the robust fit
CUT = 6.0  # times the scatter from which a place counts for nothing: it shows something else
BLOCKS = (8, 12)  # rows and columns of places drawn again for the interval
DRAWS = 60
MODEL_SD = 0.06  # of a share: real spreads lie between the kernels; see docs
LEAST_SD = 0.0008  # of the frame's light: rounding, JPEG and the camera's black level
RADII = tuple(float(r) for r in np.geomspace(0.01, 0.4, 25))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spreading:
    """What was fitted, and its spread.

    Attributes
    ----------
    veil, halo : ndarray
        Shares [draw]; the first is the fit, the others are drawn again.
    width : ndarray
        Radius of half the halo's light [draw], NaN where there is no halo.
    profile : ndarray
        Spread of the light outside its place [draw, radius] at `RADII`, per hundredth of the long
        edge squared.
    gain : float
        Brightness of the second frame over the first.
    scatter : float
        Robust scatter of what is left over, relative.
    changed_share : float
        Share of places that show something else.
    """

    veil: Array
    halo: Array
    width: Array
    profile: Array
    gain: float
    scatter: float
    changed_share: float


def beyond(radius_share: float | Array) -> Array:
    """Return the share of each kernel's light that lands farther off.

    Parameters
    ----------
    radius_share : float or ndarray
        Distance as a share of the long edge.

    Returns
    -------
    ndarray
        [..., kernel]; for (1 + (r/w)²)^-1.5 it is w / √(w² + r²).

    Examples
    --------
    >>> beyond(0.0).tolist()
    [1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
    """
    widths = np.array(WIDTHS)
    return np.asarray(widths / np.hypot(widths, np.asarray(radius_share)[..., None]))


def fit_spread(
    clean: Array, veiled: Array, known: Mask, rng: np.random.Generator, *, weights: Array | None
) -> Spreading:
    """Return how the light of one frame was spread in the other.

    Parameters
    ----------
    clean, veiled : ndarray
        Light [y, x] of both, laid over each other; of any exposure.
    known : ndarray
        Bool [y, x], where both are seen and not clipped.
    rng : Generator
        For the interval.
    weights : ndarray or None
        How much what a file shows changes with the light, [y, x]; None: as much everywhere.

    Returns
    -------
    Spreading
        Shares of the veiled frame's light.

    References
    ----------
    ISO 9358:1994 (glare spread function, veiling glare index). Bitlis, B., Jansson, P. A. and
    Allebach, J. P. (2007), Proc. SPIE 6498 (a power of a Lorentzian as the stray light of cameras,
    from memory). Talvala, E. et al. (2007), "Veiling glare in high dynamic range imaging", ACM
    Trans. Graph. 26 (3), 37.
    """
    spread = _spread_images(clean)
    mean = float(clean.mean())  # what is near white spreads too
    blurred = spread[-1] - clean
    columns = [clean, *spread[:-1], np.full_like(clean, mean), blurred, -blurred]
    table = np.stack([one[known] for one in columns], axis=1)
    values = veiled[known]
    scale = 1 / (FLOOR * float(values.mean()) + values)
    if weights is not None:
        scale = scale * weights[known]
    robust, scatter = _robust(table, values, scale)
    sums = _block_sums(table, values, scale**2 * robust, _blocks(clean.shape)[known])
    fits = [_solved(sums[0].sum(axis=0), sums[1].sum(axis=0))]
    for _ in range(DRAWS):
        drawn = rng.integers(0, len(sums[0]), len(sums[0]))
        fits.append(_solved(sums[0][drawn].sum(axis=0), sums[1][drawn].sum(axis=0)))
    parts = np.array(fits)
    count = len(WIDTHS)
    total = np.maximum(parts[:, : count + 2].sum(axis=1), 1e-12)
    kernels = parts[:, 1 : count + 1] / total[:, None]
    even = parts[:, count + 1] / total
    between = beyond(HALO_FROM) - beyond(VEIL_FROM)
    return Spreading(
        veil=kernels @ beyond(VEIL_FROM) + even,
        halo=kernels @ between,
        width=np.array([half_radius(one) for one in kernels]),
        profile=kernels @ _density().T,
        gain=float(total[0]),
        scatter=scatter,
        changed_share=float(np.mean(robust == 0)),
    )


def half_radius(kernels: Array) -> float:
    """Return the radius that holds half of the halo's light.

    Parameters
    ----------
    kernels : ndarray
        Share of each kernel, [kernel].

    Returns
    -------
    float
        Share of the long edge; NaN without a halo.
    """
    radii = np.geomspace(HALO_FROM, VEIL_FROM, 60)
    left = beyond(radii) @ kernels
    inside = left[0] - left
    if inside[-1] <= 1e-9:
        return float("nan")
    return float(np.interp(0.5, inside / inside[-1], radii))


def with_spread(
    draws: Array, *, relative_sd: float = MODEL_SD, least_sd: float = LEAST_SD
) -> Measured:
    """Return a share with its interval.

    Parameters
    ----------
    draws : ndarray
        The fit, then the same drawn again.
    relative_sd : float
        What no drawing again shows, relative.
    least_sd : float
        The same, absolute.

    Returns
    -------
    Measured
        At least 0.
    """
    value = float(draws[0])
    spread = float(np.std(draws[1:])) if len(draws) > 1 else 0.0
    away = 1.645 * float(np.sqrt(spread**2 + (relative_sd * value) ** 2 + least_sd**2))
    low = max(value - away, 0.0)
    return Measured(value=max(value, low), low=low, high=max(value, 0.0) + away)


def kernel_images(light: Array) -> list[Array]:
    """Return a frame spread by each kernel.

    Parameters
    ----------
    light : ndarray
        [y, x].

    Returns
    -------
    list of ndarray
        One for each of `WIDTHS`; beyond its edges the frame is thought to go on mirrored.
    """
    return _spread_images(light)[:-1]


def _spread_images(light: Array) -> list[Array]:
    from scipy import fft  # noqa: PLC0415  slow to load for --help

    rows, columns = light.shape
    mirrored = np.concatenate([light, light[::-1]])
    mirrored = np.concatenate([mirrored, mirrored[:, ::-1]], axis=1)
    whole = fft.rfft2(mirrored)
    down = np.minimum(np.arange(2 * rows), 2 * rows - np.arange(2 * rows))[:, None]
    across = np.minimum(np.arange(2 * columns), 2 * columns - np.arange(2 * columns))[None]
    radius = np.hypot(down, across) / max(rows, columns)
    kernels = [(1 + (radius / width) ** 2) ** -1.5 for width in WIDTHS]
    kernels.append(np.exp(-(radius**2) / (2 * FOCUS**2)))
    return [
        np.asarray(fft.irfft2(whole * fft.rfft2(k / k.sum()), mirrored.shape)[:rows, :columns])
        for k in kernels
    ]


def _density() -> Array:
    """Return the light of each kernel at `RADII`, per (long edge / 100)², [radius, kernel]."""
    widths, radii = np.array(WIDTHS), np.array(RADII)[:, None]
    return np.asarray((1 + (radii / widths) ** 2) ** -1.5 / (2 * np.pi * widths**2) * 1e-4)


def _robust(table: Array, values: Array, scale: Array) -> tuple[Array, float]:
    """Return weights that leave out what the model cannot make, and the scatter of the rest."""
    robust, scatter = np.ones_like(values), 0.0
    for _ in range(ROUNDS):
        scaled = table * (scale * np.sqrt(robust))[:, None]
        found = _solved(scaled.T @ scaled, scaled.T @ (values * scale * np.sqrt(robust)))
        left = (values - table @ found) * scale
        scatter = 1.4826 * float(np.median(np.abs(left))) + 1e-9
        robust = np.clip(1 - (left / (CUT * scatter)) ** 2, 0.0, None) ** 2
    return robust, scatter


def _solved(matrix: Array, right: Array) -> Array:
    """Return the least squares with no part below zero, from normal equations."""
    from scipy.optimize import nnls  # noqa: PLC0415  slow to load for --help

    scale = 1 / np.sqrt(np.maximum(np.diag(matrix), 1e-30))
    matrix = matrix * scale[:, None] * scale + 1e-10 * np.eye(len(matrix))
    lower = np.linalg.cholesky(matrix)
    found, _ = nnls(lower.T, np.linalg.solve(lower, right * scale))
    return np.asarray(found * scale)


def _blocks(shape: tuple[int, ...]) -> NDArray[np.int_]:
    rows, columns = BLOCKS
    down, across = np.mgrid[0 : shape[0], 0 : shape[1]]
    return np.asarray((down * rows // shape[0]) * columns + across * columns // shape[1])


def _block_sums(
    table: Array, values: Array, weights: Array, blocks: NDArray[np.int_]
) -> tuple[Array, Array]:
    matrices, rights = [], []
    for block in np.unique(blocks):
        here = blocks == block
        scaled = table[here] * weights[here, None]
        matrices.append(scaled.T @ table[here])
        rights.append(scaled.T @ values[here])
    return np.array(matrices), np.array(rights)
