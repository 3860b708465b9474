"""What would bring more frames: every way out is tried, none is guessed."""

from dataclasses import dataclass, replace

from eyeplane.errors import InputError
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.expected import shares, thinned
from eyeplane.plan.scene import Settings
from eyeplane.plan.search import Search, search
from eyeplane.plan.trials import (
    QUIET_MOODS,
    SAME_FRAMES,
    Trial,
    common_trials,
    in_order,
    lit,
)
from eyeplane.plan.words import capital, length
from eyeplane.records import SitterRequest

STEP_BACK = 1.25  # times the distance
TURNED_DEG = 8.0  # a head turned less than this faces the camera
MOST_STOPS = 6  # of light that are tried where nothing holds
ENOUGH_SHARE = 0.5  # a way out is one if at least every second frame holds; our own
WORTH_SHARE = 0.03  # of frames: what brings less is not worth a change; our own


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
    for kind, do, changed in _trials(found):
        try:
            then = search(changed, few=True, like=few if kind in SAME_FRAMES else None)
        except InputError:
            continue
        told.append(
            WayOut(kind=kind, text=capital(do), share=then.share, gain=then.share - now, then=then)
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
        kind, do, changed = lit(found.request, count)
        try:
            then = search(changed, few=True)
        except InputError:
            return None  # so much light is too bright for what is settled
        if then.share >= ENOUGH_SHARE:
            return WayOut(
                kind=kind, text=capital(do), share=then.share, gain=then.share - now, then=then
            )
    return None


def _trials(found: Search) -> list[Trial[SitterRequest]]:
    """Return what can be tried here: kind, words, and the changed request; cheapest first."""
    request, best = found.request, found.setting
    return in_order(
        *common_trials(request, best),
        _still(request),
        _face(request),
        _room(request),
        _wider(request, best),
        _back(found),
    )


def _still(request: SitterRequest) -> Trial[SitterRequest] | None:
    sitter = request.sitter
    if sitter.mood in QUIET_MOODS or sitter.speed_mm_per_s is not None:
        return None
    calm = replace(request, sitter=replace(sitter, mood="still"))
    return "still", "release only while the sitter keeps still", calm


def _face(request: SitterRequest) -> Trial[SitterRequest] | None:
    if request.eyes != "both" or abs(request.yaw_deg) < TURNED_DEG:
        return None
    return "face", "have the face turned to the camera", replace(request, yaw_deg=0.0)


def _room(request: SitterRequest) -> Trial[SitterRequest] | None:
    light = request.light
    if light.kind != "flash" or light.exposure_ev is None:
        return None
    dark = replace(light, exposure_ev=None)
    return "room", "darken the room", replace(request, light=dark)


def _wider(request: SitterRequest, best: Settings) -> Trial[SitterRequest] | None:
    kit, f_number = request.kit, float(best.f_number[0])
    if request.choice.f_number or f_number > kit.widest_f_number * (1 + SAME_MARK):
        return None
    more = replace(kit, widest_f_number=max(kit.widest_f_number / 2.0**0.5, 0.7))
    return "wider", "take a lens a stop faster", replace(request, kit=more)


def _back(found: Search) -> Trial[SitterRequest]:
    distance_mm = STEP_BACK * found.stand.distance_mm
    changed = replace(found.request, distance_mm=distance_mm, framing=None)
    return "back", f"step back to {length(distance_mm)} and frame more loosely", changed
