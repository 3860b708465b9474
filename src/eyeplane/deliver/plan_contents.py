"""Plans for a sitter, a group and a lean-in, turned into what stands on a card."""

from functools import singledispatch

from eyeplane.deliver.plan_budget import budget_picture
from eyeplane.deliver.plan_content import (
    CardContent,
    Section,
    asked_words,
    choices_of,
    frames_section,
    framing_words,
    if_section,
    light_section,
    ways_section,
    who_words,
)
from eyeplane.deliver.plan_curve import curve_picture
from eyeplane.deliver.plan_depth import NINE_IN_TEN, DepthScene, depth_picture
from eyeplane.deliver.plan_group_view import group_picture, lean_words
from eyeplane.deliver.plan_lean import chance_picture, lean_frames, lean_picture
from eyeplane.deliver.plan_picture import Picture
from eyeplane.deliver.plan_words import (
    depth_words,
    length_words,
    place_words,
    share_words,
)
from eyeplane.deliver.wording import THIN, far_words, percent, side_words, stop_words
from eyeplane.light.camera_words import shutter
from eyeplane.records import Measured
from eyeplane.records.plan import GroupRequest, SitterRequest
from eyeplane.records.planned import PlanEye, PlanSetting, ScaledShutter, ShutterPoint
from eyeplane.records.plans import BurstPlan, GroupPlan, GroupStop, SitterPlan
from eyeplane.records.said import capital

HALF_SHARE = 0.5  # of frames: where fewer hold, those inside are so only just; our own


@singledispatch
def content_of(plan: object, title: str) -> CardContent:
    """Return what stands on a plan's card.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.
    title : str
        Whose card it is; may be empty.

    Returns
    -------
    CardContent
        In the order in which it is read.

    Raises
    ------
    TypeError
        If it is no plan.
    """
    raise TypeError(f"no plan: {type(plan).__name__} ({title!r})")


@content_of.register
def _(plan: SitterPlan, title: str) -> CardContent:
    best = plan.settings[0]
    request = plan.request
    scatter = request.kit.focus_spread_mm
    return CardContent(
        title=title,
        over=_sitter_over(request, plan.framing, plan.distance_mm),
        sentence=plan.sentence,
        advice=plan.advice,
        of_frames=_holding(request.promise.print_cm, request.eyes),
        choices=choices_of(plan.settings),
        main=depth_picture(
            DepthScene(
                distance_mm=plan.distance_mm,
                yaw_deg=request.yaw_deg,
                marks=plan.marks,
                setting=best,
                scatter_mm=None if scatter is None else scatter.value,
            )
        ),
        facts=Section(
            heading="Focus",
            rows=(*_focus_rows(best, plan.far_iris_mm), *_scatter_row(scatter)),
        ),
        pictures=(
            budget_picture(best.eyes),
            *_curves(plan.curve, best, request.promise.print_cm),
        ),
        sections=(
            *frames_section(plan.frames),
            *if_section(
                recompose=plan.recompose,
                others=(*plan.limits, plan.background),
            ),
            *_scaling(plan.scaling, flash=request.light.kind == "flash"),
            *light_section(plan.light, best, plan.ways[0] if plan.ways else None),
            *ways_section(plan.ways),
        ),
        cautions=plan.cautions,
        notes=plan.notes,
    )


@content_of.register
def _(plan: GroupPlan, title: str) -> CardContent:
    best = plan.settings[0]
    request = plan.request
    people = len(plan.places)
    rows = "one row" if request.rows == 1 else f"{request.rows} rows"
    asked = asked_words(request, distance_mm=request.distance_mm)
    return CardContent(
        title=title,
        over=f"Group of {people} in {rows}{_restless(request)}; {asked}",
        sentence=plan.sentence,
        advice=plan.advice,
        of_frames=f"of frames hold {request.promise.print_cm:g}{THIN}cm for everybody",
        choices=choices_of(plan.settings),
        main=group_picture(plan),
        facts=Section(heading="Seating", rows=_seating(plan)),
        pictures=(
            budget_picture(_worst(best.eyes)),
            *_curves(plan.curve, best, request.promise.print_cm),
        ),
        sections=(
            *_stops(plan),
            *frames_section(plan.frames),
            *if_section(recompose=plan.recompose, others=plan.limits),
            *light_section(plan.light, best, plan.ways[0] if plan.ways else None),
            *ways_section(plan.ways),
        ),
        cautions=plan.cautions,
        notes=plan.notes,
    )


@content_of.register
def _(plan: BurstPlan, title: str) -> CardContent:
    request = plan.request.sitting
    distance = request.distance_mm
    caught = plan.request.caught
    over = [
        f"Lean-in, {who_words(request)}",
        *([] if caught == "iris" else [f"autofocus caught by {caught}"]),
        *([] if distance is None else [asked_words(request, distance_mm=distance)]),
        f"print {request.promise.print_cm:g}{THIN}cm",
    ]
    if distance is not None:
        over.pop()
    steps = (chance_picture(plan),) if len(plan.steps) > 1 else ()
    return CardContent(
        title=title,
        over=", ".join(over),
        sentence=plan.sentence,
        advice=plan.advice,
        of_frames="of single frames hold",
        choices=choices_of((plan.setting,)),
        main=lean_picture(plan),
        facts=Section(heading="Lean", rows=_lean_rows(plan)),
        pictures=(*steps, budget_picture(plan.setting.eyes)),
        sections=if_section(recompose=None, others=plan.limits),
        cautions=plan.cautions,
        notes=plan.notes,
    )


