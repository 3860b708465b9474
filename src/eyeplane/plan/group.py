"""A group: rows, lens, light and print → aperture, focus plane, who leans how far, how often."""

import math

import numpy as np

from eyeplane.light import falloff_ev, light_quality
from eyeplane.plan import group_words, words
from eyeplane.plan.cautions import cautions
from eyeplane.plan.frames_needed import (
    FRAMES_PER_S,
    frames_for_both,
    frames_for_eyes,
    frames_to_hold,
    pace_per_s,
)
from eyeplane.plan.group_choice import GroupChoice, group_choice, widest_for_all
from eyeplane.plan.group_curve import curve_of, ways_of
from eyeplane.plan.group_frames import Powered, beliefs_of, focused_at, refocused
from eyeplane.plan.group_lean import anybody_leans
from eyeplane.plan.group_limits import (
    GOOD_SHARE,
    GroupWayOut,
    cheapest,
    limits_words,
    share_from,
    step_back_m,
    ways_out,
)
from eyeplane.plan.group_notes import arc_cost_mm, notes_of
from eyeplane.plan.group_rows import places_of, rows_of, rows_out, settings_at_stops
from eyeplane.plan.group_settings import plan_settings
from eyeplane.plan.group_shares import group_shares, row_shares
from eyeplane.plan.group_words import FocusOnRow
from eyeplane.plan.recompose import MOST_TURN_DEG, NO_HARM_SHARE, recompose, turn_deg
from eyeplane.plan.rows import half_frame_mm
from eyeplane.plan.scene import joined
from eyeplane.plan.sitter_words import NOTHING_SHARE
from eyeplane.records import (
    FramesNeeded,
    GroupPlan,
    GroupRequest,
    GroupRow,
    GroupStop,
    LightQuality,
    Measured,
    PlanMark,
    PlanSetting,
    Recompose,
)

ONE_PLANE_MM = 10.0  # mm: a group no deeper than this is one plane; our own
MOVED = ("back", "closer", "lean")  # ways out after which the focus plane lies elsewhere
LEAST_ASIDE_MM = 50.0  # mm: an eye nearer to the lens axis needs no turn of the camera; our own


def plan_group(request: GroupRequest) -> GroupPlan:
    """Return the settings, the focus plane and the leans that hold a group's print most often.

    Parameters
    ----------
    request : GroupRequest
        Kit, light, rows, photographer and print.

    Returns
    -------
    GroupPlan
        Best first; every share with its interval.

    Raises
    ------
    InputError
        If the geometry is impossible, a number out of range, or nothing within the limits exposes
        the group.

    Notes
    -----
    Depth counts along the lens axis; the focus plane lies where nearest and farthest are blurred
    alike, at their harmonic mean. In each frame drawn, focus error and shake are common to all,
    and everybody moves on their own.
    """
    choice = group_choice(request)
    settings, stops = choice.found.settings.at(choice.order), settings_at_stops(choice)
    beliefs = beliefs_of(choice.frames)
    told = row_shares(choice.frames, joined(settings, *stops), beliefs)
    made = plan_settings(choice, settings, told[: len(settings)])
    places = places_of(choice)
    rows = rows_of(places, told[0].rows)
    best = made[0]
    ways = ways_out(choice) if best.share.value < GOOD_SHARE else ()
    plane = choice.where.plane_mm
    return GroupPlan(
        request=request,
        settings=made,
        focus_distance_mm=plane,
        focus_into_share=_into_share(choice),
        rows=rows,
        places=places,
        stops=tuple(
            GroupStop(
                f_number=float(one.f_number[0]), out=rows_out(choice, one), share=share.everybody
            )
            for one, share in zip(stops, told[len(settings) :], strict=True)
        ),
        f_number_without_lean=widest_for_all(choice),
        arc_cost_mm=arc_cost_mm(request),
        marks=_marks(request, rows),
        curve=curve_of(choice, beliefs),
        ways=ways_of(choice, beliefs),
        frames=_frames(request, best),
        recompose=_recompose(choice, beliefs, best.share),
        light=_light(choice),
        limits=limits_words(choice, ways),
        sentence=group_words.sentence(request, best, _leans(choice, rows)),
        advice=_advice(choice, rows, ways),
        cautions=_cautions(request, rows, ways),
        notes=notes_of(choice, rows),
    )


def _into_share(choice: GroupChoice) -> float:
    """Return how far into the group's depth the plane lies; half-way into none."""
    near, far = choice.where.near_mm, choice.where.far_mm
    return (choice.where.plane_mm - near) / (far - near) if far - near > 1e-6 else 0.5


def _marks(request: GroupRequest, rows: tuple[GroupRow, ...]) -> tuple[PlanMark, ...]:
    """Return the rows where they stand, before any leaning."""
    return tuple(
        PlanMark(
            name=f"row {row.row}",
            depth_mm=row.distance_mm - request.distance_mm,
            inside=row.inside,
        )
        for row in rows
    )


