"""What a plan foretold of a sitting's frames beside what came out, part by part."""

from collections.abc import Sequence

from eyeplane.deliver.plan_chart import Scale
from eyeplane.deliver.plan_picture import LEADING, Picture
from eyeplane.deliver.plan_words import interval_words, share_words
from eyeplane.deliver.sheet import HAIRLINE, Anchor, Letters, Pen, Sheet
from eyeplane.deliver.wording import percent
from eyeplane.records.foretold import ForetoldPart
from eyeplane.records.said import share_percent

NAMES = {
    "holds": "holds",
    "focus": "soft: focus",
    "motion": "soft: motion",
    "rest": "soft: neither",
    "untold": "soft: cannot tell",
}
MARKS = (0.0, 0.25, 0.5, 0.75, 1.0)
FOUND = Pen(ink="ink", width_mm=0.4)
TOLD = Pen(ink="iris", width_mm=0.5)


def foretold_picture(parts: Sequence[ForetoldPart]) -> Picture:
    """Return shares of frames, foretold and found.

    Parameters
    ----------
    parts : sequence of ForetoldPart
        Those that hold first.

    Returns
    -------
    Picture
        A row for each part.
    """

    def draw(width_mm: float, size_mm: float) -> Sheet:
        return _drawn(parts, width_mm, size_mm)

    return Picture(
        name="Foretold and found",
        spoken=f"Share of frames, foretold and found: {'; '.join(map(_said, parts))}.",
        draw=draw,
        note="Pale: what the plan says, nine times in ten. Line with a dot: what came out.",
    )


def part_words(part: ForetoldPart) -> tuple[str, str, str]:
    """Return one part as a row of a table.

    Parameters
    ----------
    part : ForetoldPart
        The part.

    Returns
    -------
    tuple of str
        Its name, what was foretold, and what was found.
    """
    told = "cannot be foretold" if part.foretold_share is None else share_words(part.foretold_share)
    found = f"{share_percent(part.found_share.value)} ({interval_words(part.found_share)})"
    return NAMES[part.name], told, f"{found}, {part.found}"


def _said(part: ForetoldPart) -> str:
    name, told, found = part_words(part)
    return f"{name}: {told} foretold, {found} found"


def _drawn(parts: Sequence[ForetoldPart], width: float, size: float) -> Sheet:
    small, line = Letters(size_mm=size), LEADING * size
    tall = 2.5 * line
    across = Scale(low=0.0, high=1.0, start_mm=0.0, end_mm=width - 1.2 * size)
    foot = tall * len(parts)
    sheet = Sheet(width_mm=width, height_mm=foot + 1.6 * line)
    for mark in MARKS:
        x = across.at(mark)
        sheet.line((x, 0.0), (x, foot), HAIRLINE)
        anchor: Anchor = "start" if mark == 0.0 else "end" if mark == 1.0 else "middle"
        letters = Letters(size_mm=size, ink="soft", anchor=anchor)
        sheet.words((x, foot + 1.1 * line), percent(mark), letters)
    for k, part in enumerate(parts):
        top = tall * k
        middle = top + 1.75 * line
        if part.foretold_share is not None:
            told = part.foretold_share
            low, high = across.at(told.low), across.at(told.high)
            sheet.box((low, middle - 0.5 * line), (high, middle + 0.5 * line), "pale")
            x = across.at(told.value)
            sheet.line((x, middle - 0.5 * line), (x, middle + 0.5 * line), TOLD)
        found = part.found_share
        sheet.line((across.at(found.low), middle), (across.at(found.high), middle), FOUND)
        sheet.disc((across.at(found.value), middle), 0.32 * size, "ink", None)
        sheet.words((0.0, top + 0.85 * line), NAMES[part.name], small)
    return sheet
