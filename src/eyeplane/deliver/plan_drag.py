"""What of a plan's drawing can be dragged: where it lies on the sheet, and what that is worth."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.deliver.sheet import Sheet

Grip = Literal["head", "axis", "foot"]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Which part of the world a drawing shows along the lens axis.

    Attributes
    ----------
    start_mm : float
        What lies at the left edge of the sheet, in the world.
    scale : float
        Millimetres of the sheet to one of the world, > 0.
    """

    start_mm: float
    scale: float

    def x_mm(self, place_mm: float) -> float:
        """Return where a place of the world lies on the sheet.

        Parameters
        ----------
        place_mm : float
            Along the lens axis.

        Returns
        -------
        float
            From the left edge of the sheet.

        Examples
        --------
        >>> View(start_mm=-50.0, scale=0.5).x_mm(10.0)
        30.0
        """
        return (place_mm - self.start_mm) * self.scale


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """One thing of a drawing that can be taken hold of.

    Attributes
    ----------
    what : {"plane", "row", "wall", "camera"}
        What it is.
    field : str
        The option of a plan that it sets.
    x_mm : float
        Where it lies on the sheet; may lie beyond its edge.
    value_mm : float
        What the option stands at.
    per_ratio : float
        By how much the option grows where the thing moves by one mm of the world, away from the
        camera.
    least_mm, most_mm : float
        How far the option goes.
    step_mm : float
        A small step.
    spoken : str
        Where it lies, in a photographer's words.
    grip : {"head", "axis", "foot"}
        At which height it is taken hold of: above, on the lens axis, below.
    """

    what: str
    field: str
    x_mm: float
    value_mm: float
    per_ratio: float
    least_mm: float
    most_mm: float
    step_mm: float
    spoken: str
    grip: Grip = "head"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing that can be dragged.

    Attributes
    ----------
    name, spoken : str
        What it shows, and the whole of it in words.
    sheet : Sheet
        As drawn.
    view : View
        What it shows of the world.
    head_mm, axis_mm, foot_mm : float
        Upper end, lens axis and lower end of the drawn world on the sheet, without the words
        around it.
    handles : tuple of Handle
        What can be dragged, left to right.
    note : str
        How to read it, in small type.
    """

    name: str
    spoken: str
    sheet: Sheet
    view: View
    head_mm: float
    axis_mm: float
    foot_mm: float
    handles: tuple[Handle, ...]
    note: str = ""
