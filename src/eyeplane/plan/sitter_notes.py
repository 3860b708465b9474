"""What a plan for one sitter rests on, and the cautions that apply to it."""

import math
from dataclasses import replace

from eyeplane.people import FocusError, head_places, usual_mood
from eyeplane.plan import words
from eyeplane.plan.cautions import NEWBORN_YEARS, cautions
from eyeplane.plan.expected import expected, shares
from eyeplane.plan.search import Search
from eyeplane.plan.sitter_limits import Verdict
from eyeplane.plan.sitter_words import finer_grain
from eyeplane.plan.stand import framed_distance_mm
from eyeplane.plan.whose import whose_numbers
from eyeplane.records import SitterRequest

LEAST_BIAS_MM = 1.0  # a smaller mean offset is not told: an iris is no flatter; our own
MOODS = {
    "resting": "resting",
    "still": "keeping still",
    "talking": "talking",
    "laughing": "laughing",
    "fidgeting": "fidgeting",
    "toddling": "on the go",
    "walking": "walking",
}


def notes(found: Search) -> tuple[str, ...]:
    """Return what a plan rests on.

    Parameters
    ----------
    found : Search
        Request and scene.

    Returns
    -------
    tuple of str
        Which numbers are learned and which are usual ones; how the framing is reckoned.
    """
    request, scene = found.request, found.frames.scene
    said = [finer] if (finer := finer_grain(found.found.settings, found.shares, found.best)) else []
    kit, focus = request.kit, scene.focus
    said += whose_numbers(
        kit, request.hand, request.sitter, moves="how this sitter moves", usual=["grain by ISO"]
    )
    said += [_mood(request), *_glasses(found)]
    missed = (
        f", and one frame in {round(1 / focus.miss_share)} is focused on something else"
        if focus.miss_share > 0
        else ""
    )
    said.append(f"{_focus_lands(focus)}{missed}.")
    if request.framing is not None:
        upright = replace(
            kit, sensor_long_mm=kit.sensor_short_mm, sensor_short_mm=kit.sensor_long_mm
        )
        there = framed_distance_mm(upright, request.framing, age_years=request.sitter.age_years)
        said.append(
            f"The framing is reckoned with the camera level; upright the same one stands at "
            f"{words.length(there)}."
        )
    said.append(
        "Shares are of frames at whose near eye the print looks sharp; in brackets the range that "
        "holds the truth nine times in ten."
        if request.eyes == "near"
        else "Shares are of frames at both of whose eyes the print looks sharp; in brackets the "
        "range that holds the truth nine times in ten."
    )
    return tuple(said)


def _focus_lands(focus: FocusError) -> str:
    """Return where the focus lands, without the frames that miss the eye altogether."""
    scatter = words.length(focus.spread_mm)
    if abs(focus.bias_mm) < LEAST_BIAS_MM:
        return f"Focus scatters by {scatter} about the near eye"
    side = "behind" if focus.bias_mm > 0 else "in front of"
    return (
        f"Focus lands {words.length(focus.bias_mm)} {side} the near eye on average and scatters by "
        f"{scatter} about that"
    )


def _mood(request: SitterRequest) -> str:
    sitter = request.sitter
    if sitter.speed_mm_per_s is not None:
        return "The sitter moves by this client's own numbers."
    if sitter.mood is not None:
        return f"The sitter counts as {MOODS[sitter.mood]}."
    if sitter.age_years is None:
        return "The sitter counts as an adult, mostly calm, now and then lively."
    mood = MOODS[usual_mood(age_years=sitter.age_years)]
    if sitter.age_years < NEWBORN_YEARS:
        return f"A newborn counts as {mood}."
    years = "1 year" if sitter.age_years == 1 else f"{sitter.age_years:.2g} years"
    return f"At {years} the sitter counts as {mood}."


def _glasses(found: Search) -> list[str]:
    """Return what happens if autofocus catches the frame of the glasses."""
    request, frames = found.request, found.frames
    if not request.sitter.glasses:
        return []
    places = head_places(
        yaw_deg=abs(request.yaw_deg), age_years=request.sitter.age_years, glasses=True
    )
    frame = next(place for place in places if place.name == "near glasses")
    focus = frames.scene.focus
    caught = replace(
        focus,
        bias_mm=focus.bias_mm + frame.depth_mm,
        spread_mm=math.hypot(focus.spread_mm, frame.depth_sd_mm),
    )
    off = expected(replace(frames.scene, focus=caught), focus_mm=frames.focus_mm, eyes=frames.eyes)
    held = float(shares(off, found.setting, limits=found.table.at(found.setting))[0])
    return [
        f"If autofocus catches the frame of the glasses, {words.length(frame.depth_mm)} in front "
        f"of the eye, {words.percent(held)} of frames hold: put the point on the eye itself."
    ]


def plan_cautions(found: Search, told: Verdict, *, background: str) -> tuple[str, ...]:
    """Return the cautions that apply.

    Parameters
    ----------
    found : Search
        Light and sitter.
    told : Verdict
        What is advised.
    background : str
        What is said of stepping away from it.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    light = found.request.light
    flash = light.kind == "flash"
    source = light.source_size_mm is not None or light.source_distance_mm is not None
    return cautions(
        flash=flash,
        stands=flash or source or told.kind in {"light", "tripod"},
        moves=told.kind in {"back", "face"} or "Step" in background,
        age_years=found.request.sitter.age_years,
    )
