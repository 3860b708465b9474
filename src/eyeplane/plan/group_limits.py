"""What limits a group, and the ways out of it, cheapest first, each with what it brings."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.people import usual_mood
from eyeplane.plan import words
from eyeplane.plan.group_choice import GroupChoice, allowed
from eyeplane.plan.group_frames import GroupFrames, Powered, focused_exactly, group_frames
from eyeplane.plan.group_shares import group_shares
from eyeplane.plan.group_words import row_name
from eyeplane.plan.lean import lean_in_mm
from eyeplane.plan.rows import (
    HALF_HEAD_MM,
    half_frame_mm,
    moved,
    outside_frame_mm,
    seating,
)
from eyeplane.plan.sitter_limits import pixels_words
from eyeplane.plan.trials import QUIET_MOODS, SAME_FRAMES, Trial, common_trials, in_order
from eyeplane.records import GroupRequest

FloatArray = NDArray[np.float64]

GOOD_SHARE = 0.8  # of frames: from here on nothing needs a way out; our own
HELPS_SHARE = 0.05  # of frames: what a way out must bring to be told; our own
CLOSE_ROWS_MM = 450.0  # rows that stand as close as they can; from memory
STEPS_BACK = (1.5, 2.0)  # times the distance: blur by depth falls with its square; our own
EASY_LEAN_MM = 100.0  # a lean that nobody minds; from memory
NEAR_APERTURES = 0.6  # in stops over 2, from the best: what a smaller print is tried with
SMALLER_PRINT = 0.9  # factor by which smaller prints are tried
LEAST_PRINT_CM = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupWayOut:
    """Something to change, and the share of frames in which everybody then holds.

    Attributes
    ----------
    kind : str
        "choice", "still", "closer", "lean", "focus", "tripod", "iso", "smaller", "back", "light" or
        "print", cheapest first.
    do : str
        What to do, as an order.
    share : float
        0..1, at the settings that are best then.
    """

    kind: str
    do: str
    share: float


def limiting(choice: GroupChoice) -> tuple[str, float]:
    """Return what costs the group the most frames.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    name : str
        "depth", "motion", "focus" or "noise".
    share : float
        Of frames that would hold without it, settings chosen anew.
    """
    settings, frames = choice.found.settings, choice.frames
    plane = choice.where.plane_mm
    flat = moved(choice.where, choice.where.effective_mm - plane)
    quiet = replace(settings, iso=np.full(len(settings), choice.request.kit.base_iso))
    without = {
        "depth": group_shares(group_frames(choice.request, flat), settings),
        "motion": group_shares(_with(frames, frames.frames.at_rest()), settings),
        "focus": group_shares(focused_exactly(frames), settings),
        "noise": group_shares(frames, quiet),
    }
    name = max(without, key=lambda cause: float(without[cause].max()))
    return name, float(without[name].max())


def _with(frames: GroupFrames, blurs: Powered) -> GroupFrames:
    return replace(frames, frames=blurs)


def ways_out(choice: GroupChoice) -> tuple[GroupWayOut, ...]:
    """Return what helps, cheapest first.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    tuple of GroupWayOut
        Those that bring five frames in a hundred or more, each by itself; perhaps none. Every one
        was tried with all settings that it allows.
    """
    now = float(choice.shares[choice.order[0]])
    found = []
    for kind, do, changed in _trials(choice):
        share = _best_share(choice, kind, changed)
        if share >= now + HELPS_SHARE:
            found.append(GroupWayOut(kind=kind, do=do, share=share))
    smaller = _print(choice)
    return (*found, *((smaller,) if smaller is not None else ()))


def cheapest(ways: tuple[GroupWayOut, ...]) -> GroupWayOut | None:
    """Return the way out to take.

    Parameters
    ----------
    ways : tuple of GroupWayOut
        Cheapest first.

    Returns
    -------
    GroupWayOut or None
        The cheapest that brings four frames in five; else the one that brings most; a smaller print
        only if nothing else helps.
    """
    kept = [way for way in ways if way.kind != "print"] or list(ways)
    enough = [way for way in kept if way.share >= GOOD_SHARE]
    if enough:
        return enough[0]
    return max(kept, key=lambda way: way.share, default=None)


def _best_share(choice: GroupChoice, kind: str, request: GroupRequest) -> float:
    """Return the share of frames at the best settings for a changed request."""
    try:
        where = seating(request)
        settings = allowed(request, where).settings
    except InputError:
        return 0.0
    if kind in SAME_FRAMES:
        kit = request.kit
        same = replace(choice.frames, scene=replace(choice.frames.scene, kit=kit))
        return float(group_shares(same, settings).max())
    if kind == "lean":
        where = moved(where, lean_in_mm(where.effective_mm, most_mm=EASY_LEAN_MM))
    elif choice.lean is not None:
        where = moved(where, lean_in_mm(where.effective_mm, most_mm=choice.lean.most_mm))
    return float(group_shares(group_frames(request, where), settings).max())


def _trials(choice: GroupChoice) -> list[Trial[GroupRequest]]:
    """Return what can be tried here: kind, words, and the changed request; cheapest first."""
    request = choice.request
    return in_order(
        *common_trials(request, choice.best),
        _still(request),
        _closer(request),
        _lean(request),
        *(_away(request, times) for times in STEPS_BACK),
    )


def _still(request: GroupRequest) -> Trial[GroupRequest] | None:
    sitter = request.sitter
    # Whoever is old enough counts as still anyway.
    posed = sitter.mood is None and usual_mood(age_years=sitter.age_years) == "still"
    if posed or sitter.mood in QUIET_MOODS or sitter.speed_mm_per_s is not None:
        return None
    calm = replace(request, sitter=replace(sitter, mood="still"))
    return "still", "have everybody keep still on a count of three", calm


def _closer(request: GroupRequest) -> Trial[GroupRequest] | None:
    if request.rows == 1 or request.row_spacing_mm <= CLOSE_ROWS_MM * 1.05:
        return None
    do = f"bring the rows to {words.length(CLOSE_ROWS_MM)} from each other"
    return "closer", do, replace(request, row_spacing_mm=CLOSE_ROWS_MM)


def _lean(request: GroupRequest) -> Trial[GroupRequest] | None:
    if request.lean or request.rows == 1:
        return None
    back = row_name(request.rows, request.rows)
    return "lean", f"have {back} lean in by {words.length(EASY_LEAN_MM)}", request


def _away(request: GroupRequest, times: float) -> Trial[GroupRequest]:
    distance_mm = 100.0 * round(times * request.distance_mm / 100.0)
    do = f"step back to {words.length(distance_mm)} and frame more loosely"
    return "back", do, replace(request, distance_mm=distance_mm)


def _print(choice: GroupChoice) -> GroupWayOut | None:
    """Return the largest print that holds in four frames of five, apertures near the best tried."""
    promise, settings = choice.request.promise, choice.found.settings
    near = np.abs(np.log2(settings.f_number / choice.best.f_number[0])) < NEAR_APERTURES
    few, size = settings.at(np.flatnonzero(near)), promise.print_cm
    while size > LEAST_PRINT_CM:
        size *= SMALLER_PRINT
        scene = replace(choice.frames.scene, promise=replace(promise, print_cm=size))
        share = float(group_shares(replace(choice.frames, scene=scene), few).max())
        if share >= GOOD_SHARE:
            do = f"promise no more than {words.whole_cm(size)}"
            return GroupWayOut(kind="print", do=do, share=share)
    return None


def limits_words(choice: GroupChoice, ways: tuple[GroupWayOut, ...]) -> tuple[str, ...]:
    """Return what holds the plan back, each in a sentence.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    ways : tuple of WayOut
        What helps, cheapest first.

    Returns
    -------
    tuple of str
        Empty where four frames in five hold and everybody is in the frame.
    """
    return (*_frame(choice), *_costs(choice, ways))


def step_back_m(choice: GroupChoice) -> float | None:
    """Return where the front row must be for everybody to be in the frame.

    Parameters
    ----------
    choice : GroupChoice
        The group.

    Returns
    -------
    float or None
        In metres from the lens, rounded up to 10 cm; None where everybody is in it already.
    """
    back = outside_frame_mm(choice.request, choice.upright)
    if back <= 0.0:
        return None
    return math.ceil((choice.request.distance_mm + back) / 100.0) / 10.0


def share_from(choice: GroupChoice, distance_mm: float) -> float:
    """Return the share of frames that hold from another place.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    distance_mm : float
        Lens to the front row's eyes.

    Returns
    -------
    float
        0..1, everybody leaning as the plan has them, at the settings that are best from there.
    """
    return _best_share(choice, "back", replace(choice.request, distance_mm=distance_mm))


def _frame(choice: GroupChoice) -> tuple[str, ...]:
    """Return that not everybody is in the frame, and how far to step back."""
    request, where, step = choice.request, choice.upright, step_back_m(choice)
    if step is None:
        return ()
    takes_in = 2.0 * half_frame_mm(request, where)
    across = float(np.ptp(where.across_mm)) + 2.0 * HALF_HEAD_MM
    return (
        f"Not everybody is in the frame: it takes in {words.length(takes_in)} across, the row with "
        f"its heads is {words.length(across)} wide. Step back to {step:.1f}{words.THIN}m, stand "
        "closer, or take a shorter lens.",
    )


def _costs(choice: GroupChoice, ways: tuple[GroupWayOut, ...]) -> tuple[str, ...]:
    """Return what costs the group its frames, and the ways out."""
    pixels = pixels_words(choice.request.kit, choice.request.promise)
    if pixels:
        return (*pixels, *_out_words(ways))
    if float(choice.shares[choice.order[0]]) >= GOOD_SHARE:
        return ()
    cause, share = limiting(choice)
    what = {
        "depth": "Depth limits this group: with all eyes in one plane",
        "motion": "Motion limits this group: with nobody moving and a camera at rest",
        "focus": "The scatter of the focus limits this group: focused exactly",
        "noise": "Noise limits this group: at the lowest ISO",
    }[cause]
    costs = f"{what}, {words.percent(share)} of frames would hold."
    return (costs, *_out_words(ways))


def _out_words(ways: tuple[GroupWayOut, ...]) -> tuple[str]:
    if not ways:
        return ("No single change helps: fewer rows, or a smaller print.",)
    brings = "; ".join(f"{way.do}: {words.percent(way.share)}" for way in ways)
    return (f"Ways out, cheapest first, each by itself: {brings}.",)
