"""Closed eyes over a sitting: more than blinking makes, and how many more frames that asks for."""

import math
from collections.abc import Sequence

import numpy as np

from eyeplane.learn.mixed import Array
from eyeplane.learn.recency import effective_weights
from eyeplane.people import BLINK_SHARE
from eyeplane.records import Habit, SittingFrame
from eyeplane.sitting import say
from eyeplane.sitting.bursts import eyes_closed

FEWEST_CLOSED = 3  # fewer make no habit; no source
SURE = 0.98  # of the interval whose low end is held against blinking
ENOUGH = 0.99  # probability of one frame with open eyes that the number of frames aims at
SHUFFLES = 400  # of the test whether closed frames come together
CLUSTERED = 0.02  # chance below which they are said to


def eyes_closed_habit(frames: Sequence[SittingFrame]) -> tuple[Habit, ...]:
    """Return whether eyes were closed more often than blinking makes.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of Habit
        One of kind "eyes closed", or none.

    Notes
    -----
    For n people the share of frames with somebody's lids down is 1 − (1 − p)^n, p the share of
    one; what is seen is held against the upper p with the middle number of people. Frames of a
    burst count for less than one each.
    """
    shown = [frame for frame in frames if frame.burst is not None]
    shut = [eyes_closed(frame.answer) for frame in shown]
    closed = sum(shut)
    if closed < FEWEST_CLOSED:
        return ()
    bursts = [frame.burst or 0 for frame in shown]
    weight = effective_weights(bursts)
    part, count = float(weight @ np.array(shut, float)), float(weight.sum())
    people = int(np.median([_people(frame) for frame in shown]))
    usual = tuple(1 - (1 - p) ** people for p in BLINK_SHARE)
    if say.share_between(part, count, chance=SURE)[0] <= usual[1]:
        return ()
    low, high = say.share_between(part, count)
    text = (
        f"Eyes are closed in {say.of_frames(closed, len(shown))} ({say.percent(low, high)}): more "
        f"than the {say.percent(*usual)} that blinking makes"
    )
    text += f" with {people} people." if people > 1 else "."
    if chance_of_clusters(shut, bursts) < CLUSTERED:
        where = len({burst for burst, one in zip(bursts, shut, strict=True) if one})
        text += f" They come together, in {where} of {len(set(bursts))} bursts."
    return (Habit(kind="eyes closed", text=text, advice=_advice(low, high), frames=closed),)


def frames_for_open(share: float) -> int:
    """Return how many frames it takes until one of them has open eyes, 99 times in 100.

    Parameters
    ----------
    share : float
        Of frames with closed eyes, in [0, 1).

    Returns
    -------
    int
        The least n with share^n <= 0.01.

    Examples
    --------
    >>> frames_for_open(0.3)
    4
    """
    return 1 if share <= 1 - ENOUGH else math.ceil(math.log(1 - ENOUGH) / math.log(share) - 1e-9)


def chance_of_clusters(marked: Sequence[bool], bursts: Sequence[int]) -> float:
    """Return how likely chance alone brings marked frames together in bursts as much as here.

    Parameters
    ----------
    marked : sequence of bool
        Frame by frame.
    bursts : sequence of int
        Their bursts.

    Returns
    -------
    float
        One-sided probability by shuffling the marks over all frames, always the same for the same
        frames; 1 where no burst has two frames.
    """
    marks = np.asarray(marked, dtype=float)
    _, groups = np.unique(np.asarray(bursts), return_inverse=True)
    if np.bincount(groups).max() < 2 or marks.all() or not marks.any():
        return 1.0
    count = int(groups.max()) + 1

    def together(row: Array) -> float:
        return float((np.bincount(groups, row, count) ** 2).sum())

    rng = np.random.default_rng(1)
    seen = together(marks)
    as_much = sum(together(rng.permutation(marks)) >= seen for _ in range(SHUFFLES))
    return (as_much + 1) / (SHUFFLES + 1)


def _people(frame: SittingFrame) -> int:
    return max(1, sum(face.sitter for face in frame.answer.faces))


def _advice(low: float, high: float) -> str:
    few, many = frames_for_open(low), frames_for_open(min(high, 0.95))
    number = f"{few}" if few == many else f"{few} to {many}"
    return (
        f"Take {number} frames of each pose, so that one has open eyes (99 times in 100); ask for "
        "closed eyes and have them open on a count, and turn the lamps that dazzle."
    )
