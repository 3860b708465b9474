"""Whether the shutter was too slow for this sitter or for this hand, and which time would do."""

import math
from collections.abc import Sequence

import numpy as np

from eyeplane.diagnose.words import THIN, print_cm, shutter
from eyeplane.learn.speeds import Mover, Speed, SpeedFit, fit_speeds
from eyeplane.light import SHUTTER_PARTS
from eyeplane.optics.reach import SHARP
from eyeplane.optics.sharpness import px_per_deg
from eyeplane.records import STANDARD_VIEWING_CM, Habit, Measured, SittingFrame, Viewing
from eyeplane.sitting import say
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.seen import Spreads, largest_line_px
from eyeplane.sitting.speeds import mostly_owned, speeds_of

FEWEST_LOST = 3  # frames lost to it, from two bursts; fewer make no habit; no source
LOST_SHARE = 0.1  # of the frames; at nine in ten held there is nothing to change
SLOWER = 1.1  # shutter time over the time that holds, from which it is too slow
CLOSE = 1.06  # a third stop is 1.26: closer than this a setting is the time asked for
SHOWN = 4  # shutter times whose losses are told
CHILDREN = (
    "Children do not keep still on request: rather a shorter time than asking again; somebody "
    "stays beside a child on a stool."
)


def shutter_habit(
    frames: Sequence[SittingFrame], *, goal_cm: float, viewing: Viewing
) -> tuple[Habit, ...]:
    """Return whether the shutter was too slow for the sitter, and for the hand.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    goal_cm : float
        Print edge that counts as held.
    viewing : Viewing
        For the viewer's distance.

    Returns
    -------
    tuple of Habit
        Kind "shutter", at most one for each of the two; only where three frames or more, a tenth
        or more of all, were lost to it.
    """
    found = []
    for mover in ("sitter", "shake"):
        habit = _habit(frames, mover, goal_cm, viewing)
        found += [] if habit is None else [habit]
    return tuple(found)


def holding_time(
    frames: Sequence[SittingFrame],
    speeds: Sequence[Speed],
    fit: SpeedFit,
    *,
    goal_cm: float,
    viewing: Viewing,
) -> Measured | None:
    """Return the shutter time at which nine frames in ten would hold a print, motion alone.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    speeds : sequence of Speed
        Of these frames.
    fit : SpeedFit
        Of those speeds.
    goal_cm : float
        Print edge that counts as held.
    viewing : Viewing
        For the viewer's distance.

    Returns
    -------
    Measured or None
        Seconds; None if grain and pixels leave no room for any motion.

    Notes
    -----
    The longest line that still looks sharp, by the same optics as every reach, over the speed
    that nine exposures in ten stay below; for the frame of middle scale.
    """
    allowed = []
    own = [(frames[one.number], one) for one in speeds]
    noise = np.array([_noise(frame) for frame, _ in own])
    edges = np.array([max(f.reading.width_px, f.reading.height_px) for f, _ in own], float)
    distance_cm = viewing.distance_cm or STANDARD_VIEWING_CM
    scale = px_per_deg(long_edge_px=1.0, print_cm=goal_cm, viewing_cm=distance_cm)
    kinds, index = np.unique(
        np.round(np.column_stack([noise, edges]), 3), axis=0, return_inverse=True
    )
    nothing = np.zeros(len(kinds))
    longest = largest_line_px(
        Spreads(
            disc_px=nothing,
            line_px=nothing,
            airy_px=nothing,
            noise_contrast=kinds[:, 0],
            px_per_deg=kinds[:, 1] * scale,
        ),
        SHARP,
    )[index.ravel()]
    allowed = longest * np.array([one.unit_per_px for _, one in own])
    middle = float(np.median(allowed))
    if middle <= 0:
        return None
    fast = fit.fast
    return Measured(value=middle / fast.value, low=middle / fast.high, high=middle / fast.low)


