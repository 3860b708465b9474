"""The motion that explains several windows best: coarse search, then fine.

Directions count counter-clockwise from +x as seen in the picture.
"""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.abreast import ALONE, Abreast
from eyeplane.measure.bank import COARSE_LINES, Line, line_bank, line_models
from eyeplane.measure.edges import EdgeReading
from eyeplane.measure.profile import measured_size, together
from eyeplane.measure.spectrum import ANGLES, Spectrum
from eyeplane.measure.support import line_support
from eyeplane.measure.whittle import fit_models
from eyeplane.records import Measured

LARGEST_LINE_SHARE = 0.24  # of a window's side: longer ones leave 4 cycles or fewer between zeros
LENGTH_RANGES_PX = (0.0, 6.0, 14.0, math.inf)  # each sends its best coarse line to the fine search
BESIDE_PX = (1.5, 2.5, 3.5, 5.0, 7.0, 10.0)  # discs tried beside a line
BESIDE_GAIN = 2.0  # log-likelihood that a disc beside must gain: one more number to choose
MIXED_PX = 5.0  # shorter lines beside a disc are the disc's own error
LEAST_SHARE = 0.7  # of that: a disc beside may lengthen a line found without it by as much
RIVAL_LOG = 6.0  # lines this near to the best are tried with a disc beside as well
BESIDE_SHARE = 1.5  # a disc this many times the line's length hides its direction
HIDDEN_GAIN = 20.0  # log-likelihood that a line between the coarse ones may gain on them


@dataclass(frozen=True, slots=True)
class BestLine:
    """The best motion.

    Attributes
    ----------
    length_px : Measured
        Its length.
    angle_deg : float
        Its direction, [0, 180).
    log : float
        Log-likelihood (natural), tempered, against the given bases.
    beside_px : Measured or None
        The disc that blurs besides; None where none can be told.
    """

    length_px: Measured
    angle_deg: float
    log: float
    beside_px: Measured | None = None


def best_line(
    spectra: Sequence[Spectrum],
    bases: Sequence[float],
    edges: Sequence[EdgeReading | None],
    *,
    abreast: Abreast = ALONE,
) -> BestLine:
    """Return the motion that explains the spectra best.

    Parameters
    ----------
    spectra : sequence of Spectrum
        Windows that share one blur, at least one.
    bases : sequence of float
        Log-likelihood of no blur for each.
    edges : sequence of (EdgeReading or None)
        What the edges of each say.
    abreast : Abreast
        Who works on windows and lines.

    Returns
    -------
    BestLine
        Always one; whether it is believed is decided elsewhere.
    """

    def profile(lines: list[Line], *, rough: bool = False) -> NDArray[np.float64]:
        shapes = list({(s.side_px, s.step): None for s in spectra})
        found = abreast.map(lambda shape: line_models(*shape, lines), shapes)
        models = dict(zip(shapes, found, strict=True))
        fits = abreast.map(lambda s: fit_models(s, models[s.side_px, s.step], rough=rough), spectra)
        return together(fits, bases) + line_support(edges, lines)

    longest = max(LARGEST_LINE_SHARE * s.side_px * s.step for s in spectra)
    coarse = [k for k, line in enumerate(COARSE_LINES) if line[0] <= longest]
    lines = [COARSE_LINES[k] for k in coarse]
    fits = abreast.map(
        lambda s: fit_models(s, line_bank(s.side_px, s.step)[coarse], rough=True), spectra
    )
    logs = together(fits, bases) + line_support(edges, lines)
    found = abreast.map(lambda line: _refined(profile, *line[:2]), _candidates(lines, logs))
    # Rough fits found them; which is best only thorough ones tell.
    ranked = sorted(((float(profile([(x, a, 0.0)])[0]), x, a) for _, x, a in found), reverse=True)
    likely = [line[1:] for line in ranked if line[0] > ranked[0][0] - RIVAL_LOG]
    long = [line for line in likely if line[0] >= LEAST_SHARE * MIXED_PX]
    searches = [*((_with_disc, *line) for line in long), *((_alone, *line) for line in likely)]
    tried = abreast.map(lambda search: search[0](profile, *search[1:]), searches)
    mixed = [line for line in tried[: len(long)] if line.length_px.value >= MIXED_PX]
    return max((*tried[len(long) :], *mixed), key=lambda line: line.log)


def _alone(profile: Callable[..., NDArray[np.float64]], length: float, angle: float) -> BestLine:
    lengths = length * np.geomspace(0.65, 1.55, 13)
    logs = profile([(x, angle, 0.0) for x in lengths])
    return BestLine(measured_size(lengths, logs), math.degrees(angle) % 180.0, float(logs.max()))


def _with_disc(
    profile: Callable[..., NDArray[np.float64]], length: float, angle: float
) -> BestLine:
    """Return the best line near a plain one with the best disc beside it, its price paid."""
    tried = [d for d in BESIDE_PX if d <= BESIDE_SHARE * length]
    steps = length * np.geomspace(0.8, 1.25, 5)
    pairs = [(float(x), angle, d) for d in tried for x in steps]
    logs = profile(pairs, rough=True)
    length, _, beside = pairs[int(np.argmax(logs))]
    turns = np.linspace(-0.7, 0.7, 5) * math.pi / ANGLES
    logs = profile([(length, angle + t, beside) for t in turns], rough=True)
    angle += _peak(turns, logs)
    lengths = length * np.geomspace(0.65, 1.55, 13)
    logs = profile([(x, angle, beside) for x in lengths])
    size = measured_size(lengths, logs)
    discs = beside * np.geomspace(0.4, 2.0, 11)
    over = profile([(size.value, angle, float(d)) for d in discs])
    best = max(float(logs.max()), float(over.max()))
    return BestLine(
        size, math.degrees(angle) % 180.0, best - BESIDE_GAIN, measured_size(discs, over)
    )


def _candidates(lines: Sequence[Line], logs: NDArray[np.float64]) -> list[Line]:
    """Return the best coarse line of each range of lengths: long ones hide from a coarse grid."""
    lengths = np.array([line[0] for line in lines])
    kept = []
    for shortest, longest in itertools.pairwise(LENGTH_RANGES_PX):
        inside = np.flatnonzero((lengths >= shortest) & (lengths < longest))
        if len(inside) == 0:
            continue
        best = int(inside[np.argmax(logs[inside])])
        if logs[best] > logs.max() - HIDDEN_GAIN:
            kept.append(lines[best])
    return kept


def _refined(
    profile: Callable[..., NDArray[np.float64]], length: float, angle: float
) -> tuple[float, float, float]:
    """Return log-likelihood, length and direction of the best line near a coarse one."""
    near = length * np.geomspace(0.9, 1.11, 5)
    length = float(near[int(np.argmax(profile([(x, angle, 0.0) for x in near], rough=True)))])
    turns = np.linspace(-0.7, 0.7, 5) * math.pi / ANGLES
    logs = profile([(length, angle + t, 0.0) for t in turns], rough=True)
    return float(logs.max()), length, angle + _peak(turns, logs)


def _peak(at: NDArray[np.float64], logs: NDArray[np.float64]) -> float:
    """Return where a parabola through the largest value and its neighbours peaks."""
    k = min(max(int(np.argmax(logs)), 1), len(at) - 2)
    before, here, after = logs[k - 1 : k + 2]
    bend = before - 2 * here + after
    shift = 0.5 * (before - after) / bend if bend < 0 else 0.0
    return float(at[k] + np.clip(shift, -1.0, 1.0) * (at[1] - at[0]))
