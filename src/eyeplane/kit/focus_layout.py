"""Where the folds, the cuts and the panels of our focus target lie.

The middle panel faces the camera; the upper left and the lower right wing come forward, the other
two go back. Points are (x, y) mm on the flat paper, y down.
"""

from dataclasses import dataclass
from typing import Literal

from eyeplane.errors import InputError
from eyeplane.kit.fiducials import NUMBERS
from eyeplane.records.printed import PAPERS_MM, PointMm

Panel = Literal["middle", "upper left", "upper right", "lower right", "lower left"]
WINGS: tuple[Panel, ...] = ("upper left", "upper right", "lower right", "lower left")
FORWARD: tuple[Panel, ...] = ("upper left", "lower right")  # come towards the camera
MARKS_A_PANEL = 4
BASE_MM = 297.0  # width that all lengths belong to: A4 on its side
MIDDLE_MM = 97.0  # breadth of the middle panel; a wing has the rest


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusLayout:
    """Where the folds, the cut and the panels of a focus target lie.

    Attributes
    ----------
    paper : str
        One of `PAPERS_MM`.
    width_mm, height_mm : float
        Of the paper, on its side.
    left_mm, right_mm : float
        Where the folds lie, x.
    cut_mm : float
        Where the cuts lie, y.
    scale : float
        Of all lengths against those on A4.
    first_mark : int
        Number of the first fiducial; four a panel, the middle first, then clockwise from the
        upper left wing.
    """

    paper: str
    width_mm: float
    height_mm: float
    left_mm: float
    right_mm: float
    cut_mm: float
    scale: float
    first_mark: int

    @property
    def middle_mm(self) -> PointMm:
        """Return the middle of the field to focus on.

        Returns
        -------
        tuple of float
            Also the middle of the sheet.
        """
        return self.width_mm / 2, self.cut_mm

    def panel_of(self, point_mm: PointMm) -> Panel:
        """Return the panel that a point lies on.

        Parameters
        ----------
        point_mm : tuple of float
            On the flat paper.

        Returns
        -------
        str
            One of `WINGS` or "middle".
        """
        x, y = point_mm
        if self.left_mm <= x <= self.right_mm:
            return "middle"
        up = "upper" if y < self.cut_mm else "lower"
        if x < self.left_mm:
            return "upper left" if up == "upper" else "lower left"
        return "upper right" if up == "upper" else "lower right"

    def panel_of_mark(self, number: int) -> Panel:
        """Return the panel that a fiducial lies on.

        Parameters
        ----------
        number : int
            Of the fiducial, one of this sheet's.

        Returns
        -------
        str
            One of `WINGS` or "middle".
        """
        place = (number - self.first_mark) // MARKS_A_PANEL
        return "middle" if place == 0 else WINGS[place - 1]

    def bounds_mm(self, panel: Panel) -> tuple[float, float, float, float]:
        """Return the sides of a panel.

        Parameters
        ----------
        panel : str
            One of `WINGS` or "middle".

        Returns
        -------
        tuple of float
            Left, top, right, bottom.
        """
        if panel == "middle":
            return self.left_mm, 0.0, self.right_mm, self.height_mm
        left, right = (
            (0.0, self.left_mm) if panel.endswith("left") else (self.right_mm, self.width_mm)
        )
        if panel.startswith("upper"):
            return left, 0.0, right, self.cut_mm
        return left, self.cut_mm, right, self.height_mm


def focus_layout(paper: str) -> FocusLayout:
    """Return where everything lies on a focus target.

    Parameters
    ----------
    paper : str
        "A4", "A3" or "Letter".

    Returns
    -------
    FocusLayout
        For that paper.

    Raises
    ------
    InputError
        If the paper is unknown.
    """
    if paper not in PAPERS_MM:
        raise InputError(
            f"no paper is called '{paper}'", where="paper", hint=f"Use {', '.join(PAPERS_MM)}"
        )
    height_mm, width_mm = PAPERS_MM[paper]
    scale = width_mm / BASE_MM
    half = MIDDLE_MM * scale / 2
    return FocusLayout(
        paper=paper,
        width_mm=width_mm,
        height_mm=height_mm,
        left_mm=width_mm / 2 - half,
        right_mm=width_mm / 2 + half,
        cut_mm=height_mm / 2,
        scale=scale,
        first_mark=NUMBERS["focus", paper],
    )
