"""What a lean-in is worked out from: the best setting, and what focus catches."""

import math
from dataclasses import dataclass, replace

from eyeplane.errors import InputError
from eyeplane.people import FocusError, head_places
from eyeplane.people.learned import Z90
from eyeplane.plan.frames_needed import pace_per_s
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.search import Search, search
from eyeplane.records import BurstRequest, Measured, SitterRequest

CAUGHT = ("iris", "lashes", "brow", "glasses")
FASTEST_LEAN_MM_PER_S = 500.0  # faster is no lean; from memory
MOST_FRAMES_PER_S = 120.0  # of any camera


@dataclass(frozen=True, slots=True, kw_only=True)
class Burst:
    """All that a lean-in is worked out from.

    Attributes
    ----------
    request : BurstRequest
        What was asked.
    scene : Scene
        The eyes that count, near one first.
    setting : Settings
        The best one for single frames whose focus is off by nothing on average.
    found : Search
        The sitting with it settled.
    focus : FocusError
        Where the plane lies after focusing, what is caught included.
    common_sd_mm : float
        What of its spread is the same for every focusing on this sitter with this kit.
    frames_per_s : float
        Pace of the camera: as asked, or what flash and shutter allow.
    """

    request: BurstRequest
    scene: Scene
    setting: Settings
    found: Search
    focus: FocusError
    common_sd_mm: float
    frames_per_s: float

    @property
    def step_mm(self) -> float:
        """Return how far the lean goes from frame to frame.

        Returns
        -------
        float
            Lean speed over pace.
        """
        return self.request.lean_mm_per_s / self.frames_per_s


def check_burst(request: BurstRequest) -> None:
    """Refuse a burst that nobody can shoot.

    Parameters
    ----------
    request : BurstRequest
        What was asked.

    Raises
    ------
    InputError
        If a pace or the chance wanted is impossible, or nothing known is caught.
    """
    if not 0.0 < request.lean_mm_per_s <= FASTEST_LEAN_MM_PER_S:
        raise InputError(
            f"nobody leans at {request.lean_mm_per_s:g} mm a second",
            where="lean",
            hint=f"Give up to {FASTEST_LEAN_MM_PER_S:g} mm a second; 40 is slow and even",
        )
    if not 0.0 < request.frames_per_s <= MOST_FRAMES_PER_S:
        raise InputError(
            f"no camera takes {request.frames_per_s:g} frames a second",
            where="frames a second",
            hint=f"Give up to {MOST_FRAMES_PER_S:g}",
        )
    if not 0.0 < request.wanted_share < 1.0:
        raise InputError(
            f"a chance of {request.wanted_share:g} cannot be planned for",
            where="wanted",
            hint="Give a share between 0 and 1, or percent: 0.95 or 95 %",
        )
    if request.caught not in CAUGHT:
        raise InputError(
            f"autofocus catches no '{request.caught}'",
            where="caught",
            hint=f"Use one of {', '.join(CAUGHT)}",
        )


def burst_of(request: BurstRequest) -> Burst:
    """Return what a lean-in is worked out from.

    Parameters
    ----------
    request : BurstRequest
        What was asked.

    Returns
    -------
    Burst
        With the best setting for single frames, a learned bias of focus taken off.

    Raises
    ------
    InputError
        If a pace or the chance wanted is impossible, or the sitting cannot be planned.
    """
    check_burst(request)
    sitting = request.sitting
    setting = search(_unbiased(sitting)).setting
    found = search(with_setting(sitting, setting))
    whole = found.frames.scene
    power = float(setting.flash_power[0])
    count = 1 + max(found.frames.eyes)  # the near iris, or both
    focus = caught_focus(request, whole.focus)
    return Burst(
        request=request,
        scene=replace(whole, eyes_mm=whole.eyes_mm[:count], person=whole.person[:count]),
        setting=setting,
        found=found,
        focus=focus,
        common_sd_mm=_common_sd_mm(request, whole.focus, focus),
        frames_per_s=pace_per_s(
            sitting.light,
            flash_power=None if math.isnan(power) else power,
            wished_per_s=min(request.frames_per_s, 1.0 / float(setting.shutter_s[0])),
        ),
    )


def _unbiased(sitting: SitterRequest) -> SitterRequest:
    """Return a sitting whose autofocus is off by nothing on average: that is leaned away."""
    bias = sitting.kit.focus_bias_mm
    if bias is None:
        return sitting
    none = Measured(value=0.0, low=bias.low - bias.value, high=bias.high - bias.value)
    return replace(sitting, kit=replace(sitting.kit, focus_bias_mm=none))


def with_setting(sitting: SitterRequest, setting: Settings) -> SitterRequest:
    """Return a sitting in which a setting is settled.

    Parameters
    ----------
    sitting : SitterRequest
        Light and kit.
    setting : Settings
        One that exposes it.

    Returns
    -------
    SitterRequest
        Aperture and time are settled, or with flash aperture and ISO: the third follows.
    """
    f_number, shutter_s, iso = (
        float(values[0]) for values in (setting.f_number, setting.shutter_s, setting.iso)
    )
    if None not in (sitting.choice.f_number, sitting.choice.shutter_s, sitting.choice.iso):
        return sitting
    if sitting.light.kind == "flash":
        return replace(sitting, choice=replace(sitting.choice, f_number=f_number, iso=iso))
    return replace(sitting, choice=replace(sitting.choice, f_number=f_number, shutter_s=shutter_s))


def caught_focus(request: BurstRequest, focus: FocusError) -> FocusError:
    """Return where the focus plane lies with what autofocus catches.

    Parameters
    ----------
    request : BurstRequest
        Head and what is caught.
    focus : FocusError
        As it is on the iris.

    Returns
    -------
    FocusError
        The depth of lashes, brow or glasses of the turned head added, with its spread among people.
    """
    if request.caught == "iris":
        return focus
    sitting = request.sitting
    places = head_places(
        yaw_deg=abs(sitting.yaw_deg), age_years=sitting.sitter.age_years, glasses=True
    )
    place = next(p for p in places if p.name == f"near {request.caught}")
    return replace(
        focus,
        bias_mm=focus.bias_mm + place.depth_mm,
        spread_mm=math.hypot(focus.spread_mm, place.depth_sd_mm),
        source=f"{focus.source}; the {request.caught} caught",
    )


def _common_sd_mm(request: BurstRequest, iris: FocusError, focus: FocusError) -> float:
    """Return what of the focus error no focusing anew changes: this sitter's lashes, this kit."""
    bias = request.sitting.kit.focus_bias_mm
    unsure_mm = 0.0 if bias is None else (bias.high - bias.low) / (2 * Z90)
    caught_mm = math.sqrt(max(focus.spread_mm**2 - iris.spread_mm**2, 0.0))
    return math.hypot(unsure_mm, caught_mm)
