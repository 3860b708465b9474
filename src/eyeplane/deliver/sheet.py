"""A sheet of paper: lines, areas, discs and words in millimetres, for the screen and for print.

Places are points (x, y) in mm from the upper left corner, y down. One sheet is drawn once and then
written as SVG (`eyeplane.deliver.sheet_svg`) or as PDF (`eyeplane.deliver.sheet_pdf`).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

Point = tuple[float, float]
Ink = Literal["ink", "soft", "hair", "iris", "pale", "paper", "black"]
Face = Literal["serif", "italic", "sans"]
Anchor = Literal["start", "middle", "end"]

Fill = Ink | float  # a number is how much of the paper's light an area gives back: 0 to 1
INKS: dict[Ink, str] = {  # the inks of the report's page, its ground, and full ink
    "ink": "#1f1b16",
    "soft": "#625a4f",
    "hair": "#cfc7ba",
    "iris": "#2e5e8c",
    "pale": "#dfe8f0",
    "paper": "#ffffff",
    "black": "#000000",
}
HATCH_MM = 1.1  # between the strokes of a hatching


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a line is drawn.

    Attributes
    ----------
    ink : str
        One of `INKS`.
    width_mm : float
        Its breadth.
    dashed : bool
        Whether it is broken.
    """

    ink: Ink = "ink"
    width_mm: float = 0.18
    dashed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Letters:
    """How words are set.

    Attributes
    ----------
    face : {"serif", "italic", "sans"}
        Serif for sentences, sans for numbers.
    size_mm : float
        Of the type, its em.
    ink : str
        One of `INKS`.
    anchor : {"start", "middle", "end"}
        Which part of the words stands at the point.
    """

    face: Face = "sans"
    size_mm: float = 2.6
    ink: Ink = "ink"
    anchor: Anchor = "start"


