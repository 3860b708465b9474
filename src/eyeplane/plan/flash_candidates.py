"""Which settings a flash allows: its power follows from aperture, ISO and the light of the room."""

import math

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.light import (
    FULL_POWER_S,
    ISOS,
    LEAST_POWER,
    ambient_level,
    effective_shutter_s,
    flash_f_number,
    flash_level,
    high_speed_sync_loss_ev,
    nearest_iso,
    nearest_power,
    power_beside_ambient,
    true_f_number,
    true_iso,
    true_shutter_s,
)
from eyeplane.plan.axes import HALF_STEP_EV, SAME_MARK, Axes, skin_level
from eyeplane.plan.scene import Settings, settings_of
from eyeplane.plan.words import f_stop, iso_speed, length, shutter, stops
from eyeplane.records import PlanKit, PlanLight

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

NEAREST_FLASH_MM = 300.0  # mm: nobody is lit from nearer than that; from memory
PULSED_STEP = 3  # shutter times shorter than sync are tried in whole stops


def flash_candidates(
    kit: PlanKit, light: PlanLight, axes: Axes, *, distance_mm: float, settled: bool
) -> tuple[Settings, float]:
    """Return all settings at which flash and room together expose the face.

    Parameters
    ----------
    kit : PlanKit
        Its sync limit.
    light : PlanLight
        Guide number, distance, and the light of the room.
    axes : Axes
        Marks to choose from.
    distance_mm : float
        Flash to face, unless the light says otherwise.
    settled : bool
        Whether the axes are all that is left: then the power alone follows, as far as it goes.

    Returns
    -------
    settings : Settings
        With power, ghost share, and how long the light draws the eye.
    off_ev : float
        Exposure less the right one: 0 unless settled.

    Raises
    ------
    InputError
        If the flash's strength is not given, no time allows flash, or nothing exposes the face.
    """
    flash_mm = distance_mm if light.flash_distance_mm is None else light.flash_distance_mm
    usable = Axes(f_number=axes.f_number, time_s=_times(kit, light, axes), iso=axes.iso)
    room, full, most = _levels(kit, light, usable, flash_mm)
    power = power_beside_ambient(full_level=full, ambient_level=room)
    half = math.exp2(HALF_STEP_EV)
    fits = (power <= most * half) & (power >= LEAST_POWER / half)
    if settled:
        fits = np.ones_like(fits)
        power = np.clip(power, LEAST_POWER, 1.0)
    elif not fits.any():
        raise _nothing_exposes(usable, room, power / most, flash_mm)
    synced = usable.time_s >= kit.sync_s * (1 - SAME_MARK)
    if len(usable.time_s) > 1:
        fits = _shortest(fits, synced)
    a, b, c = np.nonzero(fits)
    marked = nearest_power(power[a, b, c])
    ambient, flash = room[a, b, c], np.minimum(marked, most[a, b, c]) * full[a, b, c]
    off_ev = 0.0
    if settled:
        off_ev = math.log2(float(ambient[0] + flash[0]))
        off_ev = 0.0 if abs(off_ev) <= HALF_STEP_EV else off_ev
    time_s = usable.time_s[b]
    glow_s = effective_shutter_s(power=marked, full_power_s=_full_power_s(light), time_s=time_s)
    found = settings_of(
        f_number=usable.f_number[a],
        shutter_s=time_s,
        iso=usable.iso[c],
        motion_s=np.where(synced[b], glow_s, time_s),
        ghost_share=np.where(synced[b], ambient / (ambient + flash), 0.0),
        level=skin_level(off_ev),
        flash_power=marked,
    )
    return found, off_ev


def _full_power_s(light: PlanLight) -> float:
    return FULL_POWER_S if light.full_power_s is None else light.full_power_s


def _times(kit: PlanKit, light: PlanLight, axes: Axes) -> FloatArray:
    """Return the shutter times that flash can be used with."""
    synced = axes.time_s >= kit.sync_s * (1 - SAME_MARK)
    if light.high_speed_sync:
        faster = axes.time_s[~synced][::-1]
        return np.sort(np.concatenate([axes.time_s[synced], faster[::PULSED_STEP]]))
    if not synced.any():
        raise InputError(
            f"{shutter(float(axes.time_s[-1]))} is faster than the flash sync of "
            f"{shutter(kit.sync_s)}",
            where="shutter",
            hint=f"Use {shutter(kit.sync_s)} or slower, or high-speed sync",
        )
    return axes.time_s[synced]


def _shortest(fits: BoolArray, synced: BoolArray) -> BoolArray:
    """Return which settings to keep: of the times from sync on the shortest that exposes.

    All longer ones only add a longer ghost; pulsed ones draw less the shorter they are.
    """
    slow = fits & synced[None, :, None]
    first = slow & (np.cumsum(slow, axis=1) == 1)
    return np.asarray(first | (fits & ~synced[None, :, None]))


