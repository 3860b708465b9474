"""What the pictures of a plan share: how they are asked for, and where their labels go."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from eyeplane.deliver.sheet import Letters, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm

LEADING = 1.32  # from line to line, in ems


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing of a plan, still without a size.

    Attributes
    ----------
    name : str
        Of what it shows.
    spoken : str
        The whole drawing in words, for who cannot see it.
    draw : callable
        Takes the width of the drawing and the size of its type, both in mm, and returns a sheet.
    note : str
        How to read it, in small type.
    wide : bool
        Whether it needs the whole width of a card.
    share : float
        How much of the width of a card it takes where it stands first, 0..1.
    """

    name: str
    spoken: str
    draw: Callable[[float, float], Sheet]
    note: str = ""
    wide: bool = False
    share: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A label at a place along a line, and where it finds room.

    Attributes
    ----------
    text : str
        What it says.
    x_mm : float
        Where its middle stands.
    lane : int
        Which line of labels it is on, from 0.
    """

    text: str
    x_mm: float
    lane: int


def lanes(
    labels: Sequence[tuple[str, float]], letters: Letters, ends_mm: tuple[float, float]
) -> tuple[Label, ...]:
    """Return labels set so that none covers another and no leader crosses one.

    Parameters
    ----------
    labels : sequence of (str, float)
        Text and wanted middle in mm, from left to right.
    letters : Letters
        How they are set.
    ends_mm : tuple of float
        Left and right end of the room.

    Returns
    -------
    tuple of Label
        In order on one line, as near to where they are wanted as that allows; in as many lines as
        it takes where one has no room.
    """
    gap = 0.7 * letters.size_mm
    widths = [width_mm(text, letters) + gap for text, _ in labels]
    room = ends_mm[1] - ends_mm[0] + gap
    count = max(1, min(math.ceil(sum(widths) / max(room, 1e-9)), len(labels)))
    placed: list[Label] = []
    for lane in range(count):
        mine = list(labels)[lane::count]
        middles = _spread([x for _, x in mine], widths[lane::count], ends_mm, gap)
        placed += [
            Label(text=text, x_mm=x, lane=lane) for (text, _), x in zip(mine, middles, strict=True)
        ]
    order = [k for lane in range(count) for k in range(lane, len(labels), count)]
    return tuple(label for _, label in sorted(zip(order, placed, strict=True), key=lambda p: p[0]))


def _spread(
    wanted: Sequence[float], widths: Sequence[float], ends_mm: tuple[float, float], gap: float
) -> list[float]:
    """Return middles in order, none closer than the widths allow, least moved in square.

    Pool adjacent violators (Ayer and others 1955): places less the room needed before them must not
    fall, and the nearest such course is found by pooling neighbours that do.
    """
    offsets = [sum(widths[:k]) + widths[k] / 2 for k in range(len(widths))]
    pools: list[tuple[float, int]] = []
    for place, offset in zip(wanted, offsets, strict=True):
        pools.append((place - offset, 1))
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            (second, n), (first, m) = pools.pop(), pools.pop()
            pools.append(((first * m + second * n) / (m + n), m + n))
    levels = [level for level, count in pools for _ in range(count)]
    least, most = ends_mm[0] - gap / 2, ends_mm[1] + gap / 2 - sum(widths)
    return [
        min(max(level, least), max(most, least)) + offset
        for level, offset in zip(levels, offsets, strict=True)
    ]


def on_paper(sheet: Sheet, at: Point, text: str, letters: Letters) -> None:
    """Write words with paper under them, so that no line runs through.

    Parameters
    ----------
    sheet : Sheet
        To write on.
    at : Point
        Where they start, on the base line.
    text : str
        What is written.
    letters : Letters
        How, starting at the point.
    """
    size, rim = letters.size_mm, 0.2 * letters.size_mm
    wide = width_mm(text, letters)
    x, y = at
    sheet.box((max(x - rim, 0.0), y - 0.75 * size), (x + wide + rim, y + 0.25 * size), "paper")
    sheet.words(at, text, letters)


def within(x_mm: float, text: str, letters: Letters, ends_mm: tuple[float, float]) -> float:
    """Return where the middle of a label stands so that it does not stick out.

    Parameters
    ----------
    x_mm : float
        Where it is wanted.
    text : str
        The label.
    letters : Letters
        How it is set.
    ends_mm : tuple of float
        Left and right end of the room.

    Returns
    -------
    float
        Millimetres.
    """
    half = width_mm(text, letters) / 2
    return max(min(x_mm, ends_mm[1] - half), ends_mm[0] + half)
