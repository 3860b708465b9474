"""The settings of a group's plan as records: shares, depth, and the budget of each row."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.plan import group_words
from eyeplane.plan.budget import Budget, budgets
from eyeplane.plan.depth_line import end_or_none
from eyeplane.plan.expected import expected
from eyeplane.plan.group_choice import GroupChoice
from eyeplane.plan.group_rows import depth_of, rows_out
from eyeplane.plan.group_shares import RowShares, limits_at
from eyeplane.plan.scene import Settings
from eyeplane.records import PlanEye, PlanSetting

FloatArray = NDArray[np.float64]


def plan_settings(
    choice: GroupChoice, settings: Settings, shares: tuple[RowShares, ...]
) -> tuple[PlanSetting, ...]:
    """Return settings of a group as records.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    settings : Settings
        Those of the plan, best first.
    shares : tuple of RowShares
        Of each.

    Returns
    -------
    tuple of PlanSetting
        In the same order; eyes one a row.
    """
    told = row_budgets(choice, settings)
    best = shares[0]
    made: list[PlanSetting] = []
    for k, share in enumerate(shares):
        one = settings.at(k)
        depth, plane = depth_of(choice, one), choice.where.plane_mm
        power = float(one.flash_power[0])
        flash = not math.isnan(power)
        setting = PlanSetting(
            f_number=float(one.f_number[0]),
            shutter_s=float(one.shutter_s[0]),
            iso=float(one.iso[0]),
            flash_power=power if flash else None,
            exposure_off_ev=choice.found.off_ev,
            share=share.everybody,
            share_both=None,
            eyes=tuple(
                PlanEye(
                    name=f"row {row}",
                    depth_mm=row_depth_mm(choice, row),
                    reach_cm=budget.reach_cm,
                    share=share.rows[row - 1],
                    parts=budget.parts,
                )
                for row, budget in enumerate(told[k], start=1)
            ),
            focus_from_near_iris_mm=plane - choice.request.distance_mm,
            depth_front_mm=end_or_none(plane - depth.near_mm),
            depth_behind_mm=end_or_none(depth.far_mm - plane),
            background_blur_mm=None,
            background_blur_share=None,
            frozen_by_flash=flash and bool(one.motion_s[0] < one.shutter_s[0]),
            ghost_share=float(one.ghost_share[0]) if flash else None,
            gives_up="",
        )
        if k > 0:
            out = rows_out(choice, one)
            said = group_words.gives_up(made[0], setting, (best, share), out)
            setting = replace(setting, gives_up=said)
        made.append(setting)
    return tuple(made)


def row_depth_mm(choice: GroupChoice, row: int) -> float:
    """Return how far behind the front row's near irises a row is, as the plan has it.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    row : int
        From 1.

    Returns
    -------
    float
        In mm along the lens axis, to the middle of the row's depths.
    """
    distances = choice.where.distance_mm[choice.where.row == row]
    return 0.5 * float(distances.min() + distances.max()) - choice.request.distance_mm


def row_budgets(choice: GroupChoice, settings: Settings) -> tuple[tuple[Budget, ...], ...]:
    """Return the budget of each row at each setting.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    settings : Settings
        A few.

    Returns
    -------
    tuple of tuple of Budget
        One tuple a setting, one entry a row: that of its face farthest from the focus plane.
    """
    where, scene = choice.where, choice.frames.scene
    limits = limits_at(scene, settings)
    eyes = []
    for row in range(1, choice.request.rows + 1):
        own = where.effective_mm[where.row == row]
        eyes.append(float(own[np.abs(1.0 / own - 1.0 / where.plane_mm).argmax()]))
    told: list[tuple[Budget, ...]] = [() for _ in range(len(settings))]
    for start in range(0, len(eyes), 2):
        two = eyes[start : start + 2]
        first, second = two[0], two[-1]
        # Of one person's scene: two eyes and a point in the focus plane.
        view = replace(scene, eyes_mm=(first, second, where.plane_mm), person=(0, 0, 0))
        frames = expected(view, focus_mm=where.plane_mm)
        pair = budgets(frames, settings, limits, whole=len(settings))
        told = [(*before, *more[: len(two)]) for before, more in zip(told, pair, strict=True)]
    return tuple(told)