def _sitter_over(request: SitterRequest, framing: str, distance_mm: float) -> str:
    turned = f", turned {request.yaw_deg:g}°" if request.yaw_deg else ""
    asked = asked_words(request, distance_mm=distance_mm)
    return f"{capital(who_words(request))}{turned}, {framing_words(framing)}; {asked}"


def _holding(print_cm: float, eyes: str) -> str:
    which = "both eyes" if eyes == "both" else "the near eye"
    return f"of frames hold {print_cm:g}{THIN}cm at {which}"


def _focus_rows(best: PlanSetting, far_iris_mm: float) -> tuple[tuple[str, str], ...]:
    rows = [
        ("Focus plane", place_words(best.focus_from_near_iris_mm)),
        ("Depth of field", depth_words(best)),
        ("Far iris", side_words(far_iris_mm, ("nearer", "behind", "as far as the near one"))),
    ]
    if best.background_blur_mm is not None:
        disc = length_words(best.background_blur_mm)
        share = best.background_blur_share
        of_frame = "" if share is None else f", {100 * share:.1f}{THIN}% of the frame's height"
        rows.append(("Background", f"a point blurs to {disc} there{of_frame}"))
    return tuple(rows)


def _scatter_row(scatter: Measured | None) -> tuple[tuple[str, str], ...]:
    if scatter is None:
        return ()
    either = length_words(NINE_IN_TEN * scatter.value)
    return (("Hatched", f"your autofocus, ± {either} in nine frames of ten"),)


def _curves(
    curve: tuple[ShutterPoint, ...], best: PlanSetting, print_cm: float
) -> tuple[Picture, ...]:
    if len(curve) < 2:
        return ()
    words = f"{print_cm:g}{THIN}cm"
    return (curve_picture(curve, best_s=best.shutter_s, print_words=words),)


def _scaling(scaling: tuple[ScaledShutter, ...], *, flash: bool) -> tuple[Section, ...]:
    rows = tuple(
        (
            f"{capital(framing_words(s.framing))}, {far_words(s.distance_mm)}",
            "no time does" if s.shutter_s is None else shutter(s.shutter_s),
        )
        for s in scaling
    )
    if all(s.shutter_s is None for s in scaling):
        return ()
    alone = ", without the flash" if flash else ""
    return (Section(heading=f"Shutter by framing, same sitter{alone}", rows=rows),)


def _worst(eyes: tuple[PlanEye, ...]) -> tuple[PlanEye, ...]:
    """Return the row that holds least often: its budget tells what to change."""
    return (min(eyes, key=lambda eye: eye.share.value),)


def _seating(plan: GroupPlan) -> tuple[tuple[str, str], ...]:
    best = plan.settings[0]
    into = f"{percent(plan.focus_into_share)} of the way in" if len(plan.rows) > 1 else ""
    plane = ", ".join(part for part in (far_words(plan.focus_distance_mm), into) if part)
    # Where a bias is known the drawing shows the plane as it will land, this the one to aim at.
    name = "Focus plane" if plan.request.kit.focus_bias_mm is None else "Best focus plane"
    rows = [(name, plane), ("Depth of field", depth_words(best))]
    for row in plan.rows:
        told = "inside" if row.inside else "outside"
        if row.lean_cm:
            move = lean_words(10 * row.lean_cm)
            if row.inside:
                told = f"inside, {move} for more frames"
            elif plan.request.lean:
                told = f"outside, {move}"
            else:
                told = f"outside, inside if they {move}"
        rows.append((f"Row {row.row}", f"{capital(told)}: {share_words(row.share)}"))
    return tuple(rows)


def _stops(plan: GroupPlan) -> tuple[Section, ...]:
    rows = [
        (f"{stop_words(s.f_number)}: {_falls_out(s)}", share_words(s.share)) for s in plan.stops
    ]
    if plan.request.lean:
        widest = plan.f_number_without_lean
        told = "none takes all in" if widest is None else stop_words(widest)
        rows.append(("If nobody leans", told))
    if abs(plan.arc_cost_mm) >= 0.5:
        said = "costs" if plan.arc_cost_mm > 0 else "saves"
        if plan.request.arc_radius_mm is None:
            said = f"would {said.removesuffix('s')}"
        rows.append((f"An arc {said}", f"{length_words(abs(plan.arc_cost_mm))} of depth"))
    leans = plan.request.lean and any(row.lean_cm for row in plan.rows)
    heading = "Who falls out, once they lean" if leans else "Who falls out"
    return (Section(heading=heading, rows=tuple(rows)),) if rows else ()


def _restless(request: GroupRequest) -> str:
    sitter = request.sitter
    told = sitter.age_years is not None or sitter.mood is not None or sitter.glasses
    return f", the most restless a {who_words(request)}" if told else ""


def _falls_out(stop: GroupStop) -> str:
    if not stop.out:
        return "nobody" if stop.share.value >= HALF_SHARE else "nobody, but only just"
    names = [str(row) for row in stop.out]
    if len(names) == 1:
        return f"row {names[0]}"
    return f"rows {', '.join(names[:-1])} and {names[-1]}"


def _lean_rows(plan: BurstPlan) -> tuple[tuple[str, str], ...]:
    short = "" if plan.frames else ", short of the chance wanted"
    return (
        ("Start", f"focus {place_words(plan.start_mm)}"),
        ("Lean", f"{length_words(abs(plan.travel_mm))} in {plan.seconds_s:.1f}{THIN}s"),
        ("Frames", f"{lean_frames(plan)}{short}"),
        ("One holds", share_words(plan.chance)),
        ("The same without leaning", share_words(plan.still_chance)),
        ("Depth of field", depth_words(plan.setting)),
    )
