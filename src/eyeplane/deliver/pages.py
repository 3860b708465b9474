"""A sitting turned into what the page shows; every word and number here comes from the records."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from pathlib import PurePath

from eyeplane.deliver.cautions import cautions
from eyeplane.deliver.depthline import DepthLine, depth_line
from eyeplane.deliver.drawing import (
    Bar,
    BlurMark,
    ReachChart,
    blur_mark,
    cause_bars,
    enlargement,
    on_print_mm,
    reach_chart,
)
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
from eyeplane.deliver.wording import cause_words, count_words, reach_parts, whole_cm
from eyeplane.records import FaceAnswer, FaceReading, Sitting, SittingFrame, Viewing


@dataclass(frozen=True, slots=True, kw_only=True)
class FacePart:
    """One sitter of one frame.

    Attributes
    ----------
    place : str
        "1 from the left"; empty for a single sitter.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """The whole page.

    Attributes
    ----------
    name, day, viewed, goal, note : str
        Sitting, date, for which viewer and print the answers hold, and a story if there is one.
    lines : tuple of str
        The sitting in up to four lines.
    counts : str
        How many frames of each status.
    enlarged : int
        How many times blur marks are enlarged.
    bars : tuple of Bar
        Cause chart.
    reach : ReachChart or None
        Reach over the sitting.
    cautions : tuple of str
        Where they apply.
    """

    name: str
    day: str
    viewed: str
    goal: str
    note: str
    lines: tuple[str, ...]
    counts: str
    enlarged: int
    bars: tuple[Bar, ...]
    reach: ReachChart | None
    cautions: tuple[str, ...]


def page_of(sitting: Sitting, note: str = "") -> Page:
    """Return the page without its frames.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    note : str
        A few words about the sitting, shown under its name.

    Returns
    -------
    Page
        Small whatever the number of frames.
    """
    parts = [
        count_words(len(sitting.frames), "frame"),
        *([f"{sitting.nobody} without a face"] if sitting.nobody else []),
        *([f"{sitting.unreadable} unreadable"] if sitting.unreadable else []),
    ]
    when = [f.reading.exposure.captured_at for f in sitting.frames]
    return Page(
        name=sitting.name,
        day=next((_day(w) for w in when if w and _day(w)), ""),
        viewed=_viewed(sitting.viewing),
        goal=f"{whole_cm(sitting.goal_cm)}\u2009cm",
        note=note,
        lines=tuple(line for line in sitting.lines if line),
        counts=", ".join(parts),
        enlarged=enlargement(_sizes_mm(sitting)),
        bars=cause_bars(sitting.causes),
        reach=reach_chart(sitting.frames, goal_cm=sitting.goal_cm),
        cautions=cautions(sitting),
    )


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
            frames=tuple(_frame(k, f, sitting, enlarged) for k, f in members),
        )


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
    return tuple(_frame(k, f, sitting, 1) for k, f in rest)


def _frame(number: int, frame: SittingFrame, sitting: Sitting, enlarged: int) -> FramePart:
    reading, answer = frame.reading, frame.answer
    pairs = list(zip(reading.faces, answer.faces, strict=False))
    order = sorted(
        (k for k, (_, a) in enumerate(pairs) if a.sitter), key=lambda k: _middle(pairs[k][0])
    )
    sitters = tuple(
        _face(
            *pairs[k],
            place=f"{n} from the left" if len(order) > 1 else "",
            decides=k == answer.deciding,
        )
        for n, k in enumerate(order, 1)
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
        mark=_mark(frame, sitting, enlarged),
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
        facts=face_facts(reading, answer),
    )


def _middle(reading: FaceReading) -> float:
    x, _, width, _ = reading.face.box_px
    return x + width / 2


def _mark(frame: SittingFrame, sitting: Sitting, enlarged: int) -> BlurMark | None:
    blur = near_blur(frame)
    if blur is None or blur.size_px is None:
        return None
    return blur_mark(blur, size_mm=_size_mm(frame, sitting.goal_cm), enlarged=enlarged)


def _size_mm(frame: SittingFrame, goal_cm: float) -> float:
    blur = near_blur(frame)
    long_edge_px = max(frame.reading.width_px, frame.reading.height_px)
    if blur is None or blur.size_px is None or blur.kind == "cannot tell" or not long_edge_px:
        return 0.0
    return on_print_mm(blur.size_px.value, long_edge_px=long_edge_px, print_cm=goal_cm)


def _sizes_mm(sitting: Sitting) -> Sequence[float]:
    return [_size_mm(frame, sitting.goal_cm) for frame in sitting.frames]


def _reason(frame: SittingFrame) -> str:
    if frame.reading.status == "unreadable":
        return frame.reading.reason or "could not be read"
    return "nobody was found on it" if frame.reading.status == "nobody" else ""


def _yes_no(answer: bool | None) -> str:  # noqa: FBT001  three answers, one of them None
    if answer is None:
        return "cannot tell"
    return "yes" if answer else "no"


def _viewed(viewing: Viewing) -> str:
    if viewing.distance_cm is None:
        return "50\u2009cm, and from 1.5 times its diagonal beside it"
    return f"{viewing.distance_cm:g}\u2009cm"


def _moment(text: str | None) -> datetime | None:
    try:
        return datetime.fromisoformat(text) if text else None
    except ValueError:
        return None


def _day(text: str | None) -> str:
    moment = _moment(text)
    return f"{moment.day} {moment:%B %Y}" if moment else ""


def _clock(text: str | None) -> str:
    moment = _moment(text)
    return f"{moment:%H:%M:%S}" if moment else ""
