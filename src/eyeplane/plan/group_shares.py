"""Shares of frames in which everybody of a group holds, for many settings at once.

People of one row at one distance have the same disc in the same frame; so of them only the one
that moves most counts. That is exact, and makes a group hardly dearer than its rows. The sums are
those of `eyeplane.plan.share`; a test holds the two together.
"""

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, magnification
from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames, plan_draws
from eyeplane.plan.frames import FrameBlurs, frame_blurs
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.rows import Seating
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_of
from eyeplane.records import GroupRequest, Measured

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_CELLS = 1_000_000  # of settings × places × frames worked out at once, which bounds the memory
_ALIKE_MM = 0.5  # mm: distances closer than this are one
_ENDS = (0.05, 0.95)  # of what the share may be: its interval


@dataclass(frozen=True, slots=True)
class _Powered:
    """Blur of frames to the power at which it adds: (…, places, frames)."""

    disc: FloatArray
    line: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupFrames:
    """Frames of a seated group, drawn for one place of the focus plane.

    Attributes
    ----------
    scene : Scene
        One near eye a person, at its effective distance.
    where : Seating
        The people.
    focus_mm : float
        Where the focus plane is put, from the lens.
    places : ndarray of int
        For each person the number of its place: row and distance in one.
    place_rows : ndarray of int
        The row of each place.
    frames : object
        Blur at each place in each frame: (places, frames).
    """

    scene: Scene
    where: Seating
    focus_mm: float
    places: NDArray[np.intp]
    place_rows: NDArray[np.int64]
    frames: _Powered


@functools.cache
def _draws(people: int) -> tuple[FrameDraws, FrameDraws]:
    """Return the frames of every plan, and the fewer of them for intervals."""
    whole = plan_draws(people=people)
    return whole, first_frames(whole, BELIEF_FRAMES)


def group_frames(
    request: GroupRequest,
    where: Seating,
    *,
    focus_mm: float | None = None,
    draws: FrameDraws | None = None,
) -> GroupFrames:
    """Return frames drawn for a seated group.

    Parameters
    ----------
    request : GroupRequest
        Kit, print, photographer and sitters.
    where : Seating
        Where everybody is.
    focus_mm : float or None
        Where the focus plane is put, from the lens; None: at its best.
    draws : FrameDraws or None
        What differs from frame to frame; None: as in every plan.

    Returns
    -------
    GroupFrames
        Everybody moves on their own; focus error and shake are common to all.
    """
    scene = group_scene(request, where)
    key = np.stack([where.row, np.round(where.effective_mm / _ALIKE_MM)], axis=1)
    kinds, places = np.unique(key, axis=0, return_inverse=True)
    plane = where.plane_mm if focus_mm is None else focus_mm
    places = places.ravel()
    blurs = frame_blurs(scene, plane, draws or _draws(where.people)[0])
    return GroupFrames(
        scene=scene,
        where=where,
        focus_mm=plane,
        places=places,
        place_rows=kinds[:, 0].astype(np.int64),
        frames=_merged(blurs, places),
    )


def group_scene(request: GroupRequest, where: Seating) -> Scene:
    """Return what is the same for every setting.

    Parameters
    ----------
    request : GroupRequest
        Kit, print, photographer and sitters.
    where : Seating
        Where everybody is.

    Returns
    -------
    Scene
        One near eye a person.
    """
    kit, sitter, hand = request.kit, request.sitter, request.hand
    scale = magnification(focal_length_mm=kit.focal_length_mm, subject_distance_mm=where.plane_mm)
    return Scene(
        kit=kit,
        promise=request.promise,
        eyes_mm=tuple(float(d) for d in where.effective_mm),
        person=tuple(range(where.people)),
        focus=focus_error(
            magnification=scale,
            learned_bias_mm=kit.focus_bias_mm,
            learned_spread_mm=kit.focus_spread_mm,
        ),
        hand=hand_speed(
            learned=hand.shake_deg_per_s,
            stabiliser_stops=kit.stabiliser_stops,
            support=hand.support,
        ),
        sway=camera_sway(support=hand.support),
        sitters=sitter_speed(
            mood=sitter.mood, age_years=sitter.age_years, learned=sitter.speed_mm_per_s
        ),
    )


