"""A plan's card set on one sheet of paper: as large as it goes in, never more than one page."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import product

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
SECTIONS_BEFORE_PICTURES = 3  # so many are wanted more than the pictures beside the main one
WORTH_MM = 1.0  # what leaves less room than this is not left out
STEPS = 7  # halvings: to 0.3 % of the size
GAP = 1.85  # mm between blocks at the designed size

Fewer = Callable[[CardContent], CardContent]


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
    sheet = _largest(content, size, (), LEAST)
    if sheet is not None:
        return sheet
    kept, left_out = content, list[str]()
    _, tall = _set(kept, size, left_out, TIGHTEST)
    for name, fewer in _droppable(content):
        _, less = _set(fewer(kept), size, [*left_out, name], TIGHTEST)
        if less > tall - WORTH_MM:
            continue  # it stands beside something taller
        kept, tall = fewer(kept), less
        left_out.append(name)
        sheet = _largest(kept, size, left_out, TIGHTEST)
        if sheet is not None:
            return sheet
    return _squeezed(kept, size, left_out)


def _droppable(content: CardContent) -> Iterator[tuple[str, Fewer]]:
    """Yield what may be left out, least wanted first; cautions never are."""
    last = len(content.sections) - 1
    for k in range(last, -1, -1):
        if k == min(last, SECTIONS_BEFORE_PICTURES) - 1:
            for picture in reversed(content.pictures):
                yield picture.name, partial(_without_picture, picture.name)
        yield content.sections[k].heading, partial(_without_section, content.sections[k].heading)
        if k == last and content.notes:
            yield "what it rests on", lambda card: replace(card, notes=())


def _without_section(heading: str, card: CardContent) -> CardContent:
    return replace(card, sections=tuple(s for s in card.sections if s.heading != heading))


def _without_picture(name: str, card: CardContent) -> CardContent:
    return replace(card, pictures=tuple(p for p in card.pictures if p.name != name))


def _largest(
    content: CardContent, paper: tuple[float, float], left_out: Sequence[str], least: float
) -> Sheet | None:
    """Return the card in the largest type at which it fits; None if not even in the least."""
    sheet, tall = _set(content, paper, left_out, least)
    if tall > paper[1]:
        return None
    low, high = least, LARGEST
    for _ in range(STEPS):
        middle = (low + high) / 2
        trial, tall = _set(content, paper, left_out, middle)
        if tall > paper[1]:
            high = middle
        else:
            low, sheet = middle, trial
    return sheet


def _squeezed(content: CardContent, paper: tuple[float, float], left_out: Sequence[str]) -> Sheet:
    """Return the card in whatever type it takes: cautions without end are still cautions."""
    scale, tall = TIGHTEST, math.inf
    sheet = Sheet(width_mm=paper[0], height_mm=paper[1])
    while tall > paper[1]:
        scale *= 0.93
        sheet, tall = _set(content, paper, left_out, scale)
    return sheet


def _set(
    content: CardContent, paper: tuple[float, float], left_out: Sequence[str], scale: float
) -> tuple[Sheet, float]:
    """Return the card at one size of type, and how tall the paper would have to be for it."""
    width, height = paper
    margin = MARGIN * width
    sizes = Sizes(scale=scale * width / FIRST_MM, room_mm=width - 2 * margin)
    sheet = Sheet(width_mm=width, height_mm=height)
    y = margin
    for block in _blocks(content, left_out, sizes):
        if block.ruled:
            sheet.line((margin, y), (width - margin, y), HAIRLINE)
            y += 0.75 * GAP * sizes.scale
        sheet.place(block.sheet, (margin, y))
        y += block.sheet.height_mm + GAP * sizes.scale
    return sheet, y - GAP * sizes.scale + margin


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
    """Return blocks in two columns as even as can be, each in the order of the whole."""
    if not sheets:
        return []
    gap = GAP * sizes.scale
    heights = [s.height_mm + gap for s in sheets]
    rest = sum(heights) - heights[0]
    sides = min(  # the first stands at the left; of those equally even the one most in order
        ((False, *others) for others in product((False, True), repeat=len(sheets) - 1)),
        key=lambda right: (abs(heights[0] + rest - 2 * _sum(heights, right)), right),
    )
    left = [s for s, right in zip(sheets, sides, strict=True) if not right]
    right = [s for s, right in zip(sheets, sides, strict=True) if right]
    tall = max(sum(s.height_mm + gap for s in column) for column in (left, right)) - gap
    both = Sheet(width_mm=sizes.room_mm, height_mm=tall)
    for x, column in ((0.0, left), (sizes.room_mm - sizes.column().room_mm, right)):
        y = 0.0
        for sheet in column:
            both.place(sheet, (x, y))
            y += sheet.height_mm + gap
    return [Block(sheet=both, ruled=True)]


def _sum(heights: Sequence[float], right: Sequence[bool]) -> float:
    return sum(height for height, there in zip(heights, right, strict=True) if there)


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
