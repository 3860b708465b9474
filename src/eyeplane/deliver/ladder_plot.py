"""The plot of a ladder: points with their intervals, the fit with its band, the reciprocal rule."""

from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.ladder_words import (
    height_at_s,
    lapse_words,
    limit_at,
    limit_words,
    setting_words,
    step_words,
    whose,
)
from eyeplane.deliver.plan_chart import Axes, Scale, band, marked_across, marked_up
from eyeplane.deliver.plan_picture import on_paper, within
from eyeplane.deliver.plan_words import ENGRAVED_S, share_words
from eyeplane.deliver.sheet import Letters, Pen, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import percent
from eyeplane.light.camera_words import shutter
from eyeplane.records.ladder import LadderPart, LadderResult
from eyeplane.records.said import share_percent

HEIGHT_SHARE = 0.5  # height of the plot over its width
FIT = Pen(ink="iris", width_mm=0.5)
INTERVAL = Pen(ink="ink", width_mm=0.22)
RULE = Pen(ink="soft", width_mm=0.25, dashed=True)
WANTED = Pen(ink="iris", width_mm=0.25)


def ladder_drawing(result: LadderResult, part: LadderPart) -> CheckDrawing:
    """Return the plot of one mover.

    Parameters
    ----------
    result : LadderResult
        The ladder.
    part : LadderPart
        Shake, sitter, or both.

    Returns
    -------
    CheckDrawing
        Fast times to the left, on a logarithmic scale.
    """

    def draw(width_mm: float, type_mm: float) -> Sheet:
        return _drawn(result, part, width_mm, type_mm)

    return CheckDrawing(
        name=f"{whose(part)}: share of frames that hold {result.print_cm:g} cm",
        spoken=_spoken(result, part),
        draw=draw,
        note=(
            "Dots: the frames of one shutter time, with the range that holds their true share nine "
            "times in ten. Line: what they say together; band: nine times in ten."
            f"{_lapse_note(result, part)}"
        ),
    )


def _drawn(result: LadderResult, part: LadderPart, width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    left = width_mm(percent(1.0), small) + 0.7 * size
    top = 2.0 * size
    height = max(HEIGHT_SHARE * (width - left), 9.0 * size)
    axes = Axes(
        across=Scale(
            low=part.curve[0].shutter_s,
            high=part.curve[-1].shutter_s,
            start_mm=left,
            end_mm=width - 0.8 * size,
            logarithmic=True,
        ),
        up=Scale(low=0.0, high=1.0, start_mm=top + height, end_mm=top),
    )
    sheet = Sheet(width_mm=width, height_mm=top + height + 1.9 * size)
    band(
        sheet,
        axes,
        [(p.shutter_s, p.share.low) for p in part.curve],
        [(p.shutter_s, p.share.high) for p in part.curve],
    )
    marked_up(sheet, axes, [(v, percent(v)) for v in (0.0, 0.25, 0.5, 0.75, 1.0)], small)
    low, high = part.curve[0].shutter_s, part.curve[-1].shutter_s
    times = [t for t in ENGRAVED_S if low * 0.99 <= t <= high * 1.01]
    marked_across(sheet, axes, [(t, shutter(t).split("\u2009")[0]) for t in times], small)
    if part.mover != "sitter":  # the rule is one for hands
        _rule(sheet, axes, result, small)
    sheet.path([axes.at((p.shutter_s, p.share.value)) for p in part.curve], FIT)
    _points(sheet, axes, part, size)
    _wanted(sheet, axes, (result, part), small)
    return sheet


def _lapse_note(result: LadderResult, part: LadderPart) -> str:
    """Return why the mark of a limit meets the line lower than its share."""
    if limit_words(limit_at(part, result.wanted_share)) == "cannot tell" or not lapse_words(part):
        return ""
    return (
        f" The line counts the {share_words(part.lapse_share)} that come off at any time as lost, "
        f"the mark leaves them out: so the two meet below {share_percent(result.wanted_share)}."
    )


def _points(sheet: Sheet, axes: Axes, part: LadderPart, size: float) -> None:
    for step in part.steps:
        x, y = axes.at((step.shutter_s, step.share.value))
        sheet.line((x, axes.up.at(step.share.low)), (x, axes.up.at(step.share.high)), INTERVAL)
        sheet.disc((x, y), 0.28 * size, "ink", None)


def _rule(sheet: Sheet, axes: Axes, result: LadderResult, small: Letters) -> None:
    time = result.rule_s
    if time is None or not axes.across.low <= time <= axes.across.high:
        return
    x = axes.across.at(time)
    sheet.line((x, axes.up.start_mm), (x, axes.up.end_mm - 0.4 * small.size_mm), RULE)
    words = f"reciprocal rule {shutter(time)}"
    letters = Letters(size_mm=small.size_mm, ink="soft", anchor="middle")
    at = within(x, words, letters, (axes.across.start_mm, sheet.width_mm))
    sheet.words((at, axes.up.end_mm - 0.8 * small.size_mm), words, letters)


def _wanted(
    sheet: Sheet, axes: Axes, told: tuple[LadderResult, LadderPart], small: Letters
) -> None:
    """Mark the wanted limit from the axis up to the curve, which counts lapses, and name it."""
    result, part = told
    limit = limit_at(part, result.wanted_share)
    time = limit.shutter_s.value if limit.shutter_s is not None else limit.least_s
    if time is None or not axes.across.low <= time <= axes.across.high:
        return
    size, x = small.size_mm, axes.across.at(time)
    sheet.line((x, axes.up.start_mm), (x, axes.up.at(height_at_s(part, time))), WANTED)
    few = "" if limit.shutter_s is not None else "at least "
    words = f"{share_percent(result.wanted_share)}: {few}{setting_words(time)}"
    letters = Letters(size_mm=size, ink="iris")
    wide = width_mm(words, letters)
    start = x - wide - 0.6 * size
    if start < axes.across.start_mm + 0.3 * size:
        start = min(x + 0.6 * size, sheet.width_mm - wide)
    on_paper(sheet, (start, axes.up.start_mm - 0.7 * size), words, letters)


def _spoken(result: LadderResult, part: LadderPart) -> str:
    steps = ", ".join(f"{shutter(s.shutter_s)} {step_words(s)}" for s in part.steps)
    rule = ""
    if result.rule_s is not None and part.mover != "sitter":
        rule = f" The reciprocal rule names {shutter(result.rule_s)}."
    limits = "; ".join(f"{share_percent(one.share)} {limit_words(one)}" for one in part.limits)
    return f"Frames that held, by shutter time: {steps}. Limits: {limits}.{rule}"
