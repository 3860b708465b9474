"""What landed, one short line a frame, each exactly once and in order."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from eyeplane.deliver.wording import reach_parts
from eyeplane.records.live import FrameRow
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.words import words

SHOWN = 24  # lines that stand on the page; those before are on the sitting's page


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One frame that landed.

    Attributes
    ----------
    number : int
        Of the frame.
    said : str
        Its reach, or why there is none.
    holds : bool or None
        Whether it holds the print with all eyes open; None where it cannot be told.
    sentence : str
        The answer.
    landed_at : datetime or None
        When; None for frames that lay there before.
    """

    number: int
    said: str
    holds: bool | None
    sentence: str
    landed_at: datetime | None


def entry_of(row: FrameRow) -> Entry:
    """Return a frame as a line of the journal.

    Parameters
    ----------
    row : FrameRow
        The frame.

    Returns
    -------
    Entry
        Short.
    """
    holds = None if row.holds is None else row.holds and row.eyes_open is not False
    said = reach_parts(row.reach_cm)[0]
    if row.status != "measured":
        said = words(f"now.journal.{row.status}")
    elif row.eyes_open is False:
        said = words("now.journal.closed", reach=said)
    return Entry(
        number=row.number,
        said=said,
        holds=holds,
        sentence=row.sentence,
        landed_at=row.landed_at,
    )


def entries_after(live: LiveSitting, number: int, limit: int) -> Sequence[Entry]:
    """Return what landed after a frame.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    number : int
        The last frame that is known.
    limit : int
        How many at most, > 0.

    Returns
    -------
    sequence of Entry
        In order of number; fewer than the limit only where no more have landed.
    """
    return [entry_of(row) for row in live.rows_after(number, limit)]


def latest_entries(live: LiveSitting) -> tuple[Entry, ...]:
    """Return the end of the journal.

    Parameters
    ----------
    live : LiveSitting
        The sitting.

    Returns
    -------
    tuple of Entry
        In order of number; the last one is the latest that was given.
    """
    return tuple(entry_of(row) for row in live.latest_rows(SHOWN))
