"""A sitting: its frames in order, its bursts, and what it suffers from."""

from dataclasses import dataclass

from eyeplane.records.answer import Cause, FrameAnswer
from eyeplane.records.measured import Measured
from eyeplane.records.reading import FrameReading
from eyeplane.records.settings import Viewing


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingFrame:
    """One frame of a sitting.

    Attributes
    ----------
    reading : FrameReading
        What was measured.
    answer : FrameAnswer
        What it means.
    companions : tuple of str
        Further files of the same exposure (a RAW beside its JPEG).
    burst : int or None
        Number of its burst, from 1 in order of time; None for frames without a face or unreadable.
    best_of_burst : bool
        True for the best frame of each burst (also of a burst of one).
    """

    reading: FrameReading
    answer: FrameAnswer
    companions: tuple[str, ...]
    burst: int | None
    best_of_burst: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseCount:
    """How many frames one cause spoils.

    Attributes
    ----------
    cause : str
        The cause.
    frames : int
        Frames whose reach it costs most, among those that do not hold.
    """

    cause: Cause
    frames: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """One sitting, measured and answered.

    Attributes
    ----------
    name : str
        Name of the folder, or what the photographer called it.
    viewing : Viewing
        For which the answers hold.
    goal_cm : float
        Print edge that "holds" is counted against: the promised print or, if none was
        promised, a standard one (named in the lines).
    frames : tuple of SittingFrame
        In order of capture time, then name.
    measured, nobody, unreadable, holding : int
        Frames by status, and measured frames that hold `goal_cm`.
    causes : tuple of CauseCount
        Most frequent first.
    median_reach_cm : Measured or None
        Over measured frames; the interval holds the middle 90 % of frames.
    lines : tuple of str
        The sitting in four lines: how many hold, commonest cause, its trend, what to change.
    """

    name: str
    viewing: Viewing
    goal_cm: float
    frames: tuple[SittingFrame, ...]
    measured: int
    nobody: int
    unreadable: int
    holding: int
    causes: tuple[CauseCount, ...]
    median_reach_cm: Measured | None
    lines: tuple[str, str, str, str]
