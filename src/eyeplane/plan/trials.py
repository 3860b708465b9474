"""Single changes that may bring more frames, worded and tried alike for one sitter and a group."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from eyeplane.light import illuminance_lux
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.scene import Settings
from eyeplane.plan.words import THIN, iso_speed, length, listed, stops
from eyeplane.records import GroupRequest, PlanChoice, SitterRequest

Asked = TypeVar("Asked", SitterRequest, GroupRequest)
Trial = tuple[str, str, Asked]  # kind; what to do, as an order; what is then asked

CHEAPEST_FIRST = (
    *("choice", "still", "face", "closer", "lean", "focus", "tripod", "iso", "room", "smaller"),
    *("wider", "back", "light"),
)
SAME_FRAMES = {"choice", "iso", "room", "smaller", "wider", "light"}  # nobody moves, or otherwise
QUIET_MOODS = ("still", "resting")


def in_order(*trials: Trial[Asked] | None) -> list[Trial[Asked]]:
    """Return what can be tried, the cheapest first.

    Parameters
    ----------
    *trials : tuple or None
        None: cannot be tried here.

    Returns
    -------
    list of tuple
        Those of one kind as they came.
    """
    there = (trial for trial in trials if trial is not None)
    return sorted(there, key=lambda trial: CHEAPEST_FIRST.index(trial[0]))


def common_trials(request: Asked, best: Settings) -> Iterable[Trial[Asked] | None]:
    """Return what can be tried whoever sits.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        As things are.
    best : Settings
        The best setting.

    Returns
    -------
    iterable of tuple or None
        What is settled left open, focus corrected, a tripod, twice the ISO, a smaller aperture, a
        stop more light; None for each that cannot be tried.
    """
    return (
        _choice(request),
        _focus(request),
        _tripod(request),
        _iso(request, best),
        _smaller(request, best),
        lit(request, 1),
    )


def _choice(request: Asked) -> Trial[Asked] | None:
    choice = request.choice
    named = {"the aperture": choice.f_number, "the shutter": choice.shutter_s, "ISO": choice.iso}
    given = [name for name, value in named.items() if value is not None]
    if not given:
        return None
    return "choice", f"leave {listed(given)} to the plan", replace(request, choice=PlanChoice())


def _focus(request: Asked) -> Trial[Asked] | None:
    kit, bias = request.kit, request.kit.focus_bias_mm
    if bias is None or bias.low <= 0.0 <= bias.high:
        return None
    side = "behind" if bias.value > 0 else "in front of"
    do = f"correct your kit's focus, which lies {length(bias.value)} {side} what it is put on"
    return "focus", do, replace(request, kit=replace(kit, focus_bias_mm=None))


def _tripod(request: Asked) -> Trial[Asked] | None:
    if request.hand.support == "tripod":
        return None
    steady = replace(request.hand, support="tripod")
    return "tripod", "put the camera on a tripod", replace(request, hand=steady)


def _iso(request: Asked, best: Settings) -> Trial[Asked] | None:
    kit, iso = request.kit, float(best.iso[0])
    if request.choice.iso is not None or iso < kit.highest_iso * (1 - SAME_MARK):
        return None
    more = replace(kit, highest_iso=2.0 * kit.highest_iso)
    return "iso", f"allow {iso_speed(more.highest_iso)}", replace(request, kit=more)


def _smaller(request: Asked, best: Settings) -> Trial[Asked] | None:
    kit, f_number = request.kit, float(best.f_number[0])
    if request.choice.f_number or f_number < kit.smallest_f_number * (1 - SAME_MARK):
        return None
    more = replace(kit, smallest_f_number=2.0 * kit.smallest_f_number)
    return "smaller", "close the aperture further", replace(request, kit=more)


def lit(request: Asked, count: int) -> Trial[Asked]:
    """Return the same with more light.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        As things are.
    count : int
        Stops more, > 0.

    Returns
    -------
    tuple
        A stronger flash, or a brighter place.
    """
    light = request.light
    if light.kind == "flash":
        stronger = (light.guide_number_m or 0.0) * 2.0 ** (count / 2)
        do = f"use a flash {stops(count)} stronger (guide number {stronger:.0f})"
        return "light", do, replace(request, light=replace(light, guide_number_m=stronger))
    exposure_ev = (light.exposure_ev or 0.0) + count
    lux = _lux(illuminance_lux(exposure_ev))
    do = f"bring {stops(count)} more light (EV {exposure_ev:.3g}, {lux})"
    return "light", do, replace(request, light=replace(light, exposure_ev=exposure_ev))


def _lux(value_lux: float) -> str:
    size = f"{float(f'{value_lux:.2g}'):.0f}" if value_lux >= 10 else f"{value_lux:.1f}"
    return f"{size}{THIN}lx"
