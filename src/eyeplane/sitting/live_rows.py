"""A frame in one line: as soon as it is measured, when it is answered, and as it is kept."""

import json
from dataclasses import replace
from pathlib import PurePath

from eyeplane.diagnose import quick_reach
from eyeplane.diagnose.case import sitters
from eyeplane.records import (
    FaceAnswer,
    FrameAnswer,
    FrameReading,
    SittingFrame,
    Viewing,
    from_plain,
    to_plain,
)
from eyeplane.records.live import FrameRow, LiveFrame
from eyeplane.sitting.bursts import holds_goal, reaches
from eyeplane.sitting.run import goal_of


def frame_row(live: LiveFrame, goal_cm: float, *, several: bool = True) -> FrameRow:
    """Return a frame in one line.

    Parameters
    ----------
    live : LiveFrame
        The frame.
    goal_cm : float
        The print aimed at, longest edge.
    several : bool
        Whether its burst has further frames.

    Returns
    -------
    FrameRow
        Of its deciding sitter.
    """
    one: SittingFrame = live.frame
    reading, answer = one.reading, one.answer
    deciding = answer.deciding
    view = None if deciding is None else reading.faces[deciding].view
    opened = [face.eyes_open for face in answer.faces if face.sitter]
    return FrameRow(
        number=live.number,
        name=_name(reading),
        status=reading.status,
        captured_at=reading.exposure.captured_at or "",
        burst=one.burst,
        best=one.best_of_burst and several,
        holds=None if answer.reach_cm is None else holds_goal(answer, goal_cm),
        reach_cm=answer.reach_cm,
        offset_mm=None if deciding is None else answer.faces[deciding].offset_mm,
        cause=answer.cause,
        eyes_open=_both(opened),
        sitters=len(opened),
        window_mm_per_px=None if view is None else view.mm_per_px,
        sentence=answer.sentence or reading.reason,
        chosen=live.chosen,
        face=deciding,
        sha256=reading.sha256,
        landed_at=live.landed_at,
    )


def quick_row(number: int, reading: FrameReading, viewing: Viewing) -> FrameRow:
    """Return what can be said of a frame at once.

    Parameters
    ----------
    number : int
        Its number.
    reading : FrameReading
        What was measured.
    viewing : Viewing
        For which print and from where.

    Returns
    -------
    FrameRow
        With reach and eyes, without cause, offset and sentence; `answered` is False.
    """
    deciding, reach_cm = quick_reach(reading, viewing)
    view = None if deciding is None else reading.faces[deciding].view
    faces = zip(reading.faces, sitters(reading), strict=True) if deciding is not None else ()
    opened = [_both([eye.open for eye in one.face.eyes]) for one, sitter in faces if sitter]
    return FrameRow(
        number=number,
        name=_name(reading),
        status=reading.status,
        captured_at=reading.exposure.captured_at or "",
        burst=None,
        best=False,
        holds=None if reach_cm is None else reaches(reach_cm.value, goal_of(viewing)),
        reach_cm=reach_cm,
        offset_mm=None,
        cause="cannot tell",
        eyes_open=_both(opened),
        sitters=len(opened),
        window_mm_per_px=None if view is None else view.mm_per_px,
        sentence=reading.reason,
        chosen=False,
        answered=False,
        face=deciding,
        sha256=reading.sha256,
    )


def stub_answer(row: FrameRow) -> FrameAnswer:
    """Return as much of an answer as bursts are judged by.

    Parameters
    ----------
    row : FrameRow
        The frame in one line.

    Returns
    -------
    FrameAnswer
        With reach, cause, whether eyes are open, and how many sitters there are.
    """
    face = FaceAnswer(
        sitter=True,
        reach_cm=row.reach_cm,
        holds_diagonal=None,
        offset_mm=None,
        offset_why="",
        cause=row.cause,
        motion_um=None,
        motion_mm=None,
        motion_angle_deg=None,
        budget=(),
        marks=(),
        depth_front_mm=None,
        depth_back_mm=None,
        eyes_open=row.eyes_open,
    )
    return FrameAnswer(
        reach_cm=row.reach_cm,
        holds_diagonal=None,
        cause=row.cause,
        sentence="",
        advice="",
        deciding=0,
        faces=(face,) * max(1, row.sitters),
    )


def for_another(row: FrameRow, before: Viewing, now: Viewing) -> FrameRow:
    """Return a row whose frame waits for its answer for another print or viewer.

    Parameters
    ----------
    row : FrameRow
        As it was.
    before, now : Viewing
        What it was answered for, and what it is to be.

    Returns
    -------
    FrameRow
        Seen from as far as before, its reach is what it was, and whether it holds is known at
        once; else neither.
    """
    if before.distance_cm != now.distance_cm or row.reach_cm is None:
        return replace(row, reach_cm=None, holds=None, answered=False)
    holds = reaches(row.reach_cm.value, goal_of(now))
    return replace(row, holds=holds, answered=False)


def said_text(row: FrameRow, version: str) -> str:
    """Return a row as text to be kept.

    Parameters
    ----------
    row : FrameRow
        The row.
    version : str
        Of what said it.

    Returns
    -------
    str
        JSON; without what is kept elsewhere (choice, time).
    """
    plain = to_plain(replace(row, chosen=False, landed_at=None))
    return f"{version}\n" + json.dumps(plain, separators=(",", ":"))


def said_row(text: str, version: str) -> FrameRow | None:
    """Return the row that was kept.

    Parameters
    ----------
    text : str
        By `said_text`.
    version : str
        Of what answers now.

    Returns
    -------
    FrameRow or None
        None if another version said it, or for text of another shape.
    """
    by, _, plain = text.partition("\n")
    try:
        return from_plain(FrameRow, json.loads(plain)) if by == version else None
    except (KeyError, TypeError, ValueError):
        return None


def _name(reading: FrameReading) -> str:
    return PurePath(reading.path.replace("\\", "/")).name


def _both(opened: list[bool | None]) -> bool | None:
    """Return whether all are open; None where it cannot be told, or without any."""
    if False in opened:
        return False
    return None if None in opened or not opened else True
