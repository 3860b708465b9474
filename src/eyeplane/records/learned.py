"""What was learned of a photographer and a kit: it goes back into answers as prior knowledge."""

from dataclasses import dataclass

from eyeplane.records.measured import Measured
from eyeplane.records.sitting import KitFocus


@dataclass(frozen=True, slots=True, kw_only=True)
class KitColour:
    """Longitudinal colour of one kit, learned from frames whose focus offset was told.

    Attributes
    ----------
    kit : str
        Body and lens.
    red_um, blue_um : Measured
        How far behind the focus of green that of red and of blue lies, on the image side.
    frames : int
        Frames it rests on.
    """

    kit: str
    red_um: Measured
    blue_um: Measured
    frames: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """Everything learned that an answer may use; empty where nothing is known yet.

    Attributes
    ----------
    colours : tuple of KitColour
        One a kit.
    focus : tuple of KitFocus
        One a kit and setting.
    shake_deg_per_s : Measured or None
        How fast this photographer's camera turns: median, and the middle 90 % of exposures.
    sitter_mm_per_s : Measured or None
        How fast this sitter moves: likewise.
    """

    colours: tuple[KitColour, ...] = ()
    focus: tuple[KitFocus, ...] = ()
    shake_deg_per_s: Measured | None = None
    sitter_mm_per_s: Measured | None = None
