"""The sitting as a whole, in words: the tally, what would help most, and what repeats."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeplane.deliver.wording import THIN, count_words, rounded, whole_cm
from eyeplane.records import Change, Habit, Sitting, SittingTally
from eyeplane.records.said import capital

TALLY_CAUSES = {"cannot tell": "cause not told"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePart:
    """What one change would bring.

    Attributes
    ----------
    text, brings : str
        The change, and the frames it is expected to bring.
    """

    text: str
    brings: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HabitPart:
    """What repeats.

    Attributes
    ----------
    text, advice, frames : str
        The sentence, what to change or try, and how many frames it rests on unless it says so.
    """

    text: str
    advice: str
    frames: str


def tally_parts(tally: SittingTally | None, *, goal_cm: float) -> tuple[str, ...]:
    """Return the sitting as photographers count it.

    Parameters
    ----------
    tally : SittingTally or None
        What was counted.
    goal_cm : float
        Print edge that counts as held.

    Returns
    -------
    tuple of str
        Short parts, those that count nothing left out; empty where nothing was counted.
    """
    if tally is None or not tally.frames:
        return ()
    soft = ", ".join(f"{TALLY_CAUSES.get(c.cause, c.cause)} {c.frames}" for c in tally.soft)
    verb = "holds" if tally.holding == 1 else "hold"
    said = [
        f"{tally.holding} of {tally.frames} {verb} {whole_cm(goal_cm)}{THIN}cm with eyes open",
        _duplicates(tally.duplicates),
        f"{tally.closed} with closed eyes" if tally.closed else "",
        f"fall short: {soft}" if soft else "",
        f"{tally.nobody} without a face" if tally.nobody else "",
        f"{tally.unreadable} unreadable" if tally.unreadable else "",
    ]
    return tuple(part for part in said if part)


def tally_beside(sitting: Sitting, *, causes: bool = True) -> tuple[str, ...]:
    """Return the tally without what stands beside it already.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    causes : bool
        Whether to tell why frames fall short.

    Returns
    -------
    tuple of str
        Without how many hold, where the first of the four lines has said the same number.
    """
    counted = sitting.tally
    if counted is None:
        return ()
    told = counted if causes else replace(counted, soft=())
    parts = tally_parts(told, goal_cm=sitting.goal_cm)
    return parts[1:] if counted.holding == sitting.holding else parts


def _duplicates(count: int) -> str:
    if not count:
        return ""
    are = "is a near duplicate" if count == 1 else "are near duplicates"
    return f"{count} of those that hold {are}"


def change_parts(sitting: Sitting) -> tuple[ChangePart, ...]:
    """Return what each change would bring.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    tuple of ChangePart
        The one worth most first; without the one that the last of the four lines names.
    """
    parts = (
        ChangePart(text=capital(change.text), brings=_brings(change, sitting.goal_cm))
        for change in sitting.changes
    )
    return tuple(part for part in parts if part.text not in sitting.lines[3])


def change_is_said(sitting: Sitting) -> bool:
    """Return whether the last of the four lines names the change worth most.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    bool
        False also without any change.
    """
    return any(capital(change.text) in sitting.lines[3] for change in sitting.changes[:1])


def _brings(change: Change, goal_cm: float) -> str:
    return (
        f"{rounded(change.expected)} frames expected to hold {whole_cm(goal_cm)}{THIN}cm "
        f"instead of {change.holding}"
    )


def habit_parts(habits: Sequence[Habit]) -> tuple[HabitPart, ...]:
    """Return what repeats over a sitting.

    Parameters
    ----------
    habits : sequence of Habit
        Most costly first.

    Returns
    -------
    tuple of HabitPart
        In the same order.
    """
    return tuple(
        HabitPart(
            text=h.text,
            advice=h.advice,
            frames="" if _says(h.text, h.frames) else f"over {count_words(h.frames, 'frame')}",
        )
        for h in habits
    )


def summary_lines(sitting: Sitting, *, habits: int = 3) -> tuple[str, ...]:
    """Return the sitting as a whole in few lines for a terminal.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    habits : int
        How many habits are told at most.

    Returns
    -------
    tuple of str
        The tally without what the four lines say, the best change unless they name it, and what
        repeats with its advice; empty where nothing is known.
    """
    tally = tally_beside(sitting)
    lines = [capital(" · ".join(tally))] if tally else []
    lines += [
        f"Most help: {part.text}. {part.brings}."
        for part in change_parts(sitting)[:1]
        if not change_is_said(sitting)
    ]
    lines += [
        " ".join(["It repeats:", part.text, part.advice]).rstrip()
        for part in habit_parts(sitting.habits[:habits])
    ]
    return tuple(lines)


def _says(text: str, count: int) -> bool:
    """Return whether a text names a number of frames already."""
    return re.search(rf"\b{count}\b[^.]*\bframes?\b", text) is not None