HAIRLINE = Pen(ink="hair", width_mm=0.15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A line of any course, or an area.

    Attributes
    ----------
    points : tuple of Point
        Two or more.
    closed : bool
        Whether the last is joined to the first.
    fill : str, float or None
        Ink of the area, or how much of the paper's light it gives back.
    pen : Pen or None
        Of the outline.
    """

    points: tuple[Point, ...]
    closed: bool = False
    fill: Fill | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A circle.

    Attributes
    ----------
    middle : Point
        Where.
    radius_mm : float
        Of the circle.
    fill : str or None
        Ink of the area.
    pen : Pen or None
        Of the outline.
    """

    middle: Point
    radius_mm: float
    fill: Ink | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text.

    Attributes
    ----------
    at : Point
        On the base line.
    text : str
        What is written.
    letters : Letters
        How.
    """

    at: Point
    text: str
    letters: Letters


Mark = Shape | Disc | Words


@dataclass(slots=True, kw_only=True)
class Sheet:
    """A sheet and what is on it, in the order in which it was drawn.

    Attributes
    ----------
    width_mm, height_mm : float
        Its sides.
    marks : list of Shape, Disc or Words
        Drawn one over the other.
    """

    width_mm: float
    height_mm: float
    marks: list[Mark] = field(default_factory=list)

    def line(self, start: Point, end: Point, pen: Pen) -> None:
        """Draw a straight line.

        Parameters
        ----------
        start, end : Point
            Its ends.
        pen : Pen
            How.
        """
        self.marks.append(Shape(points=(start, end), pen=pen))

    def path(self, points: Sequence[Point], pen: Pen) -> None:
        """Draw a line through points.

        Parameters
        ----------
        points : sequence of Point
            In order; of fewer than two nothing is drawn.
        pen : Pen
            How.
        """
        if len(points) > 1:
            self.marks.append(Shape(points=tuple(points), pen=pen))

    def area(self, points: Sequence[Point], fill: Fill | None, pen: Pen | None = None) -> None:
        """Draw an area.

        Parameters
        ----------
        points : sequence of Point
            Its corners in order.
        fill : str, float or None
            Ink it is filled with, or how much of the paper's light it gives back.
        pen : Pen or None
            Of its outline.
        """
        self.marks.append(Shape(points=tuple(points), closed=True, fill=fill, pen=pen))

    def box(self, corner: Point, opposite: Point, fill: Ink | None, pen: Pen | None = None) -> None:
        """Draw a rectangle.

        Parameters
        ----------
        corner, opposite : Point
            Two opposite corners.
        fill : str or None
            Ink it is filled with.
        pen : Pen or None
            Of its outline.
        """
        (left, top), (right, bottom) = corner, opposite
        self.area([(left, top), (right, top), (right, bottom), (left, bottom)], fill, pen)

    def disc(self, middle: Point, radius_mm: float, fill: Ink | None, pen: Pen | None) -> None:
        """Draw a circle.

        Parameters
        ----------
        middle : Point
            Where.
        radius_mm : float
            Of the circle.
        fill : str or None
            Ink it is filled with.
        pen : Pen or None
            Of its outline.
        """
        self.marks.append(Disc(middle=middle, radius_mm=radius_mm, fill=fill, pen=pen))

    def hatch(self, corner: Point, opposite: Point, pen: Pen) -> None:
        """Draw strokes at 45 degrees over a rectangle.

        Parameters
        ----------
        corner, opposite : Point
            Upper left and lower right corner.
        pen : Pen
            Of the strokes.
        """
        for start, end in _strokes(corner, opposite):
            self.line(start, end, pen)

    def words(self, at: Point, text: str, letters: Letters) -> None:
        """Write one line.

        Parameters
        ----------
        at : Point
            On the base line.
        text : str
            What; nothing is drawn of an empty one.
        letters : Letters
            How.
        """
        if text:
            self.marks.append(Words(at=at, text=text, letters=letters))

    def place(self, drawing: "Sheet", at: Point) -> None:
        """Lay another sheet's marks onto this one, unscaled.

        Parameters
        ----------
        drawing : Sheet
            What is laid.
        at : Point
            Where its upper left corner comes.
        """
        self.marks.extend(moved(mark, at) for mark in drawing.marks)


def grey_code(level: float) -> int:
    """Return the grey that stands for a share of the paper's light.

    Parameters
    ----------
    level : float
        0 full ink, 1 bare paper.

    Returns
    -------
    int
        0 to 255, by the curve of sRGB, which screens and printers take greys to mean.

    References
    ----------
    IEC 61966-2-1:1999, section 5.3.

    Examples
    --------
    >>> grey_code(0.0), grey_code(0.18), grey_code(1.0)
    (0, 118, 255)
    """
    level = min(max(level, 0.0), 1.0)
    code = 12.92 * level if level <= 0.0031308 else 1.055 * level ** (1 / 2.4) - 0.055
    return round(255 * code)


def moved(mark: Mark, by: Point) -> Mark:
    """Return a mark elsewhere.

    Parameters
    ----------
    mark : Shape, Disc or Words
        The mark.
    by : Point
        How far, to the right and down.

    Returns
    -------
    Shape, Disc or Words
        The same, moved.
    """
    across, down = by
    if isinstance(mark, Shape):
        return replace(mark, points=tuple((x + across, y + down) for x, y in mark.points))
    if isinstance(mark, Disc):
        return replace(mark, middle=(mark.middle[0] + across, mark.middle[1] + down))
    return replace(mark, at=(mark.at[0] + across, mark.at[1] + down))


def _strokes(corner: Point, opposite: Point) -> Iterator[tuple[Point, Point]]:
    """Yield the strokes x + y = constant that cross a rectangle, clipped to it."""
    (left, top), (right, bottom) = corner, opposite
    step = HATCH_MM * math.sqrt(2)
    for k in range(math.ceil((left + top) / step), math.floor((right + bottom) / step) + 1):
        total = k * step
        start = max(left, total - bottom)
        end = min(right, total - top)
        if end > start:
            yield (start, total - start), (end, total - end)
