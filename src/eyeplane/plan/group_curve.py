"""A group's shares by shutter time, and its ways to more light, side by side."""

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import (
    nearest_f_number,
    nearest_iso,
    nearest_shutter_s,
    true_f_number,
    true_shutter_s,
)
from eyeplane.optics import BLUR_POWER
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.curve import is_allowed, rule_time_s, settings_by_time
from eyeplane.plan.group_choice import GroupChoice
from eyeplane.plan.group_frames import Powered
from eyeplane.plan.group_shares import limits_at, place_costs, row_shares
from eyeplane.plan.limit_table import limit_table
from eyeplane.plan.middle import QUANTILES, drawn_um, orderly, reaches_of
from eyeplane.plan.scene import Settings, joined
from eyeplane.records import LightWay, Measured, ShutterPoint

FloatArray = NDArray[np.float64]

QUIET_ISO = 1e-6  # without noise


def curve_of(choice: GroupChoice, beliefs: Powered) -> tuple[ShutterPoint, ...]:
    """Return the share of frames in which everybody holds, by shutter time.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    beliefs : Powered
        Frames under each belief.

    Returns
    -------
    tuple of ShutterPoint
        Fast to slow in whole stops from the best time, and the reciprocal rule's, at the best
        setting's aperture.
    """
    kit, promise, best = choice.request.kit, choice.request.promise, choice.best
    found = settings_by_time(
        choice.request,
        best,
        isos=limit_table(kit, promise).isos,
        distance_mm=choice.where.plane_mm,
    )
    shares = row_shares(choice.frames, found, beliefs)
    quiet = replace(found, iso=np.full(len(found), kit.base_iso))
    still = replace(choice.frames, frames=choice.frames.frames.in_focus())
    motion = row_shares(still, quiet, beliefs.in_focus())
    rule_s = rule_time_s(kit)
    return tuple(
        ShutterPoint(
            shutter_s=float(found.shutter_s[k]),
            share=shares[k].everybody,
            motion_share=motion[k].everybody,
            reciprocal=bool(abs(found.shutter_s[k] / rule_s - 1.0) < SAME_MARK),
            allowed=is_allowed(kit, float(found.shutter_s[k]), float(found.iso[k])),
        )
        for k in range(len(found))
    )


def ways_of(choice: GroupChoice, beliefs: Powered) -> tuple[LightWay, ...]:
    """Return what a stop more light onto the sensor would bring, way by way.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    beliefs : Powered
        Frames under each belief.

    Returns
    -------
    tuple of LightWay
        "now" first; then those that the kit has. Each lowers ISO by a stop; none where it is at its
        base already.
    """
    best, kit = choice.best, choice.request.kit
    lower = float(best.iso[0]) / 2.0
    rows = [("now", best)]
    if lower >= kit.base_iso * (1 - SAME_MARK):
        less = replace(best, iso=np.array([nearest_iso(lower)]))
        rows.append(("more light", less))
        wider = nearest_f_number(true_f_number(float(best.f_number[0])) / math.sqrt(2.0))
        if wider >= kit.widest_f_number * (1 - SAME_MARK):
            rows.append(("wider aperture", replace(less, f_number=np.array([wider]))))
        slower = nearest_shutter_s(2.0 * true_shutter_s(float(best.shutter_s[0])))
        if math.isnan(best.flash_power[0]) and slower <= kit.slowest_s * (1 + SAME_MARK):
            time_s = np.array([slower])
            rows.append(("slower shutter", replace(less, shutter_s=time_s, motion_s=time_s)))
    settings = joined(*(one for _, one in rows))
    shares = row_shares(choice.frames, settings, beliefs)
    reach, quiet = group_reaches(choice, settings)
    return tuple(
        LightWay(
            way=way,
            f_number=float(one.f_number[0]),
            shutter_s=float(one.shutter_s[0]),
            iso=float(one.iso[0]),
            reach_cm=reach[k],
            share=shares[k].everybody,
            noise_cost_cm=max(float(quiet[k]) - reach[k].value, 0.0),
        )
        for k, (way, one) in enumerate(rows)
    )


def group_reaches(
    choice: GroupChoice, settings: Settings
) -> tuple[tuple[Measured, ...], FloatArray]:
    """Return the reach that everybody has, at each of a few settings.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    settings : Settings
        A few, k.

    Returns
    -------
    reach_cm : tuple of Measured
        Of the middle frame and of the middle nine in ten, each at its worst eye.
    without_noise_cm : ndarray
        (k,): of the middle frame if there were no noise.
    """
    scene, frames = choice.frames.scene, choice.frames.frames
    limits = orderly(limits_at(scene, settings))
    costs = place_costs(frames, settings, limits)
    worst = costs.argmax(axis=1)  # (k, frames)
    order = np.argsort(costs.max(axis=1), axis=1)
    picked = order[:, [round(q * (order.shape[1] - 1)) for q in QUANTILES]]
    place = np.take_along_axis(worst, picked, axis=1)
    disc = frames.disc[place, picked] ** (1.0 / BLUR_POWER) / settings.f_number[:, None]
    line = drawn_um(settings, limits, frames.line[place, picked] ** (1.0 / BLUR_POWER))
    quiet = replace(settings, iso=np.full(len(settings), QUIET_ISO))
    reach = reaches_of(
        scene,
        joined(settings, quiet),
        disc_um=np.concatenate([disc, disc]),
        line_um=np.concatenate([line, line]),
    )
    without = reach[len(settings) :, 1]
    reach = reach[: len(settings)]
    told = tuple(
        Measured(value=float(v), low=float(min(a, v)), high=float(max(b, v))) for a, v, b in reach
    )
    return told, without
