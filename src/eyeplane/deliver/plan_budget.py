"""The budget of a plan: the blur at each eye part by part, and what each part costs in reach."""

from collections.abc import Sequence

from eyeplane.deliver.plan_chart import Scale
from eyeplane.deliver.plan_picture import LEADING, Picture
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Sheet
from eyeplane.deliver.sheet_type import lines_of, width_mm
from eyeplane.deliver.wording import THIN, cause_words, number, reach_words
from eyeplane.records.planned import PlanEye, PlanPart

BAR = 0.62  # breadth of a bar, in ems
AXIS = Pen(ink="soft", width_mm=0.18)


def budget_picture(eyes: Sequence[PlanEye]) -> Picture:
    """Return the budget of some eyes side by side.

    Parameters
    ----------
    eyes : sequence of PlanEye
        One or two; for a group the rows that matter most.

    Returns
    -------
    Picture
        Bars at one scale, costliest part of the first eye on top.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _drawn(eyes, width_mm, size_mm)

    return Picture(
        name="What costs the reach",
        spoken=" ".join(_spoken(eye) for eye in eyes),
        draw=draw,
        note="Blur on the sensor in the middle frame, and the reach it costs",
        wide=len(eyes) > 1,
    )


def eye_words(eye: PlanEye) -> str:
    """Return what to call an eye of a plan.

    Parameters
    ----------
    eye : PlanEye
        The eye.

    Returns
    -------
    str
        "near eye", "far eye", "row 2".
    """
    return f"{eye.name} eye" if eye.name in {"near", "far"} else eye.name


def cost_words(part: PlanPart, eye: PlanEye) -> str:
    """Return what a part costs.

    Parameters
    ----------
    part : PlanPart
        The part.
    eye : PlanEye
        The eye it belongs to.

    Returns
    -------
    str
        "21 cm", "under 1 cm".
    """
    cost = part.reach_without_cm - eye.reach_cm.value
    return f"{cost:.0f}{THIN}cm" if cost >= 0.95 else f"under 1{THIN}cm"


def _order(eyes: Sequence[PlanEye]) -> list[str]:
    """Return the causes, those of the first eye first."""
    return list(dict.fromkeys(part.cause for eye in eyes for part in eye.parts))


def _drawn(eyes: Sequence[PlanEye], width: float, size: float) -> Sheet:
    small = Letters(size_mm=size)
    line = LEADING * size
    causes = _order(eyes)
    names = [cause_words(cause) for cause in causes]
    left = max(width_mm(name, small) for name in names) + size
    gap = 1.6 * size
    panel = (width - left - gap * (len(eyes) - 1)) / len(eyes)
    most = max((p.blur_um or 0.0 for eye in eyes for p in eye.parts), default=0.0) or 1.0
    heads = [lines_of(_head(eye), small, panel - width_mm("costs ", small)) for eye in eyes]
    top = line * max(len(head) for head in heads) + 0.5 * size
    sheet = Sheet(width_mm=width, height_mm=top + line * len(causes) + 0.3 * size)
    for k, name in enumerate(names):
        sheet.words((0.0, top + line * (k + 0.78)), name, small)
    for k, (eye, head) in enumerate(zip(eyes, heads, strict=True)):
        start = left + k * (panel + gap)
        for row, text in enumerate(head):
            sheet.words((start, line * (row + 0.78)), text, small)
        end = Letters(size_mm=size, ink="soft", anchor="end")
        sheet.words((start + panel, line * (len(head) - 0.22)), "costs", end)
        sheet.line((start, top), (start, sheet.height_mm), AXIS)
        room = width_mm(f"100{THIN}µm", small) + width_mm(f"under 1{THIN}cm", small) + 1.6 * size
        scale = Scale(
            low=0.0, high=most, start_mm=start, end_mm=start + max(panel - room, 4 * size)
        )
        _bars(sheet, eye, causes, (scale, start + panel, top), small)
    return sheet


def _bars(
    sheet: Sheet,
    eye: PlanEye,
    causes: Sequence[str],
    where: tuple[Scale, float, float],
    small: Letters,
) -> None:
    scale, end, top = where
    size, line = small.size_mm, LEADING * small.size_mm
    soft = Letters(size_mm=size, ink="soft", anchor="end")
    parts = {part.cause: part for part in eye.parts}
    for k, cause in enumerate(causes):
        part = parts.get(cause)
        if part is None:
            continue
        base = top + line * (k + 0.78)
        sheet.line((scale.start_mm, base + 0.36 * size), (end, base + 0.36 * size), HAIRLINE)
        sheet.words((end, base), cost_words(part, eye), soft)
        if part.blur_um is None:
            sheet.words(
                (scale.start_mm + 0.4 * size, base), "no disc", Letters(size_mm=size, ink="soft")
            )
            continue
        tip = scale.at(part.blur_um)
        middle = base - 0.35 * size
        sheet.box((scale.start_mm, middle - BAR * size / 2), (tip, middle + BAR * size / 2), "iris")
        sheet.words((tip + 0.4 * size, base), f"{number(part.blur_um)}{THIN}µm", small)


def _head(eye: PlanEye) -> str:
    return f"{eye_words(eye)}: reach {reach_words(eye.reach_cm)}"


def _spoken(eye: PlanEye) -> str:
    parts = ", ".join(
        cause_words(p.cause)
        + (f" {number(p.blur_um)}{THIN}µm" if p.blur_um is not None else "")
        + f" costs {cost_words(p, eye)}"
        for p in eye.parts
    )
    return f"{_head(eye)} in the middle frame; {parts}."
