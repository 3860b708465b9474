"""The fit: likelihood of each blur model for one spectrum, all else fitted freely but gently.

The expected power in a cell at frequency f and direction θ is

    exp(a(θ) − α ln f − 4 π² s f² + c (ln 10 f)² / 2) |H|² + N exp(−4 π² κ f²) + T,

with a(θ) a short Fourier series, α the fall of natural texture, s the squared Gaussian spread of
pixel, demosaicking and glass, c the bend of its fall, N the noise with a colour κ from
demosaicking and smoothing, and T the floor the file's quantisation leaves. The
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
FALL, FALL_SPREAD = 2.4, 0.3  # α of natural pictures: 2.0 to 2.4 by source, single windows 1.4 to
# 3.2 (Field 1987; Burton and Moorhead 1987; Ruderman 1994, from memory)
BEND_AT, BEND_SPREAD = math.log(0.1), 0.3
MISMATCH2 = 0.04  # variance of ln(power) by which real texture departs from the model, per cell
FIRST_TURNS, TURNS = 10, 3  # scoring steps of the first model and of each later one
COLOUR_PX, COLOUR_SPREAD_PX = 0.06, 0.12  # κ: 0 for white noise, 0.1 to 0.3 after demosaicking
GRAIN = 0.05  # of the noise prior's strength, above what is expected: pushed exposures, fine
# texture, traces of compression add power as white as noise
ABOVE = 2.0  # signal over noise and floor in a cell that says something
NOISE_SHARE = 0.7  # of the expected noise that smoothing in the camera leaves, on the whole


def fit_models(
    spectrum: Spectrum, models: NDArray[np.float64], *, rough: bool = False
) -> NDArray[np.float64]:
    """Return how well each model explains a spectrum.

    Parameters
    ----------
    spectrum : Spectrum
        One window.
    models : ndarray
        [models, angles, rings], squared transfer for the window's side and step; neighbours
        alike, since each fit starts from the one before.
    rough : bool
        One pass of one step instead of two passes of three: for finding where to look.

    Returns
    -------
    ndarray
        Log-likelihood (natural) with all other parameters at their best, up to a constant.
    """
    return fit_parameters(spectrum, models, rough=rough)[0]


def fit_parameters(
    spectrum: Spectrum, models: NDArray[np.float64], *, rough: bool = False
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how well each model explains a spectrum, and with which parameters.

    Parameters
    ----------
    spectrum : Spectrum
        One window.
    models : ndarray
        As for `fit_models`.
    rough : bool
        As for `fit_models`.

    Returns
    -------
    tuple of (ndarray, ndarray)
        Log-likelihoods; and [models, parameters]: Fourier series of a(θ), α, s, c, ln N, κ.
    """
    frame = _frame(spectrum.side_px)
    data = (
        np.ascontiguousarray((spectrum.power + spectrum.floor).T),
        frame.weight,
        np.ascontiguousarray(spectrum.floor.T),
    )
    priors = (_start(spectrum), _priors(spectrum), GRAIN)
    effort = (1, 1) if rough else (TURNS, 2)
    logs, found = _profile(
        data, (frame.radial, frame.residue), models, angle_basis(), priors, effort
    )
    return logs, found


def signal_cells(
    spectrum: Spectrum, model: NDArray[np.float64], parameters: NDArray[np.float64]
) -> int:
    """Return in how many cells a fitted model's signal stands above noise and floor.

    Parameters
    ----------
    spectrum : Spectrum
        One window.
    model : ndarray
        [angles, rings], squared transfer.
    parameters : ndarray
        Of this model, as `fit_parameters` gives them.

    Returns
    -------
    int
        0 for a window without texture.
    """
    frame = _frame(spectrum.side_px)
    level = np.exp(angle_basis() @ parameters[:SHAPE])[:, None]
    fall = np.exp(parameters[SHAPE : SHAPE + 3] @ frame.radial)
    signal = level * fall * frame.residue * model
    noise = np.exp(parameters[SHAPE + 3] + parameters[SHAPE + 4] * frame.radial[1])
    above = signal > ABOVE * (noise + spectrum.floor.T)
    return int((above & (frame.weight > 0)).sum())


