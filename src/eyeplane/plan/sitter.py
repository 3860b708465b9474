"""A plan for one sitter: settings that hold the print promised, and how often."""

import math
from dataclasses import replace

import numpy as np

from eyeplane.light import light_quality
from eyeplane.plan.background import background_blur, trade
from eyeplane.plan.budget import Budget, budgets
from eyeplane.plan.curve import curve, curve_settings
from eyeplane.plan.depth_line import depth_limits_mm, end_or_none, marks
from eyeplane.plan.expected import (
    EyeShares,
    expected,
    shares_with_interval,
    with_beliefs,
)
from eyeplane.plan.frames_needed import (
    FRAMES_PER_S,
    frames_for_both,
    frames_for_eyes,
    frames_to_hold,
    pace_per_s,
)
from eyeplane.plan.recompose import MOST_TURN_DEG, recompose, turn_deg
from eyeplane.plan.scaling import scaling
from eyeplane.plan.scene import Settings, joined
from eyeplane.plan.search import Search, neighbours, search
from eyeplane.plan.sitter_limits import verdict
from eyeplane.plan.sitter_notes import notes, plan_cautions
from eyeplane.plan.sitter_words import gives_up, sentence
from eyeplane.plan.ways import way_settings, ways
from eyeplane.plan.ways_out import ways_out
from eyeplane.records import (
    FramesNeeded,
    LightQuality,
    Measured,
    PlanEye,
    PlanSetting,
    Recompose,
    SitterPlan,
    SitterRequest,
)

SHIFTED_FRAMES = 96  # for each set of beliefs where the focus plane was shifted
EYES_ABOVE_SHARE = 1 / 6  # of the frame's height: eyes on the upper third; common practice


def plan_sitter(request: SitterRequest) -> SitterPlan:
    """Return the settings that hold the print promised most often, and what stands beside them.

    Parameters
    ----------
    request : SitterRequest
        Kit, light, sitter, photographer, print; distance or framing; what is settled.

    Returns
    -------
    SitterPlan
        The best setting and its two neighbours, each with its share of frames and its budget, and
        answers to what else is asked before a sitting.

    Raises
    ------
    InputError
        If the request is impossible or contradicts itself, or nothing exposes the face.

    Notes
    -----
    Every aperture and time within the limits is tried on the same 1,024 frames drawn at random:
    focus error, shake, sway, the sitter's motion, each with its own spread, and what is unsure of
    these numbers. The interval of a share comes from frames drawn for thirty sets of such numbers.

    Examples
    --------
    >>> from eyeplane.records import PlanKit, PlanLight
    >>> plan = plan_sitter(SitterRequest(
    ...     kit=PlanKit(focal_length_mm=85), light=PlanLight(exposure_ev=9), distance_mm=2000
    ... ))
    >>> len(plan.settings), plan.framing
    (3, 'head-and-shoulders')
    """
    found = search(request)
    found = replace(found, frames=with_beliefs(found.frames))
    rows = [found.best, *neighbours(found)]
    chosen = found.found.settings.at(rows)
    names, more = way_settings(found)
    timed = curve_settings(found)
    asked = joined(chosen, timed) if more is None else joined(chosen, more, timed)
    limits = found.table.at(asked)
    held = shares_with_interval(found.frames, asked, limits=limits)
    count, after = len(chosen), len(asked) - len(timed)
    first = np.arange(after)
    told = budgets(found.frames, asked.at(first), found.table.at(asked.at(first)), whole=count)
    settings = _settings(found, chosen, held, told)
    best = settings[0]
    frames = _frames(request, best)
    checked = verdict(found, best.share, ways_out(found), _worse(found, told[0]), frames[-1].frames)
    background = _background(found)
    return SitterPlan(
        request=request,
        distance_mm=found.stand.distance_mm,
        field_height_mm=found.stand.field_height_mm,
        framing=found.stand.framing,
        far_iris_mm=found.stand.far_iris_mm,
        settings=settings,
        marks=marks(request, **_depth_ends(best)),
        curve=curve(found, timed, held[after:]),
        scaling=scaling(found),
        ways=ways(
            ("now", *names),
            asked.at([0, *range(count, after)]),
            (held[0], *held[count:after]),
            (told[0], *told[count:]),
        ),
        recompose=_recompose(found, best.share),
        frames=frames,
        light=_light(request),
        background=background,
        limits=checked.limits,
        sentence=sentence(request, best),
        advice=checked.advice,
        cautions=plan_cautions(found, checked, background=background),
        notes=tuple(note for note in notes(found) if note not in checked.advice),
    )


def best_setting(found: Search) -> PlanSetting:
    """Return the best setting alone, with its share and its budget.

    Parameters
    ----------
    found : Search
        As `search` returns it.

    Returns
    -------
    PlanSetting
        The first of those that `plan_sitter` returns.
    """
    found = replace(found, frames=with_beliefs(found.frames))
    limits = found.table.at(found.setting)
    held = shares_with_interval(found.frames, found.setting, limits=limits)
    told = budgets(found.frames, found.setting, limits, whole=1)
    return _setting(found, found.setting, held[0], told[0])


