"""A sheet as SVG that stands in a page."""

from collections.abc import Iterator
from html import escape

from eyeplane.deliver.sheet import (
    INKS,
    Disc,
    Face,
    Fill,
    Letters,
    Mark,
    Pen,
    Shape,
    Sheet,
    grey_code,
)

# Families of the same widths as the type that the sheet was measured with, wherever installed.
FAMILIES: dict[Face, str] = {
    "serif": "'Liberation Serif','Times New Roman',Tinos,Times,serif",
    "italic": "'Liberation Serif','Times New Roman',Tinos,Times,serif",
    "sans": "'Liberation Sans',Arial,Arimo,Helvetica,sans-serif",
}
DASH_MM = (1.0, 0.7)


def svg(sheet: Sheet, *, spoken: str, kind: str = "drawing", whole: bool = False) -> str:
    """Return a sheet as an SVG element.

    Parameters
    ----------
    sheet : Sheet
        What was drawn.
    spoken : str
        The whole drawing in a sentence, for who cannot see it; empty where it is only an ornament.
    kind : str
        Class of the element.
    whole : bool
        Whether it is to stand in a file of its own: with size and ground.

    Returns
    -------
    str
        Markup; everything foreign in it is escaped.

    Notes
    -----
    Colours are set by presentation attributes, which a style sheet may override and a page's policy
    need not allow (SVG 2, section 6.6).
    """
    width, height = _number(sheet.width_mm), _number(sheet.height_mm)
    told = f'role="img" aria-label="{escape(spoken)}"' if spoken else 'aria-hidden="true"'
    size, ground = "", ""
    if whole:
        size = f' width="{width}mm" height="{height}mm" xmlns="http://www.w3.org/2000/svg"'
        ground = f'<rect width="{width}" height="{height}" fill="{INKS["paper"]}"/>\n'
    marks = "\n".join(text for mark in sheet.marks for text in _mark(mark))
    return (
        f'<svg class="{escape(kind)}" viewBox="0 0 {width} {height}"{size} {told}>\n'
        f"{ground}{marks}\n</svg>"
    )


def _mark(mark: Mark) -> Iterator[str]:
    if isinstance(mark, Shape):
        closing = "Z" if mark.closed else ""
        course = "L".join(f"{_number(x)} {_number(y)}" for x, y in mark.points)
        yield f'<path d="M{course}{closing}"{_paint(mark.fill, mark.pen)}/>'
    elif isinstance(mark, Disc):
        x, y, radius = (_number(v) for v in (*mark.middle, mark.radius_mm))
        yield f'<circle cx="{x}" cy="{y}" r="{radius}"{_paint(mark.fill, mark.pen)}/>'
    else:
        x, y = (_number(v) for v in mark.at)
        text = escape(mark.text)
        yield f'<text x="{x}" y="{y}"{_letters(mark.letters)}>{text}</text>'


def _paint(fill: Fill | None, pen: Pen | None) -> str:
    paint = f' fill="{_colour(fill)}"'
    if pen is None:
        return paint
    paint += f' stroke="{INKS[pen.ink]}" stroke-width="{_number(pen.width_mm)}"'
    if pen.dashed:
        paint += f' stroke-dasharray="{DASH_MM[0]} {DASH_MM[1]}"'
    return paint


def _colour(fill: Fill | None) -> str:
    if isinstance(fill, int | float):
        return f"#{grey_code(fill):02x}" + 2 * f"{grey_code(fill):02x}"
    return INKS[fill] if fill else "none"


def _letters(letters: Letters) -> str:
    style = (
        f' font-family="{FAMILIES[letters.face]}" font-size="{_number(letters.size_mm)}"'
        f' fill="{INKS[letters.ink]}"'
    )
    if letters.face == "italic":
        style += ' font-style="italic"'
    if letters.anchor != "start":
        style += f' text-anchor="{letters.anchor}"'
    return style


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
