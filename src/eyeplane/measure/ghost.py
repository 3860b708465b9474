"""A core frozen by flash with the ghost that steady light drew while something moved.

Flash draws the picture sharp with a share a of the light; the rest is drawn along a line L while
the shutter stands open. Together their transfer at frequency f is

    a + (1 - a) sinc(f·v) exp(2 pi i s f·v),

v the line as a vector and s where on it the flash fired, from its middle: 0, or one half at either
end (the first or the second curtain); its square is what a spectrum shows. Unlike any single blur
it never falls below (a - (1 - a) .22)² and ripples along the line's direction. Directions count
counter-clockwise from +x.
"""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.bank import DISCS_PX, LEAK, disc_bank, line_models
from eyeplane.measure.line import LARGEST_LINE_SHARE, best_line
from eyeplane.measure.profile import TAIL, measured_size, together
from eyeplane.measure.spectrum import ANGLES, Spectrum, grid_for
from eyeplane.measure.whittle import fit_models
from eyeplane.records import Blur, Ghost, Measured

Array = NDArray[np.float64]

LEAST_PX = 5.0  # shorter ghosts pass for a little softness
LENGTHS_PX = np.geomspace(LEAST_PX, 40.0, 13)
SHARES = np.array([0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8])  # below: a line; above: sharp
COARSE_SHARES = (0.3, 0.6)
ENDS = (0.0, 0.5)  # where on the line the flash fired, in lengths from its middle
DISC_LARGEST_SHARE = 0.3  # of a window's side, as for discs elsewhere
BESIDE_PX = (2.0, 3.5, 6.0)  # discs that a line may have besides: the mixture is no ghost
# What a ghost must have to be told. On 104 rendered faces without one three come to a gain of 8 to
# 19, all of them under 7 px with cores over .68, and one of 10 with nothing left; real ones of
# .35 to .55 core come to 10 to 50 in 9 of 11 (benchmarks/accuracy/whose.py).
CALL_GAIN = 8.0  # log-likelihood (tempered) over every single blur
RIVAL_LOG = 3.0  # a flash at the other end of the line, this near in likelihood, is not excluded:
# with a strong core a line from its end looks like one of twice its length about its middle
CALL_PX = 8.0  # shorter ones pass for the softness of lids and lashes ...
CALL_SHARE = 0.7  # ... and fainter ones for a texture's own repeats
LEFT_GAIN = 3.0  # and what must be left of it without the window that speaks most for it


@dataclass(frozen=True, slots=True)
class _Path:
    length_px: float
    angle: float  # radians
    share: float  # of the core
    end: float


def fit_ghost(spectra: Sequence[Spectrum], best: Blur) -> Ghost | None:
    """Return the ghost that explains the spectra clearly better than any single blur.

    Parameters
    ----------
    spectra : sequence of Spectrum
        Windows that share one motion.
    best : Blur
        What single blur was found there: where its line is called, its direction is tried first.

    Returns
    -------
    Ghost or None
        None where a disc, a line, both together or no blur explain them about as well, and
        without spectra.
    """
    if not spectra:
        return None
    sizes = DISCS_PX[max(DISC_LARGEST_SHARE * s.side_px * s.step for s in spectra) >= DISCS_PX]
    discs = [fit_models(s, disc_bank(s.side_px, s.step)[: len(sizes)]) for s in spectra]
    bases = [float(logs[0]) for logs in discs]
    ends = _best_paths(spectra, bases, best, least=float(together(discs, bases).max()))
    if not ends:
        return None
    found = ends[0][1]
    lines = _lines(spectra, bases)
    singles = [np.concatenate(pair) for pair in zip(discs, lines, strict=True)]
    ghosts = _fits(spectra, [found])
    gain = _gain(ghosts, singles, bases)
    if gain < CALL_GAIN or _least_gain(ghosts, singles, bases) < LEFT_GAIN:
        return None
    if found.length_px < CALL_PX or found.share > CALL_SHARE:
        return None
    likely = [path for log, path in ends if log > ends[0][0] - RIVAL_LOG]
    lengths = [_lengths(spectra, bases, path) for path in likely]
    return Ghost(
        core_share=_shares(spectra, bases, found),
        length_px=Measured(
            value=lengths[0].value,
            low=min(length.low for length in lengths),
            high=max(length.high for length in lengths),
        ),
        angle_deg=math.degrees(found.angle) % 180.0,
        gain=gain,
    )


