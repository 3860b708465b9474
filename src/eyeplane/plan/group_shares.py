"""Shares of frames in which everybody of a group holds, for many settings at once.

The sums are those of `eyeplane.plan.share`; a test holds the two together.
"""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER
from eyeplane.plan.draws import plan_draws
from eyeplane.plan.expected import believed_factors, middle_ninety
from eyeplane.plan.group_frames import GroupFrames, Powered, beliefs_of
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.limit_table import limit_table
from eyeplane.plan.middle import add_ghosts
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_as_believed
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_CELLS = 1_000_000  # of settings × places × frames worked out at once, which bounds the memory


def limits_at(scene: Scene, settings: Settings) -> HoldLimits:
    """Return what blur the print takes at each setting.

    Parameters
    ----------
    scene : Scene
        Kit and print.
    settings : Settings
        As many as asked about, k.

    Returns
    -------
    HoldLimits
        One entry a setting, from the table that all plans share.
    """
    return limit_table(scene.kit, scene.promise).at(settings)


def group_shares(group: GroupFrames, settings: Settings) -> FloatArray:
    """Return the share of frames in which every near eye holds, for many settings.

    Parameters
    ----------
    group : GroupFrames
        The frames.
    settings : Settings
        As many as asked about, k.

    Returns
    -------
    ndarray
        Entries (k,), 0..1: the share to be expected, unsure numbers included.
    """
    limits = limits_at(group.scene, settings)
    block = max(1, _CELLS // group.frames.disc.size)
    if len(settings) <= block:
        return np.asarray(_together(_held(group.frames, settings, limits))[0])
    parts = np.split(np.arange(len(settings)), range(block, len(settings), block))
    shares = [_together(_held(group.frames, settings.at(p), limits.at(p)))[0] for p in parts]
    return np.concatenate(shares)


def place_costs(frames: Powered, settings: Settings, limits: HoldLimits) -> FloatArray:
    """Return what blur costs each place in each frame at each setting: up to 1 it holds.

    Parameters
    ----------
    frames : Powered
        The frames.
    settings : Settings
        As many as asked about, k.
    limits : HoldLimits
        Of these settings: (k,), or (k, sets) for frames of (sets, places, frames).

    Returns
    -------
    ndarray
        Shape (k, …, places, frames); infinite where nothing holds.
    """
    if limits.disc_um.ndim == 2:
        return _costs_as_believed(frames, settings, limits)
    good = limits.disc_um > 0
    disc_limit = np.where(good, limits.disc_um, 1.0)
    line_limit = np.where(good, limits.line_um, 1.0)
    by_disc = (settings.f_number * disc_limit) ** -BLUR_POWER
    by_line = (settings.motion_s / line_limit) ** BLUR_POWER
    blurs = np.stack([frames.disc.ravel(), frames.line.ravel()])
    by_blur = np.stack([by_disc, by_line], axis=1).astype(np.float32)
    cost = (by_blur @ blurs).reshape(-1, *frames.disc.shape)
    add_ghosts(cost, settings, limits, frames.line[None])
    cost[~good] = np.inf
    return np.asarray(cost)


def _costs_as_believed(frames: Powered, settings: Settings, limits: HoldLimits) -> FloatArray:
    """Return the same with the limits of every belief: (settings, sets, places, frames)."""
    sets, *shape = frames.disc.shape
    both = np.stack([frames.disc.reshape(sets, -1), frames.line.reshape(sets, -1)], axis=1)
    cost = np.matmul(believed_factors(settings, limits), both)  # (sets, settings, …)
    cost = np.swapaxes(cost, 0, 1).reshape(len(settings), sets, *shape)
    add_ghosts(cost, settings, limits, frames.line[None])
    cost[limits.disc_um <= 0] = np.inf
    return np.asarray(cost)


def _held(frames: Powered, settings: Settings, limits: HoldLimits) -> BoolArray:
    return np.asarray(place_costs(frames, settings, limits) <= 1.0)


def _together(held: BoolArray, starts: Sequence[int] = ()) -> FloatArray:
    """Return (1 + rows, …): shares of frames in which everybody holds, and each row does.

    From (…, places, frames) and the first place of each row. Eight frames are looked at at once.
    """
    bits = np.packbits(held, axis=-1)
    parts = np.split(bits, starts[1:], axis=-2) if len(starts) else []
    alone = [np.bitwise_and.reduce(part, axis=-2) for part in parts]
    whole = functools.reduce(np.bitwise_and, alone) if alone else np.bitwise_and.reduce(bits, -2)
    counts = np.bitwise_count(np.stack([whole, *alone])).sum(axis=-1, dtype=np.int64)
    return np.asarray(counts / held.shape[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShares:
    """Shares of frames that hold at one setting, with their intervals.

    Attributes
    ----------
    everybody : Measured
        Of frames in which every near eye holds.
    rows : tuple of Measured
        Of frames in which the whole row holds, front row first.
    """

    everybody: Measured
    rows: tuple[Measured, ...]


def row_shares(
    group: GroupFrames, settings: Settings, beliefs: Powered | None = None
) -> tuple[RowShares, ...]:
    """Return shares of frames with the intervals that the unsure numbers leave.

    Parameters
    ----------
    group : GroupFrames
        The frames.
    settings : Settings
        A few of them: each costs as much as thirty in `group_shares`.
    beliefs : Powered, optional
        As `beliefs_of` returns them, where they are known already.

    Returns
    -------
    tuple of RowShares
        One a setting: the share to be expected, and the middle 90 % of what it may be.

    Notes
    -----
    The interval is worked out on fewer frames, then shifted by what these lie off the whole.
    """
    limits = limits_at(group.scene, settings)
    beliefs = beliefs_of(group) if beliefs is None else beliefs
    starts = np.unique(group.place_rows, return_index=True)[1].tolist()

    held = _held(group.frames, settings, limits)
    value = _together(held, starts)  # (1 + rows, settings)
    shift = value - _together(held[..., : beliefs.disc.shape[-1]], starts)
    believed = limits_as_believed(group.scene, settings, plan_draws().glass_z)
    sets = _together(_held(beliefs, settings, believed), starts) + shift[..., None]
    told = middle_ninety(value.ravel(), sets.reshape(value.size, -1))
    lines = [told[line : line + len(settings)] for line in range(0, len(told), len(settings))]
    return tuple(
        RowShares(everybody=everybody, rows=tuple(alone))
        for everybody, *alone in zip(*lines, strict=True)
    )
