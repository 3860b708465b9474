"""How a run goes: where its store lies, how many processes, and what it tells on the way."""

from dataclasses import dataclass
from pathlib import Path

from eyeplane.records import Measured
from eyeplane.work import FRAME_LIMIT_S


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOptions:
    """How a sitting is run; nothing here changes what comes out.

    Attributes
    ----------
    store_path : Path or None
        The store's file; None is the user's own.
    workers : int or None
        Measuring processes; None is one a processor core, 0 measures in this process, without
        time limit or protection against files that crash a decoder.
    again : bool
        Measure also what the store already holds.
    name : str or None
        What the sitting is called; None takes the folder's name.
    limit_s : float
        Time after which a frame is given up.
    """

    store_path: Path | None = None
    workers: int | None = None
    again: bool = False
    name: str | None = None
    limit_s: float = FRAME_LIMIT_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a run is.

    Attributes
    ----------
    done, total : int
        Frames that are finished, and all frames.
    from_store : int
        Of those done, how many were measured in an earlier run.
    unreadable : int
        Of those done, how many could not be read.
    left_s : Measured or None
        Time left, "about"; None until three frames of this run are known.
    """

    done: int
    total: int
    from_store: int
    unreadable: int
    left_s: Measured | None
