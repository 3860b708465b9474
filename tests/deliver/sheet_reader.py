"""Reads what was drawn: marks of a sheet, and the text of a PDF without what wrote it."""

import re
import zlib
from collections.abc import Iterator
from itertools import combinations

from eyeplane.deliver.sheet import Disc, Shape, Sheet, Words
from eyeplane.deliver.sheet_type import width_mm

STARTS = {"start": 0.0, "middle": 0.5, "end": 1.0}
Box = tuple[float, float, float, float]


def box_of(words: Words) -> Box:
    """Return left, top, right and bottom of a line of text: from its capitals' height down."""
    letters = words.letters
    wide = width_mm(words.text, letters)
    left = words.at[0] - STARTS[letters.anchor] * wide
    return left, words.at[1] - 0.68 * letters.size_mm, left + wide, words.at[1]


def texts(sheet: Sheet) -> list[Words]:
    """Return all lines of text of a sheet."""
    return [mark for mark in sheet.marks if isinstance(mark, Words)]


def said(sheet: Sheet) -> str:
    """Return all text of a sheet, in the order it was written."""
    return (
        " ".join(words.text for words in texts(sheet))
        .replace("\u202f", "\u2009")
        .replace("\xa0", " ")
    )


def overlapping(sheet: Sheet, slack_mm: float = 0.05) -> list[tuple[str, str]]:
    """Return the lines of text that cover one another."""
    found = []
    for one, other in combinations(texts(sheet), 2):
        a, b = box_of(one), box_of(other)
        if (
            a[0] < b[2] - slack_mm
            and b[0] < a[2] - slack_mm
            and a[1] < b[3] - slack_mm
            and b[1] < a[3] - slack_mm
        ):
            found.append((one.text, other.text))
    return found


def sticking_out(sheet: Sheet, slack_mm: float = 0.05) -> list[str]:
    """Return what lies beyond the edges of a sheet."""
    found = []
    for mark in sheet.marks:
        if isinstance(mark, Words):
            left, top, right, bottom = box_of(mark)
            name = mark.text
        elif isinstance(mark, Disc):
            (x, y), r = mark.middle, mark.radius_mm
            left, top, right, bottom = x - r, y - r, x + r, y + r
            name = "disc"
        else:
            xs, ys = zip(*mark.points, strict=True)
            left, top, right, bottom = min(xs), min(ys), max(xs), max(ys)
            name = f"shape at {left:.1f}, {top:.1f}"
        if (
            left < -slack_mm
            or top < -slack_mm
            or right > sheet.width_mm + slack_mm
            or bottom > sheet.height_mm + slack_mm
        ):
            found.append(name)
    return found


def shapes(sheet: Sheet, *, ink: str | None = None, fill: str | None = None) -> list[Shape]:
    """Return the lines in an ink, or the areas filled with one."""
    return [
        mark
        for mark in sheet.marks
        if isinstance(mark, Shape)
        and (ink is None or (mark.pen is not None and mark.pen.ink == ink))
        and (fill is None or mark.fill == fill)
    ]


def upright(sheet: Sheet, *, ink: str) -> list[float]:
    """Return where the upright lines in an ink stand."""
    found = []
    for shape in shapes(sheet, ink=ink):
        if not shape.closed and len(shape.points) == 2:
            (x0, y0), (x1, y1) = shape.points
            if x0 == x1 and y0 != y1:
                found.append(x0)
    return found


def pages(document: bytes) -> int:
    """Return how many pages a PDF has."""
    return len(re.findall(rb"/Type /Page\b(?!s)", document))


def media_mm(document: bytes) -> tuple[float, float]:
    """Return width and height of a PDF's pages."""
    found = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", document)
    assert found is not None
    return float(found[1]) * 25.4 / 72, float(found[2]) * 25.4 / 72


def streams(document: bytes) -> Iterator[bytes]:
    """Yield the decompressed streams of a PDF."""
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", document, re.DOTALL):
        try:
            yield zlib.decompress(found[1])
        except zlib.error:
            yield found[1]


def pdf_text(document: bytes) -> str:
    """Return the text of a PDF, as one selects it: codes of the page through the fonts' maps.

    The maps are the fonts' ToUnicode tables (ISO 32000-1, section 9.10.3); fonts are named /F1, /F2
    and so on, in the order of these tables.
    """
    parts = list(streams(document))
    maps = [_unicode(part) for part in parts if b"beginbfchar" in part]
    content = next(part for part in parts if b" Tf" in part and b" Tj" in part)
    told, font = [], 0
    for found in re.finditer(rb"/F(\d+) [\d.]+ Tf|\(((?:\\.|[^\\)])*)\) Tj", content, re.DOTALL):
        if found[1]:
            font = int(found[1]) - 1
            continue
        raw = re.sub(rb"\\(.)", lambda m: _ESCAPES.get(m[1], m[1]), found[2], flags=re.DOTALL)
        codes = [int.from_bytes(raw[k : k + 2], "big") for k in range(0, len(raw), 2)]
        told.append("".join(maps[font].get(code, "\N{REPLACEMENT CHARACTER}") for code in codes))
    return "\n".join(told).replace("\u202f", "\u2009").replace("\xa0", " ")


_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


def _unicode(part: bytes) -> dict[int, str]:
    table = {}
    for code, sign in re.findall(rb"<([0-9A-Fa-f]{4})> <([0-9A-Fa-f]{4,8})>\n", part):
        table[int(code, 16)] = bytes.fromhex(sign.decode()).decode("utf-16-be")
    return table