def _worse(found: Search, told: tuple[Budget, ...]) -> Budget:
    """Return the budget of the eye that counts and has the shorter reach."""
    return min((told[eye] for eye in found.frames.eyes), key=lambda one: one.reach_cm.value)


def _settings(
    found: Search,
    chosen: Settings,
    held: tuple[EyeShares, ...],
    told: tuple[tuple[Budget, ...], ...],
) -> tuple[PlanSetting, ...]:
    """Return the records of the chosen settings, best first."""
    settings = [_setting(found, chosen.at(k), held[k], told[k]) for k in range(len(chosen))]
    best = settings[0]
    others = [replace(one, gives_up=gives_up(best, one)) for one in settings[1:]]
    return (best, *sorted(others, key=lambda one: -one.share.value))


def _setting(
    found: Search, one: Settings, held: EyeShares, told: tuple[Budget, ...]
) -> PlanSetting:
    kit, stand, focus_mm = found.request.kit, found.stand, found.frames.focus_mm
    f_number = float(one.f_number[0])
    disc_um = float(found.table.at(one).disc_um[0])
    front, behind = depth_limits_mm(kit, f_number=f_number, focus_mm=focus_mm, disc_um=disc_um)
    blur = None
    if stand.background_mm is not None:
        blur = background_blur(
            kit, f_number=f_number, focus_mm=focus_mm, background_mm=stand.background_mm
        )
    flash = not math.isnan(one.flash_power[0])
    eyes = (("near", 0.0, held.near), ("far", stand.far_iris_mm, held.far))
    return PlanSetting(
        f_number=f_number,
        shutter_s=float(one.shutter_s[0]),
        iso=float(one.iso[0]),
        flash_power=float(one.flash_power[0]) if flash else None,
        exposure_off_ev=found.found.off_ev,
        share=held.counting,
        share_both=held.both,
        eyes=tuple(
            PlanEye(
                name=name,
                depth_mm=depth,
                reach_cm=budget.reach_cm,
                share=share,
                parts=budget.parts,
            )
            for (name, depth, share), budget in zip(eyes, told, strict=True)
        ),
        focus_from_near_iris_mm=focus_mm - stand.distance_mm,
        depth_front_mm=end_or_none(front),
        depth_behind_mm=end_or_none(behind),
        background_blur_mm=None if blur is None else blur.there_mm,
        background_blur_share=None if blur is None else blur.of_height_share,
        frozen_by_flash=bool(flash and one.motion_s[0] < one.shutter_s[0]),
        ghost_share=float(one.ghost_share[0]) if flash else None,
        gives_up="",
    )


def _depth_ends(best: PlanSetting) -> dict[str, float]:
    front = math.inf if best.depth_front_mm is None else best.depth_front_mm
    behind = math.inf if best.depth_behind_mm is None else best.depth_behind_mm
    plane = best.focus_from_near_iris_mm
    return {"from_mm": plane - front, "to_mm": plane + behind}


def _background(found: Search) -> str:
    stand, focus_mm = found.stand, found.frames.focus_mm
    if stand.background_mm is None:
        return ""
    return trade(
        found.request.kit,
        f_number=float(found.setting.f_number[0]),
        focus_mm=focus_mm,
        behind_mm=stand.background_mm - focus_mm,
    )


def _recompose(found: Search, share: Measured) -> Recompose | None:
    stand = found.stand
    aside_mm = EYES_ABOVE_SHARE * stand.field_height_mm
    turn = turn_deg(distance_mm=stand.distance_mm, aside_mm=aside_mm)
    if turn > MOST_TURN_DEG:
        return None  # a lens as wide as that takes no eye near the edge

    def share_at(behind_mm: float) -> Measured:
        shifted = expected(
            found.frames.scene,
            focus_mm=found.frames.focus_mm + behind_mm,
            eyes=found.frames.eyes,
        )
        shifted = with_beliefs(shifted, count=SHIFTED_FRAMES)
        limits = found.table.at(found.setting)
        return shares_with_interval(shifted, found.setting, limits=limits)[0].counting

    return recompose(
        distance_mm=math.hypot(stand.distance_mm, aside_mm),
        turn_deg=turn,
        share_at=share_at,
        share_now=share,
        what="the near eye",
    )


def _frames(request: SitterRequest, best: PlanSetting) -> tuple[FramesNeeded, ...]:
    pace = pace_per_s(request.light, flash_power=best.flash_power, wished_per_s=FRAMES_PER_S)
    return (
        frames_to_hold(best.share, frames_per_s=pace),
        frames_for_eyes(1, frames_per_s=pace),
        frames_for_both(best.share, 1, frames_per_s=pace),
    )


def _light(request: SitterRequest) -> LightQuality | None:
    size_mm, distance_mm = request.light.source_size_mm, request.light.source_distance_mm
    if size_mm is None or distance_mm is None:
        return None
    return light_quality(source_size_mm=size_mm, source_distance_mm=distance_mm)
