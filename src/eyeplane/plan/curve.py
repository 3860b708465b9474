"""Share of frames by shutter time: aperture as in the best setting, ISO as the light asks."""

import numpy as np
from numpy.typing import NDArray

from eyeplane.light import (
    SHUTTER_TIMES_S,
    iso_for,
    nearest_iso,
    nearest_shutter_s,
    true_f_number,
    true_shutter_s,
)
from eyeplane.people import reciprocal_rule_s
from eyeplane.people.hands import RULE_DIAGONAL_MM
from eyeplane.plan.axes import SAME_MARK, Axes
from eyeplane.plan.expected import EyeShares, motion_shares
from eyeplane.plan.flash_candidates import flash_candidates
from eyeplane.plan.limit_table import motion_limits
from eyeplane.plan.scene import Settings, joined, settings_of
from eyeplane.plan.search import Search
from eyeplane.records import GroupRequest, PlanKit, ShutterPoint, SitterRequest

FloatArray = NDArray[np.float64]

SLOWEST_S = 1 / 8  # of the curve, unless slower times are allowed


def rule_time_s(kit: PlanKit) -> float:
    """Return the marked shutter time that the reciprocal rule names for this lens and sensor.

    Parameters
    ----------
    kit : PlanKit
        Focal length and sensor: a smaller sensor asks for a shorter time in proportion.

    Returns
    -------
    float
        The mark at the rule's time or the next faster one.
    """
    crop = RULE_DIAGONAL_MM / float(np.hypot(kit.sensor_long_mm, kit.sensor_short_mm))
    rule_s = reciprocal_rule_s(focal_length_mm=kit.focal_length_mm * crop)
    return float(nearest_shutter_s(rule_s, faster=True))


def curve_settings(found: Search) -> Settings:
    """Return what to set at each shutter time of the curve.

    Parameters
    ----------
    found : Search
        The best setting and all that it was found among.

    Returns
    -------
    Settings
        Fast to slow, whole stops from the best time, and the reciprocal rule's; those whose ISO
        lies two stops and more outside the limits are left out.
    """
    return settings_by_time(
        found.request, found.setting, isos=found.table.isos, distance_mm=found.stand.distance_mm
    )


def settings_by_time(
    request: SitterRequest | GroupRequest,
    best: Settings,
    *,
    isos: FloatArray,
    distance_mm: float,
) -> Settings:
    """Return what to set at each shutter time, aperture and exposure as in one setting.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        Kit and light.
    best : Settings
        That setting.
    isos : ndarray
        ISO that are looked at, rising.
    distance_mm : float
        Where the flash is, unless that is said.

    Returns
    -------
    Settings
        Fast to slow; the setting itself where there is nothing else.
    """
    kit, light = request.kit, request.light
    marks = np.array(SHUTTER_TIMES_S[::-1])
    at = int(np.argmin(np.abs(np.log(marks / best.shutter_s[0]))))
    kept = np.zeros(len(marks), bool)
    kept[at % 3 :: 3] = True
    kept[np.argmin(np.abs(np.log(marks / rule_time_s(kit))))] = True
    slowest_s = max(kit.slowest_s, SLOWEST_S) * (1 + SAME_MARK)
    times = marks[kept & (marks <= slowest_s) & (marks >= kit.fastest_s * (1 - SAME_MARK))]
    if light.kind == "flash":
        return _with_flash(request, best, times, distance_mm)
    iso = nearest_iso(
        iso_for(
            exposure_ev=light.exposure_ev or 0.0,
            f_number=true_f_number(float(best.f_number[0])),
            time_s=true_shutter_s(times),
        )
    )
    known = (iso >= isos[0]) & (iso <= isos[-1])
    if not known.any():
        return best
    return settings_of(
        f_number=best.f_number[0], shutter_s=times[known], iso=iso[known], level=best.level[0]
    )


def _with_flash(
    request: SitterRequest | GroupRequest, best: Settings, times: FloatArray, distance_mm: float
) -> Settings:
    """Return the flash's settings at each time that it can be used with."""
    sync_s = request.kit.sync_s * (1 - SAME_MARK)
    usable = times if request.light.high_speed_sync else times[times >= sync_s]
    each = [
        flash_candidates(
            request.kit,
            request.light,
            Axes(f_number=best.f_number, time_s=np.array([time_s]), iso=best.iso),
            distance_mm=distance_mm,
            settled=True,
        )
        for time_s in usable
    ]
    good = [settings for settings, off_ev in each if off_ev == 0.0]
    return joined(*good) if good else best


def curve(
    found: Search, settings: Settings, held: tuple[EyeShares, ...]
) -> tuple[ShutterPoint, ...]:
    """Return the share of frames that hold at each shutter time.

    Parameters
    ----------
    found : Search
        The best setting and its frames.
    settings : Settings
        As `curve_settings` gives them.
    held : tuple of EyeShares
        Their shares.

    Returns
    -------
    tuple of ShutterPoint
        Fast to slow.
    """
    kit = found.request.kit
    limits = motion_limits(kit, found.request.promise, f_number=float(found.setting.f_number[0]))
    motion = motion_shares(found.frames, settings, limits=limits)
    rule_s = rule_time_s(kit)
    return tuple(
        ShutterPoint(
            shutter_s=float(settings.shutter_s[k]),
            share=held[k].counting,
            motion_share=motion[k],
            reciprocal=bool(abs(settings.shutter_s[k] / rule_s - 1) < SAME_MARK),
            allowed=is_allowed(kit, float(settings.shutter_s[k]), float(settings.iso[k])),
        )
        for k in range(len(settings))
    )


def is_allowed(kit: PlanKit, shutter_s: float, iso: float) -> bool:
    """Return whether the limits allow a shutter time at an ISO.

    Parameters
    ----------
    kit : PlanKit
        The limits.
    shutter_s, iso : float
        What is to be set.

    Returns
    -------
    bool
        Limits included.
    """
    low, high = 1 - SAME_MARK, 1 + SAME_MARK
    in_time = kit.fastest_s * low <= shutter_s <= kit.slowest_s * high
    return in_time and kit.base_iso * low <= iso <= kit.highest_iso * high
