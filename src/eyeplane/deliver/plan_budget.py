"""The budget of a plan: the blur at each eye part by part, and what each part costs in reach."""

from collections.abc import Sequence

from eyeplane.deliver.plan_chart import Scale
from eyeplane.deliver.plan_picture import LEADING, Picture
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Sheet
from eyeplane.deliver.sheet_type import lines_of, width_mm
from eyeplane.deliver.wording import THIN, cause_words, number, reach_words
from eyeplane.records.planned import PlanEye, PlanPart

BAR = 0.62  # breadth of a bar, in ems
LEAST_BAR = 4.0  # the longest bar at least, in ems
LEAST_COST_CM = 0.95
UNDER = f"under 1{THIN}cm"
REST = "the rest"
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
    cost = _cost_cm(part, eye)
    return f"{cost:.0f}{THIN}cm" if cost >= LEAST_COST_CM else UNDER


def _order(eyes: Sequence[PlanEye]) -> list[str]:
    """Return the causes that cost reach at any eye, those of the first eye first; then the rest.

    The rest share one row if they are two or more, so that what matters stands out.
    """
    causes = list(dict.fromkeys(part.cause for eye in eyes for part in eye.parts))
    costly = {p.cause for eye in eyes for p in eye.parts if _cost_cm(p, eye) >= LEAST_COST_CM}
    small = [cause for cause in causes if cause not in costly]
    if len(small) < 2:
        return causes
    return [*(cause for cause in causes if cause in costly), REST]


def _cost_cm(part: PlanPart, eye: PlanEye) -> float:
    return part.reach_without_cm - eye.reach_cm.value


def _drawn(eyes: Sequence[PlanEye], width: float, size: float) -> Sheet:
    """Return the eyes beside each other, or below where they have not the room for it."""
    small = Letters(size_mm=size)
    causes = _order(eyes)
    left = max(width_mm(cause_words(cause), small) for cause in causes) + size
    gap = 1.6 * size
    panel = (width - left - gap * (len(eyes) - 1)) / len(eyes)
    beside = panel >= _numbers(small) + LEAST_BAR * size
    top_um = max((p.blur_um or 0.0 for eye in eyes for p in eye.parts), default=0.0) or 1.0
    if not beside:
        panel = width - left
    heads = [lines_of(_head(eye), small, panel - width_mm("costs ", small)) for eye in eyes]
    if beside:
        heads = [("",) * (max(map(len, heads)) - len(head)) + head for head in heads]
    sheet = Sheet(width_mm=width, height_mm=0.0)
    x, y = left, 0.0
    for k, (eye, head) in enumerate(zip(eyes, heads, strict=True)):
        drawn = _panel(eye, head, causes, (panel, top_um), small)
        if k == 0 or not beside:
            _names(sheet, causes, y + drawn.height_mm, small)
        sheet.place(drawn, (x, y))
        sheet.height_mm = max(sheet.height_mm, y + drawn.height_mm)
        x, y = (x + panel + gap, 0.0) if beside else (left, y + drawn.height_mm + gap)
    return sheet


def _numbers(small: Letters) -> float:
    """Return the room that the numbers of a panel take."""
    words = (f"100{THIN}µm", f"under 1{THIN}cm")
    return sum(width_mm(text, small) for text in words) + 1.6 * small.size_mm


def _names(sheet: Sheet, causes: Sequence[str], foot_mm: float, small: Letters) -> None:
    line = LEADING * small.size_mm
    top = foot_mm - 0.3 * small.size_mm - line * len(causes)
    for k, cause in enumerate(causes):
        sheet.words((0.0, top + line * (k + 0.78)), cause_words(cause), small)


def _panel(
    eye: PlanEye,
    head: Sequence[str],
    causes: Sequence[str],
    sizes: tuple[float, float],
    small: Letters,
) -> Sheet:
    width, top_um = sizes
    size, line = small.size_mm, LEADING * small.size_mm
    top = line * len(head) + 0.5 * size
    sheet = Sheet(width_mm=width, height_mm=top + line * len(causes) + 0.3 * size)
    for row, text in enumerate(head):
        sheet.words((0.0, line * (row + 0.78)), text, small)
    end = Letters(size_mm=size, ink="soft", anchor="end")
    sheet.words((width, line * (len(head) - 0.22)), "costs", end)
    sheet.line((0.0, top), (0.0, sheet.height_mm), AXIS)
    longest = max(width - _numbers(small), 2 * size)
    scale = Scale(low=0.0, high=top_um, start_mm=0.0, end_mm=longest)
    _bars(sheet, eye, causes, (scale, top), small)
    return sheet


def _bars(
    sheet: Sheet,
    eye: PlanEye,
    causes: Sequence[str],
    where: tuple[Scale, float],
    small: Letters,
) -> None:
    scale, top = where
    end = sheet.width_mm
    size, line = small.size_mm, LEADING * small.size_mm
    soft = Letters(size_mm=size, ink="soft", anchor="end")
    parts = {part.cause: part for part in eye.parts}
    for k, cause in enumerate(causes):
        base = top + line * (k + 0.78)
        sheet.line((scale.start_mm, base + 0.36 * size), (end, base + 0.36 * size), HAIRLINE)
        if cause == REST:
            _rest(sheet, [p for p in eye.parts if p.cause not in causes], base, small)
        part = parts.get(cause)
        if part is None:
            continue
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


def _rest(sheet: Sheet, parts: Sequence[PlanPart], base: float, small: Letters) -> None:
    """Name what costs next to nothing, as much of it as there is room for."""
    size = small.size_mm
    soft = Letters(size_mm=size, ink="soft", anchor="end")
    sheet.words((sheet.width_mm, base), f"each {UNDER}", soft)
    room = sheet.width_mm - width_mm(f"each {UNDER}", small) - 1.2 * size
    named = [
        f"{cause_words(p.cause)} {number(p.blur_um)}" if p.blur_um else cause_words(p.cause)
        for p in sorted(parts, key=lambda p: -(p.blur_um or 0.0))
    ]
    while named and width_mm(_listed(named), small) > room:
        named.pop()
    sheet.words((0.4 * size, base), _listed(named), Letters(size_mm=size, ink="soft"))


def _listed(named: Sequence[str]) -> str:
    return ", ".join(named) + (f"{THIN}µm" if named and named[-1][-1].isdigit() else "")


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
