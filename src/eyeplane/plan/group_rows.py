"""Rows and places of a group against the depth of field: who is inside, who must move, how far."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.plan.depth_line import depth_limits_mm
from eyeplane.plan.group_choice import GroupChoice, at_aperture, discs_over_limit
from eyeplane.plan.group_shares import limits_at
from eyeplane.plan.lean import lean_mm
from eyeplane.plan.scene import Settings
from eyeplane.records import GroupPlace, GroupRow, Measured

FloatArray = NDArray[np.float64]

STOPS = (2.8, 4.0, 5.6, 8.0)  # apertures that photographers ask about
NO_MOVE_MM = 0.5  # a move below this is none


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """Depth of field of one setting, from the lens.

    Attributes
    ----------
    near_mm, far_mm : float
        Its limits; the far one may be infinite. Both the focus plane itself where nothing holds.
    """

    near_mm: float
    far_mm: float


def depth_of(choice: GroupChoice, setting: Settings) -> Depth:
    """Return the depth of field of a setting, for the print promised.

    Parameters
    ----------
    choice : GroupChoice
        The group; focus at its best plane.
    setting : Settings
        One.

    Returns
    -------
    Depth
        By the largest disc that the print takes without motion.
    """
    plane = choice.where.plane_mm
    front, behind = depth_limits_mm(
        choice.request.kit,
        f_number=float(setting.f_number[0]),
        focus_mm=plane,
        disc_um=float(limits_at(choice.frames.scene, setting).disc_um[0]),
    )
    return Depth(near_mm=plane - front, far_mm=plane + behind)


def moves_mm(choice: GroupChoice) -> FloatArray:
    """Return how far everybody is to move for the best setting.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    ndarray
        In mm, + towards the camera: what the plan has them lean in, and what is then still missing
        to the depth of field; 0 for whoever stays. Where nothing holds even in the focus plane no
        move helps, and only the plan's leans are left.
    """
    depth = depth_of(choice, choice.best)
    planned = choice.upright.effective_mm - choice.where.effective_mm
    if depth.near_mm >= depth.far_mm:
        return np.asarray(planned, dtype=np.float64)
    missing = lean_mm(choice.where.effective_mm, near_mm=depth.near_mm, far_mm=depth.far_mm)
    moves = planned + missing
    return np.where(np.abs(moves) < NO_MOVE_MM, 0.0, moves)


def places_of(choice: GroupChoice) -> tuple[GroupPlace, ...]:
    """Return where everybody is, and how far each is to move.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    tuple of GroupPlace
        Front row first, left to right; distances before any move. Inside is whom the depth of
        field takes in there; where nothing holds even in the focus plane, nobody.
    """
    upright, moves, depth = choice.upright, moves_mm(choice), depth_of(choice, choice.best)
    missing = lean_mm(upright.effective_mm, near_mm=depth.near_mm, far_mm=depth.far_mm)
    inside = (np.abs(missing) < NO_MOVE_MM) & (depth.near_mm < depth.far_mm)
    return tuple(
        GroupPlace(
            row=int(upright.row[i]),
            place=int(upright.place[i]),
            across_mm=float(upright.across_mm[i]),
            distance_mm=float(upright.distance_mm[i]),
            inside=bool(inside[i]),
            lean_mm=float(moves[i]),
        )
        for i in range(upright.people)
    )


def rows_of(places: tuple[GroupPlace, ...], shares: tuple[Measured, ...]) -> tuple[GroupRow, ...]:
    """Return the rows.

    Parameters
    ----------
    places : tuple of GroupPlace
        Everybody.
    shares : tuple of Measured
        Of frames in which each row holds, front row first.

    Returns
    -------
    tuple of GroupRow
        Front first; the distance of an arc is the middle of its depths.
    """
    told = []
    for row, share in enumerate(shares, start=1):
        own = [p for p in places if p.row == row]
        distances = [p.distance_mm for p in own]
        most = max((p.lean_mm for p in own), key=abs)
        told.append(
            GroupRow(
                row=row,
                distance_mm=0.5 * (min(distances) + max(distances)),
                inside=all(p.inside for p in own),
                lean_cm=most / 10.0,
                share=share,
            )
        )
    return tuple(told)


def settings_at_stops(choice: GroupChoice) -> tuple[Settings, ...]:
    """Return the best settings at f/2.8, 4, 5.6 and 8.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    tuple of Settings
        One each; without those that the kit does not have or the light does not allow.
    """
    found = (at_aperture(choice, f_number) for f_number in STOPS)
    return tuple(setting for setting in found if setting is not None)


def rows_out(choice: GroupChoice, setting: Settings) -> tuple[int, ...]:
    """Return the rows that the depth of field of a setting does not take in.

    Parameters
    ----------
    choice : GroupChoice
        The group, leaning where the plan has them lean; focus at their best plane.
    setting : Settings
        One.

    Returns
    -------
    tuple of int
        From 1.
    """
    out = discs_over_limit(choice, choice.where, setting)[0] > 1.0 + 1e-6
    return tuple(int(row) for row in np.unique(choice.where.row[out]))
