"""A plan as plain text: the answer, three settings, the budget, what else, and cautions."""

import math
from collections.abc import Sequence

from eyeplane.cli.plain_page import Page
from eyeplane.plan.sitter_words import flash_power
from eyeplane.plan.words import (
    capital,
    f_stop,
    iso_speed,
    length,
    percent,
    percent_ends,
    shutter,
    whole_cm,
)
from eyeplane.records import (
    BurstPlan,
    GroupPlan,
    GroupRow,
    GroupStop,
    LightWay,
    Measured,
    PlanEye,
    PlanMark,
    PlanSetting,
    ShutterPoint,
    SitterPlan,
)

PARTS = {
    "focus": "missed focus",
    "depth": "depth",
    "shake": "your shake",
    "sitter": "sitter moves",
    "diffraction": "diffraction",
    "glass": "glass",
    "pixels": "pixels",
    "noise": "noise",
}
HALF_SHARE = 0.5  # of frames: where fewer hold, those inside are so only just; our own
EYES = ("near eye", "far eye")


def plan_text(
    plan: SitterPlan | GroupPlan | BurstPlan,
    *,
    assumed: Sequence[str] = (),
    recalled: Sequence[str] = (),
    learned: Sequence[str] = (),
) -> str:
    """Return a plan as plain text.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        As planned.
    assumed, recalled, learned : sequence of str
        What nobody said, what was recalled, and what sittings taught, ready to be shown.

    Returns
    -------
    str
        At most 100 columns, fewer in a narrow terminal.
    """
    page = Page()
    page.say(plan.sentence)
    page.say(plan.advice)
    if isinstance(plan, BurstPlan):
        _burst(page, plan)
    elif isinstance(plan, GroupPlan):
        _group(page, plan)
    else:
        _sitter(page, plan)
    page.told("What holds it back", plan.limits)
    page.told("Take care", plan.cautions)
    page.told("On what it rests", plan.notes)
    say_learned(page, learned)
    if recalled:
        page.told("Recalled", [" · ".join(recalled)])
    if assumed:
        page.told("Assumed, since you did not say", [" · ".join(assumed)])
    return page.text()


def say_learned(page: Page, learned: Sequence[str]) -> None:
    """Add what sittings taught.

    Parameters
    ----------
    page : Page
        To be added to.
    learned : sequence of str
        Lines; none adds nothing.
    """
    if learned:
        tail = "Leave it out with --without-learned." if any("--" in one for one in learned) else ""
        page.told("From your sittings", (*learned, tail))


def _sitter(page: Page, plan: SitterPlan) -> None:
    _settings(page, plan.settings, EYES)
    _budget(page, plan.settings[0], EYES)
    page.head(f"Where things lie, from the near iris ({plan.framing}, {_far(plan.distance_mm)})")
    _marks(page, plan.marks)
    _middle(page, plan, also=[_scaling(plan)])
    if plan.background:
        page.told("Background", [plan.background])
    _after(page, plan)


def _scaling(plan: SitterPlan) -> str:
    """Return the shutter by framing; with flash it is that of the room's light alone."""
    flash = ", without the flash" if plan.request.light.kind == "flash" else ""
    told = [f"{s.framing} {shutter(s.shutter_s)}" for s in plan.scaling if s.shutter_s]
    return f"Shutter by framing{flash}: {', '.join(told)}." if told else ""


def _group(page: Page, plan: GroupPlan) -> None:
    names = ("front row", "back row") if len(plan.rows) > 1 else ("the row", "")
    leans = plan.request.lean and any(row.lean_cm for row in plan.rows)
    _settings(page, plan.settings, names)
    page.head("Rows, front first")
    page.table(
        [("", "from the lens", "", "frames hold", "lean" if leans else "to be inside")]
        + [
            (
                f"row {row.row}",
                _far(row.distance_mm),
                "inside" if row.inside else "out",
                _share(row.share),
                _lean(row),
            )
            for row in plan.rows
        ]
    )
    into = f"{percent(plan.focus_into_share)} into the group" if len(plan.rows) > 1 else ""
    page.say(
        f"Focus {_far(plan.focus_distance_mm)} from the lens" + (f", {into}." if into else "."),
        indent=2,
    )
    if plan.request.arc_radius_mm is not None:
        cost = plan.arc_cost_mm
        word = "costs" if cost >= 0 else "saves"
        page.say(f"The arc {word} {length(cost)} of depth against straight rows.", indent=2)
    page.head("Who falls out, once they lean" if leans else "Who falls out")
    page.table(
        [("", "", "frames hold")]
        + [(f_stop(stop.f_number), _out(stop), _share(stop.share)) for stop in plan.stops]
    )
    _budget(page, plan.settings[0], names)
    _middle(page, plan, also=[])
    _after(page, plan)


