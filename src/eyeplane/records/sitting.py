"""A sitting: its frames in order, its bursts, and what it suffers from."""

from dataclasses import dataclass
from typing import Literal

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


HabitKind = Literal[
    "focus side",
    "lens or me",
    "recompose",
    "drift",
    "caught",
    "shutter",
    "veil",
    "dark",
    "eyes closed",
    "cost",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingTally:
    """The sitting as photographers count it; the parts may overlap but for `soft`.

    Attributes
    ----------
    frames : int
        All frames.
    holding : int
        That hold the print with all eyes open.
    closed : int
        With a sitter's eyes closed.
    duplicates : int
        That a burst holds beyond its best frame, alike in framing and all of them holding.
    soft : tuple of CauseCount
        By cause, most frequent first; each soft frame counts once.
    nobody, unreadable : int
        Frames without anybody, and frames that cannot be read.
    """

    frames: int
    holding: int
    closed: int
    duplicates: int
    soft: tuple[CauseCount, ...]
    nobody: int
    unreadable: int


@dataclass(frozen=True, slots=True, kw_only=True)
class KitFocus:
    """Where the focus of one kit lies over many frames.

    Attributes
    ----------
    kit : str
        Body and lens.
    setting : str
        What else EXIF tells apart (focus point's place, aperture); empty if nothing.
    frames : int
        Frames whose offset was told.
    bias_mm : Measured
        Mean offset, + behind the near iris.
    spread_mm : Measured
        Standard deviation of the offset from frame to frame, measuring error taken out.
    """

    kit: str
    setting: str
    frames: int
    bias_mm: Measured
    spread_mm: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """What repeats over a sitting, with its remedy or the test that tells more.

    Attributes
    ----------
    kind : str
        What it is about.
    text : str
        One or two sentences with numbers and their spread.
    advice : str
        The one thing to change or to try; empty if none.
    frames : int
        Frames it rests on.
    """

    kind: HabitKind
    text: str
    advice: str
    frames: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one change would bring, in frames.

    Attributes
    ----------
    text : str
        E.g. "1/500 s instead of 1/200 s".
    holding : int
        Frames that hold as shot.
    expected : Measured
        Frames expected to hold with it.
    """

    text: str
    holding: int
    expected: Measured


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
    tally : SittingTally or None
        None only where nothing was counted.
    kits : tuple of KitFocus
        Most frames first.
    habits : tuple of Habit
        Most costly first.
    changes : tuple of Change
        The one worth most first.
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
    tally: SittingTally | None = None
    kits: tuple[KitFocus, ...] = ()
    habits: tuple[Habit, ...] = ()
    changes: tuple[Change, ...] = ()
