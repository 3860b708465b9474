"""From the light as typed to the light of a request."""

import math
from dataclasses import replace
from typing import cast

from eyeplane.asked.plan_given import Given
from eyeplane.asked.typed import LightGiven
from eyeplane.errors import InputError
from eyeplane.light import (
    exposure_from_luminance_ev,
    exposure_from_lux_ev,
    exposure_value_ev,
    true_f_number,
    true_iso,
    true_shutter_s,
)
from eyeplane.light.flash_energy import MODIFIERS, guide_number_from_energy_m
from eyeplane.records import Measured, PlanLight

FLASH_ONLY = ("ambient", "flash-distance", "flash-duration", "high-speed-sync")
METER_MM = 1000.0  # with a meter's reading alone any distance does: the guide number fits it


def light_of(given: Given) -> PlanLight:
    """Return the light.

    Parameters
    ----------
    given : Given
        What holds.

    Returns
    -------
    PlanLight
        Continuous light as an exposure value, flash as a guide number.

    Raises
    ------
    InputError
        If something was said of a flash and there is none, or of a source without its size.
    """
    said = cast("LightGiven", given["light"])
    size_mm, far_mm = _source(given)
    if not said.flash:
        _refuse_flash_words(given)
        return PlanLight(
            exposure_ev=continuous_ev(said), source_size_mm=size_mm, source_distance_mm=far_mm
        )
    distance_mm = given.number("flash-distance")
    if said.measure == "meter" and distance_mm is None:
        distance_mm = METER_MM
    light = PlanLight(
        kind="flash",
        exposure_ev=given.number("ambient"),
        flash_distance_mm=distance_mm,
        full_power_s=given.number("flash-duration"),
        high_speed_sync=given.on("high-speed-sync"),
        source_size_mm=size_mm,
        source_distance_mm=far_mm,
    )
    return replace(light, guide_number_m=flash_guide_number_m(said, distance_mm))


def _source(given: Given) -> tuple[float | None, float | None]:
    """Return size and distance of the source: the flash is where it was said to be."""
    size_mm, far_mm = given.number("source-size"), given.number("source-distance")
    if size_mm is not None and far_mm is None:
        far_mm = given.number("flash-distance")
    for known, lacking, name, like in (
        (far_mm if given.was_said("source-distance") else None, size_mm, "source-size", "80cm"),
        (size_mm, far_mm, "source-distance", "1.2m"),
    ):
        if known is not None and lacking is None:
            raise InputError(
                "size and distance together say how hard the light is, one alone does not",
                where=f"--{name}",
                hint=f"Give it too, like {like}",
            )
    return size_mm, far_mm


def continuous_ev(said: LightGiven) -> float:
    """Return the exposure value of continuous light.

    Parameters
    ----------
    said : LightGiven
        No flash.

    Returns
    -------
    float
        At ISO 100.
    """
    if said.measure == "lux":
        return float(exposure_from_lux_ev(said.amount))
    if said.measure == "cd_per_m2":
        return float(exposure_from_luminance_ev(said.amount))
    if said.measure == "meter":
        return float(
            exposure_value_ev(
                f_number=true_f_number(said.amount),
                time_s=true_shutter_s(said.shutter_s),
                iso=true_iso(said.iso),
            )
        )
    return said.amount


def flash_guide_number_m(said: LightGiven, distance_mm: float | None) -> float:
    """Return the guide number of a flash.

    Parameters
    ----------
    said : LightGiven
        A flash.
    distance_mm : float or None
        Flash to face; counts only where a meter at the face was read.

    Returns
    -------
    float
        Metres, ISO 100, full power.

    Raises
    ------
    InputError
        If what the flash shines through is not known.
    """
    if said.measure == "energy_ws":
        return energy_guide_number_m(said).value
    if said.measure == "meter":
        metres = (distance_mm or METER_MM) / 1000.0
        return true_f_number(said.amount) * metres * math.sqrt(100.0 / true_iso(said.iso))
    return said.amount


def energy_guide_number_m(said: LightGiven) -> Measured:
    """Return what guide number to expect of a flash whose energy is known.

    Parameters
    ----------
    said : LightGiven
        Watt-seconds, and what the flash shines through.

    Returns
    -------
    Measured
        Metres, ISO 100, full power: an estimate.

    Raises
    ------
    InputError
        If what it shines through is not known.
    """
    modifier = said.modifier.removeprefix("with ").removeprefix("a ") or "reflector"
    if modifier not in MODIFIERS:
        raise InputError(
            f"what light does through '{modifier}' is not known",
            where="--light",
            hint=f"Use one of {', '.join(MODIFIERS)}, or read the flash with a meter: 'flash f/8'",
        )
    return guide_number_from_energy_m(energy_ws=said.amount, modifier=modifier)


def _refuse_flash_words(given: Given) -> None:
    for name in FLASH_ONLY:
        if given.was_said(name) and given[name] is not False:
            raise InputError(
                "this belongs to flash, and the light given is none",
                where=f"--{name}",
                hint="Leave it out, or give --light 'flash GN 40'",
            )