def _gain(ghosts: Sequence[Array], singles: Sequence[Array], bases: Sequence[float]) -> float:
    """Return the tempered log-likelihood of a ghost over the best single blur."""
    return float(together(ghosts, bases)[0] - together(singles, bases).max())


def _least_gain(ghosts: Sequence[Array], singles: Sequence[Array], bases: Sequence[float]) -> float:
    """Return the gain without the window that speaks most for a ghost: one may be a fence."""
    if len(bases) < 2:
        return -math.inf
    return min(
        _gain(
            [*ghosts[:k], *ghosts[k + 1 :]],
            [*singles[:k], *singles[k + 1 :]],
            [*bases[:k], *bases[k + 1 :]],
        )
        for k in range(len(bases))
    )


def _lines(spectra: Sequence[Spectrum], bases: Sequence[float]) -> list[Array]:
    """Return the log-likelihoods of the best line, bare and with discs besides, per window."""
    line = best_line(spectra, bases, [None] * len(spectra))
    angle = math.radians(line.angle_deg)
    beside = [(line.length_px.value, angle, disc) for disc in (0.0, *BESIDE_PX)]
    models = {key: line_models(*key, beside) for key in {(s.side_px, s.step) for s in spectra}}
    return [fit_models(s, models[s.side_px, s.step]) for s in spectra]


def _best_paths(
    spectra: Sequence[Spectrum], bases: Sequence[float], best: Blur, *, least: float
) -> list[tuple[float, _Path]]:
    """Return the best path with its log-likelihood for each end, the better first.

    Empty if not even the coarse ones reach `least`, what a disc reaches: most faces end there.
    """
    longest = max(LARGEST_LINE_SHARE * s.side_px * s.step for s in spectra)
    paths = _coarse_paths()
    fits = [fit_models(s, _coarse_bank(s.side_px, s.step), rough=True) for s in spectra]
    usable = np.array([p.length_px <= longest for p in paths])
    logs = np.where(usable, together(fits, bases), -np.inf)
    if logs.max() < least:
        return []
    starts = [paths[k] for k in _tops(paths, logs)]
    if best.kind == "line" and best.line_px is not None and best.line_angle_deg is not None:
        length = min(max(best.line_px.value, LEAST_PX), longest)
        angle = math.radians(best.line_angle_deg)
        starts += [_Path(length, angle, 0.5, end) for end in ENDS]
    refined = [_refined(spectra, bases, start) for start in starts]
    ends = [[found for found in refined if found[1].end == end] for end in ENDS]
    return sorted((max(found, key=lambda f: f[0]) for found in ends), key=lambda f: -f[0])


def _tops(paths: Sequence[_Path], logs: Array) -> list[int]:
    """Return the best coarse path of either end."""
    ends = np.array([p.end for p in paths])
    return [int(np.argmax(np.where(ends == end, logs, -np.inf))) for end in ENDS]


def _refined(
    spectra: Sequence[Spectrum], bases: Sequence[float], path: _Path
) -> tuple[float, _Path]:
    """Return the best path near a coarse one: length, direction, share in turn, twice."""
    log = -math.inf
    for width in (1.0, 0.4):
        stretched = path.length_px * np.geomspace(1 - 0.12 * width, 1 + 0.14 * width, 5)
        near = [_Path(float(x), path.angle, path.share, path.end) for x in stretched]
        path = near[int(np.argmax(_profile(spectra, bases, near, rough=True)))]
        turns = np.linspace(-0.7, 0.7, 5) * width * math.pi / ANGLES
        near = [_Path(path.length_px, path.angle + t, path.share, path.end) for t in turns]
        path = near[int(np.argmax(_profile(spectra, bases, near, rough=True)))]
        near = [_Path(path.length_px, path.angle, float(a), path.end) for a in SHARES]
        logs = _profile(spectra, bases, near, rough=width == 1.0)
        path, log = near[int(np.argmax(logs))], float(logs.max())
    return log, path


