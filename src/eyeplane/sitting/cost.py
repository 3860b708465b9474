"""How much reach the commonest cause costs, and which cost most in all."""

from collections.abc import Sequence

import numpy as np

from eyeplane.diagnose.words import THIN
from eyeplane.learn.mixed import fit_mixed
from eyeplane.records import Cause, FrameAnswer, Habit, Measured, SittingFrame
from eyeplane.sitting import say
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.lines import NAMES, short_cause

FEWEST = 3  # frames of a cause; fewer repeat nothing; no source
WIDEST = 1.0  # interval of a mean loss over the loss, beyond which it says nothing; no source
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
    """Return how much reach the commonest cause costs, and which costs most where that is another.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    tuple of Habit
        One of kind "cost", or none where no cause spoils three frames, or the mean loss is not
        known within its own size. How many frames fall short by each cause is told elsewhere.
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
    losses = {c: loss for c, group in named.items() if (loss := _known(mean_loss(group)))}
    most = max(named, key=lambda cause: len(named[cause]))
    if most not in losses:
        return ()
    text = f"{_name(most)} {_costs(most)} {_loss(losses[most], named[most])}."
    dearest = max(losses, key=lambda cause: losses[cause].value * len(named[cause]))
    if dearest != most:
        text += (
            f" {_name(dearest)} {_costs(dearest)} more in all:"
            f" {_loss(losses[dearest], named[dearest])}."
        )
    return (Habit(kind="cost", text=text, advice="", frames=len(named[most])),)


def _known(loss: Measured | None) -> Measured | None:
    """Return a loss that is known within its own size; others say nothing."""
    if loss is None or loss.value <= 0 or loss.high - loss.low > WIDEST * loss.value:
        return None
    return loss


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


def _costs(cause: Cause) -> str:
    return "cost" if cause == "pixels" else "costs"


def _name(cause: Cause) -> str:
    name = NAMES[cause]
    return f"{name[:1].upper()}{name[1:]}"


def _loss(loss: Measured, group: Sequence[SittingFrame]) -> str:
    return (
        f"{_whole_cm(loss.value)} of reach ({say.between(loss, _whole_cm)})"
        f" on average in each of {say.frames(len(group))}"
    )


def _whole_cm(value_cm: float) -> str:
    return f"{value_cm:.0f}{THIN}cm"
