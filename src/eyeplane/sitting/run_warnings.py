"""What goes wrong frame after frame, said once while the sitter is still there.

Pure functions over answers: the run so far and what was said of it go in, warnings come out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from eyeplane.records import Cause, SittingFrame, Viewing
from eyeplane.records.live import RunWarning
from eyeplane.records.said import count_word
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.lines import NAMES, REMEDIES, short_cause
from eyeplane.sitting.run import goal_of
from eyeplane.sitting.run_warnings_slow import Creeping, Slow, focus_creeps, too_slow, veiled

FEWEST_SOFT = 3  # frames of the same cause; the photographer's own measure of a run
FRAMES = 100.0  # of an ordinary sitting, in which chance is asked about; no source
CHANCE = 0.1  # false warnings in so many frames: one sitting in ten; no source
USUAL_SOFT = 0.1  # share of frames soft by one cause where nothing is known yet; from memory
USUAL_WEIGHT = 2.0  # frames that this counts for
MENDED = 3  # frames in a row without it, after which a run is mended and may be warned of again
# Causes that nothing done now would mend: pixels are there or not.
NO_RUN: frozenset[Cause] = frozenset({"pixels", "none", "cannot tell"})


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFrame:
    """One frame of the run.

    Attributes
    ----------
    number : int
        What it is called.
    frame : SittingFrame
        With its burst.
    """

    number: int
    frame: SittingFrame


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of a run, and from where on it may be said again.

    Attributes
    ----------
    cause : str
        Of the run that was warned of and is not mended; empty if there is none.
    creeping : Creeping
        How the focus stands.
    slow : Slow
        How the shutter stands.
    veil_from : int
        Frames before this number are not asked about veils any more.
    """

    cause: Cause | str = ""
    creeping: Creeping = field(default_factory=Creeping)
    slow: Slow = field(default_factory=Slow)
    veil_from: int = 0


def run_warnings(
    run: Sequence[RunFrame], said: Said, viewing: Viewing
) -> tuple[Said, tuple[RunWarning, ...]]:
    """Return what is to be said now that one more frame is there.

    Parameters
    ----------
    run : sequence of RunFrame
        The run so far, the newest last; a hundred frames are enough.
    said : Said
        What was said before.
    viewing : Viewing
        For which print and from where.

    Returns
    -------
    tuple of (Said, tuple of RunWarning)
        What is said from now on, and the warnings that are new, each once an episode.

    Notes
    -----
    Frames of which it cannot be told whether they hold, or why not, neither begin a run nor end
    one. A run of one cause that the shutter's warning explains is not told twice.
    """
    if not run:
        return said, ()
    number, frames = run[-1].number, [one.frame for one in run]
    goal_cm = goal_of(viewing)
    found: list[RunWarning] = []
    slow, text = too_slow(frames, said.slow, goal_cm=goal_cm, viewing=viewing)
    if text is not None:
        found.append(RunWarning(kind="shutter", number=number, text=text[0], advice=text[1]))
    cause, text = _same_cause(frames, said.cause, goal_cm)
    if text is not None and not (cause in ("sitter", "shake", "motion") and slow.said):
        found.append(RunWarning(kind="same cause", number=number, text=text[0], advice=text[1]))
    creeping, text = focus_creeps(run_numbers(run), frames, said.creeping)
    if text is not None:
        found.append(RunWarning(kind="drift", number=number, text=text[0], advice=text[1]))
    veil_from, text = veiled(run_numbers(run), frames, said.veil_from)
    if text is not None:
        found.append(RunWarning(kind="veil", number=number, text=text[0], advice=text[1]))
    after = Said(cause=cause, creeping=creeping, slow=slow, veil_from=veil_from)
    return after, tuple(found)


def run_numbers(run: Sequence[RunFrame]) -> list[int]:
    """Return what the frames of a run are called.

    Parameters
    ----------
    run : sequence of RunFrame
        The run.

    Returns
    -------
    list of int
        Their numbers.
    """
    return [one.number for one in run]


def chance_of_run(length: int, share: float) -> float:
    """Return how many runs of a length chance brings in an ordinary sitting.

    Parameters
    ----------
    length : int
        Frames in a row, > 0; those of one burst count as one, since they share their fate.
    share : float
        Of frames that have the mark, each by itself, 0..1.

    Returns
    -------
    float
        Expected number in a hundred frames.

    Notes
    -----
    A run of at least n begins at a frame without the mark, followed by n with it: 100 (1 − p) pⁿ.

    References
    ----------
    Feller, W. (1968), An Introduction to Probability Theory and Its Applications, vol. 1, 3rd ed.,
    XIII.7: success runs as recurrent events.

    Examples
    --------
    >>> round(chance_of_run(3, 0.1), 3), round(chance_of_run(3, 0.2), 3)
    (0.09, 0.64)
    """
    return FRAMES * (1.0 - share) * float(share**length)


def _same_cause(
    frames: Sequence[SittingFrame], said: str, goal_cm: float
) -> tuple[Cause | str, tuple[str, str] | None]:
    """Return the cause that is said from now on, and the words if they are new."""
    told = [(mark, frame) for frame in frames if (mark := _mark(frame, goal_cm)) is not None]
    if not told or told[-1][1] is not frames[-1]:
        return said, None  # the newest frame tells nothing
    marks = [mark for mark, _ in told]
    if said and said not in marks[-MENDED:]:
        said = ""
    cause = marks[-1]
    if cause == "" or cause in NO_RUN or said:
        return said, None
    length = next((n for n, mark in enumerate(reversed(marks)) if mark != cause), len(marks))
    bursts = [frame.burst or -n for n, (_, frame) in enumerate(told, 1)]
    if (
        length < FEWEST_SOFT
        or chance_of_run(
            len(set(bursts[-length:])), _usual_share(marks[:-length], bursts[:-length], cause)
        )
        > CHANCE
    ):
        return said, None
    count = count_word(length).capitalize()
    advice = frames[-1].answer.advice or _remedy(cause)
    return cause, (f"{count} soft frames in a row: {NAMES[cause]}.", advice)


def _usual_share(marks: Sequence[Cause | str], bursts: Sequence[int], cause: Cause | str) -> float:
    """Return the share of bursts soft by a cause, before the run and with what is usual."""
    shares: dict[int, list[bool]] = {}
    for mark, burst in zip(marks, bursts, strict=True):
        shares.setdefault(burst, []).append(mark == cause)
    soft = sum(sum(own) / len(own) for own in shares.values())
    return (soft + USUAL_WEIGHT * USUAL_SOFT) / (len(shares) + USUAL_WEIGHT)


def _mark(frame: SittingFrame, goal_cm: float) -> Cause | str | None:
    """Return why a frame falls short, "" if it holds, None where either cannot be told."""
    if frame.reading.status != "measured" or frame.answer.reach_cm is None:
        return None
    if holds_goal(frame.answer, goal_cm):
        return ""
    cause = short_cause(frame.answer)
    return None if cause == "cannot tell" else cause


def _remedy(cause: str) -> str:
    return next(f"{words}." for causes, words in REMEDIES if cause in causes)
