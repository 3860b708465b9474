"""Models of blur on the polar grid: squared transfer, averaged over each cell."""

import functools
import math
from collections.abc import Sequence

import numpy as np
from numba import njit
from numpy.typing import NDArray

from eyeplane.measure.spectrum import ANGLES, Grid, grid_for
from eyeplane.optics import disc_mtf

LARGEST_DISC_PX = 72.0
LARGEST_LINE_PX = 40.0
Line = tuple[float, float, float]  # length in px, direction in radians, disc in px
LEAK = 1e-5  # of power at the zeros of an ideal shape: real pupils and paths fill them in
DISCS_PX = np.concatenate(
    [np.array([0.0, 0.6, 1.0, 1.4, 1.8, 2.2]), np.geomspace(2.6, LARGEST_DISC_PX, 36)]
)
LINES_PX = np.geomspace(2.5, LARGEST_LINE_PX, 21)  # the likelihood's peak is about this narrow

COARSE_LINES = [  # up and down in length from one direction to the next: neighbours are alike
    (float(length), (k + 0.5) * math.pi / ANGLES, 0.0)
    for k in range(ANGLES)
    for length in (LINES_PX if k % 2 == 0 else LINES_PX[::-1])
]


@functools.lru_cache(maxsize=64)
def disc_bank(side_px: int, step: int) -> NDArray[np.float64]:
    """Return the models of all discs for a window.

    Parameters
    ----------
    side_px : int
        Side of the window.
    step : int
        Frame pixels per window pixel.

    Returns
    -------
    ndarray
        [discs, angles, rings], squared transfer.
    """
    grid = grid_for(side_px)
    radius = np.hypot(grid.sample_x, grid.sample_y)
    rows = [
        (disc_mtf(radius, disc_px=d / step) ** 2 * grid.sample_weight).sum(axis=1) for d in DISCS_PX
    ]
    return _shaped(rows, grid)


@functools.lru_cache(maxsize=64)
def line_bank(side_px: int, step: int) -> NDArray[np.float64]:
    """Return the models of all coarse lines for a window.

    Parameters
    ----------
    side_px : int
        Side of the window.
    step : int
        Frame pixels per window pixel.

    Returns
    -------
    ndarray
        [lines, angles, rings], squared transfer, in the order of `COARSE_LINES`.
    """
    return line_models(side_px, step, COARSE_LINES)


def line_models(side_px: int, step: int, lines: Sequence[Line]) -> NDArray[np.float64]:
    """Return models of given lines, each blurred by a disc besides.

    Parameters
    ----------
    side_px : int
        Side of the window.
    step : int
        Frame pixels per window pixel.
    lines : sequence of Line
        Length in frame pixels, direction in radians, disc in frame pixels.

    Returns
    -------
    ndarray
        [lines, angles, rings], squared transfer.
    """
    grid = grid_for(side_px)
    radius = _radius(side_px)
    beside = {d: disc_mtf(radius, disc_px=d / step) ** 2 for d in {line[2] for line in lines} if d}
    moved: dict[tuple[float, float], NDArray[np.float64]] = {}  # one motion beside many discs
    rows = []
    for length, angle, disc in lines:
        if (length, angle) not in moved:
            along = (math.cos(angle) * length / step, math.sin(angle) * length / step)
            moved[length, angle] = line_power(grid.sample_x, grid.sample_y, *along)
        power = moved[length, angle]
        if disc > 0:
            power = power * beside[disc]
        rows.append((power * grid.sample_weight).sum(axis=1))
    return _shaped(rows, grid)


@functools.lru_cache(maxsize=16)
def _radius(side_px: int) -> NDArray[np.float64]:
    grid = grid_for(side_px)
    return np.hypot(grid.sample_x, grid.sample_y)


@njit(cache=True, fastmath=True, nogil=True)
def line_power(x, y, along_x, along_y):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN201
    """Return the squared transfer of a line, as `eyeplane.optics.line_mtf` squared but faster.

    Parameters
    ----------
    x, y : ndarray
        Frequencies, [cells, samples].
    along_x, along_y : float
        The line as a vector, in pixels.

    Returns
    -------
    ndarray
        [cells, samples].
    """
    power = np.empty(x.shape)
    for i in range(x.shape[0]):
        for j in range(x.shape[1]):
            phase = math.pi * (x[i, j] * along_x + y[i, j] * along_y)
            if abs(phase) < 1e-6:
                power[i, j] = 1.0
            else:
                power[i, j] = (math.sin(phase) / phase) ** 2
    return power


def _shaped(rows: list[NDArray[np.float64]], grid: Grid) -> NDArray[np.float64]:
    models = np.reshape(rows, (len(rows), *grid.counts.shape)) + LEAK
    return np.ascontiguousarray(models.transpose(0, 2, 1))
