"""What a change of habit would bring beside a change of kit."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from eyeplane.errors import InputError
from eyeplane.plan.search import search
from eyeplane.plan.sitter import best_setting
from eyeplane.records import Measured, PlanKit, SitterRequest, Sitting, SittingFrame
from eyeplane.records.kit_against import AgainstHabit, AgainstPartOfHabit, AgainstWay

HABITS: tuple[AgainstPartOfHabit, ...] = ("focus", "depth", "shake", "sitter", "motion")
WORTH_RATIO = 1.1  # of reach: what a change of habit must bring at least to be spoken of; our own
OFTEN_SHARE = 1 / 3  # of frames in which a cause must cost before it is a habit; our own


def planned_habit(
    request: SitterRequest, b_kit: PlanKit, f_numbers: tuple[float, float]
) -> AgainstHabit | None:
    """Return what costs most with A beside the kit, as a plan for one sitter tells it.

    Parameters
    ----------
    request : SitterRequest
        A sitting with kit A, its focus and this photographer's steadiness.
    b_kit : PlanKit
        The other kit; where its focus is not known, A's is taken: the photographer is the same.
    f_numbers : tuple of float
        Apertures of A and B.

    Returns
    -------
    AgainstHabit or None
        None if little would be gained, or such a sitting is not possible.
    """
    a_kit = request.kit
    other = replace(
        b_kit,
        focus_bias_mm=b_kit.focus_bias_mm or a_kit.focus_bias_mm,
        focus_spread_mm=b_kit.focus_spread_mm or a_kit.focus_spread_mm,
    )
    try:
        a, b = (
            best_setting(
                search(replace(request, kit=kit, choice=replace(request.choice, f_number=f_number)))
            )
            for kit, f_number in zip((a_kit, other), f_numbers, strict=True)
        )
    except InputError:
        return None  # too dark or too near for such a sitting: nothing to add
    eye = a.eyes[0]
    without = {part.cause: part.reach_without_cm for part in eye.parts}
    habit = max(HABITS, key=lambda one: without.get(one, 0.0))
    if without.get(habit, 0.0) < WORTH_RATIO * eye.reach_cm.value:
        return None
    return AgainstHabit(
        part=habit,
        a_reach_cm=eye.reach_cm,
        b_reach_cm=b.eyes[0].reach_cm,
        a_without_cm=without[habit],
        known=True,
    )


def frames_habit(a: Sitting, way: AgainstWay) -> AgainstHabit | None:
    """Return what costs most in the frames of A besides the kit.

    Parameters
    ----------
    a : Sitting
        The frames of A, answered.
    way : AgainstWay
        What the middle frame of each holds.

    Returns
    -------
    AgainstHabit or None
        None if no cause costs in a third of the frames, or little would be gained.
    """
    told = [frame for frame in a.frames if frame.answer.reach_cm is not None]
    if not told:
        return None
    gains = {habit: _gain_ratio(told, habit) for habit in HABITS}
    habit = max(gains, key=lambda one: gains[one])
    if gains[habit] < WORTH_RATIO:
        return None
    return AgainstHabit(
        part=habit,
        a_reach_cm=way.a_reach_cm,
        b_reach_cm=way.b_reach_cm,
        a_without_cm=way.a_reach_cm.value * gains[habit],
        known=True,
    )


def _gain_ratio(frames: Sequence[SittingFrame], habit: str) -> float:
    """Return the middle frame's reach without a cause over its reach; 1 where it is no habit."""
    pairs = [(_reach(frame), _without(frame, habit)) for frame in frames]
    spoilt = sum(without > WORTH_RATIO * reach for reach, without in pairs)
    if spoilt < OFTEN_SHARE * len(pairs):
        return 1.0
    reach, without = (float(np.median(column)) for column in zip(*pairs, strict=True))
    return without / reach if reach > 0 else 1.0


def _reach(frame: SittingFrame) -> float:
    reach: Measured | None = frame.answer.reach_cm
    return 0.0 if reach is None else reach.value


def _without(frame: SittingFrame, habit: str) -> float:
    """Return a frame's reach without a cause; its own where that cause costs nothing."""
    deciding = frame.answer.deciding
    parts = () if deciding is None else frame.answer.faces[deciding].budget
    told = [one.reach_without_cm for one in parts if one.cause == habit]
    return max([_reach(frame), *(one for one in told if one is not None)])
