"""Shares of frames in which everybody of a group holds, for many settings at once.

People of one row at one distance have the same disc in the same frame; so of them only the one
that moves most counts. That is exact, and makes a group hardly dearer than its rows.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import magnification
from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames, plan_draws
from eyeplane.plan.frames import FrameBlurs, frame_blurs, frame_costs
from eyeplane.plan.rows import Seating
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_of
from eyeplane.records import GroupRequest, Measured

FloatArray = NDArray[np.float64]

_CELLS = 1_000_000  # of settings × places × frames worked out at once, which bounds the memory
_ALIKE_MM = 0.5  # mm: distances closer than this are one


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupScene:
    """A seated group before the camera.

    Attributes
    ----------
    scene : Scene
        One near eye a person, at its effective distance.
    where : Seating
        The people.
    draws : FrameDraws
        The frames.
    places : ndarray of int
        For each person the number of its place: row and distance in one.
    place_rows : ndarray of int
        The row of each place.
    """

    scene: Scene
    where: Seating
    draws: FrameDraws
    places: NDArray[np.intp]
    place_rows: NDArray[np.int64]


def group_scene(
    request: GroupRequest, where: Seating, draws: FrameDraws | None = None
) -> GroupScene:
    """Return a seated group as the frames see it.

    Parameters
    ----------
    request : GroupRequest
        Kit, print, photographer and sitters.
    where : Seating
        Where everybody is.
    draws : FrameDraws or None
        The frames; None: those of every plan.

    Returns
    -------
    GroupScene
        Everybody moves on their own; focus error and shake are common to all.
    """
    kit, sitter, hand = request.kit, request.sitter, request.hand
    scale = magnification(focal_length_mm=kit.focal_length_mm, subject_distance_mm=where.plane_mm)
    scene = Scene(
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
    key = np.stack([where.row, np.round(where.effective_mm / _ALIKE_MM)], axis=1)
    kinds, places = np.unique(key, axis=0, return_inverse=True)
    return GroupScene(
        scene=scene,
        where=where,
        draws=plan_draws(people=where.people) if draws is None else draws,
        places=places.ravel(),
        place_rows=kinds[:, 0].astype(np.int64),
    )


def group_shares(group: GroupScene, settings: Settings, focus_mm: float) -> FloatArray:
    """Return the share of frames in which every near eye holds, for many settings.

    Parameters
    ----------
    group : GroupScene
        The group.
    settings : Settings
        As many as asked about, k.
    focus_mm : float
        Where the focus plane is put, from the lens.

    Returns
    -------
    ndarray
        Entries (k,), 0..1: the share to be expected, unsure numbers included.
    """
    blurs = _merged(group, frame_blurs(group.scene, focus_mm, group.draws))
    count, frames = blurs.disc_um.shape
    block = max(1, _CELLS // (count * frames))
    parts = [
        _everybody(group, settings.at(np.arange(start, min(start + block, len(settings)))), blurs)
        for start in range(0, len(settings), block)
    ]
    return np.concatenate(parts)


def _everybody(group: GroupScene, settings: Settings, blurs: FrameBlurs) -> FloatArray:
    costs = frame_costs(limits_of(group.scene, settings), settings, blurs)
    return np.asarray((costs.max(axis=1) <= 1.0).mean(axis=1))


def _merged(group: GroupScene, blurs: FrameBlurs) -> FrameBlurs:
    """Return one line of blurs a place: its disc, and the longest line of its people."""
    order = np.argsort(group.places, kind="stable")
    starts = np.searchsorted(group.places[order], np.arange(len(group.place_rows)))

    def longest(lines: FloatArray) -> FloatArray:
        return np.asarray(np.maximum.reduceat(lines[order], starts, axis=0))

    return FrameBlurs(
        disc_um=blurs.disc_um[order][starts],
        shake_um_per_s=longest(blurs.shake_um_per_s),
        sitter_um_per_s=longest(blurs.sitter_um_per_s),
        line_um_per_s=longest(blurs.line_um_per_s),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShares:
    """Shares of frames that hold, with their intervals.

    Attributes
    ----------
    everybody : tuple of Measured
        One a setting: of frames in which every near eye holds.
    rows : tuple of tuple of Measured
        One a setting, and in it one a row: of frames in which the whole row holds.
    """

    everybody: tuple[Measured, ...]
    rows: tuple[tuple[Measured, ...], ...]


def row_shares(group: GroupScene, settings: Settings, focus_mm: float) -> RowShares:
    """Return shares of frames with the intervals that the unsure numbers leave.

    Parameters
    ----------
    group : GroupScene
        The group.
    settings : Settings
        A few of them: each costs as much as ten in `group_shares`.
    focus_mm : float
        Where the focus plane is put, from the lens.

    Returns
    -------
    RowShares
        Of the whole group and of each row.

    Notes
    -----
    The interval is worked out on fewer frames, then shifted by what these lie off the whole.
    """
    limits = limits_of(group.scene, settings)
    rows = np.unique(group.place_rows)
    fewer = first_frames(group.draws, BELIEF_FRAMES)

    def held(draws: FrameDraws, belief: FloatArray | None = None) -> FloatArray:
        blurs = _merged(group, frame_blurs(group.scene, focus_mm, draws, belief))
        good = frame_costs(limits, settings, blurs) <= 1.0
        alone = [good[:, group.place_rows == row].all(axis=1).mean(axis=1) for row in rows]
        return np.stack([good.all(axis=1).mean(axis=1), *alone])

    values = held(group.draws)
    beliefs = np.stack([held(fewer, belief) for belief in fewer.beliefs_z])
    shift = values - held(fewer)
    low, high = np.clip(np.quantile(beliefs, (0.05, 0.95), axis=0) + shift, 0.0, 1.0)
    low, high = np.minimum(low, values), np.maximum(high, values)

    def measured(line: int, setting: int) -> Measured:
        at = line, setting
        return Measured(value=float(values[at]), low=float(low[at]), high=float(high[at]))

    return RowShares(
        everybody=tuple(measured(0, k) for k in range(len(settings))),
        rows=tuple(
            tuple(measured(line + 1, k) for line in range(len(rows))) for k in range(len(settings))
        ),
    )
