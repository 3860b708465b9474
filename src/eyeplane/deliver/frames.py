"""Frames, bursts and sitters turned into what the page shows; all of it from the records."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from pathlib import PurePath

from eyeplane.deliver.chances import ChanceRow, chance_rows
from eyeplane.deliver.depthline import DepthLine, depth_line
from eyeplane.deliver.drawing import BlurMark, blur_mark, enlargement, on_print_mm
from eyeplane.deliver.findings import FindingPart, finding_parts
from eyeplane.deliver.group import FROM_LEFT, Group, group_of, name_words
from eyeplane.deliver.light import IrisClock, iris_clock, light_words
from eyeplane.deliver.numbers import (
    BudgetRow,
    Fact,
    budget_rows,
    exposure_facts,
    face_facts,
    frame_facts,
    near_blur,
)
from eyeplane.deliver.windows import EyeWindow, eye_window
from eyeplane.deliver.wording import cause_words, reach_parts
from eyeplane.records import FaceAnswer, FaceReading, Sitting, SittingFrame


@dataclass(frozen=True, slots=True, kw_only=True)
class FacePart:
    """One sitter of one frame.

    Attributes
    ----------
    place : str
        "first from the left"; empty for a single sitter.
    decides : bool
        Whether the frame's answer is this sitter's.
    reach, spread, cause : str
        In words.
    eyes_closed : bool
        Whether an eye is closed.
    window : EyeWindow or None
        The near eye.
    depth : DepthLine
        Its depth line.
    offset_why : str
        Why the offset cannot be told.
    budget : tuple of BudgetRow
        Largest cost first.
    chances : tuple of ChanceRow
        Of its causes, most probable first.
    light : str
        The light in a sentence.
    clock : IrisClock or None
        Its catchlights.
    facts : tuple of Fact
        All numbers with their spread.
    """

    place: str
    decides: bool
    reach: str
    spread: str
    cause: str
    eyes_closed: bool
    window: EyeWindow | None
    depth: DepthLine
    offset_why: str
    budget: tuple[BudgetRow, ...]
    chances: tuple[ChanceRow, ...]
    light: str
    clock: IrisClock | None
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FramePart:
    """One frame.

    Attributes
    ----------
    anchor, name, reason : str
        Its place on the page, its file name, and why it could not be read.
    best : bool
        Best of its burst.
    sentence, advice, reach, spread, cause, diagonal : str
        The answer.
    mark : BlurMark or None
        Point spread at the near eye.
    findings : tuple of FindingPart
        What else is worth knowing, most telling first.
    group : Group or None
        Who is in and who is out; None for a single sitter.
    deciding : FacePart or None
        The sitter who holds least.
    sitters : tuple of FacePart
        From left to right.
    bystanders : int
        Faces that do not count.
    facts : tuple of Fact
        Exposure, places asked for, file.
    """

    anchor: str
    name: str
    reason: str
    best: bool
    sentence: str
    advice: str
    reach: str
    spread: str
    cause: str
    diagonal: str
    mark: BlurMark | None
    findings: tuple[FindingPart, ...]
    group: Group | None
    deciding: FacePart | None
    sitters: tuple[FacePart, ...]
    bystanders: int
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstPart:
    """One burst.

    Attributes
    ----------
    number : int
        From 1.
    when : str
        Time of its first frame, empty if unknown.
    frames : tuple of FramePart
        In order of time.
    """

    number: int
    when: str
    frames: tuple[FramePart, ...]


def bursts_of(sitting: Sitting, enlarged: int) -> Iterator[BurstPart]:
    """Return the bursts one by one, so that only one is in memory as text.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    enlarged : int
        Enlargement of the blur marks.

    Yields
    ------
    BurstPart
        In order of number.
    """
    numbered = [(k, f) for k, f in enumerate(sitting.frames, 1) if f.burst is not None]
    numbered.sort(key=lambda pair: (pair[1].burst or 0, pair[0]))
    for number, group in groupby(numbered, key=lambda pair: pair[1].burst):
        members = list(group)
        yield BurstPart(
            number=number or 0,
            when=_clock(members[0][1].reading.exposure.captured_at),
            frames=tuple(
                _frame(k, f if len(members) > 1 else _alone(f), sitting.goal_cm, enlarged)
                for k, f in members
            ),
        )


def _alone(frame: SittingFrame) -> SittingFrame:
    """Return a frame that is a burst by itself: there is none that it is better than."""
    return replace(frame, best_of_burst=False)


def others_of(sitting: Sitting) -> tuple[FramePart, ...]:
    """Return the frames that belong to no burst: nobody on them, or unreadable.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    tuple of FramePart
        Each with its reason.
    """
    rest = [(k, f) for k, f in enumerate(sitting.frames, 1) if f.burst is None]
    return tuple(_frame(k, f, sitting.goal_cm, 1) for k, f in rest)


def frame_part(frame: SittingFrame, *, goal_cm: float) -> tuple[FramePart, int]:
    """Return one frame for a page of its own.

    Parameters
    ----------
    frame : SittingFrame
        Measured and answered.
    goal_cm : float
        The print aimed at, longest edge.

    Returns
    -------
    FramePart, int
        The frame, and how many times its blur mark is enlarged.
    """
    enlarged = enlargement([frame_size_mm(frame, goal_cm)])
    return _frame(1, frame, goal_cm, enlarged), enlarged


def _frame(number: int, frame: SittingFrame, goal_cm: float, enlarged: int) -> FramePart:
    reading, answer = frame.reading, frame.answer
    pairs = list(zip(reading.faces, answer.faces, strict=False))
    order, places = sitters_of(frame)
    sitters = tuple(
        _face(*pairs[k], place=place, decides=k == answer.deciding)
        for k, place in zip(order, places, strict=True)
    )
    reach, spread = reach_parts(answer.reach_cm)
    return FramePart(
        anchor=f"frame-{number}",
        name=PurePath(reading.path).name,
        reason=_reason(frame),
        best=frame.best_of_burst,
        sentence=answer.sentence,
        advice=answer.advice,
        reach=reach,
        spread=spread,
        cause=cause_words(answer.cause),
        diagonal=_yes_no(answer.holds_diagonal),
        mark=_mark(frame, goal_cm, enlarged),
        findings=finding_parts(answer),
        group=group_of([pairs[k][1] for k in order], answer, places=places),
        deciding=next((s for s in sitters if s.decides), sitters[0] if sitters else None),
        sitters=sitters,
        bystanders=len(pairs) - len(order),
        facts=(*exposure_facts(reading), *frame_facts(frame)),
    )


def _face(reading: FaceReading, answer: FaceAnswer, *, place: str, decides: bool) -> FacePart:
    reach, spread = reach_parts(answer.reach_cm)
    return FacePart(
        place=place,
        decides=decides,
        reach=reach,
        spread=spread,
        cause=cause_words(answer.cause),
        eyes_closed=answer.eyes_open is False,
        window=eye_window(reading.view),
        depth=depth_line(reading, answer),
        offset_why=answer.offset_why if answer.offset_mm is None else "",
        budget=budget_rows(answer),
        chances=chance_rows(answer.chances),
        light=light_words(answer.lights),
        clock=iris_clock(answer.lights),
        facts=face_facts(reading, answer),
    )


def sitters_of(frame: SittingFrame) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """Return the sitters of a frame from left to right.

    Parameters
    ----------
    frame : SittingFrame
        One frame.

    Returns
    -------
    tuple of int, tuple of str
        Their indices in the record, and what to call each; a single sitter's name is empty.
    """
    reading, answer = frame.reading, frame.answer
    pairs = list(zip(reading.faces, answer.faces, strict=False))
    order = sorted(
        (k for k, (_, a) in enumerate(pairs) if a.sitter), key=lambda k: _middle(pairs[k][0])
    )
    if len(order) < 2:
        return tuple(order), ("",) * len(order)
    return tuple(order), tuple(_place(pairs[k][1], n) for n, k in enumerate(order, 1))


def _place(answer: FaceAnswer, number: int) -> str:
    """Return what a sitter of a group is called."""
    name = name_words(answer.name).replace(f" face{FROM_LEFT}", FROM_LEFT)
    return name or f"{number}{FROM_LEFT}"


def _middle(reading: FaceReading) -> float:
    x, _, width, _ = reading.face.box_px
    return x + width / 2


def _mark(frame: SittingFrame, goal_cm: float, enlarged: int) -> BlurMark | None:
    blur = near_blur(frame)
    if blur is None or blur.size_px is None:
        return None
    return blur_mark(blur, size_mm=frame_size_mm(frame, goal_cm), enlarged=enlarged)


def _reason(frame: SittingFrame) -> str:
    if frame.reading.status == "unreadable":
        return frame.reading.reason or "could not be read"
    return "nobody was found on it" if frame.reading.status == "nobody" else ""


def _yes_no(answer: bool | None) -> str:  # noqa: FBT001  three answers, one of them None
    if answer is None:
        return "cannot tell"
    return "yes" if answer else "no"


def frame_size_mm(frame: SittingFrame, goal_cm: float) -> float:
    """Return how large the blur at the near eye is on the print.

    Parameters
    ----------
    frame : SittingFrame
        One frame.
    goal_cm : float
        Longest edge of the print.

    Returns
    -------
    float
        In mm; 0 where it cannot be told.
    """
    blur = near_blur(frame)
    long_edge_px = max(frame.reading.width_px, frame.reading.height_px)
    if blur is None or blur.size_px is None or blur.kind == "cannot tell" or not long_edge_px:
        return 0.0
    return on_print_mm(blur.size_px.value, long_edge_px=long_edge_px, print_cm=goal_cm)


def moment(text: str | None) -> datetime | None:
    """Return a capture time.

    Parameters
    ----------
    text : str or None
        ISO 8601.

    Returns
    -------
    datetime or None
        None where there is none, or none that is a time.
    """
    try:
        return datetime.fromisoformat(text) if text else None
    except ValueError:
        return None


def _clock(text: str | None) -> str:
    when = moment(text)
    return f"{when:%H:%M:%S}" if when else ""
