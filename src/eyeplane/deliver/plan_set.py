"""Type and room on a plan's card: what all its blocks are set with."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeplane.deliver.plan_picture import LEADING
from eyeplane.deliver.sheet import Face, Ink, Letters, Sheet
from eyeplane.deliver.sheet_type import lines_of, printable

# Sizes of type in mm on A5, for reading at arm's length: 16, 11, 9, 8, 7 and 6.5 pt.
SENTENCE, ADVICE, HEADING, BODY, SMALL, NOTE = 5.6, 3.9, 3.3, 2.8, 2.5, 2.3
LONG_ADVICE = 3.4  # 10 pt, for advice of more than a line
SETTINGS = 6.3  # what is to be set, 18 pt
COLUMN_GAP = 6.0
BASE = 0.82  # base line below the top of a line, over its height


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """How large type is and how much room there is.

    Attributes
    ----------
    scale : float
        1 for type of the designed size.
    room_mm : float
        Width of the block.
    """

    scale: float
    room_mm: float

    def letters(self, size_mm: float, face: Face = "sans", ink: Ink = "ink") -> Letters:
        """Return type of a designed size as it is set here.

        Parameters
        ----------
        size_mm : float
            Designed size.
        face : str
            Which face.
        ink : str
            Which ink.

        Returns
        -------
        Letters
            At this scale.
        """
        return Letters(size_mm=size_mm * self.scale, face=face, ink=ink)

    def column(self) -> "Sizes":
        """Return the room of one of two columns.

        Returns
        -------
        Sizes
            At the same scale.
        """
        return replace(self, room_mm=(self.room_mm - COLUMN_GAP * self.scale) / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A part of the card.

    Attributes
    ----------
    sheet : Sheet
        What is drawn.
    ruled : bool
        Whether a hairline stands above it.
    """

    sheet: Sheet
    ruled: bool = False


class Writer:
    """Writes lines one below the other.

    Parameters
    ----------
    room_mm : float
        Length of a line.
    """

    def __init__(self, room_mm: float) -> None:
        self.sheet = Sheet(width_mm=room_mm, height_mm=0.0)

    def skip(self, height_mm: float) -> None:
        """Leave room.

        Parameters
        ----------
        height_mm : float
            How much.
        """
        self.sheet.height_mm += height_mm

    def write(self, lines: Sequence[str], letters: Letters) -> None:
        """Write lines.

        Parameters
        ----------
        lines : sequence of str
            As they are broken.
        letters : Letters
            How.
        """
        for line in lines:
            base = self.sheet.height_mm + BASE * letters.size_mm * LEADING
            self.sheet.words((0.0, base), line, letters)
            self.sheet.height_mm += LEADING * letters.size_mm

    def text(self, text: str, letters: Letters) -> None:
        """Write a paragraph.

        Parameters
        ----------
        text : str
            Unbroken.
        letters : Letters
            How.
        """
        self.write(lines_of(printable(text), letters, self.sheet.width_mm), letters)
