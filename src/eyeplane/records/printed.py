"""A sheet to be printed in true scale and found again in a frame: our own charts.

Places are points (x, y) in mm on the paper, from its upper left corner, y down.
"""

from dataclasses import dataclass
from typing import Literal

PointMm = tuple[float, float]
SheetKind = Literal["chart", "focus"]
PAPERS_MM = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}
# ISO 216 for A4 and A3, ANSI/ASME Y14.1 for Letter; held upright


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedPatch:
    """An area of even ink; later ones lie over earlier ones.

    Attributes
    ----------
    corners_mm : tuple of (float, float)
        Its corners in order, three or more.
    level : float
        How much of the paper's light it gives back: 0 full ink, 1 bare paper.
    """

    corners_mm: tuple[PointMm, ...]
    level: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedWords:
    """One line of type.

    Attributes
    ----------
    at_mm : tuple of float
        Where its base line starts.
    text : str
        What is written.
    size_mm : float
        Of the type, its em.
    """

    at_mm: PointMm
    text: str
    size_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedMark:
    """A fiducial: one square that tells by itself which sheet this is and where on it.

    Attributes
    ----------
    number : int
        Of the pattern, in the dictionary that all our sheets share.
    corners_mm : tuple of (float, float)
        Upper left, upper right, lower right, lower left corner of its black border.
    """

    number: int
    corners_mm: tuple[PointMm, PointMm, PointMm, PointMm]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedEdge:
    """A straight slanted edge between ink and paper that the sharpness is read from.

    Attributes
    ----------
    from_mm, to_mm : tuple of float
        Its usable ends, away from corners.
    dark_mm : tuple of float
        Unit vector (x, y) across the edge, from the bright side into the dark one.
    square : int
        Number of the square it belongs to, from 0.
    """

    from_mm: PointMm
    to_mm: PointMm
    dark_mm: PointMm
    square: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedSheet:
    """A chart as it is to lie on the paper.

    Attributes
    ----------
    kind : {"chart", "focus"}
        What it is for.
    paper : str
        One of `PAPERS_MM`.
    width_mm, height_mm : float
        Of the paper, as held (a chart lies on its side: wider than high).
    patches : tuple of PrintedPatch
        In the order in which they are laid.
    words : tuple of PrintedWords
        Title, instructions, scale of the ruler.
    marks : tuple of PrintedMark
        Fiducials; their ink is in `patches`.
    edges : tuple of PrintedEdge
        Slanted edges; their ink is in `patches`.
    ruler_mm : tuple of ((float, float), (float, float))
        Ends of the ruler that verifies the print; as far apart as it says.
    """

    kind: SheetKind
    paper: str
    width_mm: float
    height_mm: float
    patches: tuple[PrintedPatch, ...]
    words: tuple[PrintedWords, ...]
    marks: tuple[PrintedMark, ...]
    edges: tuple[PrintedEdge, ...]
    ruler_mm: tuple[PointMm, PointMm]
