"""Which settings the light allows: every aperture, time and ISO within the limits that expose it.

Sums of exposure are made in the exact third stops that the marks stand for, so that they close.
"""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.light import (
    ISOS,
    SHUTTER_TIMES_S,
    exposure_value_ev,
    iso_for,
    nearest_iso,
    true_f_number,
    true_iso,
    true_shutter_s,
)
from eyeplane.plan.axes import (
    HALF_STEP_EV,
    SAME_MARK,
    Axes,
    axes_of,
    check_off,
    settled,
    skin_level,
)
from eyeplane.plan.flash_candidates import flash_candidates
from eyeplane.plan.possible import check_kit, check_light
from eyeplane.plan.scene import Settings, settings_of
from eyeplane.plan.words import shutter, stops
from eyeplane.records import PlanChoice, PlanKit, PlanLight

FloatArray = NDArray[np.float64]

LONG_S = 1 / 60  # s: longer ones ask for a tripod; common practice, no source
MANY_TIMES = 100.0  # times the light: from here on stops say more


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """Settings that expose the face.

    Attributes
    ----------
    settings : Settings
        At least one.
    off_ev : float
        Exposure less the right one: 0 unless all three were settled.
    """

    settings: Settings
    off_ev: float


def candidates(
    kit: PlanKit, light: PlanLight, choice: PlanChoice, *, distance_mm: float
) -> Candidates:
    """Return all settings within the limits that expose the face rightly.

    Parameters
    ----------
    kit : PlanKit
        Its limits.
    light : PlanLight
        The light at the face.
    choice : PlanChoice
        What is settled.
    distance_mm : float
        Lens to face: where the flash is, unless that is said.

    Returns
    -------
    Candidates
        At least one.

    Raises
    ------
    InputError
        If limits contradict each other or the choice, if the light is not given, if nothing
        exposes it, or if settled settings miss it by more than three stops.

    Notes
    -----
    Continuous light: ISO follows from aperture and time, to the nearest third. Flash: its power
    follows from aperture and ISO; the time is the shortest that sync allows, or the next at which
    the room's light makes up for what the flash lacks. With high-speed sync the shorter times are
    tried in whole stops.

    Examples
    --------
    >>> found = candidates(
    ...     PlanKit(focal_length_mm=85),
    ...     PlanLight(exposure_ev=9),
    ...     PlanChoice(f_number=4, shutter_s=1 / 125),
    ...     distance_mm=2000,
    ... )
    >>> found.settings.iso
    array([400.])
    """
    check_kit(kit)
    if light.exposure_ev is None or math.isfinite(light.exposure_ev):
        check_light(light)
    if light.kind == "flash":
        axes = axes_of(kit, choice)
        found, off_ev = flash_candidates(
            kit, light, axes, distance_mm=distance_mm, settled=settled(choice)
        )
        check_off(axes, off_ev)
        return Candidates(settings=found, off_ev=off_ev)
    exposure_ev = light.exposure_ev
    if exposure_ev is None or not math.isfinite(exposure_ev):
        raise InputError(
            "how bright the light is was not said",
            where="light",
            hint="Give an exposure value at ISO 100 (EV 9) or the light at the face (800 lx)",
        )
    return _by_continuous(kit, exposure_ev, choice)


@functools.lru_cache(maxsize=64)
def _by_continuous(kit: PlanKit, exposure_ev: float, choice: PlanChoice) -> Candidates:
    """Return what exposes continuous light; kept, since ways out ask alike again."""
    axes = axes_of(kit, choice)
    needed = iso_for(
        exposure_ev=exposure_ev,
        f_number=true_f_number(axes.f_number)[:, None],
        time_s=true_shutter_s(axes.time_s)[None, :],
    )
    iso = _nearest(axes.iso, needed)
    off = np.log2(true_iso(iso) / needed)
    if settled(choice):
        off_ev = float(off[0, 0])
        off_ev = 0.0 if abs(off_ev) <= HALF_STEP_EV else off_ev  # a third-stop mark is no error
        check_off(axes, off_ev)
        return Candidates(
            settings=settings_of(
                f_number=axes.f_number,
                shutter_s=axes.time_s,
                iso=axes.iso,
                level=skin_level(off_ev),
            ),
            off_ev=off_ev,
        )
    rows = np.nonzero(np.abs(off) <= HALF_STEP_EV)
    if not len(rows[0]):
        raise _nothing_exposes(axes, exposure_ev)
    return Candidates(
        settings=settings_of(
            f_number=axes.f_number[rows[0]], shutter_s=axes.time_s[rows[1]], iso=iso[rows]
        ),
        off_ev=0.0,
    )


def _nearest(marks: FloatArray, value: FloatArray) -> FloatArray:
    """Return the mark nearest to each value, by ratio."""
    logs = np.log(marks)
    return np.asarray(marks[np.searchsorted((logs[1:] + logs[:-1]) / 2, np.log(value))])


def _right_ev(axes: Axes, places: tuple[int, int, int]) -> float:
    f_number, time_s, iso = places
    return float(
        exposure_value_ev(
            f_number=true_f_number(float(axes.f_number[f_number])),
            time_s=true_shutter_s(float(axes.time_s[time_s])),
            iso=true_iso(float(axes.iso[iso])),
        )
    )


def _ways_to_expose(short_ev: float, *, longest_s: float, highest_iso: float) -> str:
    """Return ways out of the dark, each of which does alone; a time or an ISO only if it exists."""
    times = math.exp2(short_ev)
    light = f"{math.ceil(10 * times) / 10:g} times the light"
    ways = [f"Bring {light if times < MANY_TIMES else f'{stops(short_ev)} more light'}"]
    needed_s = true_shutter_s(longest_s) * times * (1 - SAME_MARK)
    longer = [mark for mark in SHUTTER_TIMES_S if true_shutter_s(mark) >= needed_s]
    if longer:
        stand = " on a tripod" if min(longer) > LONG_S else ""
        ways.append(f"allow {shutter(min(longer))}{stand}")
    if highest_iso * times <= max(ISOS) * (1 + SAME_MARK):
        ways.append(f"allow ISO {nearest_iso(highest_iso * times, higher=True):.0f}")
    return ", or ".join(ways)


def _nothing_exposes(axes: Axes, exposure_ev: float) -> InputError:
    """Return what limits, and the ways out."""
    short = _right_ev(axes, (0, -1, -1)) - exposure_ev
    if short > 0:
        openest = Axes(f_number=axes.f_number, time_s=axes.time_s[::-1], iso=axes.iso[::-1])
        return InputError(
            f"EV {exposure_ev:.3g} is {stops(short)} too dark for {openest.said(0)}",
            where="light",
            hint=_ways_to_expose(
                short, longest_s=float(axes.time_s[-1]), highest_iso=float(axes.iso[-1])
            ),
        )
    closest = Axes(f_number=axes.f_number[::-1], time_s=axes.time_s, iso=axes.iso)
    over = exposure_ev - _right_ev(axes, (-1, 0, 0))
    return InputError(
        f"EV {exposure_ev:.3g} is {stops(over)} too bright for {closest.said(0)}",
        where="light",
        hint=f"Put a neutral density filter of {stops(over)} on, or step into the shade",
    )
