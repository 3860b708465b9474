"""The small drawings beside the numbers: blur mark, cause chart, reach over the sitting."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import cause_words, count_words, whole_cm
from eyeplane.records import Blur, CauseCount, SittingFrame

MARK_SIDE = 56.0  # side of the square a blur mark is drawn in, CSS px
MM = 96 / 25.4  # CSS px per mm of page: CSS Values and Units, level 4, section 6.2
CHART_WIDTH = 400.0
ROW = 40.0
ENLARGED = (1, 2, 5, 10, 20, 50, 100, 200)


@dataclass(frozen=True, slots=True, kw_only=True)
class BlurMark:
    """A measured point spread, drawn at the scale of the page.

    Attributes
    ----------
    kind : {"dot", "disc", "stroke"}
        Its form.
    radius : float
        Of dot or disc, CSS px.
    dx, dy : float
        Half the stroke, CSS px, y down.
    side : float
        Side of the drawing.
    spoken : str
        For who cannot see it.
    """

    kind: str
    radius: float
    dx: float
    dy: float
    side: float
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One bar of the cause chart.

    Attributes
    ----------
    name, count : str
        What, and how many frames.
    y, length : float
        Its middle and length, drawing units.
    """

    name: str
    count: str
    y: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """One frame of the reach chart.

    Attributes
    ----------
    x, y, low_y, high_y : float
        Its place and the ends of its interval, drawing units.
    best : bool
        Best of its burst.
    """

    x: float
    y: float
    low_y: float
    high_y: float
    best: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachChart:
    """Reach of every frame, in order of time.

    Attributes
    ----------
    points : tuple of Point
        Frames whose reach can be told.
    levels : tuple of (float, str)
        Height and name of the hairlines.
    goal_y : float
        Height of the promised print.
    height : float
        Of the drawing.
    spoken : str
        For who cannot see it.
    """

    points: tuple[Point, ...]
    levels: tuple[tuple[float, str], ...]
    goal_y: float
    height: float
    spoken: str


def on_print_mm(size_px: float, *, long_edge_px: int, print_cm: float) -> float:
    """Return how large a blur is on the print.

    Parameters
    ----------
    size_px : float
        Diameter or length in the frame, px.
    long_edge_px : int
        Of the frame.
    print_cm : float
        Longest edge of the print.

    Returns
    -------
    float
        In mm.
    """
    return size_px / long_edge_px * print_cm * 10


def enlargement(sizes_mm: Sequence[float]) -> int:
    """Return how many times the blur marks of a page are enlarged.

    Parameters
    ----------
    sizes_mm : sequence of float
        All blurs of the page, mm on the print.

    Returns
    -------
    int
        The largest of 1, 2, 5 … 200 at which the largest blur still fits its square.
    """
    room_mm = (MARK_SIDE - 4) / MM
    largest = max(sizes_mm, default=0.0)
    return max((e for e in ENLARGED if e * largest <= room_mm), default=1)


def blur_mark(blur: Blur, *, size_mm: float, enlarged: int) -> BlurMark | None:
    """Return the drawing of a blur.

    Parameters
    ----------
    blur : Blur
        What was measured.
    size_mm : float
        The same on the print.
    enlarged : int
        From `enlargement`.

    Returns
    -------
    BlurMark or None
        None where the kind or size cannot be told.
    """
    if blur.size_px is None or blur.kind == "cannot tell":
        return None
    length = size_mm * enlarged * MM
    side = max(MARK_SIDE, length + 4)
    if blur.kind == "line" and blur.angle_deg is not None:
        angle = math.radians(blur.angle_deg)
        return BlurMark(
            kind="stroke",
            radius=0.0,
            dx=length / 2 * math.cos(angle),
            dy=-length / 2 * math.sin(angle),
            side=side,
            spoken=f"Blur mark: a stroke, {blur.angle_deg:.0f}° from level",
        )
    small = blur.kind == "none" or length < 3
    return BlurMark(
        kind="dot" if small else "disc",
        radius=1.5 if small else length / 2,
        dx=0.0,
        dy=0.0,
        side=side,
        spoken=f"Blur mark: a {'dot' if small else 'disc'}",
    )


def cause_bars(causes: Sequence[CauseCount]) -> tuple[Bar, ...]:
    """Return the bars of the cause chart.

    Parameters
    ----------
    causes : sequence of CauseCount
        Most frequent first.

    Returns
    -------
    tuple of Bar
        Longest bar as long as the room allows; empty without causes.
    """
    most = max((c.frames for c in causes), default=0)
    if most == 0:
        return ()
    room = CHART_WIDTH - 80
    return tuple(
        Bar(
            name=cause_words(c.cause),
            count=count_words(c.frames, "frame"),
            y=ROW * k + ROW / 2,
            length=room * c.frames / most,
        )
        for k, c in enumerate(causes)
    )


def reach_chart(frames: Sequence[SittingFrame], *, goal_cm: float) -> ReachChart | None:
    """Return the reach of the frames in order of time, on a logarithmic scale.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order.
    goal_cm : float
        The print that "holds" is counted against.

    Returns
    -------
    ReachChart or None
        None with fewer than three frames to show.
    """
    shown = [(k, f) for k, f in enumerate(f for f in frames if f.reading.status == "measured")]
    told = [(k, f, r) for k, f in shown if (r := f.answer.reach_cm) is not None and r.value > 0]
    if len(told) < 3:
        return None
    height, left, right, edge = 170.0, 42.0, 392.0, 14.0
    ends = [goal_cm, *(r.value for _, _, r in told)]
    low, high = math.log(max(min(ends) / 1.25, 1.0)), math.log(max(ends) * 1.25)

    def y_of(reach_cm: float) -> float:
        place = (math.log(max(reach_cm, 1e-6)) - low) / (high - low)
        return height - edge - min(max(place, 0.0), 1.0) * (height - 2 * edge)

    sizes = Counter(f.burst for f in frames)  # of a burst of one frame none is the best
    step = (right - left - 20) / max(len(shown) - 1, 1)
    least, most = (whole_cm(f(r.value for _, _, r in told)) for f in (min, max))
    holding = sum(r.value >= goal_cm for _, _, r in told)
    return ReachChart(
        points=tuple(
            Point(
                x=left + 10 + k * step,
                y=y_of(r.value),
                low_y=y_of(r.low),
                high_y=y_of(r.high),
                best=f.best_of_burst and sizes[f.burst] > 1,
            )
            for k, f, r in told
        ),
        levels=tuple(
            (y_of(c), f"{c}\u2009cm")
            for c in (5, 10, 20, 40, 80, 160)
            if low <= math.log(c) <= high and abs(math.log(c / goal_cm)) > 0.12
        ),
        goal_y=y_of(goal_cm),
        height=height,
        spoken=f"Reach of {count_words(len(told), 'frame')} in order of time: from {least} to "
        f"{most} cm; {holding} of them hold {whole_cm(goal_cm)} cm.",
    )