def _habit(
    frames: Sequence[SittingFrame], mover: Mover, goal_cm: float, viewing: Viewing
) -> Habit | None:
    speeds = speeds_of(frames, mover)
    fit = fit_speeds(speeds)
    if fit is None:
        return None
    lost = [one for one in speeds if one.seen and _lost(frames[one.number], mover, goal_cm)]
    few = len(lost) < FEWEST_LOST or len({one.burst for one in lost}) < 2
    if few or len(lost) < LOST_SHARE * len(speeds):
        return None
    time = holding_time(frames, speeds, fit, goal_cm=goal_cm, viewing=viewing)
    if time is None or _slowest(frames, lost) < SLOWER * time.value:
        return None
    target = next((1 / part for part in SHUTTER_PARTS if 1 / part <= time.value * CLOSE), None)
    hold = (
        f"9 frames in 10 would hold {print_cm(goal_cm)} at {shutter(target or time.value)} "
        f"({say.span(time.low, time.high, _setting)})."
    )
    owner = mover if mostly_owned(frames, speeds, mover) else None
    text = f"{_speed(mover, owner, fit)} Lost to it: {_losses(frames, speeds, lost)}. {hold}"
    return Habit(kind="shutter", text=text, advice=shutter_advice(owner, target), frames=fit.frames)


def _lost(frame: SittingFrame, mover: Mover, goal_cm: float) -> bool:
    return not holds_goal(frame.answer, goal_cm) and short_cause(frame.answer) in (mover, "motion")


def _noise(frame: SittingFrame) -> float:
    noise = frame.reading.faces[frame.answer.deciding or 0].noise_contrast
    return 0.0 if noise is None else max(noise.value, 0.0)


def _slowest(frames: Sequence[SittingFrame], lost: Sequence[Speed]) -> float:
    return max(frames[one.number].reading.exposure.exposure_time_s or 0.0 for one in lost)


def _speed(mover: Mover, owner: Mover | None, fit: SpeedFit) -> str:
    unit = "mm/s" if mover == "sitter" else "°/s"
    digits = 0 if mover == "sitter" and fit.median.value >= 3 else 1

    def said(value: float) -> str:
        return f"{value:.{digits}f}{THIN}{unit}"

    who = "This sitter moves" if owner == "sitter" else "Your camera turns"
    if owner is None:
        who = "Something moves (the sitter or your camera: whose motion it is cannot be told)"
    most = say.between(fit.median, said)
    return f"{who} at {said(fit.median.value)}, {most} in nine exposures of ten."


def _setting(time_s: float) -> str:
    """Return the nearest time that cameras have."""
    part = min(SHUTTER_PARTS, key=lambda p: abs(math.log(p * time_s)))
    return shutter(1 / part if part * time_s < 1.5 else time_s)


def _losses(frames: Sequence[SittingFrame], speeds: Sequence[Speed], lost: Sequence[Speed]) -> str:
    """Return how many frames were lost at each shutter time that lost any, slowest first."""
    gone = {one.number for one in lost}
    times: dict[float, list[bool]] = {}
    for one in speeds:
        time_s = frames[one.number].reading.exposure.exposure_time_s or 0.0
        times.setdefault(time_s, []).append(one.number in gone)
    counts: dict[str, tuple[float, int, int]] = {}
    for time_s, marks in times.items():
        _, bad, every = counts.get(shutter(time_s), (time_s, 0, 0))
        counts[shutter(time_s)] = (time_s, bad + sum(marks), every + len(marks))
    losing = [item for item in counts.items() if item[1][1]]
    most = sorted(losing, key=lambda item: (-item[1][1], -item[1][0]))[:SHOWN]
    most.sort(key=lambda item: -item[1][0])
    parts = [f"{bad} of {every} at {name}" for name, (_, bad, every) in most]
    rest = sum(every for _, _, every in counts.values()) - sum(c[2] for _, c in most)
    bad_rest = len(gone) - sum(c[1] for _, c in most)
    others = f", {bad_rest or 'none'} of {rest} at other times" if rest else ""
    return ", ".join(parts) + others


def shutter_advice(owner: Mover | None, target_s: float | None) -> str:
    """Return what to do about a shutter that is too slow.

    Parameters
    ----------
    owner : {"sitter", "shake"} or None
        Whose motion it is; None where it cannot be told.
    target_s : float or None
        The time to use, s; None if not even the shortest would do.

    Returns
    -------
    str
        One sentence; with a caution where children may be meant.
    """
    if target_s is None:
        told = "Not even the shortest shutter time would do: flash, or wait until it is still."
        return "Use a tripod." if owner == "shake" else told
    if owner is None:
        return f"Use {shutter(target_s)} or shorter; if a tripod cures it, it was your hand."
    if owner == "shake":
        return f"Use {shutter(target_s)} or shorter with this lens, or a tripod."
    return f"Use {shutter(target_s)} or shorter for this sitter. {CHILDREN}"
