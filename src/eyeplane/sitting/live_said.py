"""What can be said of a sitting before it is summed up: counts, from frames in one line each."""

from dataclasses import replace

from eyeplane.records import Exposure, FrameReading, Sitting, SittingFrame
from eyeplane.records.live import FrameRow
from eyeplane.sitting.lines import Tally, count_causes, holding_line
from eyeplane.sitting.live_book import Book
from eyeplane.sitting.live_rows import stub_answer
from eyeplane.sitting.run import goal_of, middle_reach

_NOT_THERE = FrameReading(
    path="",
    sha256="",
    size_bytes=0,
    mtime_ns=0,
    status="unreadable",
    reason="",
    width_px=0,
    height_px=0,
    exposure=Exposure(),
    pitch_um=None,
    pitch_source="",
    faces=(),
    background=(),
    spots=(),
)


def outline(book: Book) -> tuple[SittingFrame, ...]:
    """Return all frames in outline: quick, whatever their number.

    Parameters
    ----------
    book : Book
        The frames.

    Returns
    -------
    tuple of SittingFrame
        In order of capture; of each its time, flash, reach, cause and burst, nothing else.
    """
    with book.lock:
        pairs = [(one.row, one.thin) for one in book.in_order()]
    return tuple(_outline(row, thin) for row, thin in pairs)


def _outline(row: FrameRow, thin: FrameReading | None) -> SittingFrame:
    if thin is None:  # its reading is not brought back yet
        at = Exposure(captured_at=row.captured_at or None)
        thin = replace(_NOT_THERE, path=row.name, status=row.status, exposure=at)
    return SittingFrame(
        reading=thin,
        answer=stub_answer(row),
        companions=(),
        burst=row.burst,
        best_of_burst=row.best,
    )


def so_far(book: Book, name: str) -> Sitting:
    """Return what is known of a sitting at once.

    Parameters
    ----------
    book : Book
        Its frames.
    name : str
        What it is called.

    Returns
    -------
    Sitting
        Counts, causes as far as they are known, and the first of the four lines; without frames,
        habits and changes.
    """
    with book.lock:
        viewing, frames = book.viewing, book.in_order()
        pairs = [(one.row, one.thin) for one in frames]
    goal_cm = goal_of(viewing)
    shown = tuple(
        _outline(row, thin) for row, thin in pairs if thin is not None and row.status == "measured"
    )
    rows = [row for row, _ in pairs]
    tally = Tally(
        frames=shown,
        goal_cm=goal_cm,
        nobody=sum(row.status == "nobody" for row in rows),
        unreadable=sum(row.status == "unreadable" for row in rows),
    )
    told = all(row.reach_cm is not None or row.answered for row in rows if row.status == "measured")
    whole = len(shown) == sum(row.status == "measured" for row in rows)
    # From 1.5 times the diagonal the line also tells what is not known yet.
    line = viewing.distance_cm is not None and told and whole and shown
    return Sitting(
        name=name,
        viewing=viewing,
        goal_cm=goal_cm,
        frames=(),
        measured=sum(row.status == "measured" for row in rows),
        nobody=tally.nobody,
        unreadable=tally.unreadable,
        holding=sum(row.holds is True for row in rows),
        causes=count_causes(tally) if all(row.answered for row in rows) else (),
        median_reach_cm=middle_reach(row.reach_cm for row in rows),
        lines=(holding_line(tally, viewing) if line else "", "", "", ""),
    )
