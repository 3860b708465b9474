"""The fit: likelihood of each blur model for one spectrum, all else fitted freely but gently.

The expected power in a cell at frequency f and direction θ is

    exp(a(θ) − α ln f − 4 π² s f²) |H|² + N + T,

with a(θ) a short Fourier series, α the fall of natural texture, s the squared Gaussian spread of
pixel, demosaicking and glass, N white noise and T the floor the file's quantisation leaves. The
periodogram's ordinates are exponential about it (Whittle, 1953). Everything but H is found by
Fisher scoring under Gaussian priors; their widths are what keeps α, s and N from imitating blur.
"""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import NDArray

from eyeplane.measure.spectrum import ANGLES, Spectrum, grid_for

ORDERS = 4  # of the Fourier series of a(θ): lobes down to 22 degrees
SHAPE = 2 * ORDERS + 1
LOBE_SPREADS = (0.8, 0.5, 0.35, 0.25)  # of each order's two terms
FALL, FALL_SPREAD = 2.3, 0.5  # α of natural pictures: 2.0 to 2.4 by source, single windows 1.4 to
# 3.2 (Field 1987; Burton and Moorhead 1987; Ruderman 1994, from memory)
SPREAD2_PX, SPREAD2_SPREAD_PX = 0.25, 0.10  # s: pixel box 1/12, demosaicking and glass 0.1 to 0.3
MISMATCH2 = 0.04  # variance of ln(power) by which real texture departs from the model, per cell
FIRST_TURNS, TURNS = 10, 3  # scoring steps of the first model and of each later one
NOISE_SHARE = 0.7  # of the expected noise that smoothing in the camera leaves, on the whole


