"""Whether focus or reach drifts over a sitting."""

import math
import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.diagnose.words import THIN, mm
from eyeplane.learn.mixed import Array
from eyeplane.records import Habit, Measured, SittingFrame
from eyeplane.sitting import say
from eyeplane.sitting.offsets import ToldOffset, kit_of, most_used_kit

FEWEST_BURSTS = 8  # fewer tell no drift from chance, as for a trend of causes
MOST_BURSTS = 240  # more are taken together, neighbours in time, so that pairs stay few
SURE = 0.01  # chance of such a drift without one, two-sided; focus and reach together 2 %
LEAST_MM = 5.0  # a drift of the focus below this over the sitting is not worth a word; no source
LEAST_RATIO = 1.25  # likewise of the reach: a print size is lost
Q90 = 1.6449  # half width of a 90 % interval in standard deviations


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """A robust slope.

    Attributes
    ----------
    change : Measured
        From the first to the last time, in the unit of the values.
    chance : float
        How likely chance alone brings so steady a rise or fall, two-sided.
    """

    change: Measured
    chance: float


def robust_slope(times: Array, values: Array) -> Slope:
    """Return the change of a number over time, whatever a few bursts do.

    Parameters
    ----------
    times, values : ndarray
        One of each a burst, at least three.

    Returns
    -------
    Slope
        Median of the slopes of all pairs, times the span; no change where all times are alike.

    Notes
    -----
    The chance is that of Kendall's S, with its variance for ties; the interval are the slopes at
    its 90 % limits.

    References
    ----------
    Sen, P. K. (1968), "Estimates of the regression coefficient based on Kendall's tau", Journal
    of the American Statistical Association 63, 1379-1389.
    """
    first, second = np.triu_indices(len(times), 1)
    run = times[second] - times[first]
    rise = values[second] - values[first]
    apart = run != 0
    if not apart.any():
        return Slope(change=Measured(value=0.0, low=0.0, high=0.0), chance=1.0)
    slopes = np.sort(rise[apart] / run[apart])
    sd = math.sqrt(_kendall_variance(times, values))
    score = float(np.sign(rise * run).sum())
    chance = 1.0 if sd == 0 or score == 0 else math.erfc((abs(score) - 1) / sd / math.sqrt(2))
    span, half = float(np.ptp(times)), Q90 * sd
    ends = ((len(slopes) - half) / 2, (len(slopes) + half) / 2)
    low = float(slopes[max(round(ends[0]) - 1, 0)])
    high = float(slopes[min(round(ends[1]), len(slopes) - 1)])
    middle = float(np.median(slopes))
    change = Measured(
        value=middle * span, low=min(low, middle) * span, high=max(high, middle) * span
    )
    return Slope(change=change, chance=min(chance, 1.0))


def focus_drift(told: Sequence[ToldOffset]) -> tuple[Habit, ...]:
    """Return whether the focus drifts over the sitting.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames whose focus was told; those of the kit used most are asked.

    Returns
    -------
    tuple of Habit
        One of kind "drift", or none.
    """
    kit = most_used_kit(told)
    own = [one for one in told if one.kit == kit and one.time_s is not None]
    points = [(one.time_s or 0.0, one.offset_mm.value, one.burst) for one in own]
    slope = slope_over_bursts(points)
    if slope is None or slope.chance >= SURE or abs(slope.change.value) < LEAST_MM:
        return ()
    away = slope.change.value > 0
    low, high = sorted((abs(slope.change.low), abs(slope.change.high)))
    return (
        Habit(
            kind="drift",
            text=(
                f"Over the sitting the focus drifts {'backwards' if away else 'forwards'}: by "
                f"{mm(slope.change.value)} ({say.span(low, high, mm)}) from the first frames to "
                f"the last, {_middles(points)}, in {say.frames(len(own))}."
            ),
            advice=(
                "Set the focus anew for every few frames: sitter or camera creeps "
                f"{'nearer' if away else 'away'}, or the lens's focus does."
            ),
            frames=len(own),
        ),
    )


