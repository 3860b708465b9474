"""The type of a printed sheet: how wide words are, where lines break, which signs there are."""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, cast

from eyeplane.deliver.page_file import NARROW
from eyeplane.deliver.sheet import Face, Letters
from eyeplane.deliver.wording import THIN, plain_text

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.fonts import TTFFont

FONTS = Path(__file__).with_name("fonts")
FILES: dict[Face, str] = {
    "serif": "LiberationSerif-Regular.ttf",
    "italic": "LiberationSerif-Italic.ttf",
    "sans": "LiberationSans-Regular.ttf",
}
MISSING = "\N{WHITE SQUARE}"  # stands for a sign that the type lacks
KEPT = "\N{NO-BREAK SPACE}"
_ISO = re.compile(r"\bISO (?=\d)")
_BREAKS = re.compile(r"[ \n]+")


@contextmanager
def with_faces(pdf: "FPDF", faces: Iterable[Face] = FILES) -> "Iterator[None]":
    """Add faces to a document, each embedded with only the signs that are used.

    Parameters
    ----------
    pdf : FPDF
        The document.
    faces : iterable of str
        Which.

    Yields
    ------
    None
        While their files are open; the document must be complete when they close.
    """
    try:
        for face in faces:
            pdf.add_font(face, fname=FONTS / FILES[face])
        yield
    finally:
        for font in pdf.fonts.values():
            cast("TTFFont", font).ttfont.close()


@cache
def _advances(face: Face) -> dict[int, float]:
    """Return the width of every sign of a face, in ems."""
    from fpdf import FPDF  # noqa: PLC0415  # slow to load, and needed for cards only

    pdf = FPDF()
    with with_faces(pdf, [face]):
        font = cast("TTFFont", pdf.fonts[face])
        return {sign: font.cw[sign] / 1000 for sign in font.cmap}


def width_mm(text: str, letters: Letters) -> float:
    """Return how wide words are.

    Parameters
    ----------
    text : str
        One line.
    letters : Letters
        How it is set.

    Returns
    -------
    float
        Millimetres; a sign that the type lacks counts one em.
    """
    advances = _advances(letters.face)
    return letters.size_mm * sum(advances.get(ord(sign), 1.0) for sign in text)


def printable(text: str) -> str:
    """Return a text as it can be set.

    Parameters
    ----------
    text : str
        Any text, foreign names among it.

    Returns
    -------
    str
        Composed signs (Unicode's form NFC), control characters as escapes, a number kept on the
        line of its unit, and ISO on that of its number.
    """
    composed = unicodedata.normalize("NFC", plain_text(text))
    return iso_kept(composed.replace(THIN, NARROW))


def iso_kept(text: str) -> str:
    """Return a text in which no line breaks between ISO and its number.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        With a no-break space there.
    """
    return _ISO.sub(f"ISO{KEPT}", text)


def lacking(text: str) -> str:
    """Return the signs of a text that the type lacks.

    Parameters
    ----------
    text : str
        As `printable` returns it.

    Returns
    -------
    str
        Each once, in order; empty if there are all.
    """
    known = set.intersection(*(set(_advances(face)) for face in FILES))
    return "".join(dict.fromkeys(s for s in text if ord(s) not in known and s != "\n"))


def lines_of(text: str, letters: Letters, room_mm: float) -> tuple[str, ...]:
    """Return a text broken into lines.

    Parameters
    ----------
    text : str
        Words with spaces between them; a line feed breaks as well.
    letters : Letters
        How it is set.
    room_mm : float
        Length of a line.

    Returns
    -------
    tuple of str
        Lines that fit, as few as that takes; a word longer than a line is cut where it must be.
    """
    lines: list[str] = []
    space = width_mm(" ", letters)
    for paragraph in text.split("\n"):
        line: list[str] = []
        length = 0.0
        for word in _pieces(paragraph, letters, room_mm):
            wide = width_mm(word, letters)
            if line and length + wide > room_mm:
                lines.append(" ".join(line))
                line, length = [], 0.0
            line.append(word)
            length += wide + space
        if line:
            lines.append(" ".join(line))
    return tuple(lines)


def balanced(text: str, letters: Letters, room_mm: float) -> tuple[str, ...]:
    """Return a text in as few lines as fit, and these of about the same length.

    Parameters
    ----------
    text : str
        A sentence.
    letters : Letters
        How it is set.
    room_mm : float
        Length of a line.

    Returns
    -------
    tuple of str
        Its lines.
    """
    lines = lines_of(text, letters, room_mm)
    narrow, wide = room_mm / 2, room_mm
    for _ in range(12):
        middle = (narrow + wide) / 2
        if len(lines_of(text, letters, middle)) > len(lines):
            narrow = middle
        else:
            wide = middle
    return lines_of(text, letters, wide)


def _pieces(paragraph: str, letters: Letters, room_mm: float) -> list[str]:
    """Return the words of a paragraph, those longer than a line in pieces."""
    pieces: list[str] = []
    for word in _BREAKS.split(paragraph):
        rest = word
        while width_mm(rest, letters) > room_mm and len(rest) > 1:
            fitting = next(
                k
                for k in range(len(rest) - 1, 0, -1)
                if k == 1 or width_mm(rest[:k], letters) <= room_mm
            )
            pieces.append(rest[:fitting])
            rest = rest[fitting:]
        if rest:
            pieces.append(rest)
    return pieces