def _shares(spectra: Sequence[Spectrum], bases: Sequence[float], path: _Path) -> Measured:
    """Return the core's share with its interval, from its likelihood profile."""
    fine = np.linspace(SHARES[0] - 0.1, SHARES[-1] + 0.1, 17)
    near = [_Path(path.length_px, path.angle, float(a), path.end) for a in fine]
    logs = _profile(spectra, bases, near)
    at = np.linspace(fine[0], fine[-1], 161)
    mass = np.exp(np.interp(at, fine, logs) - logs.max())
    total = np.cumsum(mass) / mass.sum()
    low, value, high = np.interp([TAIL, 0.5, 1 - TAIL], total, at)
    return Measured(value=float(value), low=float(low), high=float(high))


def _lengths(spectra: Sequence[Spectrum], bases: Sequence[float], path: _Path) -> Measured:
    lengths = path.length_px * np.geomspace(0.65, 1.55, 13)
    near = [_Path(float(x), path.angle, path.share, path.end) for x in lengths]
    return measured_size(lengths, _profile(spectra, bases, near))


def _profile(
    spectra: Sequence[Spectrum],
    bases: Sequence[float],
    paths: Sequence[_Path],
    *,
    rough: bool = False,
) -> Array:
    return together(_fits(spectra, paths, rough=rough), bases)


def _fits(
    spectra: Sequence[Spectrum], paths: Sequence[_Path], *, rough: bool = False
) -> list[Array]:
    models = {key: _models(*key, paths) for key in {(s.side_px, s.step) for s in spectra}}
    return [fit_models(s, models[s.side_px, s.step], rough=rough) for s in spectra]


@functools.cache
def _coarse_paths() -> tuple[_Path, ...]:
    """Return the paths tried first; neighbours alike, since each fit starts from the last."""
    paths = []
    for end in ENDS:
        for share in COARSE_SHARES:
            for k in range(ANGLES):
                lengths = LENGTHS_PX if k % 2 == 0 else LENGTHS_PX[::-1]
                angle = (k + 0.5) * math.pi / ANGLES
                paths += [_Path(float(x), angle, share, end) for x in lengths]
    return tuple(paths)


@functools.lru_cache(maxsize=16)
def _coarse_bank(side_px: int, step: int) -> Array:
    return _models(side_px, step, _coarse_paths())


def _models(side_px: int, step: int, paths: Sequence[_Path]) -> Array:
    """Return [paths, angles, rings], squared transfer averaged over each cell."""
    grid = grid_for(side_px)
    rows = []
    for path in paths:
        along = path.length_px / step
        phase = math.pi * (
            grid.sample_x * (math.cos(path.angle) * along)
            + grid.sample_y * (math.sin(path.angle) * along)
        )
        power = ghost_power(phase, share=path.share, end_share=path.end)
        rows.append((power * grid.sample_weight).sum(axis=1))
    models = np.reshape(rows, (len(rows), *grid.counts.shape)) + LEAK
    return np.ascontiguousarray(models.transpose(0, 2, 1))


def ghost_power(phase: Array, *, share: float, end_share: float) -> Array:
    """Return the squared transfer of a core with a ghost.

    Parameters
    ----------
    phase : ndarray
        Pi times frequency times the line's vector.
    share : float
        Of the light that drew the core, 0..1.
    end_share : float
        Where on the line the core lies, in lengths from its middle, -.5 to .5.

    Returns
    -------
    ndarray
        Of the phase's shape; 1 at frequency 0.
    """
    line = (1 - share) * np.sinc(phase / math.pi)
    return np.asarray(share**2 + line**2 + 2 * share * line * np.cos(2 * end_share * phase))