def _middles(points: Sequence[tuple[float, float, int]]) -> str:
    """Return where the focus lay in the first and in the last third."""
    third = max(1, len(points) // 3)
    ends = [float(np.median([p[1] for p in part])) for part in (points[:third], points[-third:])]
    said = [
        "on the eye"
        if abs(end) < 0.5
        else f"{mm(end)} {'behind' if end > 0 else 'in front of'} the eye"
        for end in ends
    ]
    return f"from {said[0]} to {said[1]}"


def reach_drift(frames: Sequence[SittingFrame]) -> tuple[Habit, ...]:
    """Return whether the reach drifts over the sitting.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of Habit
        One of kind "drift", or none: at the settings used most (kit, aperture, shutter
        time, focal length).
    """
    known = [
        (frame, frame.answer.reach_cm.value)
        for frame in frames
        if frame.burst is not None
        and frame.answer.reach_cm is not None
        and frame.answer.reach_cm.value > 0
        and frame.reading.exposure.captured_s is not None
    ]
    if not known:
        return ()
    most = Counter(_settings(frame) for frame, _ in known).most_common(1)[0][0]
    own = [(frame, reach) for frame, reach in known if _settings(frame) == most]
    points = [
        (frame.reading.exposure.captured_s or 0.0, math.log(reach), frame.burst or 0)
        for frame, reach in own
    ]
    slope = slope_over_bursts(points)
    small = slope is None or abs(slope.change.value) < math.log(LEAST_RATIO)
    if slope is None or small or slope.chance >= SURE:
        return ()
    third = max(1, len(own) // 3)
    start, end = (float(np.median([r for _, r in part])) for part in (own[:third], own[-third:]))
    shrinks = slope.change.value < 0
    if (end < start) != shrinks:
        return ()
    low, high = sorted(abs(1 - math.exp(v)) for v in (slope.change.low, slope.change.high))
    return (
        Habit(
            kind="drift",
            text=(
                f"Over the sitting the reach {'shrinks' if shrinks else 'grows'} at the same "
                f"aperture and shutter time: from {start:.0f}{THIN}cm in the first third to "
                f"{end:.0f}{THIN}cm in the last, {say.percent(low, high)} "
                f"{'less' if shrinks else 'more'} from the first frames to the last."
            ),
            advice=(
                "Look what changed meanwhile: light, distance, focus, a tired sitter or a "
                "touched front element."
                if shrinks
                else ""
            ),
            frames=len(own),
        ),
    )


def _settings(frame: SittingFrame) -> tuple[object, ...]:
    exif = frame.reading.exposure
    return *kit_of(exif), exif.f_number, exif.focal_length_mm, exif.exposure_time_s


def slope_over_bursts(points: Sequence[tuple[float, float, int]]) -> Slope | None:
    """Return the slope over bursts: each one median, neighbours taken together if many.

    Parameters
    ----------
    points : sequence of (float, float, int)
        Time in seconds, value and burst of each frame.

    Returns
    -------
    Slope or None
        None with fewer than eight bursts.
    """
    bursts: dict[int, list[tuple[float, float]]] = {}
    for time_s, value, burst in points:
        bursts.setdefault(burst, []).append((time_s, value))
    if len(bursts) < FEWEST_BURSTS:
        return None
    middles = np.array(
        [
            [statistics.median(column) for column in zip(*own, strict=True)]
            for own in bursts.values()
        ]
    )
    middles = middles[np.argsort(middles[:, 0], kind="stable")]
    if len(middles) > MOST_BURSTS:
        middles = np.array([np.median(p, axis=0) for p in np.array_split(middles, MOST_BURSTS)])
    return robust_slope(middles[:, 0], middles[:, 1])


def _kendall_variance(times: Array, values: Array) -> float:
    """Return the variance of Kendall's S without association, ties in either taken into account."""
    n = len(times)
    ties = [np.unique(column, return_counts=True)[1].astype(float) for column in (times, values)]

    def triple(t: Array) -> float:
        return float((t * (t - 1) * (2 * t + 5)).sum())

    total = (n * (n - 1) * (2 * n + 5) - sum(triple(t) for t in ties)) / 18
    pairs = [float((t * (t - 1)).sum()) for t in ties]
    triples = [float((t * (t - 1) * (t - 2)).sum()) for t in ties]
    total += pairs[0] * pairs[1] / (2 * n * (n - 1))
    if n > 2:
        total += triples[0] * triples[1] / (9 * n * (n - 1) * (n - 2))
    return max(total, 0.0)
