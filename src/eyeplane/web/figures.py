"""Lengths and decimal marks as the person who looks is used to them."""

import re
from dataclasses import dataclass
from typing import Literal

Lengths = Literal["cm", "inch"]
Decimal = Literal["point", "comma"]
CM_PER_INCH = 2.54  # exactly, by definition (international yard and pound agreement, 1959)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How numbers are shown.

    Attributes
    ----------
    lengths : {"cm", "inch"}
        Unit of prints and viewing distances; what lies at the face stays in mm.
    decimal : {"point", "comma"}
        Decimal mark.
    """

    lengths: Lengths = "cm"
    decimal: Decimal = "point"

    def text(self, sentence: str) -> str:
        """Return a sentence with its lengths and numbers as they are to be shown.

        Parameters
        ----------
        sentence : str
            As the other layers say it, lengths in cm.

        Returns
        -------
        str
            E.g. "24 in (20–27)" for "60 cm (50–69)".
        """
        shown = sentence
        if self.decimal == "comma":
            shown = re.sub(r"(?<=\d)\.(?=\d)", ",", shown)
        return shown
