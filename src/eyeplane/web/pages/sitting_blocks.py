"""Bursts as they stand on the sitting's page: blocks of frames under one heading."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from eyeplane.deliver.burst_best import why_best
from eyeplane.deliver.frames import moment
from eyeplane.records.live import FrameRow
from eyeplane.web.figures import Figures
from eyeplane.web.words import words


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Frames that stand together under one heading.

    Attributes
    ----------
    kind : {"burst", "single", "sorted", "unanswered"}
        A burst, frames taken singly, frames in another order than that of capture, and frames
        without an answer.
    number : int
        Of the burst; 0 for others.
    heading, aside, why : str
        What it is, when and how many, and why its best is the best.
    rows : tuple of FrameRow
        Its frames.
    """

    kind: str
    number: int
    heading: str
    aside: str
    why: str
    rows: tuple[FrameRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bursts:
    """What is said of all bursts of a sitting.

    Attributes
    ----------
    sizes : mapping of int to int
        Frames of each.
    when, why : mapping of int to str
        Time of its first frame; why its best is the best.
    """

    sizes: Mapping[int, int]
    when: Mapping[int, str]
    why: Mapping[int, str]


def bursts_in(rows: Sequence[FrameRow], figures: Figures) -> Bursts:
    """Return what is said of the bursts.

    Parameters
    ----------
    rows : sequence of FrameRow
        All frames in order of capture.
    figures : Figures
        As this visitor sees numbers.

    Returns
    -------
    Bursts
        By number.
    """
    members: dict[int, list[FrameRow]] = {}
    for row in rows:
        if row.burst is not None:
            members.setdefault(row.burst, []).append(row)
    return Bursts(
        sizes={number: len(group) for number, group in members.items()},
        when={number: clock_of(group[0].captured_at) for number, group in members.items()},
        why={number: figures.text(why_best(group)) for number, group in members.items()},
    )


def blocks_of(rows: Sequence[FrameRow], bursts: Bursts, *, by_capture: bool) -> tuple[Block, ...]:
    """Return frames in blocks.

    Parameters
    ----------
    rows : sequence of FrameRow
        As asked for, those without an answer last.
    bursts : Bursts
        Of the whole sitting.
    by_capture : bool
        Whether they are in order of capture, so that bursts stand together.

    Returns
    -------
    tuple of Block
        Neighbours that are bursts of one frame share one block.
    """
    groups: list[tuple[str, int, list[FrameRow]]] = []
    for row in rows:
        kind, number = _kind(row, bursts, by_capture=by_capture)
        if not groups or groups[-1][:2] != (kind, number):
            groups.append((kind, number, []))
        groups[-1][2].append(row)
    return tuple(_block(kind, number, tuple(group), bursts) for kind, number, group in groups)


def _kind(row: FrameRow, bursts: Bursts, *, by_capture: bool) -> tuple[str, int]:
    if row.status != "measured":
        return "unanswered", 0
    if not by_capture:
        return "sorted", 0
    if row.burst is None or bursts.sizes[row.burst] < 2:
        return "single", 0
    return "burst", row.burst


def _block(kind: str, number: int, rows: tuple[FrameRow, ...], bursts: Bursts) -> Block:
    count = len(rows)
    if kind == "burst":
        whole = bursts.sizes[number]
        said = words("sitting.frames", count=whole)
        if count < whole:
            said = words("sitting.frames_of", shown=count, count=whole)
        when = bursts.when[number]
        why = bursts.why[number]
    else:
        said = words("sitting.frames", count=count)
        times = Counter(clock_of(row.captured_at) for row in rows if kind == "single")
        told = sorted(time for time in times if time)
        when = "" if not told else "–".join(dict.fromkeys((told[0], told[-1])))
        why = ""
    return Block(
        kind=kind,
        number=number,
        heading=words(f"sitting.block.{kind}", number=number),
        aside=" · ".join(part for part in (when, said) if part),
        why=why,
        rows=rows,
    )


def clock_of(text: str) -> str:
    """Return the time of day of a frame.

    Parameters
    ----------
    text : str
        Capture time, ISO 8601.

    Returns
    -------
    str
        "10:03:07"; empty where there is none.
    """
    when = moment(text)
    return f"{when:%H:%M:%S}" if when else ""
