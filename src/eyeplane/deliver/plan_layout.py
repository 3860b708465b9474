"""A plan's card set on one sheet of paper: as large as it goes in, never more than one page."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from eyeplane.deliver.plan_blocks import (
    care_block,
    head_block,
    main_block,
    notes_block,
    picture_block,
    section_block,
)
from eyeplane.deliver.plan_choices import choice_blocks
from eyeplane.deliver.plan_content import CardContent
from eyeplane.deliver.plan_set import Block, Sizes
from eyeplane.deliver.sheet import HAIRLINE, Sheet
from eyeplane.deliver.sheet_type import lacking
from eyeplane.deliver.wording import count_words

PAPERS_MM = {  # ISO 216; ANSI/ASME Y14.1 for Letter
    "A5": (148.0, 210.0),
    "A4": (210.0, 297.0),
    "Letter": (215.9, 279.4),
}
FIRST_MM = 148.0  # width of the paper on which type has the size it is designed in
MARGIN = 0.056  # of the width: what printers leave free, and a thumb
LARGEST, LEAST, TIGHTEST = 1.12, 0.8, 0.78  # of the designed size of type
SECTIONS_BEFORE_NOTES = 3  # so many sections are wanted more than on what the plan rests
SECTIONS_BEFORE_PICTURES = 2  # so many are wanted more than the pictures beside the main one
STEPS = 7  # halvings: to 0.3 % of the size
GAP = 2.1  # mm between blocks at the designed size


def card_sheet(content: CardContent, *, paper: str) -> Sheet:
    """Return a card set on one sheet.

    Parameters
    ----------
    content : CardContent
        What stands on it.
    paper : str
        One of `PAPERS_MM`.

    Returns
    -------
    Sheet
        Of that size. Type shrinks as far as it can still be read at arm's length; then the least
        is left out, and the card says so; cautions stay whatever happens.
    """
    size = PAPERS_MM[paper]
    least = LEAST
    fewer, left_out = content, list[str]()
    for fewer, left_out in _spared(content):
        sheet = _largest(fewer, size, left_out, least)
        if sheet is not None:
            return sheet
        least = TIGHTEST
    return _squeezed(fewer, size, left_out)


def _spared(content: CardContent) -> Iterator[tuple[CardContent, list[str]]]:
    """Yield the card with less and less on it, and what was left out; cautions never are."""
    fewer, left_out = content, list[str]()
    yield fewer, left_out
    if len(fewer.sections) > SECTIONS_BEFORE_NOTES:
        left_out = [fewer.sections[-1].heading]
        fewer = replace(fewer, sections=fewer.sections[:-1])
        yield fewer, left_out
    if fewer.notes:
        fewer, left_out = replace(fewer, notes=()), [*left_out, "what it rests on"]
        yield fewer, left_out
    while len(fewer.sections) > SECTIONS_BEFORE_PICTURES:
        left_out = [*left_out, fewer.sections[-1].heading]
        fewer = replace(fewer, sections=fewer.sections[:-1])
        yield fewer, left_out
    while fewer.pictures:
        left_out = [*left_out, fewer.pictures[-1].name]
        fewer = replace(fewer, pictures=fewer.pictures[:-1])
        yield fewer, left_out
    while fewer.sections:
        left_out = [*left_out, fewer.sections[-1].heading]
        fewer = replace(fewer, sections=fewer.sections[:-1])
        yield fewer, left_out


def _largest(
    content: CardContent, paper: tuple[float, float], left_out: Sequence[str], least: float
) -> Sheet | None:
    """Return the card in the largest type at which it fits; None if not even in the least."""
    sheet = _set(content, paper, left_out, least)
    if sheet is None:
        return None
    low, high = least, LARGEST
    for _ in range(STEPS):
        middle = (low + high) / 2
        trial = _set(content, paper, left_out, middle)
        if trial is None:
            high = middle
        else:
            low, sheet = middle, trial
    return sheet


def _squeezed(content: CardContent, paper: tuple[float, float], left_out: Sequence[str]) -> Sheet:
    """Return the card in whatever type it takes: cautions without end are still cautions."""
    scale = TIGHTEST
    while True:
        scale *= 0.93
        sheet = _set(content, paper, left_out, scale)
        if sheet is not None:
            return sheet


def _set(
    content: CardContent, paper: tuple[float, float], left_out: Sequence[str], scale: float
) -> Sheet | None:
    """Return the card at one size of type; None if it is longer than the paper."""
    width, height = paper
    margin = MARGIN * width
    sizes = Sizes(scale=scale * width / FIRST_MM, room_mm=width - 2 * margin)
    sheet = Sheet(width_mm=width, height_mm=height)
    y = margin
    for block in _blocks(content, left_out, sizes):
        if block.ruled:
            sheet.line((margin, y), (width - margin, y), HAIRLINE)
            y += 0.8 * GAP * sizes.scale
        sheet.place(block.sheet, (margin, y))
        y += block.sheet.height_mm + GAP * sizes.scale
    return sheet if y - GAP * sizes.scale <= height - margin else None


def _blocks(content: CardContent, left_out: Sequence[str], sizes: Sizes) -> list[Block]:
    main, others = main_block(content, sizes)
    column = sizes.column()
    flow = [
        *(picture_block(p, column) for p in others if not p.wide),
        *(section_block(s, column) for s in content.sections),
    ]
    return [
        head_block(content, sizes),
        *choice_blocks(content, sizes),
        main,
        *(picture_block(p, sizes) for p in others if p.wide),
        *_columns([block.sheet for block in flow], sizes),
        *care_block(content.cautions, sizes),
        *notes_block(content.notes, _remarks(content, left_out), sizes),
    ]


def _columns(sheets: Sequence[Sheet], sizes: Sizes) -> list[Block]:
    """Return blocks in two columns of about the same length, in order."""
    if not sheets:
        return []
    gap = GAP * sizes.scale
    heights = [s.height_mm + gap for s in sheets]
    split = min(range(len(sheets) + 1), key=lambda k: (max(sum(heights[:k]), sum(heights[k:])), -k))
    tall = max(sum(heights[:split]), sum(heights[split:])) - gap
    both = Sheet(width_mm=sizes.room_mm, height_mm=tall)
    for x, column in (
        (0.0, sheets[:split]),
        (sizes.room_mm - sizes.column().room_mm, sheets[split:]),
    ):
        y = 0.0
        for sheet in column:
            both.place(sheet, (x, y))
            y += sheet.height_mm + gap
    return [Block(sheet=both, ruled=True)]


def _remarks(content: CardContent, left_out: Sequence[str]) -> tuple[str, ...]:
    """Return what the card says of itself: what is left out, what its type cannot show."""
    remarks = []
    if left_out:
        remarks.append("Left out for room, but on the card as a page: " + "; ".join(left_out) + ".")
    missing = lacking(" ".join((content.title, content.over, content.sentence, content.advice)))
    if missing:
        signs = count_words(len(missing), "sign")
        remarks.append(
            f"{signs} of the name or text cannot be printed in this type and stand as an empty "
            "square; the card as a page shows them."
        )
    return tuple(remarks)
