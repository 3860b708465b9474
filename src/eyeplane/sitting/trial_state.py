"""How far a guided trial is: which frames count for which step, and why others do not."""

import math
from collections.abc import Sequence
from pathlib import PurePath

from eyeplane.errors import InputError
from eyeplane.light.camera_words import f_stop, shutter
from eyeplane.records import Exposure, FrameReading, SittingFrame
from eyeplane.records.live import LiveFrame
from eyeplane.records.trial import Trial, TrialAside, TrialCount, TrialState, TrialStep
from eyeplane.sitting.bursts import FOCAL_RATIO
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.ladder_outcomes import FLASH, NO_TIME, UNREADABLE, Outcome, outcome_of
from eyeplane.sitting.ladder_smeared import with_smeared
from eyeplane.sitting.ladder_units import limits_of
from eyeplane.sitting.offsets import kit_of

SAME_STOPS = 1 / 6  # of a stop: half the way to the next mark; cameras are marked in thirds
MOST_FRAMES = 400  # that a trial looks at: ten times the longest one proposed
TOO_MANY = f"beyond the first {MOST_FRAMES} frames of the trial"
OTHER_KIT = "of another body or lens than the first one"
NO_STOP = "the file does not tell its aperture"


def trial_state(
    trial: Trial, frames: Sequence[LiveFrame], asked: LadderAsked | None = None
) -> TrialState:
    """Return how far a trial is.

    Parameters
    ----------
    trial : Trial
        What is to be photographed.
    frames : sequence of LiveFrame
        Those taken in after it began, in order of number.
    asked : LadderAsked or None
        For a ladder of a sitter: its print and viewer; None: frames count by their settings alone.

    Returns
    -------
    TrialState
        A frame of a ladder of a sitter counts if the ladder itself counts it: not where it is soft
        by focus, say. A frame in which no face is found counts as lost only where shake has
        smeared the whole picture. At a chart and in checks the settings decide.

    Notes
    -----
    A setting is a step's where it lies within a sixth of a stop of it, so that 1/64 s, as some
    files write 1/60 s, is one, and the next mark of the camera is not.
    """
    fitting: list[tuple[LiveFrame, int]] = []
    aside: list[TrialAside] = []
    for place, one in enumerate(frames):
        first = fitting[0][0].frame.reading if fitting else None
        step, why = _step_of(trial, one.frame.reading, first)
        if place >= MOST_FRAMES:
            step, why = None, TOO_MANY
        if step is None:
            aside.append(_aside(one, why))
        else:
            fitting.append((one, step))
    outcomes = _outcomes(trial, [one.frame for one, _ in fitting], asked)
    counted, lost = [0] * len(trial.steps), [0] * len(trial.steps)
    for (one, step), outcome in zip(fitting, outcomes, strict=True):
        if outcome is not None and outcome.verdict == "left out":
            aside.append(_aside(one, outcome.why))
            continue
        counted[step] += 1
        lost[step] += outcome is not None and outcome.verdict != "holds"
    counts = tuple(
        TrialCount(step=step, counted=n, lost=gone)
        for step, n, gone in zip(trial.steps, counted, lost, strict=True)
    )
    return TrialState(
        counts=counts,
        now=_now(counts, fitting[-1][1] if fitting else 0),
        frames=tuple(one.number for one, _ in fitting),
        aside=tuple(sorted(aside, key=lambda one: -one.number)),
    )


def step_words(step: TrialStep) -> str:
    """Return the setting of a step.

    Parameters
    ----------
    step : TrialStep
        A step.

    Returns
    -------
    str
        "1/250 s", "f/2.8", or both; empty where any will do.
    """
    parts = []
    if step.shutter_s is not None:
        parts.append(shutter(step.shutter_s))
    if step.f_number is not None:
        parts.append(f_stop(step.f_number))
    return ", ".join(parts)


def _step_of(
    trial: Trial, reading: FrameReading, first: FrameReading | None
) -> tuple[int | None, str]:
    """Return which step a frame belongs to, or why to none."""
    exif = reading.exposure
    if reading.status == "unreadable":
        return None, reading.reason.rstrip(".") or UNREADABLE
    if trial.kind == "ladder":
        if not exif.exposure_time_s:
            return None, NO_TIME
        if exif.flash_fired:
            return None, FLASH
    if first is not None:
        why = _unlike(exif, first.exposure)
        if why:
            return None, why
    return _matched(trial, exif)


def _matched(trial: Trial, exif: Exposure) -> tuple[int | None, str]:
    for number, step in enumerate(trial.steps):
        if _same(step.shutter_s, exif.exposure_time_s, 1.0) and _same(
            step.f_number, exif.f_number, 2.0
        ):
            return number, ""
    if any(step.f_number is not None for step in trial.steps):
        if not exif.f_number:
            return None, NO_STOP
        return None, f"{f_stop(exif.f_number)} is not part of this trial"
    return None, f"{shutter(exif.exposure_time_s or 1.0)} is not part of this trial"


def _same(wanted: float | None, found: float | None, stops_each: float) -> bool:
    if wanted is None:
        return True
    if not found:
        return False
    return abs(stops_each * math.log2(found / wanted)) < SAME_STOPS


def _unlike(exif: Exposure, first: Exposure) -> str:
    if kit_of(exif) != kit_of(first):
        return OTHER_KIT
    mine, its = exif.focal_length_mm, first.focal_length_mm
    if mine and its and max(mine, its) > FOCAL_RATIO * min(mine, its):
        return f"at {mine:g}\u2009mm, and the first one at {its:g}\u2009mm"
    return ""


def _outcomes(
    trial: Trial, frames: Sequence[SittingFrame], asked: LadderAsked | None
) -> list[Outcome | None]:
    """Return what frames of a ladder of a sitter say; None where only their settings are asked."""
    if asked is None or trial.subject != "sitter" or not frames:
        return [None] * len(frames)
    try:
        limits = limits_of(frames[0].reading, asked, where=asked.name or "ladder")
    except InputError:
        return [None] * len(frames)  # told when the ladder is worked out, with what to do
    told = [outcome_of(frame, number, limits) for number, frame in enumerate(frames)]
    return list(with_smeared(frames, told))


def _now(counts: Sequence[TrialCount], last: int) -> int | None:
    """Return the step to shoot: the one that is being shot, or else the first with room."""
    room = [n for n, one in enumerate(counts) if one.counted < one.step.frames]
    if not room:
        return None
    return last if last in room else room[0]


def _aside(one: LiveFrame, why: str) -> TrialAside:
    path = one.frame.reading.path
    return TrialAside(number=one.number, name=PurePath(path).name, why=why)
