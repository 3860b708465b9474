"""A lean-in: how the focus plane sweeps over the eye, and the chance by number of frames."""

from dataclasses import replace

from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up
from eyeplane.deliver.plan_picture import LEADING, Picture
from eyeplane.deliver.plan_words import length_words, share_words
from eyeplane.deliver.sheet import Letters, Pen, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import count_words, percent, side_words
from eyeplane.records.plans import BurstPlan

SIDE_MM = 12.0  # shown beyond the sweep at either end
PLANE = Pen(ink="iris", width_mm=0.3)
STRONG = Pen(ink="ink", width_mm=0.5)
AXIS = Pen(width_mm=0.18)
CHANCE = Pen(ink="iris", width_mm=0.5)


def lean_picture(plan: BurstPlan) -> Picture:
    """Return the sweep of a lean-in.

    Parameters
    ----------
    plan : BurstPlan
        The plan.

    Returns
    -------
    Picture
        Along the lens axis, to scale: one stroke a frame, its depth of field beside it.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _sweep(plan, width_mm, size_mm)

    return Picture(
        name="How the focus plane sweeps",
        spoken=f"Lean-in, to scale: {_said(plan)}.",
        draw=draw,
        note="One stroke a frame, in its depth of field.",
        share=0.55,
    )


def lean_frames(plan: BurstPlan) -> int:
    """Return how many frames a plan for a lean-in tells of.

    Parameters
    ----------
    plan : BurstPlan
        The plan.

    Returns
    -------
    int
        Those that reach the chance wanted; where none do, those of the time told.
    """
    if plan.frames is not None or not plan.steps:
        return plan.frames or 1
    return min(plan.steps, key=lambda step: abs(step.seconds_s - plan.seconds_s)).frames


def chance_picture(plan: BurstPlan) -> Picture:
    """Return the chance that one frame holds, by number of frames.

    Parameters
    ----------
    plan : BurstPlan
        With two steps or more.

    Returns
    -------
    Picture
        Points with their intervals.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _chances(plan, width_mm, size_mm)

    told = ", ".join(f"{s.frames} frames {share_words(s.chance)}" for s in plan.steps)
    return Picture(
        name="Chance that one holds",
        spoken=f"Chance that at least one frame holds: {told}.",
        draw=draw,
        note="By number of frames; band: nine times in ten.",
    )


def _said(plan: BurstPlan) -> str:
    frames = count_words(lean_frames(plan), "frame")
    return f"focus plane from {side_words(plan.start_mm)} to {side_words(plan.end_mm)} in {frames}"


def _sweep(plan: BurstPlan, width: float, size: float) -> Sheet:
    line = LEADING * size
    count = lean_frames(plan)
    low, high = sorted((plan.start_mm, plan.end_mm))
    front = plan.setting.depth_front_mm or 0.0
    behind = plan.setting.depth_behind_mm or 0.0
    scale = Scale(
        low=min(low - front, 0.0) - SIDE_MM,
        high=max(high + behind, 0.0) + SIDE_MM,
        start_mm=0.0,
        end_mm=width,
    )
    top = 1.6 * line
    step = max(min(1.5 * size, 22 * size / count), 0.35 * size)
    foot = top + step * count
    sheet = Sheet(width_mm=width, height_mm=foot + 3.4 * line)
    axis = foot + 0.9 * line
    for k in range(count):
        way = k / (count - 1) if count > 1 else 0.5
        at = plan.start_mm + way * (plan.end_mm - plan.start_mm)
        y = top + step * k
        sheet.box(
            (scale.at(at - front), y + 0.15 * step),
            (scale.at(at + behind), y + 0.85 * step),
            "pale",
        )
        sheet.line((scale.at(at), y), (scale.at(at), y + step), replace(PLANE, width_mm=0.5))
    sheet.line((0.0, axis), (width, axis), AXIS)
    sheet.area(
        [(0, axis), (0.9 * size, axis - 0.38 * size), (0.9 * size, axis + 0.38 * size)], "ink"
    )
    sheet.line((scale.at(0.0), top - 0.3 * size), (scale.at(0.0), axis + 0.9 * size), STRONG)
    middle = Letters(size_mm=size, anchor="middle")
    sheet.words((scale.at(0.0), top - 0.7 * size), "near iris", middle)
    soft = Letters(size_mm=size, ink="soft")
    for at, words in ((plan.start_mm, "first"), (plan.end_mm, "last")):
        sheet.line((scale.at(at), axis - 0.5 * size), (scale.at(at), axis + 0.5 * size), AXIS)
        text = f"{words}: {side_words(at)}"
        half = width_mm(text, middle) / 2
        x = max(min(scale.at(at), width - half), half)
        sheet.words((x, axis + 1.7 * size), text, middle)
    bar = scale.at(10.0) - scale.at(0.0)
    y = sheet.height_mm - 0.3 * size
    sheet.line((0.0, y - 0.3 * size), (bar, y - 0.3 * size), Pen(ink="soft", width_mm=0.4))
    sheet.words((bar + 0.5 * size, y), length_words(10.0), soft)
    return sheet


def _chances(plan: BurstPlan, width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    left = width_mm(percent(1.0), small) + 0.6 * size
    height = max(0.45 * (width - left), 10 * size)
    steps = plan.steps
    axes = Axes(
        across=Scale(
            low=steps[0].frames,
            high=steps[-1].frames,
            start_mm=left,
            end_mm=width - 0.8 * size,
            logarithmic=True,
        ),
        up=Scale(low=0.0, high=1.0, start_mm=height + 0.6 * size, end_mm=0.6 * size),
    )
    sheet = Sheet(width_mm=width, height_mm=height + 2.4 * size)
    marked_up(sheet, axes, [(v, percent(v)) for v in (0.0, 0.5, 1.0)], small)
    marked_across(sheet, axes, [(s.frames, str(s.frames)) for s in steps], small)
    band(
        sheet,
        axes,
        [(s.frames, s.chance.low) for s in steps],
        [(s.frames, s.chance.high) for s in steps],
    )
    sheet.path([axes.at((s.frames, s.chance.value)) for s in steps], CHANCE)
    for s in steps:
        chosen = s.frames == lean_frames(plan)
        sheet.disc(
            axes.at((s.frames, s.chance.value)), (0.42 if chosen else 0.2) * size, "iris", None
        )
    return sheet
