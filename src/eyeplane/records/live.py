"""A sitting as it happens: frames as they landed, and what is said while the sitter is there."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from eyeplane.records.answer import Cause
from eyeplane.records.measured import Measured
from eyeplane.records.reading import FrameStatus
from eyeplane.records.sitting import SittingFrame

WarningKind = Literal["same cause", "drift", "shutter", "veil"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveFrame:
    """One frame of a sitting that is being shot or looked through.

    Attributes
    ----------
    number : int
        From 1, in the order in which frames were taken in; given once and never again, also after
        a restart. It is the frame's name in addresses.
    frame : SittingFrame
        What was measured and what it means.
    landed_at : datetime or None
        When its last byte was there (UTC); None for frames that lay there before.
    answered_at : datetime or None
        When its answer was ready (UTC); None for frames that were known before.
    chosen : bool
        Whether the photographer chose it.
    """

    number: int
    frame: SittingFrame
    landed_at: datetime | None = None
    answered_at: datetime | None = None
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameRow:
    """A frame in one line: small enough for thousands of them.

    Attributes
    ----------
    number : int
        As in `LiveFrame`.
    name : str
        File name, without its folder.
    status : {"measured", "nobody", "unreadable"}
        Whether there is an answer.
    captured_at : str
        Local time by EXIF, ISO 8601; empty if unknown.
    burst : int or None
        Number of its burst.
    best : bool
        Whether it is the best of a burst of two and more.
    holds : bool or None
        Whether it holds the print aimed at; None where it cannot be told.
    reach_cm, offset_mm : Measured or None
        Of the deciding sitter; None where it cannot be told.
    cause : str
        What costs most.
    eyes_open : bool or None
        Of all sitters; None where it cannot be told.
    sitters : int
        How many there are.
    window_mm_per_px : float or None
        Scale of the eye window of the deciding sitter; None if there is none.
    sentence : str
        The answer, or why there is none.
    chosen : bool
        Whether the photographer chose it.
    answered : bool
        False while its sentence is still being worked out; `reach_cm`, `holds` and `eyes_open`
        may be there before, `cause` and `offset_mm` a little later.
    face : int or None
        Index of the deciding sitter's face; None if there is none.
    sha256 : str
        Of its file; changes where the frame was saved anew.
    landed_at : datetime or None
        As in `LiveFrame`.
    """

    number: int
    name: str
    status: FrameStatus
    captured_at: str
    burst: int | None
    best: bool
    holds: bool | None
    reach_cm: Measured | None
    offset_mm: Measured | None
    cause: Cause
    eyes_open: bool | None
    sitters: int
    window_mm_per_px: float | None
    sentence: str
    chosen: bool
    answered: bool = True
    face: int | None = None
    sha256: str = ""
    landed_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunWarning:
    """What goes wrong frame after frame, said once while it can still be mended.

    Attributes
    ----------
    kind : str
        What it is about.
    number : int
        The frame at which it was noticed.
    text : str
        One line with its numbers.
    advice : str
        The remedy.
    """

    kind: WarningKind
    number: int
    text: str
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveState:
    """How a live sitting stands.

    Attributes
    ----------
    frames : int
        Taken in so far.
    last_number : int
        Of the frame that landed last, else of the one taken in last; 0 if there is none.
    given : int
        Largest number given so far, also to frames that are not here at the moment; 0 if none was.
        Not that of the frame that landed last: frames that lay there before get theirs after it.
    revision : int
        Grows with every change that a page may show (frames, choices, names, the print).
    watching : bool
        Whether its folder is watched for new frames.
    writing : tuple of str
        Names of files that are still being written.
    waiting : int
        Whole files whose measurement is not finished.
    trouble : str
        Why nothing can be taken in at the moment, with what to do; empty if all is well.
    answering : int
        Frames whose answer is still being worked out: at the opening of a folder that was measured
        before, or for another print.
    settled : bool
        Whether what is said of the whole sitting (four lines, habits, best of bursts) takes all
        frames into account; while False it follows by itself.
    """

    frames: int
    last_number: int
    given: int
    revision: int
    watching: bool
    writing: tuple[str, ...] = ()
    waiting: int = 0
    trouble: str = ""
    answering: int = 0
    settled: bool = True
