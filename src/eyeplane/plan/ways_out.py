"""What would bring more frames: every way out is tried, none is guessed."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from eyeplane.errors import InputError
from eyeplane.light import illuminance_lux
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.expected import shares, thinned
from eyeplane.plan.search import Search, search
from eyeplane.plan.words import iso_speed, length, listed, stops
from eyeplane.records import PlanChoice, SitterRequest

STEP_BACK = 1.25  # times the distance
TURNED_DEG = 8.0  # a head turned less than this faces the camera
MOST_STOPS = 6  # of light that are tried where nothing holds
ENOUGH_SHARE = 0.5  # a way out is one if at least every second frame holds; our own
WORTH_SHARE = 0.03  # of frames: what brings less is not worth a change; our own
SAME_FRAMES = {"choice", "iso", "room", "smaller", "wider", "light"}  # nobody moves, or otherwise
QUIET_MOODS = ("still", "resting")


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """One thing to change, and what comes of it.

    Attributes
    ----------
    kind : str
        "choice", "still", "face", "focus", "tripod", "iso", "room", "smaller", "wider", "back" or
        "light", cheapest first.
    text : str
        What to do, in a clause without a full stop.
    share : float
        Of frames that then hold at the settings that are best then.
    gain : float
        Against what holds now.
    then : Search
        All that was tried.
    """

    kind: str
    text: str
    share: float
    gain: float
    then: Search


def ways_out(found: Search) -> tuple[WayOut, ...]:
    """Return what each way out brings, the cheapest first.

    Parameters
    ----------
    found : Search
        As things are.

    Returns
    -------
    tuple of WayOut
        Those that can be tried here, whatever they bring.
    """
    few = thinned(found.frames)
    now = float(shares(few, found.setting, limits=found.table.at(found.setting))[0])
    told = []
    for kind, text, changed in _trials(found):
        try:
            then = search(changed, few=True, like=few if kind in SAME_FRAMES else None)
        except InputError:
            continue
        told.append(
            WayOut(kind=kind, text=text, share=then.share, gain=then.share - now, then=then)
        )
    return tuple(told)


def more_light(found: Search) -> WayOut | None:
    """Return how much more light makes every second frame hold.

    Parameters
    ----------
    found : Search
        As things are: next to nothing holds.

    Returns
    -------
    WayOut or None
        The fewest stops that do; None where not even six stops do.
    """
    now = found.share
    for count in range(2, MOST_STOPS + 1):
        changed, text = _lit(found.request, count)
        try:
            then = search(changed, few=True)
        except InputError:
            return None  # so much light is too bright for what is settled
        if then.share >= ENOUGH_SHARE:
            return WayOut(
                kind="light", text=text, share=then.share, gain=then.share - now, then=then
            )
    return None


Trial = tuple[str, str, SitterRequest]


def _trials(found: Search) -> list[Trial]:
    """Return what can be tried here: kind, words, and the changed request; cheapest first."""
    return [trial for one in _TRIES if (trial := one(found)) is not None]


def _choice(found: Search) -> Trial | None:
    choice, request = found.request.choice, found.request
    named = {"aperture": choice.f_number, "shutter": choice.shutter_s, "ISO": choice.iso}
    given = [name for name, value in named.items() if value is not None]
    if not given:
        return None
    return "choice", f"Leave {listed(given)} to the plan", replace(request, choice=PlanChoice())


def _still(found: Search) -> Trial | None:
    sitter = found.request.sitter
    if sitter.mood in QUIET_MOODS or sitter.speed_mm_per_s is not None:
        return None
    calm = replace(sitter, mood="still")
    return (
        "still",
        "Release only while the sitter keeps still",
        replace(found.request, sitter=calm),
    )


def _face(found: Search) -> Trial | None:
    request = found.request
    if request.eyes != "both" or abs(request.yaw_deg) < TURNED_DEG:
        return None
    return "face", "Have the face turned to the camera", replace(request, yaw_deg=0.0)


def _focus(found: Search) -> Trial | None:
    kit, bias = found.request.kit, found.request.kit.focus_bias_mm
    if bias is None or bias.low <= 0.0 <= bias.high:
        return None
    side = "behind" if bias.value > 0 else "in front of"
    text = f"Correct your kit's focus, which lies {length(bias.value)} {side} the near eye"
    return "focus", text, replace(found.request, kit=replace(kit, focus_bias_mm=None))


def _tripod(found: Search) -> Trial | None:
    hand = found.request.hand
    if hand.support == "tripod":
        return None
    steady = replace(hand, support="tripod")
    return "tripod", "Put the camera on a tripod", replace(found.request, hand=steady)


def _iso(found: Search) -> Trial | None:
    kit, iso = found.request.kit, float(found.setting.iso[0])
    if found.request.choice.iso is not None or iso < kit.highest_iso * (1 - SAME_MARK):
        return None
    more = replace(kit, highest_iso=2.0 * kit.highest_iso)
    text = f"Allow {iso_speed(more.highest_iso)}"
    return "iso", text, replace(found.request, kit=more)


def _room(found: Search) -> Trial | None:
    light = found.request.light
    if light.kind != "flash" or light.exposure_ev is None:
        return None
    dark = replace(light, exposure_ev=None)
    return "room", "Darken the room", replace(found.request, light=dark)


def _smaller(found: Search) -> Trial | None:
    kit, f_number = found.request.kit, float(found.setting.f_number[0])
    if found.request.choice.f_number or f_number < kit.smallest_f_number * (1 - SAME_MARK):
        return None
    more = replace(kit, smallest_f_number=2.0 * kit.smallest_f_number)
    return "smaller", "Close the aperture further", replace(found.request, kit=more)


def _wider(found: Search) -> Trial | None:
    kit, f_number = found.request.kit, float(found.setting.f_number[0])
    if found.request.choice.f_number or f_number > kit.widest_f_number * (1 + SAME_MARK):
        return None
    more = replace(kit, widest_f_number=max(kit.widest_f_number / 2.0**0.5, 0.7))
    return "wider", "Take a lens a stop faster", replace(found.request, kit=more)


def _back(found: Search) -> Trial | None:
    distance_mm = STEP_BACK * found.stand.distance_mm
    changed = replace(found.request, distance_mm=distance_mm, framing=None)
    return "back", f"Step back to {length(distance_mm)} and frame more loosely", changed


def _light(found: Search) -> Trial | None:
    changed, text = _lit(found.request, 1)
    return "light", text, changed


def _lit(request: SitterRequest, count: int) -> tuple[SitterRequest, str]:
    """Return the same with so many stops more light, and how that is said."""
    light = request.light
    if light.kind == "flash":
        stronger = (light.guide_number_m or 0.0) * 2.0 ** (count / 2)
        text = f"Use a flash {stops(count)} stronger (guide number {stronger:.0f})"
        return replace(request, light=replace(light, guide_number_m=stronger)), text
    exposure_ev = (light.exposure_ev or 0.0) + count
    lux = illuminance_lux(exposure_ev)
    text = f"Give the face {stops(count)} more light (EV {exposure_ev:.3g}, {_lux(lux)})"
    return replace(request, light=replace(light, exposure_ev=exposure_ev)), text


def _lux(value_lux: float) -> str:
    return (
        f"{float(f'{value_lux:.2g}'):.0f}\u2009lx"
        if value_lux >= 10
        else f"{value_lux:.1f}\u2009lx"
    )


_TRIES: tuple[Callable[[Search], Trial | None], ...] = (
    *(_choice, _still, _face, _focus, _tripod, _iso),
    *(_room, _smaller, _wider, _back, _light),
)
