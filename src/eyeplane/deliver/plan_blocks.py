"""The blocks a plan's card is put together from, each set in the type and room it is given."""

from collections.abc import Sequence
from dataclasses import replace

from eyeplane.deliver.plan_content import CardContent, Section
from eyeplane.deliver.plan_picture import LEADING, Picture
from eyeplane.deliver.plan_set import (
    ADVICE,
    BASE,
    BODY,
    COLUMN_GAP,
    HEADING,
    LONG_ADVICE,
    NOTE,
    SENTENCE,
    SMALL,
    Block,
    Sizes,
    Writer,
)
from eyeplane.deliver.sheet import HAIRLINE, Sheet
from eyeplane.deliver.sheet_type import balanced, printable, width_mm

ADVICE_LINES = 1  # longer advice is set smaller
SIDE = 1.35  # how much taller than the picture what stands beside it may be


def head_block(content: CardContent, sizes: Sizes) -> Block:
    """Return whose card it is, the answer and the one thing to change.

    Parameters
    ----------
    content : CardContent
        The card.
    sizes : Sizes
        Type and room.

    Returns
    -------
    Block
        The head.
    """
    writer = Writer(sizes.room_mm)
    if content.title:
        writer.text(content.title, sizes.letters(HEADING))
    writer.text(content.over, sizes.letters(SMALL, ink="soft"))
    writer.skip(1.6 * sizes.scale)
    large = sizes.letters(SENTENCE, "serif")
    writer.write(balanced(printable(content.sentence), large, sizes.room_mm), large)
    advice = printable(content.advice)
    letters = sizes.letters(ADVICE, "italic")
    if width_mm(advice, letters) > ADVICE_LINES * sizes.room_mm:
        letters = sizes.letters(LONG_ADVICE, "italic")
    writer.write(balanced(advice, letters, sizes.room_mm), letters)
    return Block(sheet=writer.sheet)


def main_block(content: CardContent, sizes: Sizes) -> tuple[Block, tuple[Picture, ...]]:
    """Return the plan's own picture, its numbers beside it, and below them what has room there.

    Parameters
    ----------
    content : CardContent
        The card.
    sizes : Sizes
        Type and room.

    Returns
    -------
    tuple of Block and tuple of Picture
        The block, and the pictures that found no room in it.
    """
    drawn = content.main.draw(content.main.share * sizes.room_mm, SMALL * sizes.scale)
    left = content.main.share * sizes.room_mm + COLUMN_GAP * sizes.scale
    side = replace(sizes, room_mm=sizes.room_mm - left)
    column = _facts(content.facts, side)
    over = []
    for picture in content.pictures:
        block = None if picture.wide else picture_block(picture, side).sheet
        gap = 2.0 * sizes.scale
        if block is None or column.height_mm + gap + block.height_mm > SIDE * drawn.height_mm:
            over.append(picture)
            continue
        column.place(block, (0.0, column.height_mm + gap))
        column.height_mm += gap + block.height_mm
    sheet = Sheet(width_mm=sizes.room_mm, height_mm=max(drawn.height_mm, column.height_mm))
    sheet.place(drawn, (0.0, 0.0))
    sheet.place(column, (left, 0.0))
    return Block(sheet=sheet, ruled=True), tuple(over)


def _facts(facts: Section, sizes: Sizes) -> Sheet:
    writer = Writer(sizes.room_mm)
    for name, value in facts.rows:
        _row(writer, printable(name), printable(value), sizes)
    return writer.sheet


def picture_block(picture: Picture, sizes: Sizes) -> Block:
    """Return a picture under its name.

    Parameters
    ----------
    picture : Picture
        What is drawn.
    sizes : Sizes
        Type and room.

    Returns
    -------
    Block
        With the note on how to read it.
    """
    writer = Writer(sizes.room_mm)
    name, note = printable(picture.name), printable(picture.note)
    heading, small = sizes.letters(HEADING, "serif"), sizes.letters(NOTE, ink="soft")
    after = width_mm(name, heading) + 0.8 * heading.size_mm
    if after + width_mm(note, small) <= sizes.room_mm:
        writer.write([name], heading)
        writer.sheet.words((after, BASE * heading.size_mm * LEADING), note, small)
    else:
        writer.text(name, heading)
        writer.text(note, small)
    writer.skip(0.6 * sizes.scale)
    drawn = picture.draw(sizes.room_mm, SMALL * sizes.scale)
    writer.sheet.place(drawn, (0.0, writer.sheet.height_mm))
    writer.skip(drawn.height_mm)
    return Block(sheet=writer.sheet, ruled=True)


def section_block(section: Section, sizes: Sizes) -> Block:
    """Return a few lines under a heading.

    Parameters
    ----------
    section : Section
        What is said.
    sizes : Sizes
        Type and room.

    Returns
    -------
    Block
        The number at the right of its row where it fits, else below.
    """
    writer = Writer(sizes.room_mm)
    writer.text(section.heading, sizes.letters(HEADING, "serif"))
    for name, value in section.rows:
        _row(writer, printable(name), printable(value), sizes)
    for line in section.lines:
        writer.text(line, sizes.letters(BODY, "serif"))
        writer.skip(0.5 * sizes.scale)
    return Block(sheet=writer.sheet)


def _row(writer: Writer, name: str, value: str, sizes: Sizes) -> None:
    letters = sizes.letters(SMALL)
    soft = replace(letters, ink="soft")
    room, sheet = sizes.room_mm, writer.sheet
    if width_mm(name, soft) + width_mm(value, letters) + letters.size_mm <= room:
        base = sheet.height_mm + BASE * letters.size_mm * LEADING
        sheet.words((room, base), value, replace(letters, anchor="end"))
        writer.write([name], soft)
    else:
        writer.text(name, soft)
        writer.text(value, letters)
    y = sheet.height_mm + 0.2 * sizes.scale
    sheet.line((0.0, y), (room, y), HAIRLINE)
    writer.skip(0.5 * sizes.scale)


def care_block(cautions: Sequence[str], sizes: Sizes) -> tuple[Block, ...]:
    """Return the cautions.

    Parameters
    ----------
    cautions : sequence of str
        That apply.
    sizes : Sizes
        Type and room.

    Returns
    -------
    tuple of Block
        None where none applies.
    """
    if not cautions:
        return ()
    writer = Writer(sizes.room_mm)
    writer.text("Take care", sizes.letters(HEADING, "serif"))
    writer.text(" ".join(cautions), sizes.letters(BODY, "serif"))
    return (Block(sheet=writer.sheet, ruled=True),)


def notes_block(notes: Sequence[str], remarks: Sequence[str], sizes: Sizes) -> tuple[Block, ...]:
    """Return on what the plan rests, small.

    Parameters
    ----------
    notes, remarks : sequence of str
        Of the plan, and of the card itself.
    sizes : Sizes
        Type and room.

    Returns
    -------
    tuple of Block
        None where there is nothing to say.
    """
    said = (*notes, *remarks)
    if not said:
        return ()
    writer = Writer(sizes.room_mm)
    writer.text(" ".join(said), sizes.letters(NOTE, ink="soft"))
    return (Block(sheet=writer.sheet, ruled=True),)