def noise_sd(spectrum: Spectrum, parameters: NDArray[np.float64]) -> float:
    """Return the noise that a fit found, per pixel of the frame, over the window's mean.

    Parameters
    ----------
    spectrum : Spectrum
        One window.
    parameters : ndarray
        Of a model, as `fit_parameters` gives them.

    Returns
    -------
    float
        Standard deviation of white noise as strong as the found one below its colour's fall,
        with what the file's quantisation adds.
    """
    variance = math.exp(parameters[SHAPE + 3]) + float(np.median(spectrum.floor))
    return math.sqrt(max(variance, spectrum.noise)) * spectrum.step


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
        radial=np.stack([-ring, -4 * math.pi**2 * np.exp(2 * ring), 0.5 * (ring - BEND_AT) ** 2]),
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
    start = np.zeros(SHAPE + 5)
    grid = grid_for(spectrum.side_px)
    low = spectrum.power[:6] * np.maximum(grid.frequency[:6], 1e-3) ** FALL
    start[0] = math.log(max(float(low[grid.counts[:6] > 0].mean()), 1e-30))
    start[SHAPE] = FALL
    start[SHAPE + 1] = spectrum.capture_px2 / spectrum.step**2
    start[SHAPE + 4] = COLOUR_PX / spectrum.step**2
    start[SHAPE + 3] = math.log(spectrum.noise * NOISE_SHARE)
    return start


def _priors(spectrum: Spectrum) -> NDArray[np.float64]:
    """Return the precision of each parameter's prior; its mean is the start."""
    precision = np.zeros(SHAPE + 5)
    precision[0] = 1e-4
    for order in range(1, ORDERS + 1):
        spread = LOBE_SPREADS[order - 1]
        precision[2 * order - 1] = precision[2 * order] = 1 / spread**2
    precision[SHAPE] = 1 / FALL_SPREAD**2
    precision[SHAPE + 1] = (spectrum.step**2 / spectrum.capture_sd_px2) ** 2
    precision[SHAPE + 2] = 1 / BEND_SPREAD**2
    precision[SHAPE + 4] = (spectrum.step**2 / COLOUR_SPREAD_PX) ** 2
    precision[SHAPE + 3] = 1 / (spectrum.noise_spread**2 + 0.3**2)
    return precision


@njit(cache=True, fastmath=True, nogil=True)
def _level(basis, at, t):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Return exp(a(θ))."""
    level = 0.0
    for i in range(basis.shape[1]):
        level += basis[t, i] * at[i]
    return math.exp(level)


@njit(cache=True, fastmath=True, nogil=True)
def _fill_fall(fall, noise, radial, at, shape):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Fill what each ring's frequency leaves of the power, and its noise."""
    for r in range(fall.size):
        fall[r] = math.exp(
            at[shape] * radial[0, r] + at[shape + 1] * radial[1, r] + at[shape + 2] * radial[2, r]
        )
        noise[r] = math.exp(at[shape + 3] + at[shape + 4] * radial[1, r])


