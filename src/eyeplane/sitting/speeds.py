"""How fast sitters move and hands shake, over all frames: also those that show no motion."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.diagnose.motion import flash_alone, shake_rate_deg_per_s
from eyeplane.people.learned import FEWEST_FRAMES
from eyeplane.records import FaceAnswer, FaceReading, Measured, SittingFrame, counting_eye
from eyeplane.sitting.blinks import effective_weights
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.mixed import Array

Mover = Literal["sitter", "shake"]

# A line may be this much longer than the upper end of a disc's size and still be called no line;
# lines of equal blur are 1.17 times as long as discs (half contrast at 0.705 and 0.603).
LINE_OVER_DISC = 1.2
# Shorter lines are not told from discs: measured on rendered heads. A sharper eye says no more: its
# size holds the line already, so to call it the line's limit would count the line twice.
TOLD_PX = 5.0
FEWEST_SEEN = 3  # frames that show the motion; fewer tell nothing of how it spreads; no source
MIDDLES, WIDTHS = 48, 24  # grid of the distribution's middle and width
WIDTH_RANGE = (0.2, 2.5)  # natural logarithm: from always alike to a hundredfold; no source
BINS = 64  # of the limits of frames without motion: finer changes nothing
Q95 = 1.6449  # 95 % quantile of a normal distribution
Q90 = 1.2816  # 90 % quantile


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """What one frame tells about a speed.

    Attributes
    ----------
    number, burst : int
        The frame and its burst.
    value : float
        Millimetres (sitter) or degrees (shake) a second.
    seen : bool
        True: as fast as that. False: no motion was seen, so at most that.
    unit_per_px : float
        What 1 px is in mm or degrees.
    """

    number: int
    burst: int
    value: float
    seen: bool
    unit_per_px: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedFit:
    """How fast something moves from exposure to exposure.

    Attributes
    ----------
    median : Measured
        The middle speed and the middle 90 % *of exposures*.
    fast : Measured
        The speed that nine exposures in ten stay below, with its 90 % interval.
    seen, frames : int
        Frames that show the motion, and all that tell something.
    """

    median: Measured
    fast: Measured
    seen: int
    frames: int


def speeds_of(frames: Sequence[SittingFrame], mover: Mover) -> tuple[Speed, ...]:
    """Return what each frame tells about the speed of the sitter or of the camera.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    mover : {"sitter", "shake"}
        Whose motion. Lines whose owner could not be told count for whoever moves more often in
        this sitting; lines of the other are left out.

    Returns
    -------
    tuple of Speed
        Of the deciding face of each frame with a shutter time. Frames lit by flash alone are left
        out, since there the shutter does not end the exposure.
    """
    unknown = _mostly(frames) == mover
    found = []
    for number, frame in enumerate(frames):
        exif, deciding = frame.reading.exposure, frame.answer.deciding
        if frame.burst is None or deciding is None or not exif.exposure_time_s:
            continue
        if flash_alone(exif):
            continue
        face, said = frame.reading.faces[deciding], frame.answer.faces[deciding]
        share = _unit_share(frame, face, mover)
        length = _length_px(face, said, mover, unknown=unknown)
        if share is None or length is None:
            continue
        found.append(
            Speed(
                number=number,
                burst=frame.burst,
                value=length[0] * share / exif.exposure_time_s,
                seen=length[1],
                unit_per_px=share,
            )
        )
    return tuple(found)


def mostly_owned(frames: Sequence[SittingFrame], speeds: Sequence[Speed], mover: Mover) -> bool:
    """Return whether most of the motion that was seen is known to be the mover's.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    speeds : sequence of Speed
        Of these frames.
    mover : {"sitter", "shake"}
        Whose motion.

    Returns
    -------
    bool
        False where more of it could be anybody's, or none was seen.
    """
    causes = [short_cause(frames[one.number].answer) for one in speeds if one.seen]
    return causes.count(mover) > causes.count("motion")


def fit_speeds(speeds: Sequence[Speed]) -> SpeedFit | None:
    """Return how a speed spreads over exposures.

    Parameters
    ----------
    speeds : sequence of Speed
        Frames.

    Returns
    -------
    SpeedFit or None
        None with fewer than three frames that show it, from two bursts, or eight that tell
        anything.

    Notes
    -----
    The logarithm of the speed is taken as normal. A frame without motion counts by the
    probability of a speed below what it would have shown (censored below), so that frames that
    came out sharp are not forgotten. Uniform priors on the middle and on the logarithm of the
    width, on a grid; frames of a
    burst count for less than one each.
    """
    seen = [one for one in speeds if one.seen]
    enough = len(seen) >= FEWEST_SEEN and len({one.burst for one in seen}) >= 2
    if not enough or len(speeds) < FEWEST_FRAMES:
        return None
    logs = np.log([max(one.value, 1e-9) for one in speeds])
    shown = np.array([one.seen for one in speeds])
    weights = effective_weights([one.burst for one in speeds])
    middle, width, chance = _posterior(logs, shown, weights)
    fast = _quantiles(middle + Q90 * width, chance)
    typical, spread = float(chance @ middle), float(chance @ width)
    low, value, high = (math.exp(typical + q * spread) for q in (-Q95, 0.0, Q95))
    return SpeedFit(
        median=Measured(value=value, low=low, high=high),
        fast=Measured(value=math.exp(fast[1]), low=math.exp(fast[0]), high=math.exp(fast[2])),
        seen=len(seen),
        frames=len(speeds),
    )


def _posterior(logs: Array, shown: NDArray[np.bool_], weights: Array) -> tuple[Array, Array, Array]:
    """Return middles, widths and probabilities of the grid."""
    span = max(float(np.ptp(logs)), 1.0)
    middles = np.linspace(float(logs.min()) - span, float(logs.max()) + 1.0, MIDDLES)
    widths = np.geomspace(*WIDTH_RANGE, WIDTHS)
    middle, width = (axis.ravel() for axis in np.meshgrid(middles, widths, indexing="ij"))
    own, mass = logs[shown], weights[shown]
    total, first = float(mass.sum()), float(mass @ own)
    second = float(mass @ own**2)
    squares = second - 2 * middle * first + middle**2 * total
    log_chance = -0.5 * squares / width**2 - total * np.log(width)
    limits, counts = _binned(logs[~shown], weights[~shown])
    standard = (limits[None, :] - middle[:, None]) / width[:, None]
    log_chance += special.log_ndtr(standard) @ counts
    chance = np.exp(log_chance - log_chance.max())  # uniform in the width's logarithm
    return middle, width, chance / chance.sum()


def _binned(values: Array, weights: Array) -> tuple[Array, Array]:
    if len(values) <= BINS:
        return values, weights
    counts, edges = np.histogram(values, BINS, weights=weights)
    return (edges[:-1] + edges[1:]) / 2, counts


def _quantiles(values: Array, chance: Array) -> tuple[float, float, float]:
    order = np.argsort(values)
    below = np.cumsum(chance[order]) - chance[order] / 2
    low, middle, high = (float(np.interp(q, below, values[order])) for q in (0.05, 0.5, 0.95))
    return low, middle, high


def _mostly(frames: Sequence[SittingFrame]) -> Mover | None:
    causes = [short_cause(frame.answer) for frame in frames if frame.burst is not None]
    sitter, shake = causes.count("sitter"), causes.count("shake")
    if sitter == shake:
        return "sitter" if sitter or "motion" in causes else None
    return "sitter" if sitter > shake else "shake"


def _unit_share(frame: SittingFrame, face: FaceReading, mover: Mover) -> float | None:
    """Return what one pixel is in the mover's unit."""
    if mover == "sitter":
        return face.face.mm_per_px.value
    focal, pitch = frame.reading.exposure.focal_length_mm, frame.reading.pitch_um
    if not focal or pitch is None:
        return None
    return shake_rate_deg_per_s(length_mm=pitch.value / 1000.0, focal_length_mm=focal, time_s=1.0)


def _length_px(
    face: FaceReading, said: FaceAnswer, mover: Mover, *, unknown: bool
) -> tuple[float, bool] | None:
    """Return the line's length and True, or the longest that would not show and False."""
    if said.motion_mm is not None:
        owned = said.cause == mover or (said.cause not in ("sitter", "shake") and unknown)
        return (said.motion_mm.value / face.face.mm_per_px.value, True) if owned else None
    size = counting_eye(face).blur.size_px
    if size is None:
        return None
    return max(LINE_OVER_DISC * size.high, TOLD_PX), False
