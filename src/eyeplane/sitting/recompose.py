"""Focusing in the middle and turning the camera: the focus then falls behind an eye at the edge."""

from collections.abc import Sequence

import numpy as np

from eyeplane.diagnose.words import mm
from eyeplane.learn.focus import SHARED_ERROR_MM
from eyeplane.learn.mixed import fit_mixed, set_aside
from eyeplane.records import Habit, Measured
from eyeplane.sitting import say
from eyeplane.sitting.offsets import ToldOffset, most_used_kit, values_and_errors

FEWEST_FRAMES = 8  # and bursts below: fewer tell no slope from chance; no source
FEWEST_BURSTS = 6
SURE = 0.99  # probability of a rise from which it is called
ABOUT_ONE = (0.6, 1.5)  # the slope's interval must reach into this: others have another cause
BETTER = 2.0  # natural logarithm of how much better it must fit than a constant: 7 times
LEAST_MM = 3.0  # a widest shift below this does no harm; no source


def recompose_slope(told: Sequence[ToldOffset]) -> tuple[Measured, float, float] | None:
    """Return how the offset grows with what turning the camera would make.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames of one kit.

    Returns
    -------
    tuple or None
        Slope (1: as geometry says, 0: not at all), the probability that it is above zero, and
        the natural logarithm of how much more likely a slope of exactly 1 makes the offsets than
        none does. None with too few frames, or if all eyes lie equally far out.
    """
    usable = [one for one in told if one.point != "aside" and one.recomposed_mm is not None]
    turned = np.array([one.recomposed_mm for one in usable], dtype=float)
    if len(usable) < FEWEST_FRAMES or np.ptp(turned) < LEAST_MM:
        return None
    values, errors = values_and_errors(usable)
    design = np.column_stack([np.ones(len(usable)), turned])
    kept = set_aside(values, errors, design)
    bursts = np.array([one.burst for one in usable])[kept]
    if len(set(bursts.tolist())) < FEWEST_BURSTS or np.ptp(turned[kept]) < LEAST_MM:
        return None
    values, errors, turned = values[kept], errors[kept], turned[kept]
    places = [int(burst) for burst in bursts]
    fit = fit_mixed(values, errors, places, design[kept], extra_sd=SHARED_ERROR_MM)
    constant = np.ones((len(values), 1))
    with_turn = fit_mixed(values - turned, errors, places, constant).evidence
    without = fit_mixed(values, errors, places, constant).evidence
    slope = fit.coefficients[1]
    return slope.measured(), 1.0 - slope.below(0.0), with_turn - without


def recompose(told: Sequence[ToldOffset]) -> tuple[Habit, ...]:
    """Return whether focusing in the middle and recomposing shows over the sitting.

    Parameters
    ----------
    told : sequence of ToldOffset
        Frames whose focus was told; those of the kit used most are asked.

    Returns
    -------
    tuple of Habit
        One of kind "recompose", or none. Called only if the offset surely grows with the eye's
        distance from the middle, by about as much as geometry says, and fits that better than a
        constant. Frames whose focus point lay off the middle are left out.
    """
    kit = most_used_kit(told)
    own = [one for one in told if one.kit == kit and one.point != "aside"]
    found = recompose_slope(own)
    if found is None:
        return ()
    slope, rises, better = found
    about_one = slope.low <= ABOUT_ONE[1] and slope.high >= ABOUT_ONE[0]
    if rises < SURE or not about_one or better < BETTER:
        return ()
    turned = [one.recomposed_mm for one in own if one.recomposed_mm is not None]
    middle, most = float(np.median(turned)), max(turned)
    return (
        Habit(
            kind="recompose",
            text=(
                "The farther the eye is from the middle of the frame, the farther behind it the "
                "focus lies, as it does after focusing in the middle and turning the camera: "
                f"{slope.value:.1f} times ({slope.low:.1f} to {slope.high:.1f}) what that makes, "
                f"which here is {mm(middle)} in the middle frame and {mm(most)} at most, in "
                f"{say.frames(len(turned))}."
            ),
            advice=(
                "Put the focus point on the eye instead of recomposing; or shift the camera "
                "sideways without turning it."
            ),
            frames=len(turned),
        ),
    )
