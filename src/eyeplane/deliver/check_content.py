"""What a check of the kit or a ladder tells, before it becomes text or a page."""

from collections.abc import Callable
from dataclasses import dataclass

from eyeplane.deliver.sheet import Sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckDrawing:
    """A drawing or plot, still without a size.

    Attributes
    ----------
    name : str
        Of what it shows.
    spoken : str
        The whole drawing in words, for who cannot see it.
    draw : callable
        Takes the width of the drawing and the size of its type, both in mm, and returns a sheet.
    note : str
        How to read it, in small type.
    """

    name: str
    spoken: str
    draw: Callable[[float, float], Sheet]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPicture:
    """A piece of a frame, or a picture made of frames.

    Attributes
    ----------
    name : str
        Of what it shows.
    spoken : str
        What is to be seen on it, in words.
    image : bytes
        A PNG or JPEG; shown as wide as the column at most.
    note : str
        How to read it, in small type.
    """

    name: str
    spoken: str
    image: bytes
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckTable:
    """Numbers in rows.

    Attributes
    ----------
    name : str
        Its heading.
    head : tuple of str
        Names of the columns.
    rows : tuple of tuple of str
        Cells, each row as long as `head`.
    note : str
        How to read it, in small type.
    """

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckReason:
    """What stands behind an answer: one click below on the page, below `--why` in the text.

    Attributes
    ----------
    name : str
        The question it answers, e.g. "Why we say so".
    lines : tuple of str
        Sentences.
    """

    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckContent:
    """All that a check tells.

    Attributes
    ----------
    title : str
        What was checked, e.g. "Sensor dust".
    over : str
        Of which kit, from how many frames, when: one line of small type.
    sentence : str
        The answer.
    advice : str
        The one thing to do; empty if none.
    lines : tuple of str
        Further findings, most telling first.
    drawings : tuple of CheckDrawing
        The first is shown largest.
    pictures : tuple of CheckPicture
        After the drawings.
    tables : tuple of CheckTable
        After the pictures.
    reasons : tuple of CheckReason
        The physics and the method, one click below.
    cautions : tuple of str
        Shown wherever an action is advised.
    notes : tuple of str
        What limits the answer, what was left out and why.
    """

    title: str
    over: str
    sentence: str
    advice: str = ""
    lines: tuple[str, ...] = ()
    drawings: tuple[CheckDrawing, ...] = ()
    pictures: tuple[CheckPicture, ...] = ()
    tables: tuple[CheckTable, ...] = ()
    reasons: tuple[CheckReason, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