def fit_models(spectrum: Spectrum, models: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how well each model explains a spectrum.

    Parameters
    ----------
    spectrum : Spectrum
        One window.
    models : ndarray
        [models, angles, rings], squared transfer for the window's side and step; neighbours
        alike, since each fit starts from the one before.

    Returns
    -------
    ndarray
        Log-likelihood (natural) with all other parameters at their best, up to a constant.
    """
    frame = _frame(spectrum.side_px)
    start = _start(spectrum)
    return np.asarray(
        _profile(
            np.ascontiguousarray((spectrum.power + spectrum.floor).T),
            frame.weight,
            np.ascontiguousarray(spectrum.floor.T),
            (frame.radial, frame.residue),
            models,
            angle_basis(),
            (start, _priors(spectrum)),
        )
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Frame:
    weight: NDArray[np.float64]  # [angles, rings], independent numbers, less for the mismatch
    radial: NDArray[np.float64]  # [2, rings], what α and s multiply
    residue: NDArray[np.float64]  # [angles, rings], natural fall of a cell against its ring's


@functools.cache
def _frame(side_px: int) -> _Frame:
    grid = grid_for(side_px)
    counts = grid.counts * grid.weight
    weight = np.where(counts > 0, 1 / (1 / np.maximum(counts, 1e-9) + MISMATCH2), 0.0)
    logs = np.log(np.where(grid.counts > 0, grid.frequency, 1.0))
    ring = (logs * grid.counts).sum(axis=1) / np.maximum(grid.counts.sum(axis=1), 1)
    residue = np.where(grid.counts > 0, np.exp(-FALL * (logs - ring[:, None])), 1.0)
    return _Frame(
        weight=np.ascontiguousarray(weight.T),
        radial=np.stack([-ring, -4 * math.pi**2 * np.exp(2 * ring)]),
        residue=np.ascontiguousarray(residue.T),
    )


@functools.cache
def angle_basis() -> NDArray[np.float64]:
    """Return the Fourier series of period 180° at the middles of the sectors.

    Returns
    -------
    ndarray
        [ANGLES, 2 ORDERS + 1], constant first.
    """
    theta = (np.arange(ANGLES) + 0.5) * math.pi / ANGLES
    rows = [np.ones(ANGLES)]
    for order in range(1, ORDERS + 1):
        rows += [np.cos(2 * order * theta), np.sin(2 * order * theta)]
    return np.ascontiguousarray(np.stack(rows, axis=1))


def _start(spectrum: Spectrum) -> NDArray[np.float64]:
    start = np.zeros(SHAPE + 3)
    grid = grid_for(spectrum.side_px)
    low = spectrum.power[:6] * np.maximum(grid.frequency[:6], 1e-3) ** FALL
    start[0] = math.log(max(float(low[grid.counts[:6] > 0].mean()), 1e-30))
    start[SHAPE] = FALL
    start[SHAPE + 1] = SPREAD2_PX / spectrum.step**2
    start[SHAPE + 2] = math.log(spectrum.noise * NOISE_SHARE)
    return start


def _priors(spectrum: Spectrum) -> NDArray[np.float64]:
    """Return the precision of each parameter's prior; its mean is the start."""
    precision = np.zeros(SHAPE + 3)
    precision[0] = 1e-4
    for order in range(1, ORDERS + 1):
        spread = LOBE_SPREADS[order - 1]
        precision[2 * order - 1] = precision[2 * order] = 1 / spread**2
    precision[SHAPE] = 1 / FALL_SPREAD**2
    precision[SHAPE + 1] = (spectrum.step**2 / SPREAD2_SPREAD_PX) ** 2
    precision[SHAPE + 2] = 1 / (spectrum.noise_spread**2 + 0.3**2)
    return precision


@njit(cache=True, fastmath=True, nogil=True)
def _level(basis, at, t):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Return exp(a(θ))."""
    level = 0.0
    for i in range(basis.shape[1]):
        level += basis[t, i] * at[i]
    return math.exp(level)


@njit(cache=True, fastmath=True, nogil=True)
def _value(power, weight, floor, frame, model, basis, at):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202, PLR0913, PLR0917
    """Return the log-likelihood."""
    radial, residue, fall = frame
    shape = basis.shape[1]
    noise = math.exp(at[shape + 2])
    for r in range(fall.size):
        fall[r] = math.exp(at[shape] * radial[0, r] + at[shape + 1] * radial[1, r])
    total = 0.0
    for t in range(power.shape[0]):
        level = _level(basis, at, t)
        for r in range(power.shape[1]):
            mean = level * fall[r] * residue[t, r] * model[t, r] + noise + floor[t, r]
            total -= weight[t, r] * (power[t, r] / mean + math.log(mean))
    return total


@njit(cache=True, fastmath=True, nogil=True)
def _score(power, weight, floor, frame, model, basis, at, gradient, fisher):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202, PLR0913, PLR0915, PLR0917
    """Fill the gradient of the log-likelihood and the Fisher information."""
    radial, residue, fall = frame
    shape = basis.shape[1]
    noise = math.exp(at[shape + 2])
    for r in range(fall.size):
        fall[r] = math.exp(at[shape] * radial[0, r] + at[shape + 1] * radial[1, r])
    gradient[:] = 0.0
    fisher[:] = 0.0
    f11 = f12 = f22 = f1n = f2n = fnn = g1 = g2 = gn = 0.0
    for t in range(power.shape[0]):
        level = _level(basis, at, t)
        g0 = h00 = h01 = h02 = h0n = 0.0
        for r in range(power.shape[1]):
            x1, x2 = radial[0, r], radial[1, r]
            signal = level * fall[r] * residue[t, r] * model[t, r]
            inverse = 1.0 / (signal + noise + floor[t, r])
            share, share_n = signal * inverse, noise * inverse
            w = weight[t, r]
            g = w * (power[t, r] * inverse - 1.0)
            gs, hs, hn = g * share, w * share * share, w * share * share_n
            g0 += gs
            g1 += gs * x1
            g2 += gs * x2
            gn += g * share_n
            h00 += hs
            h01 += hs * x1
            h02 += hs * x2
            h0n += hn
            f11 += hs * x1 * x1
            f12 += hs * x1 * x2
            f22 += hs * x2 * x2
            f1n += hn * x1
            f2n += hn * x2
            fnn += w * share_n * share_n
        for i in range(shape):
            b = basis[t, i]
            gradient[i] += g0 * b
            fisher[shape, i] += h01 * b
            fisher[shape + 1, i] += h02 * b
            fisher[shape + 2, i] += h0n * b
            for j in range(i + 1):
                fisher[i, j] += h00 * b * basis[t, j]
    gradient[shape], gradient[shape + 1], gradient[shape + 2] = g1, g2, gn
    fisher[shape, shape], fisher[shape + 1, shape], fisher[shape + 1, shape + 1] = f11, f12, f22
    fisher[shape + 2, shape], fisher[shape + 2, shape + 1] = f1n, f2n
    fisher[shape + 2, shape + 2] = fnn


@njit(cache=True, fastmath=True, nogil=True)
def _step(at, gradient, fisher):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Move by one scoring step, none of its parts longer than 1."""
    size = at.size
    for i in range(size):  # Cholesky, in place
        for j in range(i + 1):
            s = fisher[i, j]
            for k in range(j):
                s -= fisher[i, k] * fisher[j, k]
            if i == j:
                fisher[i, i] = math.sqrt(max(s, 1e-12))
            else:
                fisher[i, j] = s / fisher[j, j]
    for i in range(size):
        s = gradient[i]
        for k in range(i):
            s -= fisher[i, k] * gradient[k]
        gradient[i] = s / fisher[i, i]
    longest = 1.0
    for i in range(size - 1, -1, -1):
        s = gradient[i]
        for k in range(i + 1, size):
            s -= fisher[k, i] * gradient[k]
        gradient[i] = s / fisher[i, i]
        longest = max(longest, abs(gradient[i]))
    for i in range(size):
        at[i] += gradient[i] / longest


@njit(cache=True, fastmath=True, nogil=True)
def _profile(power, weight, floor, frame, models, basis, priors):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202, PLR0913, PLR0917
    """Return the best penalised log-likelihood of each model."""
    radial, residue = frame
    start, precision = priors
    result = np.empty(models.shape[0])
    at = start.copy()
    gradient = np.empty(start.size)
    fisher = np.empty((start.size, start.size))
    fall = np.empty(power.shape[1])
    for k in range(models.shape[0]):
        for _ in range(FIRST_TURNS if k == 0 else TURNS):
            _score(
                power,
                weight,
                floor,
                (radial, residue, fall),
                models[k],
                basis,
                at,
                gradient,
                fisher,
            )
            for i in range(start.size):
                gradient[i] -= precision[i] * (at[i] - start[i])
                fisher[i, i] += precision[i]
            _step(at, gradient, fisher)
        result[k] = _value(power, weight, floor, (radial, residue, fall), models[k], basis, at)
        for i in range(start.size):
            result[k] -= 0.5 * precision[i] * (at[i] - start[i]) ** 2
    return result
