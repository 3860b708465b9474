"""How a run goes: where its store lies, how many processes, and what it tells on the way."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from eyeplane.records import Measured
from eyeplane.records.lessons import SittingLabels
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
    learns : bool
        Whether what the frames teach is kept in the store for plans and sittings to come.
    labels : SittingLabels or None
        What the photographer says of this sitting; kept with what it teaches.
    heard : callable or None
        Told, in a sentence, if nothing could be learned; the measurement is there all the same.
    """

    store_path: Path | None = None
    workers: int | None = None
    again: bool = False
    name: str | None = None
    limit_s: float = FRAME_LIMIT_S
    learns: bool = True
    labels: SittingLabels | None = None
    heard: Callable[[str], None] | None = None


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