def _levels(
    kit: PlanKit, light: PlanLight, axes: Axes, flash_mm: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return what room and flash at full power make of the right exposure, and the most power.

    All are (f, time, ISO); the most is the share of full power that the shutter lets through.
    """
    if light.guide_number_m is None:
        raise InputError(
            "how strong the flash is was not said",
            where="light",
            hint="Give its guide number in metres at ISO 100 (flash GN 40)",
        )
    f_number = true_f_number(axes.f_number)[:, None, None]
    iso = true_iso(axes.iso)[None, None, :]
    shape = (len(axes.f_number), len(axes.time_s), len(axes.iso))
    room = np.zeros(shape)
    if light.exposure_ev is not None:
        if not math.isfinite(light.exposure_ev):
            raise InputError(
                f"EV {light.exposure_ev} is no light of a room",
                where="light",
                hint="Give its exposure value at ISO 100, or leave it out for a dark room",
            )
        room = ambient_level(
            exposure_ev=light.exposure_ev,
            f_number=f_number,
            time_s=true_shutter_s(axes.time_s)[None, :, None],
            iso=iso,
        )
    right = flash_f_number(guide_number_m=light.guide_number_m, distance_mm=flash_mm, iso=iso)
    kept, most = flash_through(
        time_s=axes.time_s, sync_s=kit.sync_s, full_power_s=_full_power_s(light)
    )
    full = flash_level(flash_f_number=right, f_number=f_number) * kept[None, :, None]
    level, through = np.broadcast_to(full, shape), np.broadcast_to(most[None, :, None], shape)
    return np.broadcast_to(room, shape), level, through


def flash_through(
    *, time_s: FloatArray, sync_s: float | FloatArray, full_power_s: float | FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return what a shutter lets through of a flash.

    Parameters
    ----------
    time_s : ndarray
        Shutter times, > 0 s.
    sync_s, full_power_s : float or ndarray
        The sync limit, and t.1 at full power, > 0 s.

    Returns
    -------
    kept : ndarray
        By how much all powers are weakened: below 1 only where the flash pulses.
    most : ndarray
        The share of full power beyond which more power gives no more light.

    Notes
    -----
    A flash is dimmed by cutting its discharge off. At the sync limit and slower the shutter cuts
    off the tail of the whole discharge, that of a dimmed one only where it glows longer than the
    shutter is open: of power p the sensor gets min(p, 1 − 10^(−t / t.1)).
    """
    through = np.exp2(
        -high_speed_sync_loss_ev(time_s=time_s, sync_s=sync_s, full_power_s=full_power_s)
    )
    synced = time_s >= sync_s * (1 - SAME_MARK)
    return np.where(synced, 1.0, through), np.where(synced, through, 1.0)


def _nothing_exposes(
    axes: Axes, room: FloatArray, power: FloatArray, flash_mm: float
) -> InputError:
    """Return what limits, and the ways out."""
    least_room = float(room.min())
    if least_room >= 1.0 - LEAST_POWER:
        over = stops(math.log2(least_room) + 1.0)
        return InputError(
            "the room's light alone exposes the face; there is nothing left for the flash",
            where="light",
            hint=f"Plan with the room's light, or put a neutral density filter of {over} on",
        )
    short = math.log2(float(power[power > 0].min()))
    if short > 0:
        near_mm, iso = flash_mm * 2.0 ** (-short / 2), float(axes.iso[-1]) * 2.0**short
        ways = [f"use a flash {stops(short)} stronger"]
        if iso <= max(ISOS) * (1 + SAME_MARK):
            ways.insert(0, f"allow ISO {nearest_iso(iso, higher=True):.0f}")
        if near_mm >= NEAREST_FLASH_MM:
            ways.insert(0, f"bring it to {length(near_mm)}")
        hint = ", or ".join(ways)
        return InputError(
            f"the flash is {stops(short)} too weak at {length(flash_mm)} for "
            f"{f_stop(float(axes.f_number[0]))} and {iso_speed(float(axes.iso[-1]))}",
            where="light",
            hint=f"{hint[0].upper()}{hint[1:]}",
        )
    over_ev = math.log2(LEAST_POWER / float(power.max()))
    return InputError(
        f"the flash is {stops(over_ev)} too strong even at 1/128 power, "
        f"{f_stop(float(axes.f_number[-1]))} and {iso_speed(float(axes.iso[0]))}",
        where="light",
        hint=(
            f"Move it to {length(flash_mm * 2.0 ** (max(over_ev, 0.0) / 2))}, or put a neutral "
            f"density filter of {stops(over_ev)} on"
        ),
    )
