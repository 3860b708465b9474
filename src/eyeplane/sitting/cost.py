"""Which cause costs most frames, and which costs most reach."""

from collections.abc import Sequence

import numpy as np

from eyeplane.diagnose.words import THIN, print_cm
from eyeplane.records import Cause, FrameAnswer, Habit, Measured, SittingFrame
from eyeplane.sitting import say
from eyeplane.sitting.blinks import effective_weights
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.lines import NAMES, short_cause
from eyeplane.sitting.mixed import fit_mixed

FEWEST = 3  # frames of a cause; fewer repeat nothing; no source
READING_CM = 0.5  # error of one frame's loss that is always there: reach is told in whole cm


def lost_cm(answer: FrameAnswer) -> float | None:
    """Return the reach that the cause of a frame costs.

    Parameters
    ----------
    answer : FrameAnswer
        Of one frame.

    Returns
    -------
    float or None
        Reach of the deciding face without the part of the budget that its cause names, less its
        reach; None if the budget does not say.
    """
    if answer.deciding is None or answer.reach_cm is None:
        return None
    cause = short_cause(answer)
    budget = answer.faces[answer.deciding].budget
    without = [
        part.reach_without_cm
        for part in budget
        if part.cause in (cause, "cannot tell") and part.reach_without_cm is not None
    ]
    return max(max(without) - answer.reach_cm.value, 0.0) if without else None


def cost(frames: Sequence[SittingFrame], *, goal_cm: float) -> tuple[Habit, ...]:
    """Return which cause costs most frames, and which most reach where that is another.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    tuple of Habit
        One of kind "cost", or none where no cause spoils three frames.
    """
    shown = [frame for frame in frames if frame.burst is not None]
    groups: dict[Cause, list[SittingFrame]] = {}
    for frame in shown:
        cause = "cannot tell" if holds_goal(frame.answer, goal_cm) else short_cause(frame.answer)
        if cause != "cannot tell":
            groups.setdefault(cause, []).append(frame)
    named = {cause: group for cause, group in groups.items() if len(group) >= FEWEST}
    if not named:
        return ()
    most = max(named, key=lambda cause: len(named[cause]))
    losses = {cause: mean_loss(group) for cause, group in named.items()}
    print_words = print_cm(goal_cm)
    text = f"{_most_frames(shown, most, named[most], print_words)}{_reach_of(losses[most])}."
    totals = {c: one.value * len(named[c]) for c, one in losses.items() if one is not None}
    if totals:
        dearest = max(totals, key=lambda cause: totals[cause])
        loss = losses[dearest]
        if dearest != most and loss is not None:
            text += f" {_name(dearest)} {_costs(dearest)} most reach{_reach_of(loss)}."
    return (Habit(kind="cost", text=text, advice="", frames=len(named[most])),)


def mean_loss(group: Sequence[SittingFrame]) -> Measured | None:
    """Return the mean reach lost in some frames.

    Parameters
    ----------
    group : sequence of SittingFrame
        Frames of one cause.

    Returns
    -------
    Measured or None
        Centimetres, with the interval of the mean over bursts, never below 0; None with fewer
        than three frames whose loss is known.
    """
    pairs = [(lost_cm(frame.answer), frame.burst or 0) for frame in group]
    known = [(loss, burst) for loss, burst in pairs if loss is not None]
    if len(known) < FEWEST:
        return None
    values = np.array([loss for loss, _ in known], dtype=float)
    errors = np.full(len(values), READING_CM)
    fit = fit_mixed(values, errors, [burst for _, burst in known], np.ones((len(values), 1)))
    mean = fit.coefficients[0].measured()
    value = max(mean.value, 0.0)
    return Measured(value=value, low=max(mean.low, 0.0), high=max(mean.high, value))


def _most_frames(
    shown: Sequence[SittingFrame], cause: Cause, group: Sequence[SittingFrame], print_words: str
) -> str:
    own = {id(frame) for frame in group}
    weight = effective_weights([frame.burst or 0 for frame in shown])
    marks = np.array([id(frame) in own for frame in shown], dtype=float)
    low, high = say.share_between(float(weight @ marks), float(weight.sum()))
    return (
        f"{_name(cause)} {_costs(cause)} most frames: {say.of_frames(len(group), len(shown))} "
        f"({say.percent(low, high)}) fall short of {print_words}"
    )


def _costs(cause: Cause) -> str:
    return "cost" if cause == "pixels" else "costs"


def _name(cause: Cause) -> str:
    name = NAMES[cause]
    return f"{name[:1].upper()}{name[1:]}"


def _reach_of(loss: Measured | None) -> str:
    if loss is None:
        return ""
    return f", on average {_whole_cm(loss.value)} of reach ({say.between(loss, _whole_cm)}) in each"


def _whole_cm(value_cm: float) -> str:
    return f"{value_cm:.0f}{THIN}cm"