def _merged(blurs: FrameBlurs, places: NDArray[np.intp]) -> _Powered:
    """Return the disc of each place, and the longest line of its people."""
    order = np.argsort(places, kind="stable")
    starts = np.searchsorted(places[order], np.arange(int(places.max()) + 1))
    line = np.maximum.reduceat(blurs.line_um_per_s[order], starts, axis=0)
    return _Powered(blurs.disc_um[order[starts]] ** BLUR_POWER, line**BLUR_POWER)


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
    count, frames = group.frames.disc.shape
    block = max(1, _CELLS // (count * frames))
    shares = [
        _held(group.frames, part, limits_of(group.scene, part)).all(axis=-2).mean(axis=-1)
        for part in (
            settings.at(np.arange(start, min(start + block, len(settings))))
            for start in range(0, len(settings), block)
        )
    ]
    return np.concatenate(shares)


def _held(frames: _Powered, settings: Settings, limits: HoldLimits) -> BoolArray:
    """Return where a place holds in a frame: (settings, …, places, frames)."""
    good = limits.disc_um > 0
    more = (slice(None), *(None,) * frames.disc.ndim)
    disc_limit = np.where(good, limits.disc_um, 1.0)
    line_limit = np.where(good, limits.line_um, 1.0)
    cost = ((settings.f_number * disc_limit) ** -BLUR_POWER)[more] * frames.disc
    cost += ((settings.motion_s / line_limit) ** BLUR_POWER)[more] * frames.line
    mixed = np.flatnonzero((settings.ghost_share > 0) & good)
    if len(mixed):
        ambient = ((settings.shutter_s[mixed] / line_limit[mixed]) ** BLUR_POWER)[more]
        most = np.minimum(ambient * frames.line, limits.room_share[mixed][more])
        cost[mixed] += settings.ghost_share[mixed][more] * most
    return np.asarray((cost <= 1.0) & good[more])


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


def beliefs_of(group: GroupFrames) -> _Powered:
    """Return frames under each belief about the unsure numbers.

    Parameters
    ----------
    group : GroupFrames
        The frames.

    Returns
    -------
    object
        Blur at each place: (beliefs, places, frames), for `row_shares`.
    """
    few = _draws(group.where.people)[1]
    sets = [
        _merged(frame_blurs(group.scene, group.focus_mm, few, z), group.places)
        for z in few.beliefs_z
    ]
    return _Powered(np.stack([s.disc for s in sets]), np.stack([s.line for s in sets]))


def row_shares(
    group: GroupFrames, settings: Settings, beliefs: _Powered | None = None
) -> tuple[RowShares, ...]:
    """Return shares of frames with the intervals that the unsure numbers leave.

    Parameters
    ----------
    group : GroupFrames
        The frames.
    settings : Settings
        A few of them: each costs as much as thirty in `group_shares`.
    beliefs : object, optional
        As `beliefs_of` returns them, where they are known already.

    Returns
    -------
    tuple of RowShares
        One a setting: the share to be expected, and the middle 90 % of what it may be.

    Notes
    -----
    The interval is worked out on fewer frames, then shifted by what these lie off the whole.
    """
    limits = limits_of(group.scene, settings)
    beliefs = beliefs_of(group) if beliefs is None else beliefs
    rows = np.unique(group.place_rows)

    def held(frames: _Powered) -> FloatArray:
        good = _held(frames, settings, limits)
        alone = [good[..., group.place_rows == row, :].all(axis=-2).mean(axis=-1) for row in rows]
        return np.stack([good.all(axis=-2).mean(axis=-1), *alone])  # (1 + rows, settings, …)

    few = beliefs.disc.shape[-1]
    value = held(group.frames)
    shift = value - held(_Powered(group.frames.disc[..., :few], group.frames.line[..., :few]))
    ends = np.quantile(held(beliefs), _ENDS, axis=-1) + shift
    low, high = np.clip(ends, 0.0, 1.0)
    low, high = np.minimum(low, value), np.maximum(high, value)

    def told(line: int, k: int) -> Measured:
        at = line, k
        return Measured(value=float(value[at]), low=float(low[at]), high=float(high[at]))

    return tuple(
        RowShares(everybody=told(0, k), rows=tuple(told(line + 1, k) for line in range(len(rows))))
        for k in range(len(settings))
    )
