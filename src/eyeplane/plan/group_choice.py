"""Which settings for a group: the best, its neighbours, and what single apertures would do."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.blurs import disc_um
from eyeplane.plan.candidates import Candidates, candidates
from eyeplane.plan.group_frames import GroupFrames, group_frames
from eyeplane.plan.group_lean import LeanPlan, lean_plan
from eyeplane.plan.group_shares import group_shares, limits_at
from eyeplane.plan.possible import check_distances, check_kit, check_people, check_print
from eyeplane.plan.rows import Seating, seating
from eyeplane.plan.scene import Settings
from eyeplane.plan.search import (
    FEWEST_SHARE,
    LEAST_PRINT_CM,
    SMALLER_PRINT,
    beside,
    best_of,
)
from eyeplane.records import GroupRequest, PlanChoice

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupChoice:
    """What a group's plan is made on.

    Attributes
    ----------
    request : GroupRequest
        What was asked.
    upright : Seating
        Everybody as they are.
    lean : LeanPlan or None
        How far they lean in; None where leaning was not asked for.
    frames : GroupFrames
        Of everybody as the plan has them, focus at their best plane.
    found : Candidates
        All settings that light, limits and choice leave.
    shares : ndarray
        Of frames in which everybody holds, one a setting.
    order : tuple of int
        The best, and its neighbours, best first.
    every : Settings or None
        The settings that light and limits leave whatever aperture was settled; None if none.
    every_shares : ndarray
        Of frames in which everybody holds, one of each of them.
    """

    request: GroupRequest
    upright: Seating
    lean: LeanPlan | None
    frames: GroupFrames
    found: Candidates
    shares: FloatArray
    order: tuple[int, ...]
    every: Settings | None
    every_shares: FloatArray

    @property
    def where(self) -> Seating:
        """Return everybody as the plan has them.

        Returns
        -------
        Seating
            After leaning, where they lean.
        """
        return self.frames.where

    @property
    def best(self) -> Settings:
        """Return the best setting.

        Returns
        -------
        Settings
            One.
        """
        return self.found.settings.at(self.order[0])


def group_choice(request: GroupRequest) -> GroupChoice:
    """Return the best settings for a group, and where everybody then is.

    Parameters
    ----------
    request : GroupRequest
        The group.

    Returns
    -------
    GroupChoice
        With all settings that were compared.

    Raises
    ------
    InputError
        If the geometry is impossible, a number nonsense, or no settings within the limits expose
        the group.
    """
    check_kit(request.kit)
    check_print(request.promise)
    check_people(request.sitter, request.hand)
    check_distances(distance=request.distance_mm)
    upright = seating(request)
    found = allowed(request, upright)
    lean = lean_plan(request, upright, found.settings) if request.lean else None
    where = upright if lean is None else lean.where
    frames = group_frames(request, where)
    shares = group_shares(frames, found.settings)
    best = _best(request, where, found.settings, shares)
    settled = request.choice.f_number is not None
    others = beside(found.settings, shares, best, by_time=settled)
    order = tuple(sorted((best, *others), key=lambda k: (k != best, -shares[k])))
    every, every_shares = _whatever_aperture(frames, request, found, shares)
    return GroupChoice(
        request=request,
        upright=upright,
        lean=lean,
        frames=frames,
        found=found,
        shares=shares,
        order=order,
        every=every,
        every_shares=every_shares,
    )


def _whatever_aperture(
    frames: GroupFrames, request: GroupRequest, found: Candidates, shares: FloatArray
) -> tuple[Settings | None, FloatArray]:
    """Return what light and limits leave if the aperture were open, and ISO if all was settled."""
    settled = request.choice
    if settled.f_number is None:
        return found.settings, shares
    iso = settled.iso if settled.shutter_s is None else None
    try:
        every = allowed(request, frames.where, replace(settled, f_number=None, iso=iso)).settings
    except InputError:
        return None, np.zeros(0)
    return every, group_shares(frames, every)


def allowed(request: GroupRequest, where: Seating, choice: PlanChoice | None = None) -> Candidates:
    """Return the settings that light, limits and choice leave.

    Parameters
    ----------
    request : GroupRequest
        Kit and light.
    where : Seating
        Where everybody is: the light is set for the middle of the group.
    choice : PlanChoice or None
        What is settled; None: what the request says.

    Returns
    -------
    Candidates
        At least one.

    Raises
    ------
    InputError
        If there is none.
    """
    return candidates(
        request.kit, request.light, choice or request.choice, distance_mm=where.plane_mm
    )


def _best(request: GroupRequest, where: Seating, settings: Settings, shares: FloatArray) -> int:
    """Return the best setting, by a smaller print where nothing holds the one promised."""
    promise = request.promise
    while shares.max() < FEWEST_SHARE and promise.print_cm > LEAST_PRINT_CM:
        promise = replace(promise, print_cm=SMALLER_PRINT * promise.print_cm)
        smaller = group_frames(replace(request, promise=promise), where)
        shares = group_shares(smaller, settings)
    return best_of(settings, shares)


def at_aperture(choice: GroupChoice, f_number: float) -> Settings | None:
    """Return the best setting at an aperture, whatever was settled about apertures.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    f_number : float
        The aperture.

    Returns
    -------
    Settings or None
        None where the kit has no such aperture or the light does not allow it.
    """
    every = choice.every
    if every is None:
        return None
    near = np.flatnonzero(np.abs(every.f_number / f_number - 1.0) < SAME_MARK)
    if not len(near):
        return None
    return every.at(near).at(best_of(every.at(near), choice.every_shares[near]))


def discs_over_limit(choice: GroupChoice, where: Seating, settings: Settings) -> FloatArray:
    """Return everybody's disc by depth alone over the largest that the print takes.

    Parameters
    ----------
    choice : GroupChoice
        Kit and print.
    where : Seating
        The people; the focus lies at their best plane.
    settings : Settings
        As many as asked about, k.

    Returns
    -------
    ndarray
        Shape (k, people): up to 1 inside; infinite where nothing holds.
    """
    limit = limits_at(choice.frames.scene, settings).disc_um[:, None]
    disc = disc_um(
        focal_length_mm=choice.request.kit.focal_length_mm,
        f_number=settings.f_number[:, None],
        focus_mm=where.plane_mm,
        eye_mm=where.effective_mm[None, :],
    )
    return np.where(limit > 0.0, disc / np.maximum(limit, 1e-9), np.inf)


def widest_for_all(choice: GroupChoice) -> float | None:
    """Return the widest aperture whose depth of field takes everybody in if nobody leans.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    float or None
        A mark within the kit's limits that the light allows; None if none does.
    """
    every = choice.every
    if every is None:
        return None
    inside = discs_over_limit(choice, choice.upright, every).max(axis=1) <= 1.0
    return float(every.f_number[inside].min()) if inside.any() else None
