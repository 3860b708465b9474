"""Whether the sitting was simply too dark: eyes far below mid-grey."""

import math
from collections.abc import Sequence

import numpy as np

from eyeplane.learn.recency import effective_weights
from eyeplane.records import Habit, SittingFrame
from eyeplane.sitting import say

MID_GREY = 0.18  # share of white in linear light; common practice, no source
DARK_STOPS = 2.0  # under mid-grey at the eyes: lids and iris of dark skin well lit lie at 1 to 1.5,
# from memory
FEWEST_BURSTS = 3  # fewer make no habit; no source
LEAST_SHARE = 0.1  # of the frames, at the low end of its interval


def dark(frames: Sequence[SittingFrame]) -> tuple[Habit, ...]:
    """Return whether the eyes lie in the dark again and again.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of Habit
        One of kind "dark", or none. A frame counts if it was found dark, or if the eyes of the
        deciding face lie two stops or more under mid-grey.
    """
    shown = [frame for frame in frames if frame.burst is not None]
    marks = [_is_dark(frame) for frame in shown]
    bursts = [frame.burst or 0 for frame in shown]
    times = len({burst for burst, mark in zip(bursts, marks, strict=True) if mark})
    if times < FEWEST_BURSTS:
        return ()
    weight = effective_weights(bursts)
    low, high = say.share_between(float(weight @ np.array(marks, float)), float(weight.sum()))
    if low < LEAST_SHARE:
        return ()
    count = sum(marks)
    text = f"The eyes are dark in {say.of_frames(count, len(shown))} ({say.percent(low, high)})"
    under = [_stops(frame) for frame, mark in zip(shown, marks, strict=True) if mark]
    told = [stops for stops in under if stops is not None]
    if told:
        text += f": {float(np.median(told)):.1f} stops under mid-grey in the middle frame"
    return (
        Habit(
            kind="dark",
            text=text + ".",
            advice=(
                "Bring light to the face: nearer to the window or the lamp, or a reflector below; "
                "a higher ISO alone brightens the grain with it. Sandbag every stand."
            ),
            frames=count,
        ),
    )


def _is_dark(frame: SittingFrame) -> bool:
    answer = frame.answer
    findings = [*answer.findings]
    if answer.deciding is not None:
        findings += answer.faces[answer.deciding].findings
    stops = _stops(frame)
    return any(found.kind == "dark" for found in findings) or (
        stops is not None and stops >= DARK_STOPS
    )


def _stops(frame: SittingFrame) -> float | None:
    """Return how far the eyes of the deciding face lie under mid-grey."""
    if frame.answer.deciding is None:
        return None
    level = frame.reading.faces[frame.answer.deciding].level
    return None if level is None or level <= 0 else math.log2(MID_GREY / level)
