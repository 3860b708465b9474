"""Frames drawn at random, the same for all settings: what differs from exposure to exposure.

Stratified (Latin hypercube: M. D. McKay, R. J. Beckman and W. J. Conover, Technometrics 21, 1979),
so that each spread is met evenly; and the same draws for all settings, so that settings are
compared in like frames.
"""

import functools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import special

FloatArray = NDArray[np.float64]

FRAMES = 1024  # of one sitter: a share is right to about 1 % by the drawing
GROUP_FRAMES = 384  # of a group, whose people are many
BELIEFS = 30  # sets of unsure numbers for an interval
BELIEF_FRAMES = 384  # of each set: enough beside what is unsure
SEED = 20_261_126  # of every plan, so that the same question has the same answer


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameDraws:
    """What differs from frame to frame, and what is unsure, as standard numbers.

    Attributes
    ----------
    focus_z, hand_z, sway_z : ndarray
        Standard normal, one a frame: focus, turn of the camera, its sway.
    miss_u, miss_cauchy : ndarray
        Uniform 0..1, and standard Cauchy.
    pick_u, sitter_z, angle_cos : ndarray
        (people, frames): which part of a mixture, standard normal, cosine of the angle between
        the motions of hand and sitter.
    focus_belief_z, hand_belief_z, sitter_belief_z : ndarray
        Standard normal, one a frame: what is believed of the unsure numbers.
    glass_z : ndarray
        Standard normal, one a set: what is believed of the glass.
    beliefs_z : ndarray
        (sets, 4): the same for whole sets of frames: focus, hand, sitter, share of misses.
    """

    focus_z: FloatArray
    hand_z: FloatArray
    sway_z: FloatArray
    miss_u: FloatArray
    miss_cauchy: FloatArray
    pick_u: FloatArray
    sitter_z: FloatArray
    angle_cos: FloatArray
    focus_belief_z: FloatArray
    hand_belief_z: FloatArray
    sitter_belief_z: FloatArray
    beliefs_z: FloatArray
    glass_z: FloatArray


OF_SETS = ("beliefs_z", "glass_z")  # all else is one a frame


def draw_frames(
    generator: np.random.Generator, *, people: int = 1, frames: int = FRAMES
) -> FrameDraws:
    """Return frames drawn at random.

    Parameters
    ----------
    generator : numpy.random.Generator
        Seeded by the caller.
    people : int
        Heads that move on their own, >= 1.
    frames : int
        How many, >= 2.

    Returns
    -------
    FrameDraws
        Reproducible by the generator's state.

    Examples
    --------
    >>> draws = draw_frames(np.random.default_rng(1), frames=100)
    >>> round(float(draws.focus_z.mean()), 2), draws.sitter_z.shape
    (0.0, (1, 100))
    """

    def uniform(count: int = frames) -> FloatArray:
        return (generator.permutation(count) + generator.random(count)) / count

    def normal(count: int = frames) -> FloatArray:
        return np.asarray(special.ndtri(uniform(count)))

    def each(one: Callable[[], FloatArray]) -> FloatArray:
        return np.stack([one() for _ in range(people)])

    return FrameDraws(
        focus_z=normal(),
        hand_z=normal(),
        sway_z=normal(),
        miss_u=uniform(),
        miss_cauchy=np.tan(np.pi * (uniform() - 0.5)),
        pick_u=each(uniform),
        sitter_z=each(normal),
        angle_cos=np.cos(np.pi * each(uniform)),
        focus_belief_z=normal(),
        hand_belief_z=normal(),
        sitter_belief_z=normal(),
        beliefs_z=np.stack([normal(BELIEFS) for _ in range(4)], axis=1),
        glass_z=normal(BELIEFS),
    )


def first_frames(draws: FrameDraws, count: int) -> FrameDraws:
    """Return the first frames only.

    Parameters
    ----------
    draws : FrameDraws
        The frames.
    count : int
        How many to keep.

    Returns
    -------
    FrameDraws
        All beliefs kept.
    """
    kept = {
        name: getattr(draws, name)[..., :count]
        for name in FrameDraws.__slots__
        if name not in OF_SETS
    }
    return FrameDraws(**kept, beliefs_z=draws.beliefs_z, glass_z=draws.glass_z)


def in_single(draws: FrameDraws) -> FrameDraws:
    """Return the frames in single precision: enough where they are counted, and twice as quick.

    Parameters
    ----------
    draws : FrameDraws
        The frames.

    Returns
    -------
    FrameDraws
        Rounded; the sets of beliefs stay as they are.
    """
    names = [name for name in FrameDraws.__slots__ if name not in OF_SETS]
    rounded = {name: getattr(draws, name).astype(np.float32) for name in names}
    return FrameDraws(**rounded, beliefs_z=draws.beliefs_z, glass_z=draws.glass_z)


def for_every_belief(
    draws: FrameDraws, beliefs_z: FloatArray
) -> tuple[FrameDraws, NDArray[np.float32]]:
    """Return the same frames once for every set of beliefs.

    Parameters
    ----------
    draws : FrameDraws
        The frames.
    beliefs_z : ndarray
        (sets, 4), standard normal.

    Returns
    -------
    draws : FrameDraws
        The frames of the first set, then of the second, and so on; in single precision, which is
        enough for an interval and takes half the time.
    beliefs_z : ndarray
        (4, sets × frames): what is believed in each.
    """
    single = in_single(draws)
    names = [name for name in FrameDraws.__slots__ if name not in OF_SETS]
    repeated = {name: np.tile(getattr(single, name), len(beliefs_z)) for name in names}
    beliefs = np.repeat(beliefs_z.T.astype(np.float32), len(draws.focus_z), axis=1)
    every = FrameDraws(**repeated, beliefs_z=draws.beliefs_z, glass_z=draws.glass_z)
    return every, beliefs


@functools.cache
def plan_draws(*, people: int = 1) -> FrameDraws:
    """Return the frames that every plan is made on.

    Parameters
    ----------
    people : int
        Heads that move on their own, >= 1.

    Returns
    -------
    FrameDraws
        The same each time.
    """
    frames = FRAMES if people == 1 else GROUP_FRAMES
    return draw_frames(np.random.default_rng(SEED), people=people, frames=frames)
