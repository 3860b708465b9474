"""The settings on a plan's card: what to set, and how often it holds."""

from dataclasses import replace

from eyeplane.deliver.plan_content import CardContent, Choice
from eyeplane.deliver.plan_picture import LEADING
from eyeplane.deliver.plan_set import (
    BASE,
    BODY,
    COLUMN_GAP,
    HEADING,
    SETTINGS,
    SMALL,
    Block,
    Sizes,
    Writer,
)
from eyeplane.deliver.sheet import Pen, Sheet
from eyeplane.deliver.sheet_type import printable, width_mm
from eyeplane.records import Measured

SHARE_AXIS = Pen(ink="soft", width_mm=0.18)


def choice_blocks(content: CardContent, sizes: Sizes) -> tuple[Block, ...]:
    """Return the settings: the best large, the neighbours below it.

    Parameters
    ----------
    content : CardContent
        The card.
    sizes : Sizes
        Type and room.

    Returns
    -------
    tuple of Block
        One for the best, one for the others if there are any.
    """
    best, *others = content.choices
    blocks = [Block(sheet=_best(best, content.of_frames, sizes), ruled=True)]
    if others:
        gap = COLUMN_GAP * sizes.scale
        room = (sizes.room_mm - gap * (len(others) - 1)) / len(others)
        sheets = [_other(choice, replace(sizes, room_mm=room)) for choice in others]
        row = Sheet(width_mm=sizes.room_mm, height_mm=max(s.height_mm for s in sheets))
        for k, sheet in enumerate(sheets):
            row.place(sheet, (k * (room + gap), 0.0))
        blocks.append(Block(sheet=row))
    return tuple(blocks)


def _best(choice: Choice, of_frames: str, sizes: Sizes) -> Sheet:
    sheet = Sheet(width_mm=sizes.room_mm, height_mm=0.0)
    side = 0.36 * sizes.room_mm
    gap = COLUMN_GAP * sizes.scale
    room = sizes.room_mm - side - gap
    large = sizes.letters(SETTINGS)
    between = 1.1 * large.size_mm
    needed = sum(width_mm(printable(p), large) for p in choice.parts) + between * (
        len(choice.parts) - 1
    )
    if needed > room:
        large, between = (
            replace(large, size_mm=large.size_mm * room / needed),
            between * room / needed,
        )
    x, base = 0.0, 0.85 * SETTINGS * sizes.scale
    for part in map(printable, choice.parts):
        sheet.words((x, base), part, large)
        x += width_mm(part, large) + between
    beside = Writer(room)
    beside.text(choice.beside, sizes.letters(BODY, "serif"))
    sheet.place(beside.sheet, (0.0, base + 1.2 * sizes.scale))
    right = _share(choice, of_frames, replace(sizes, room_mm=side), base)
    sheet.place(right, (sizes.room_mm - side, 0.0))
    sheet.height_mm = max(base + 1.2 * sizes.scale + beside.sheet.height_mm, right.height_mm)
    return sheet


def _share(choice: Choice, of_frames: str, sizes: Sizes, base: float) -> Sheet:
    """Return a share as number, interval and place between nought and all."""
    sheet = Sheet(width_mm=sizes.room_mm, height_mm=0.0)
    large = sizes.letters(0.8 * SETTINGS, ink="iris")
    said = printable(choice.said)
    sheet.words((0.0, base), said, large)
    after = width_mm(said, large) + 0.35 * large.size_mm
    sheet.words((after, base), f"({choice.interval})", sizes.letters(HEADING, ink="soft"))
    half = 0.95 * sizes.scale
    y = base + 2.2 * sizes.scale
    line = share_line(choice.share, room_mm=sizes.room_mm, half_mm=half)
    sheet.place(line, (0.0, y - 1.3 * half))
    writer = Writer(sizes.room_mm)
    writer.text(of_frames, sizes.letters(SMALL, ink="soft"))
    sheet.place(writer.sheet, (0.0, y + 1.3 * sizes.scale))
    sheet.height_mm = y + 1.3 * sizes.scale + writer.sheet.height_mm
    return sheet


def share_line(share: Measured, *, room_mm: float = 80.0, half_mm: float = 1.6) -> Sheet:
    """Return a share as a place between nought and all, its interval as a band.

    Parameters
    ----------
    share : Measured
        0..1.
    room_mm : float
        Length of the line.
    half_mm : float
        Half the breadth of the band.

    Returns
    -------
    Sheet
        A little taller than the band.
    """
    y = 1.3 * half_mm
    sheet = Sheet(width_mm=room_mm, height_mm=2 * y)
    low, high, value = (part * room_mm for part in (share.low, share.high, share.value))
    sheet.box((low, y - half_mm), (high, y + half_mm), "pale")
    sheet.line((0.0, y), (room_mm, y), SHARE_AXIS)
    for end in (0.0, room_mm):
        sheet.line((end, y - 0.6 * half_mm), (end, y + 0.6 * half_mm), SHARE_AXIS)
    sheet.line((value, 0.0), (value, 2 * y), Pen(ink="iris", width_mm=0.7))
    return sheet


def _other(choice: Choice, sizes: Sizes) -> Sheet:
    writer = Writer(sizes.room_mm)
    letters = sizes.letters(HEADING)
    parts = printable(", ".join(choice.parts))
    share = printable(f"{choice.said} ({choice.interval})")
    iris = replace(letters, ink="iris")
    gap = 0.8 * letters.size_mm
    if width_mm(parts, letters) + gap + width_mm(share, iris) <= sizes.room_mm:
        writer.write([parts], letters)
        base = BASE * letters.size_mm * LEADING
        writer.sheet.words((width_mm(parts, letters) + gap, base), share, iris)
    else:
        writer.text(parts, letters)
        writer.text(share, iris)
    writer.text(choice.beside, sizes.letters(BODY, "serif"))
    return writer.sheet
