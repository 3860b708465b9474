"""What a plan would have said of a sitting's frames, part by part, beside what was measured."""

from dataclasses import dataclass
from typing import Literal

from eyeplane.records.measured import Measured

ALIKE_SHARE = 0.01  # shares so near are the same to whoever reads them in per cent; our own

PartName = Literal["holds", "focus", "motion", "rest", "untold"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForetoldPart:
    """One kind of frame: how many of them were foretold, and how many there were.

    Attributes
    ----------
    name : {"holds", "focus", "motion", "rest", "untold"}
        Those that hold the print; those that do not, by what costs most: where the focus lay,
        hand and sitter, or neither (glass, diffraction, pixels, noise); and those whose cause the
        frame does not tell.
    foretold_share : Measured or None
        Share of the frames; None where nothing can be foretold.
    found : int
        Frames that were so.
    found_share : Measured
        The same as a share, with what so few frames leave open; what is not told may be of any
        part that does not hold, so that these reach up farther.
    """

    name: PartName
    foretold_share: Measured | None
    found: int
    found_share: Measured

    @property
    def agrees(self) -> bool:
        """Return whether the two do not contradict each other.

        Returns
        -------
        bool
            True where nothing was foretold.
        """
        told = self.foretold_share
        if told is None:
            return True
        return shares_meet(told, self.found_share)


def shares_meet(first: Measured, second: Measured) -> bool:
    """Return whether two shares of frames do not contradict each other.

    Parameters
    ----------
    first, second : Measured
        Shares, 0 to 1.

    Returns
    -------
    bool
        Whether their intervals meet, or they lie within one frame in a hundred.

    Examples
    --------
    >>> from eyeplane.records import Measured
    >>> told = Measured(value=0.0, low=0.0, high=0.0)
    >>> shares_meet(told, Measured(value=0.007, low=0.002, high=0.07))
    True
    >>> shares_meet(told, Measured(value=0.05, low=0.01, high=0.2))
    False
    """
    if abs(first.value - second.value) <= ALIKE_SHARE:
        return True
    return first.low <= second.high and second.low <= first.high


@dataclass(frozen=True, slots=True, kw_only=True)
class ForetoldParts:
    """All parts of a sitting's frames.

    Attributes
    ----------
    frames : int
        Frames that tell: one sitter, with settings, distance and reach.
    asked : int
        So many of them a plan was asked about: evenly picked out of many.
    parts : tuple of ForetoldPart
        Those that hold first.
    foretold_reach_cm, found_reach_cm : Measured
        Reach of the middle frame, and of the middle nine in ten.
    sentence, text : str
        How the plan did, in short; and with all ranges, and which part is off by most.
    """

    frames: int
    asked: int
    parts: tuple[ForetoldPart, ...]
    foretold_reach_cm: Measured
    found_reach_cm: Measured
    sentence: str
    text: str