@njit(cache=True, fastmath=True, nogil=True)
def _value(data, frame, model, basis, at):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Return the log-likelihood."""
    power, weight, floor = data
    radial, residue, fall, noise = frame
    _fill_fall(fall, noise, radial, at, basis.shape[1])
    total = 0.0
    for t in range(power.shape[0]):
        level = _level(basis, at, t)
        for r in range(power.shape[1]):
            mean = level * fall[r] * residue[t, r] * model[t, r] + noise[r] + floor[t, r]
            total -= weight[t, r] * (power[t, r] / mean + math.log(mean))
    return total


@njit(cache=True, fastmath=True, nogil=True)
def _score(data, frame, model, basis, at, gradient, fisher):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202, PLR0913, PLR0915, PLR0917
    """Fill the gradient of the log-likelihood and the Fisher information (lower half)."""
    power, weight, floor = data
    radial, residue, fall, noise = frame
    shape = basis.shape[1]
    _fill_fall(fall, noise, radial, at, shape)
    gradient[:] = 0.0
    fisher[:] = 0.0
    f11 = f12 = f13 = f22 = f23 = f33 = f1n = f2n = f3n = fnn = g1 = g2 = g3 = gn = 0.0
    f1k = f2k = f3k = fnk = fkk = gk = 0.0
    for t in range(power.shape[0]):
        level = _level(basis, at, t)
        g0 = h00 = h01 = h02 = h03 = h0n = h0k = 0.0
        for r in range(power.shape[1]):
            x1, x2, x3 = radial[0, r], radial[1, r], radial[2, r]
            signal = level * fall[r] * residue[t, r] * model[t, r]
            inverse = 1.0 / (signal + noise[r] + floor[t, r])
            share, share_n = signal * inverse, noise[r] * inverse
            w = weight[t, r]
            g = w * (power[t, r] * inverse - 1.0)
            gs, hs, hn = g * share, w * share * share, w * share * share_n
            y1, y2, y3 = hs * x1, hs * x2, hs * x3
            g0 += gs
            g1 += gs * x1
            g2 += gs * x2
            g3 += gs * x3
            gn += g * share_n
            gk += g * share_n * x2
            h00 += hs
            h01 += y1
            h02 += y2
            h03 += y3
            h0n += hn
            h0k += hn * x2
            f11 += y1 * x1
            f12 += y1 * x2
            f13 += y1 * x3
            f22 += y2 * x2
            f23 += y2 * x3
            f33 += y3 * x3
            f1n += hn * x1
            f2n += hn * x2
            f3n += hn * x3
            nn = w * share_n * share_n
            fnn += nn
            fnk += nn * x2
            fkk += nn * x2 * x2
            f1k += hn * x1 * x2
            f2k += hn * x2 * x2
            f3k += hn * x3 * x2
        for i in range(shape):
            b = basis[t, i]
            gradient[i] += g0 * b
            fisher[shape, i] += h01 * b
            fisher[shape + 1, i] += h02 * b
            fisher[shape + 2, i] += h03 * b
            fisher[shape + 3, i] += h0n * b
            fisher[shape + 4, i] += h0k * b
            for j in range(i + 1):
                fisher[i, j] += h00 * b * basis[t, j]
    q = shape
    gradient[q], gradient[q + 1], gradient[q + 2], gradient[q + 3] = g1, g2, g3, gn
    gradient[q + 4] = gk
    fisher[q + 4, q], fisher[q + 4, q + 1], fisher[q + 4, q + 2] = f1k, f2k, f3k
    fisher[q + 4, q + 3], fisher[q + 4, q + 4] = fnk, fkk
    fisher[q, q], fisher[q + 1, q], fisher[q + 1, q + 1] = f11, f12, f22
    fisher[q + 2, q], fisher[q + 2, q + 1], fisher[q + 2, q + 2] = f13, f23, f33
    fisher[q + 3, q], fisher[q + 3, q + 1] = f1n, f2n
    fisher[q + 3, q + 2], fisher[q + 3, q + 3] = f3n, fnn


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
def _profile(data, frame, models, basis, priors, effort):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
    """Return the best penalised log-likelihood of each model, and its parameters."""
    radial, residue = frame
    start, precision, grain = priors
    result = np.empty(models.shape[0])
    found = np.empty((models.shape[0], start.size))
    at = start.copy()
    last = start.size - 2  # ln N
    gradient = np.empty(start.size)
    fisher = np.empty((start.size, start.size))
    rings = data[0].shape[1]
    inner = (radial, residue, np.empty(rings), np.empty(rings))
    result[:] = -1e300
    count = models.shape[0]
    turns, passes = effort
    for way in range(passes * (count - 1) + 1):  # up, and down again: the better answer counts
        k = way if way < count else 2 * count - 2 - way
        for _ in range(FIRST_TURNS if way == 0 else turns):
            _score(data, inner, models[k], basis, at, gradient, fisher)
            for i in range(start.size):
                offset = at[i] - start[i]
                strength = precision[i] * (grain if i == last and offset > 0 else 1.0)
                gradient[i] -= strength * offset
                fisher[i, i] += strength
            _step(at, gradient, fisher)
        value = _value(data, inner, models[k], basis, at)
        for i in range(start.size):
            offset = at[i] - start[i]
            strength = precision[i] * (grain if i == last and offset > 0 else 1.0)
            value -= 0.5 * strength * offset**2
        if value > result[k]:
            result[k] = value
            found[k] = at
    return result, found
