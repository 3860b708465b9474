"""Frames of a seated group: the blur of every place in every frame, drawn once for all questions.

People of one row at one distance have the same disc in the same frame; so of them only the one
that moves most counts. That is exact, and makes a group hardly dearer than its rows.
"""

import functools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import magnification
from eyeplane.people import (
    camera_sway,
    focus_error,
    hand_speed,
    sitter_speed,
    usual_mood,
)
from eyeplane.plan.draws import (
    BELIEFS,
    FrameDraws,
    first_frames,
    for_every_belief,
    in_single,
    plan_draws,
)
from eyeplane.plan.frames import FrameBlurs, frame_blurs, frame_discs_um, powered
from eyeplane.plan.rows import Seating
from eyeplane.plan.scene import Scene
from eyeplane.records import GroupRequest, Mood, PlanSitter

SingleArray = NDArray[np.float32]

_ALIKE_MM = 0.5  # mm: distances closer than this are one
_FARTHER = 1e9  # times that: farther than anybody sits, so that rows stay apart
BELIEF_FRAMES = 192  # of each set of beliefs: moves the ends of an interval by 0.03 at most


@dataclass(frozen=True, slots=True)
class Powered:
    """Blur of frames to the power at which it adds.

    Attributes
    ----------
    disc, line : ndarray
        Disc at f/1 and line in a second, in µm to that power: (…, places, frames).
    """

    disc: SingleArray
    line: SingleArray

    def in_focus(self) -> "Powered":
        """Return the same frames with every eye in the focus plane.

        Returns
        -------
        Powered
            Without discs.
        """
        return Powered(np.zeros_like(self.disc), self.line)

    def at_rest(self) -> "Powered":
        """Return the same frames without any motion.

        Returns
        -------
        Powered
            Without lines.
        """
        return Powered(self.disc, np.zeros_like(self.line))


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
        The row of each place, rising.
    frames : Powered
        Blur at each place in each frame: (places, frames).
    """

    scene: Scene
    where: Seating
    focus_mm: float
    places: NDArray[np.intp]
    place_rows: NDArray[np.int64]
    frames: Powered


@functools.cache
def _draws(people: int) -> FrameDraws:
    return in_single(plan_draws(people=people))


@functools.cache
def _believed_draws(people: int) -> tuple[FrameDraws, SingleArray]:
    """Return fewer frames, once for every set of beliefs, and the (4, frames) beliefs of each."""
    few = first_frames(_draws(people), BELIEF_FRAMES)
    return for_every_belief(few, few.beliefs_z)


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
    key = where.row * _FARTHER + np.round(where.effective_mm / _ALIKE_MM)
    _, first, places = np.unique(key, return_index=True, return_inverse=True)
    plane = where.plane_mm if focus_mm is None else focus_mm
    blurs = frame_blurs(scene, plane, draws or _draws(where.people))
    return GroupFrames(
        scene=scene,
        where=where,
        focus_mm=plane,
        places=places,
        place_rows=where.row[first],
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
            sensor_long_mm=kit.sensor_long_mm,
        ),
        hand=hand_speed(
            learned=hand.shake_deg_per_s,
            stabiliser_stops=kit.stabiliser_stops,
            support=hand.support,
        ),
        sway=camera_sway(
            support=hand.support,
            learned=hand.shake_deg_per_s,
            stabiliser_stops=kit.stabiliser_stops,
        ),
        sitters=sitter_speed(
            mood=_mood(sitter), age_years=sitter.age_years, learned=sitter.speed_mm_per_s
        ),
    )


def _mood(sitter: PlanSitter) -> Mood | None:
    """Return how a posed group moves: whoever is old enough keeps still, unless said otherwise."""
    if sitter.mood is None and usual_mood(age_years=sitter.age_years) == "still":
        return "still"
    return sitter.mood


def _merged(blurs: FrameBlurs, places: NDArray[np.intp]) -> Powered:
    """Return the disc of each place, and the longest line of its people."""
    order = np.argsort(places, kind="stable")
    starts = np.searchsorted(places[order], np.arange(int(places.max()) + 1))
    lines = np.split(blurs.line_um_per_s[order], starts[1:])
    longest = np.stack([line.max(axis=0) for line in lines])
    return Powered(powered(blurs.disc_um[order[starts]]), powered(longest))


def beliefs_of(group: GroupFrames) -> Powered:
    """Return frames under each belief about the unsure numbers.

    Parameters
    ----------
    group : GroupFrames
        The frames.

    Returns
    -------
    Powered
        Blur at each place: (beliefs, places, frames), for `row_shares`.
    """
    draws, beliefs_z = _believed_draws(group.where.people)
    merged = _merged(frame_blurs(group.scene, group.focus_mm, draws, beliefs_z), group.places)
    return Powered(_by_belief(merged.disc), _by_belief(merged.line))


def _by_belief(values: SingleArray) -> SingleArray:
    """Return (beliefs, places, frames) from (places, beliefs × frames)."""
    return np.moveaxis(values.reshape(len(values), BELIEFS, -1), 1, 0)


def refocused(group: GroupFrames, beliefs: Powered, focus_mm: float) -> tuple[GroupFrames, Powered]:
    """Return the same frames with the focus plane put elsewhere.

    Parameters
    ----------
    group : GroupFrames
        The frames.
    beliefs : Powered
        The same under each belief.
    focus_mm : float
        Where the plane is put instead, from the lens, not far from where it was.

    Returns
    -------
    group : GroupFrames
        New discs. Motion stays what it was: the image grows by a few parts in ten thousand.
    beliefs : Powered
        Likewise.
    """
    draws, beliefs_z = _believed_draws(group.where.people)
    believed = _discs(group, group.scene, focus_mm, draws, beliefs_z)
    return focused_at(group, focus_mm), Powered(_by_belief(believed), beliefs.line)


def focused_at(group: GroupFrames, focus_mm: float) -> GroupFrames:
    """Return the same frames with the focus plane put elsewhere, without beliefs.

    Parameters
    ----------
    group : GroupFrames
        The frames.
    focus_mm : float
        Where the plane is put instead, from the lens, not far from where it was.

    Returns
    -------
    GroupFrames
        As `refocused` returns it.
    """
    disc = _discs(group, group.scene, focus_mm, _draws(group.where.people))
    return replace(group, focus_mm=focus_mm, frames=Powered(disc, group.frames.line))


def focused_exactly(group: GroupFrames) -> GroupFrames:
    """Return the same frames with the focus plane always where it is put.

    Parameters
    ----------
    group : GroupFrames
        The frames.

    Returns
    -------
    GroupFrames
        Depth and motion are left.
    """
    exact = replace(group.scene.focus, bias_mm=0.0, spread_mm=0.0, miss_share=0.0)
    scene = replace(group.scene, focus=exact)
    disc = _discs(group, scene, group.focus_mm, _draws(group.where.people))
    return replace(group, scene=scene, frames=Powered(disc, group.frames.line))


def _discs(
    group: GroupFrames,
    scene: Scene,
    focus_mm: float,
    draws: FrameDraws,
    beliefs_z: SingleArray | None = None,
) -> SingleArray:
    """Return (places, frames): new discs, everybody where they are."""
    first = np.unique(group.places, return_index=True)[1]
    eyes_mm = tuple(scene.eyes_mm[i] for i in first)
    view = replace(scene, eyes_mm=eyes_mm, person=(0,) * len(first))
    return powered(frame_discs_um(view, focus_mm, draws, beliefs_z))