def _burst(page: Page, plan: BurstPlan) -> None:
    _settings(page, (plan.setting,), EYES)
    page.head("The lean-in, focus plane from the near iris")
    page.say(
        f"From {_side(plan.start_mm)} to {_side(plan.end_mm)}: lean {length(plan.travel_mm)} in "
        f"{plan.seconds_s:.1f} s.",
        indent=2,
    )
    page.say(
        f"At least one holds: {_share(plan.chance)}. As many frames focused anew each, without "
        f"leaning: {_share(plan.still_chance)}.",
        indent=2,
    )
    page.table(
        [("frames", "first", "last", "at least one holds", "time")]
        + [
            (
                str(step.frames),
                _side(step.from_mm),
                _side(step.to_mm),
                _share(step.chance),
                f"{step.seconds_s:.1f} s",
            )
            for step in plan.steps
        ]
    )
    _budget(page, plan.setting, EYES)


def _settings(page: Page, settings: Sequence[PlanSetting], names: tuple[str, str]) -> None:
    page.head("Settings")
    head = ("", "aperture", "shutter", "ISO", "flash", "frames hold", *names)
    rows: list[Sequence[str]] = [(*head, "depth", "background")]
    for number, one in enumerate(settings):
        far = one.eyes[-1] if len(one.eyes) > 1 else None
        rows.append(
            (
                "best" if number == 0 and len(settings) > 1 else "",
                f_stop(one.f_number),
                shutter(one.shutter_s),
                iso_speed(one.iso).removeprefix("ISO "),
                "" if one.flash_power is None else flash_power(one.flash_power),
                _share(one.share),
                _reach(one.eyes[0].reach_cm),
                _reach(far.reach_cm) if far else "",
                _depth(one),
                "" if one.background_blur_mm is None else length(one.background_blur_mm),
            )
        )
    page.table(rows)
    stops = {one.f_number for one in settings}
    for one in settings:
        name = f_stop(one.f_number) if len(stops) > 1 else shutter(one.shutter_s)
        if one.exposure_off_ev:
            side = "over" if one.exposure_off_ev > 0 else "under"
            page.say(
                f"{name} is {abs(one.exposure_off_ev):.1f} stops {side}-exposed.",
                indent=2,
            )
        if one.gives_up:
            page.say(f"{name}: {one.gives_up}", indent=2, hang=4)
    both = settings[0].share_both
    if both is not None and both != settings[0].share:
        best = "At the best both" if len(settings) > 1 else "Both"
        held = _share(both)
        of_frames = "no frame" if held == "none" else f"{held} of frames"
        page.say(f"{best} eyes hold in {of_frames}.", indent=2)


def _budget(page: Page, best: PlanSetting, names: tuple[str, str]) -> None:
    page.head(
        "Budget of the best in its middle frame: blur on the sensor, and the reach without it"
    )
    eyes = (best.eyes[0], best.eyes[-1]) if len(best.eyes) > 1 else best.eyes[:1]
    page.table(
        [("", *(cell for name in names[: len(eyes)] for cell in (name, "without it")))]
        + [
            (PARTS[part.cause], *(cell for eye in eyes for cell in _part(eye, part.cause)))
            for part in best.eyes[0].parts
        ]
    )


def _part(eye: PlanEye, cause: str) -> tuple[str, str]:
    part = next((part for part in eye.parts if part.cause == cause), None)
    if part is None:
        return "", ""
    blur = "" if part.blur_um is None else f"{part.blur_um:.1f} µm"
    return blur, whole_cm(part.reach_without_cm)


