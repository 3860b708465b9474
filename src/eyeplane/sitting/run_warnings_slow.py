"""What creeps in over a run: focus that drifts, a shutter too slow, a veil on the glass."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.diagnose.words import mm, shutter
from eyeplane.learn.speeds import Mover, fit_speeds
from eyeplane.light import SHUTTER_PARTS
from eyeplane.records import SittingFrame, Viewing
from eyeplane.sitting import say
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.drift import LEAST_MM, slope_over_bursts
from eyeplane.sitting.lines import short_cause
from eyeplane.sitting.offsets import ToldOffset, kit_of, told_offsets
from eyeplane.sitting.shutter import CLOSE, FEWEST_LOST, SLOWER, holding_time, shutter_advice
from eyeplane.sitting.speeds import mostly_owned, speeds_of
from eyeplane.sitting.veil import veil_habits

Words = tuple[str, str]  # what is said, and the remedy

DRIFT_SURE = 0.001  # chance of such a drift without one; asked again with every burst of a run
DRIFT_BURSTS = 24  # newest bursts that are asked: what crept in an hour ago was said or mended
SET_ANEW = 4  # newest bursts by which it is told that the focus was set anew
SLOW_RUN = 40  # newest frames that the shutter is judged by
STILL = 10  # frames without one lost to motion, after which the shutter may be warned of again
VEIL_RUN = 48  # newest frames that are asked for a veil
VEIL_EVERY = 4  # frames between two looks: a step needs four after it


@dataclass(frozen=True, slots=True, kw_only=True)
class Creeping:
    """How the focus stands.

    Attributes
    ----------
    since : int
        Frames before this number are not asked any more.
    said : bool
        Whether a drift was told that is not mended.
    home_mm, away : float
        Where the focus lay before it drifted, and the sign of the drift.
    """

    since: int = 0
    said: bool = False
    home_mm: float = 0.0
    away: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Slow:
    """How the shutter stands.

    Attributes
    ----------
    said : bool
        Whether it was told too slow and was not mended.
    hold_s : float
        The time that would hold.
    """

    said: bool = False
    hold_s: float = 0.0


def focus_creeps(
    numbers: Sequence[int], frames: Sequence[SittingFrame], before: Creeping
) -> tuple[Creeping, Words | None]:
    """Return whether the focus drifts over the newest bursts.

    Parameters
    ----------
    numbers : sequence of int
        What the frames are called.
    frames : sequence of SittingFrame
        The run, the newest last.
    before : Creeping
        How it stood.

    Returns
    -------
    tuple of (Creeping, tuple of str or None)
        How it stands, and what is to be said.

    Notes
    -----
    The slope over the newest 24 bursts with the kit of the newest frame, as for a whole sitting
    (`eyeplane.sitting.drift`), but surer, since it is asked again and again. After a warning it
    is mended once the median of four bursts lies nearer to where it was than half the way.
    """
    if not told_offsets(frames[-1:]):
        return before, None
    told = told_offsets(frames)
    own = [one for one in told if one.kit == told[-1].kit and one.time_s is not None]
    own = [one for one in own if numbers[one.number] >= before.since]
    newest = sorted({one.burst for one in own})[-DRIFT_BURSTS:]
    points = [
        (one.time_s or 0.0, one.offset_mm.value, one.burst) for one in own if one.burst in newest
    ]
    if before.said:
        late = [value for _, value, burst in points if burst in newest[-SET_ANEW:]]
        left = before.away * (float(np.median(late)) - before.home_mm)
        if len(newest) < SET_ANEW or left > LEAST_MM / 2:
            return before, None
        return Creeping(since=_first(numbers, own, newest[-SET_ANEW:])), None
    slope = slope_over_bursts(points)
    if slope is None or slope.chance >= DRIFT_SURE or abs(slope.change.value) < LEAST_MM:
        return before, None
    away = slope.change.value > 0
    low, high = sorted((abs(slope.change.low), abs(slope.change.high)))
    third = [value for _, value, burst in points if burst in newest[: len(newest) // 3]]
    after = Creeping(
        since=_first(numbers, own, newest[-SET_ANEW:]),
        said=True,
        home_mm=float(np.median(third)),
        away=1.0 if away else -1.0,
    )
    return after, (
        f"The focus drifts {'backwards' if away else 'forwards'}: by {mm(slope.change.value)} "
        f"({say.span(low, high, mm)}) over the last {say.frames(len(points))}.",
        "Set the focus anew for every few frames: sitter or camera creeps "
        f"{'nearer' if away else 'away'}, or the lens's focus does.",
    )


def too_slow(
    frames: Sequence[SittingFrame], before: Slow, *, goal_cm: float, viewing: Viewing
) -> tuple[Slow, Words | None]:
    """Return whether the shutter is too slow for this sitter, or this hand.

    Parameters
    ----------
    frames : sequence of SittingFrame
        The run, the newest last.
    before : Slow
        How it stood.
    goal_cm : float
        Print edge that counts as held.
    viewing : Viewing
        For the viewer's distance.

    Returns
    -------
    tuple of (Slow, tuple of str or None)
        How it stands, and what is to be said.

    Notes
    -----
    Told if the newest frame is lost to motion, three of the newest forty are, from two bursts,
    and the time used is longer than that at which nine in ten would hold, by its whole interval.
    Mended once a frame is shot near that time, or ten in a row without one lost.
    """
    run = frames[-SLOW_RUN:]
    time_s = run[-1].reading.exposure.exposure_time_s
    if not time_s:
        return before, None
    if before.said:
        some = any(_lost(one, goal_cm) for one in run[-STILL:])
        mended = time_s <= before.hold_s * CLOSE or (not some and len(run) >= STILL)
        return (Slow() if mended else before), None
    if not _lost(run[-1], goal_cm):
        return before, None
    mover: Mover = "shake" if short_cause(run[-1].answer) == "shake" else "sitter"
    speeds = speeds_of(run, mover)
    missed = [one for one in speeds if one.seen and _lost(run[one.number], goal_cm)]
    fit = fit_speeds(speeds)
    if fit is None or len(missed) < FEWEST_LOST or len({one.burst for one in missed}) < 2:
        return before, None
    hold = holding_time(run, speeds, fit, goal_cm=goal_cm, viewing=viewing)
    if hold is None or time_s < SLOWER * hold.high:
        return before, None
    target = next((1 / part for part in SHUTTER_PARTS if 1 / part <= hold.value * CLOSE), None)
    owner = mover if mostly_owned(run, speeds, mover) else None
    whom = {"sitter": "for this sitter", "shake": "for your hand", None: "for what moves here"}
    text = (
        f"{shutter(time_s)} is too slow {whom[owner]}: {say.of_frames(len(missed), len(speeds))} "
        f"lost to motion."
    )
    return Slow(said=True, hold_s=target or hold.value), (text, shutter_advice(owner, target))


def veiled(
    numbers: Sequence[int], frames: Sequence[SittingFrame], since: int
) -> tuple[int, Words | None]:
    """Return whether a veil came over a part of the frame.

    Parameters
    ----------
    numbers : sequence of int
        What the frames are called.
    frames : sequence of SittingFrame
        The run, the newest last.
    since : int
        Frames before this number are not asked any more.

    Returns
    -------
    tuple of (int, tuple of str or None)
        From which number on is asked next time, and what is to be said.

    Notes
    -----
    Looked for every fourth frame, over the newest 48, by `eyeplane.sitting.veil_step`. Once told,
    the veiled frames are what later ones are held against: it is told again only if more comes.
    """
    asked = [n for n, number in enumerate(numbers) if number >= since][-VEIL_RUN:]
    if not asked or numbers[-1] % VEIL_EVERY:
        return since, None
    kit = kit_of(frames[-1].reading.exposure)
    own = [n for n in asked if kit_of(frames[n].reading.exposure) == kit]
    found = veil_habits([frames[n] for n in own], [numbers[n] for n in own])
    if not found:
        return since, None
    return numbers[-1], (found[0].text, found[0].advice)


def _first(numbers: Sequence[int], told: Sequence[ToldOffset], bursts: Sequence[int]) -> int:
    """Return the number of the first frame of some bursts."""
    return min(numbers[one.number] for one in told if one.burst in bursts)


def _lost(frame: SittingFrame, goal_cm: float) -> bool:
    motion = short_cause(frame.answer) in ("sitter", "shake", "motion")
    return motion and frame.answer.reach_cm is not None and not holds_goal(frame.answer, goal_cm)