def _frames(request: GroupRequest, best: PlanSetting) -> tuple[FramesNeeded, ...]:
    people = request.rows * request.faces_per_row
    pace = pace_per_s(request.light, flash_power=best.flash_power, wished_per_s=FRAMES_PER_S)
    return (
        frames_to_hold(best.share, frames_per_s=pace),
        frames_for_eyes(people, frames_per_s=pace),
        frames_for_both(best.share, people, frames_per_s=pace),
    )


def _recompose(choice: GroupChoice, beliefs: Powered, share_now: Measured) -> Recompose | None:
    """Return what focusing on the outermost face and turning back does to the whole group."""
    where = choice.where
    aside = float(np.hypot(where.across_mm, where.above_mm).max())
    aside = min(aside, half_frame_mm(choice.request, where))
    turn = turn_deg(distance_mm=where.plane_mm, aside_mm=aside)
    if aside < LEAST_ASIDE_MM or turn > MOST_TURN_DEG:
        return None
    slant = where.plane_mm / math.cos(math.radians(turn))

    def share_at(behind_mm: float) -> Measured:
        moved = refocused(choice.frames, beliefs, where.plane_mm + behind_mm)
        return row_shares(moved[0], choice.best, moved[1])[0].everybody

    return recompose(
        distance_mm=slant,
        turn_deg=turn,
        share_at=share_at,
        share_now=share_now,
        what="a face near the middle of the frame",
    )


def _light(choice: GroupChoice) -> LightQuality | None:
    light, where = choice.request.light, choice.upright
    if light.source_size_mm is None or light.source_distance_mm is None:
        return None
    depth = float(where.distance_mm.max() - where.distance_mm.min())
    lost = falloff_ev(
        near_mm=light.source_distance_mm,
        far_mm=light.source_distance_mm + depth,
        source_size_mm=light.source_size_mm,
    )
    return light_quality(
        source_size_mm=light.source_size_mm,
        source_distance_mm=light.source_distance_mm,
        falloff_ev=float(lost),
    )


def _advice(choice: GroupChoice, rows: tuple[GroupRow, ...], ways: tuple[GroupWayOut, ...]) -> str:
    """Return the one thing to do: step back, the way out, the lean, or where to focus."""
    step = step_back_m(choice)
    if step is not None:
        share = share_from(choice, 1000.0 * step)
        return (
            f"Step back to {step:.1f}{words.THIN}m, so that everybody is in the frame: "
            f"{words.percent(share)} of frames then hold."
        )
    focus = _focus(choice)
    way = cheapest(ways)
    if way is not None:
        there = "" if way.kind in MOVED else f" {focus}"
        return f"{words.capital(way.do)}: {words.percent(way.share)} of frames then hold.{there}"
    leans = _leans(choice, rows)
    if leans and choice.lean is not None:
        before, after = (
            words.percent(share) for share in (choice.lean.share_upright, choice.lean.share)
        )
        return f"Have them lean: {after} of frames hold instead of {before}. {focus}"
    return focus


def _leans(choice: GroupChoice, rows: tuple[GroupRow, ...]) -> str:
    """Return who leans how far, where the plan has anybody lean."""
    return group_words.leaning(rows) if anybody_leans(choice.lean) else ""


def _focus(choice: GroupChoice) -> str:
    """Return where to focus: on a row where that is near enough, else on something held up."""
    where, plane = choice.where, choice.where.plane_mm
    if where.far_mm - where.near_mm < ONE_PLANE_MM:
        return group_words.focus_words(choice.request, plane, None, None)
    row_mm = {
        row: float(where.effective_mm[where.row == row].mean())
        for row in range(1, choice.request.rows + 1)
    }
    nearest = min(row_mm, key=lambda row: abs(row_mm[row] - plane))
    now = float(choice.shares[choice.order[0]])

    def on(row: int) -> FocusOnRow:
        share = float(group_shares(focused_at(choice.frames, row_mm[row]), choice.best)[0])
        return FocusOnRow(
            row=row, share=share, harmless=now >= NOTHING_SHARE and share >= now - NO_HARM_SHARE
        )

    front = None if nearest == 1 else on(1)
    if front is not None and (front.harmless or now < NOTHING_SHARE):
        front = None
    return group_words.focus_words(choice.request, plane, on(nearest), front)


def _cautions(
    request: GroupRequest, rows: tuple[GroupRow, ...], ways: tuple[GroupWayOut, ...]
) -> tuple[str, ...]:
    flash = request.light.kind == "flash"
    return cautions(
        flash=flash,
        stands=flash or request.light.source_size_mm is not None,
        moves=request.rows > 1 or any(row.lean_cm for row in rows) or bool(ways),
        age_years=request.sitter.age_years,
    )