def _marks(page: Page, marks: Sequence[PlanMark]) -> None:
    for word, inside in (("sharp on this print", True), ("beyond the depth of field", False)):
        there = [f"{mark.name} {_side(mark.depth_mm)}" for mark in marks if mark.inside is inside]
        if there:
            page.say(f"{capital(word)}: {', '.join(there)}.", indent=2, hang=4)


def _middle(page: Page, plan: SitterPlan | GroupPlan, *, also: Sequence[str]) -> None:
    page.head("Shutter, at the aperture of the best")
    page.table([("", "frames hold", "by motion alone", ""), *map(_point, plan.curve)])
    for text in also:
        page.say(text, indent=2, hang=4)
    if len(plan.ways) > 1:
        page.head("A stop more light, side by side")
        page.table([_way_head(), *(_way(way) for way in plan.ways)])


def _point(point: ShutterPoint) -> tuple[str, ...]:
    notes = (
        "reciprocal rule" if point.reciprocal else "",
        "" if point.allowed else "beyond the limits",
    )
    return (
        shutter(point.shutter_s),
        _share(point.share),
        _share(point.motion_share),
        ", ".join(filter(None, notes)),
    )


def _after(page: Page, plan: SitterPlan | GroupPlan) -> None:
    page.told("Frames to take", [one.text for one in plan.frames])
    page.told("Focusing in the middle", [plan.recompose.text if plan.recompose else ""])
    page.told("The light", [plan.light.text if plan.light else ""])


def _way_head() -> tuple[str, ...]:
    return ("", "aperture", "shutter", "ISO", "frames hold", "reach", "noise costs")


def _way(way: LightWay) -> tuple[str, ...]:
    return (
        way.way,
        f_stop(way.f_number),
        shutter(way.shutter_s),
        iso_speed(way.iso).removeprefix("ISO "),
        _share(way.share),
        _reach(way.reach_cm),
        f"{way.noise_cost_cm:.0f} cm",
    )


def _share(share: Measured) -> str:
    """Return a share with its interval, rounded outwards; "none" where even that ends at none."""
    low, high = percent_ends(share.low, share.high)
    if high <= 0:
        return "none"
    if low >= 100:
        return percent(share.value)
    return f"{percent(share.value)} ({low}–{high})"


def _reach(reach: Measured) -> str:
    low, high = (whole_cm(end).partition("\u2009")[0] for end in (reach.low, reach.high))
    said = whole_cm(reach.value)
    return f"{said} ({low}–{high})" if low != high else said


def _depth(setting: PlanSetting) -> str:
    front, behind = (
        "no end" if part is None else length(part)
        for part in (setting.depth_front_mm, setting.depth_behind_mm)
    )
    if setting.depth_front_mm == setting.depth_behind_mm == 0.0:
        return "none"
    unit = "".join(behind.partition("\u2009")[1:])
    return f"{front.removesuffix(unit)} + {behind}"


def _side(depth_mm: float) -> str:
    if abs(depth_mm) < 0.05:
        return "on it"
    return f"{length(depth_mm)} {'behind' if depth_mm > 0 else 'in front'}"


def _lean(row: GroupRow) -> str:
    """Return how far a row moves; whoever is inside already is asked only for more frames."""
    if abs(row.lean_cm) < 0.05:
        return "none"
    way = "towards" if row.lean_cm > 0 else "away from"
    said = f"{math.ceil(abs(row.lean_cm) - 1e-9)} cm {way} the camera"
    return f"{said}, for more frames" if row.inside else said


def _out(stop: GroupStop) -> str:
    """Return who falls out; inside may be too near the edge for missed focus and motion."""
    if not stop.out:
        return "nobody" if stop.share.value >= HALF_SHARE else "nobody, but only just"
    return f"row{'s' if len(stop.out) > 1 else ''} {', '.join(str(row) for row in stop.out)}"


def _far(distance_mm: float) -> str:
    return f"{distance_mm / 1000:.2f} m"
