"""Frames to be expected of one sitter, drawn once: shares and reach for many settings from them.

The sums are those of `eyeplane.plan.share`, arranged so that the power of every blur is taken once
for all settings; a test holds the two together.
"""

import functools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER
from eyeplane.plan.draws import (
    BELIEF_FRAMES,
    BELIEFS,
    FrameDraws,
    first_frames,
    for_every_belief,
    plan_draws,
)
from eyeplane.plan.frames import FrameBlurs, frame_blurs, powered
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.middle import add_ghosts
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_as_believed, limits_of
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]
SingleArray = NDArray[np.float32]
BoolArray = NDArray[np.bool_]

NEAR, FAR, PLANE = 0, 1, 2  # eyes of one sitter's scene, and a point in the focus plane itself


@dataclass(frozen=True, slots=True)
class _Powered:
    """Blur of frames to the power at which it adds: (disc and line, eyes, frames)."""

    both: SingleArray

    @property
    def disc(self) -> SingleArray:
        """Return (eyes, frames): of the disc at f/1."""
        return np.asarray(self.both[0])

    @property
    def line(self) -> SingleArray:
        """Return (eyes, frames): of the line in a second."""
        return np.asarray(self.both[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """Frames drawn for one place of the focus plane.

    Attributes
    ----------
    scene : Scene
        With three places: near iris, far iris, and a point in the focus plane.
    focus_mm : float
        Where the focus plane is put, from the lens.
    eyes : tuple of int
        Which of the two irises must hold.
    blurs : FrameBlurs
        Of every frame, before aperture and time scale it.
    frames, believed : object
        The same, to the power at which it adds; and frames for every set of beliefs, where an
        interval is asked for.
    """

    scene: Scene
    focus_mm: float
    eyes: tuple[int, ...]
    blurs: FrameBlurs
    frames: _Powered
    believed: _Powered | None


@functools.cache
def _draws(*, few: bool = False) -> FrameDraws:
    return first_frames(plan_draws(), BELIEF_FRAMES) if few else plan_draws()


@functools.cache
def _believed_draws(count: int) -> tuple[FrameDraws, SingleArray]:
    """Return fewer frames, once for every set of beliefs, and the (4, frames) beliefs of each."""
    few = first_frames(plan_draws(), count)
    return for_every_belief(few, few.beliefs_z)


def _powered(blurs: FrameBlurs) -> _Powered:
    return _Powered(powered(np.stack([blurs.disc_um, blurs.line_um_per_s])))


def expected(
    scene: Scene, *, focus_mm: float, eyes: tuple[int, ...] = (NEAR,), few: bool = False
) -> Expected:
    """Return frames drawn for a scene.

    Parameters
    ----------
    scene : Scene
        Whose first two eyes are the near and the far iris.
    focus_mm : float
        Where the focus plane is put, from the lens.
    eyes : tuple of int
        Which of the two must hold: `NEAR`, `FAR` or both.
    few : bool
        Whether a third of the frames will do: to compare, not to tell.

    Returns
    -------
    Expected
        The same frames each time.
    """
    blurs = frame_blurs(scene, focus_mm, _draws(few=few))
    return Expected(
        scene=scene,
        focus_mm=focus_mm,
        eyes=eyes,
        blurs=blurs,
        frames=_powered(blurs),
        believed=None,
    )


def with_beliefs(frames: Expected, *, count: int = BELIEF_FRAMES) -> Expected:
    """Return the same with frames for every set of beliefs: once, for all intervals.

    Parameters
    ----------
    frames : Expected
        Without.
    count : int
        Frames for each set.

    Returns
    -------
    Expected
        With.
    """
    draws, beliefs = _believed_draws(count)
    scene = frames.scene
    irises = replace(scene, eyes_mm=scene.eyes_mm[:PLANE], person=scene.person[:PLANE])
    believed = _powered(frame_blurs(irises, frames.focus_mm, draws, beliefs))
    return replace(frames, believed=believed)


def thinned(frames: Expected) -> Expected:
    """Return only as many frames as serve to compare.

    Parameters
    ----------
    frames : Expected
        All.

    Returns
    -------
    Expected
        The same frames as `expected` draws when few will do.
    """
    return replace(frames, frames=_first(frames.frames, BELIEF_FRAMES))


def _first(frames: _Powered, count: int) -> _Powered:
    return _Powered(frames.both[:, :, :count])


def _both(frames: Expected) -> tuple[_Powered, _Powered]:
    """Return frames for every set of beliefs, and the frames that each set repeats."""
    believed = frames.believed
    if believed is None:
        believed = with_beliefs(frames).believed or frames.frames
    count = believed.line.shape[1] // BELIEFS
    return believed, _first(frames.frames, count)


def motion_shares(
    frames: Expected, settings: Settings, *, limits: HoldLimits
) -> tuple[Measured, ...]:
    """Return the share of frames in which motion alone leaves the near iris sharp enough.

    Parameters
    ----------
    frames : Expected
        The frames.
    settings : Settings
        As many as asked about, all of one aperture.
    limits : HoldLimits
        One entry: without noise at that aperture.

    Returns
    -------
    tuple of Measured
        One a setting: focus exact, no noise.
    """
    same = np.zeros(len(settings), int)
    every = limits.at(same)
    believed, few = _both(frames)
    pinhole = replace(settings, f_number=np.full(len(settings), np.inf))  # it draws no disc
    value = _share(_held(frames.frames, pinhole, every, NEAR))
    shift = value - _share(_held(few, pinhole, every, NEAR))
    sets = _held(believed, pinhole, every, NEAR).reshape(len(settings), BELIEFS, -1)
    return middle_ninety(value, _share(sets) + shift[:, None])


def middle_ninety(value: FloatArray, sets: FloatArray) -> tuple[Measured, ...]:
    """Return shares with the middle 90 % of what they may be.

    Parameters
    ----------
    value : ndarray
        (k,): shares to be expected, 0..1.
    sets : ndarray
        (k, sets): what each may be.

    Returns
    -------
    tuple of Measured
        One a share; an interval always holds its value.

    Notes
    -----
    Quantiles lie straight between neighbours (R. J. Hyndman and Y. Fan, The American Statistician
    50, 1996, no. 7).
    """
    place = 0.05 * (sets.shape[-1] - 1)
    rank, rest = int(place), place % 1.0
    rising = np.clip(np.sort(sets, axis=-1), 0.0, 1.0)
    low = (1.0 - rest) * rising[:, rank] + rest * rising[:, rank + 1]
    high = (1.0 - rest) * rising[:, -1 - rank] + rest * rising[:, -2 - rank]
    return tuple(
        Measured(value=float(v), low=float(min(a, v)), high=float(max(b, v)))
        for v, a, b in zip(value, low, high, strict=True)
    )


def _share(held: BoolArray) -> FloatArray:
    """Return the share of frames that hold, frames along the last axis: counted bit by bit."""
    counts = np.bitwise_count(np.packbits(held, axis=-1)).sum(axis=-1, dtype=np.int64)
    return np.asarray(counts / held.shape[-1])


def _held(frames: _Powered, settings: Settings, limits: HoldLimits, eye: int) -> BoolArray:
    """Return in which frames an eye holds at each setting: (settings, frames)."""
    good = limits.disc_um > 0
    disc_limit = np.where(good, limits.disc_um, 1.0)
    line_limit = np.where(good, limits.line_um, 1.0)
    by_disc = (settings.f_number * disc_limit) ** -BLUR_POWER
    by_line = (settings.motion_s / line_limit) ** BLUR_POWER
    cost = np.stack([by_disc, by_line], axis=1).astype(np.float32) @ frames.both[:, eye]
    add_ghosts(cost, settings, limits, frames.line[None, eye])
    return np.asarray((cost <= 1.0) & good[:, None])


def _held_as_believed(
    frames: _Powered, settings: Settings, limits: HoldLimits, eye: int
) -> BoolArray:
    """Return the same with the limits of every belief: (settings, sets × frames)."""
    sets = limits.disc_um.shape[1]
    both = frames.both[:, eye].reshape(2, sets, -1).transpose(1, 0, 2)
    cost = np.swapaxes(np.matmul(believed_factors(settings, limits), both), 0, 1)
    add_ghosts(cost, settings, limits, both[None, :, 1])
    good = limits.disc_um[:, :, None] > 0
    return np.asarray(((cost <= 1.0) & good).reshape(len(settings), -1))


def believed_factors(settings: Settings, limits: HoldLimits) -> SingleArray:
    """Return by what disc and line are multiplied to get what they cost, under every belief.

    Parameters
    ----------
    settings : Settings
        As many as asked about, k.
    limits : HoldLimits
        Arrays (k, sets).

    Returns
    -------
    ndarray
        (sets, k, 2), for blur to the power at which it adds; 1 stands for limits of 0.
    """
    disc_limit, line_limit = (
        np.where(limits.disc_um > 0, of, 1.0) for of in (limits.disc_um, limits.line_um)
    )
    by_disc = (settings.f_number[:, None] * disc_limit) ** -BLUR_POWER
    by_line = (settings.motion_s[:, None] / line_limit) ** BLUR_POWER
    return np.stack([by_disc.T, by_line.T], axis=2).astype(np.float32)


def shares(frames: Expected, settings: Settings, *, limits: HoldLimits | None = None) -> FloatArray:
    """Return the share of frames that hold at each of many settings.

    Parameters
    ----------
    frames : Expected
        The frames.
    settings : Settings
        As many as asked about, k.
    limits : HoldLimits, optional
        Of these settings, where they are known already.

    Returns
    -------
    ndarray
        Entries (k,), 0..1: of frames in which every eye that counts holds.
    """
    if limits is None:
        limits = limits_of(frames.scene, settings)
    held = [_held(frames.frames, settings, limits, eye) for eye in frames.eyes]
    return _share(np.logical_and.reduce(held))


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeShares:
    """Share of frames at one setting, eye by eye, each with its interval.

    Attributes
    ----------
    near, far, both, counting : Measured
        In which the near iris holds, the far one, both, and those that must.
    """

    near: Measured
    far: Measured
    both: Measured
    counting: Measured


def shares_with_interval(
    frames: Expected, settings: Settings, *, limits: HoldLimits | None = None
) -> tuple[EyeShares, ...]:
    """Return the share of frames that hold, with the interval that unsure numbers leave.

    Parameters
    ----------
    frames : Expected
        The frames.
    settings : Settings
        As many as asked about, k.
    limits : HoldLimits, optional
        Of these settings, where they are known already.

    Returns
    -------
    tuple of EyeShares
        One a setting: the share to be expected, and the middle 90 % of what it may be.

    Notes
    -----
    The interval is worked out on fewer frames, then shifted by what these lie off the whole.
    """
    if limits is None:
        limits = limits_of(frames.scene, settings)
    believed, few = _both(frames)
    value = _eye_shares(frames.frames, settings, limits)[:, :, 0]
    shift = value - _eye_shares(few, settings, limits)[:, :, 0]
    glass = limits_as_believed(frames.scene, settings, _draws().glass_z)
    sets = _eye_shares(believed, settings, glass, BELIEFS)
    near, far, both = (
        middle_ninety(value[which], sets[which] + shift[which][:, None]) for which in range(3)
    )
    counting = both if len(frames.eyes) > 1 else (near, far)[frames.eyes[0]]
    return tuple(
        EyeShares(near=near[k], far=far[k], both=both[k], counting=counting[k])
        for k in range(len(settings))
    )


def _eye_shares(
    frames: _Powered, settings: Settings, limits: HoldLimits, sets: int = 1
) -> FloatArray:
    """Return (3, k, sets): shares of frames in which near iris, far iris and both hold."""
    look = _held if limits.disc_um.ndim == 1 else _held_as_believed
    near, far = (look(frames, settings, limits, eye) for eye in (NEAR, FAR))
    held = np.stack([near, far, near & far])
    return _share(held.reshape(3, len(settings), sets, -1))
