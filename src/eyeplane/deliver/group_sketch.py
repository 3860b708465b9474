"""A group as it stands in the frame: each head at its place and size, who is in and who is out.

Points are (x, y), y down. Drawing units are those of the SVG's view box; one scale holds for all
heads. Nobody is recognised: a name belongs to a place, counted from the left.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from eyeplane.deliver.frames import sitters_of
from eyeplane.deliver.group import FROM_LEFT, behind_plane, group_of
from eyeplane.deliver.wording import CANNOT, offset_words, plain_text, side_words
from eyeplane.records import Face, FaceAnswer, Measured, SittingFrame
from eyeplane.records.said import capital, count_word

WIDTH, MOST_HIGH = 400.0, 250.0  # of the drawing, units
LETTER, LEADING = 7.6, 17.0  # mean width of a letter of its type, and from line to line, units
ROOM = 0.2  # of the largest head, kept free around all heads
BROAD = 1.12  # a head with its ears over the box of its face; from memory
NAME_LETTERS = 24  # a longer name is cut on the drawing, never in the list
SIDES = ("in front of the plane", "behind the plane", "in the plane")


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """One sitter.

    Attributes
    ----------
    number : int
        From the left, from 1.
    held : bool or None
        Whether the near eye lies in the depth of field; None where it cannot be told.
    decides : bool
        Whether this sitter holds least.
    path : str
        Outline, SVG path data.
    eyes : tuple of (float, float, float, float)
        A level stroke for each eye: x1, y1, x2, y2.
    lines : tuple of str
        What is written under it, or its number alone.
    x, y : float
        Middle of the first line, and its base.
    """

    number: int
    held: bool | None
    decides: bool
    path: str
    eyes: tuple[tuple[float, float, float, float], ...]
    lines: tuple[str, ...]
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupSketch:
    """All that the drawing and the lines under it need.

    Attributes
    ----------
    height : float
        Of the drawing; it is 400 units wide.
    edges : tuple of (float, float, float, float)
        Edges of the frame as far as they are drawn.
    heads : tuple of Head
        From left to right.
    listed : tuple of str
        Who is out or cannot be told, where there is no room for it on the drawing.
    counted : str
        How many are in.
    change : str
        What would have held everybody, or bring them in; empty if nothing is to be changed.
    spoken : str
        The whole drawing in words.
    """

    height: float
    edges: tuple[tuple[float, float, float, float], ...]
    heads: tuple[Head, ...]
    listed: tuple[str, ...]
    counted: str
    change: str
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sitter:
    """One sitter in the units of the drawing."""

    number: int
    who: str
    answer: FaceAnswer
    decides: bool
    middle: tuple[float, float]
    half: tuple[float, float]
    roll_rad: float
    eyes: tuple[tuple[float, float], ...]


def group_sketch(frame: SittingFrame, names: Mapping[int, str]) -> GroupSketch | None:
    """Return the sketch of a group.

    Parameters
    ----------
    frame : SittingFrame
        Measured and answered.
    names : mapping of int to str
        What the photographer called the places, from 1 on the left; may be empty.

    Returns
    -------
    GroupSketch or None
        None for fewer than two sitters.
    """
    order, places = sitters_of(frame)
    group = group_of([frame.answer.faces[k] for k in order], frame.answer, places=places)
    if group is None:
        return None
    faces = [frame.reading.faces[k].face for k in order]
    crop = _crop(faces, frame.reading.width_px, frame.reading.height_px)
    scale = min(WIDTH / (crop[2] - crop[0]), MOST_HIGH / (crop[3] - crop[1]))
    aside = (WIDTH - scale * (crop[2] - crop[0])) / 2

    def at(x_px: float, y_px: float) -> tuple[float, float]:
        return aside + (x_px - crop[0]) * scale, (y_px - crop[1]) * scale

    sitters = [
        _sitter(
            n,
            (_name(names, n) or place, frame.reading.faces[k].face, frame.answer.faces[k]),
            at=at,
            decides=k == frame.answer.deciding,
        )
        for n, (k, place) in enumerate(zip(order, places, strict=True), 1)
    ]
    told = _told(sitters)
    low = [head.y + LEADING * (len(head.lines) - 1) + 6 for head in told.heads]
    return GroupSketch(
        height=max([scale * (crop[3] - crop[1]), *low]),
        edges=_edges(crop, (frame.reading.width_px, frame.reading.height_px), at),
        heads=told.heads,
        listed=told.listed,
        counted=_counted(sitters),
        change=frame.answer.advice or group.for_all or _advice(frame),
        spoken="; ".join(f"{s.who}: {_standing(s.answer)}" for s in sitters) + ".",
    )


def _name(names: Mapping[int, str], number: int) -> str:
    return plain_text(names.get(number, "")).strip()


def _advice(frame: SittingFrame) -> str:
    """Return what else is said about a group, where the answer itself says nothing."""
    said = (f.advice for f in frame.answer.findings if f.kind == "group" and f.advice)
    return next(said, "")


def _crop(faces: Sequence[Face], wide_px: int, high_px: int) -> tuple[float, float, float, float]:
    """Return the part of the frame that is drawn: all heads with room around, px."""
    ends = [_extent(face) for face in faces]
    room = ROOM * max(high - low for _, low, _, high in ends)
    return (
        max(min(e[0] for e in ends) - room, min(0.0, *(e[0] for e in ends))),
        max(min(e[1] for e in ends) - room, min(0.0, *(e[1] for e in ends))),
        min(max(e[2] for e in ends) + room, max(float(wide_px), *(e[2] for e in ends))),
        min(max(e[3] for e in ends) + room, max(float(high_px), *(e[3] for e in ends))),
    )


def _extent(face: Face) -> tuple[float, float, float, float]:
    """Return what a head takes up, px: the eyes stand halfway between crown and chin.

    That rule is the drawing masters'; common practice, no source.
    """
    x, y, wide, high = face.box_px
    chin, eyes = y + high, _between(face)[1]
    eyes = min(max(eyes, y + 0.2 * high), y + 0.6 * high)
    half = BROAD * wide / 2
    return x + wide / 2 - half, 2 * eyes - chin, x + wide / 2 + half, chin


def _between(face: Face) -> tuple[float, float]:
    (xa, ya), (xb, yb) = (eye.iris_px for eye in face.eyes)
    return (xa + xb) / 2, (ya + yb) / 2


def _sitter(
    number: int,
    told: tuple[str, Face, FaceAnswer],
    *,
    at: Callable[[float, float], tuple[float, float]],
    decides: bool,
) -> _Sitter:
    who, face, answer = told
    left, top, right, foot = _extent(face)
    low, high = at(left, top), at(right, foot)
    return _Sitter(
        number=number,
        who=who,
        answer=answer,
        decides=decides,
        middle=((low[0] + high[0]) / 2, (low[1] + high[1]) / 2),
        half=((high[0] - low[0]) / 2, (high[1] - low[1]) / 2),
        roll_rad=math.radians(face.roll_deg.value),
        eyes=tuple(at(*eye.iris_px) for eye in face.eyes),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    heads: tuple[Head, ...]
    listed: tuple[str, ...]


def _told(sitters: Sequence[_Sitter]) -> _Told:
    """Return the heads with as much written under them as there is room for, the rest as a list."""
    out = [s for s in sitters if s.answer.inside is not True]
    whole = [(_short(s.who), *_lines(s.answer)) for s in sitters]
    names = [(_short(s.who),) for s in sitters]
    for labels, listed in ((whole, False), (names, True)):
        heads = [_head(s, lines) for s, lines in zip(sitters, labels, strict=True)]
        if _fits(heads, sitters):
            told = tuple(
                f"{capital(s.who.removesuffix(FROM_LEFT))}: {_standing(s.answer)}" for s in out
            )
            return _Told(heads=tuple(heads), listed=told if listed else ())
    return _Told(
        heads=tuple(_head(s, (str(s.number),), inside=True) for s in sitters),
        listed=tuple(
            f"{s.number}{'' if s.who.endswith(FROM_LEFT) else f', {s.who}'}: {_standing(s.answer)}"
            for s in out
        ),
    )


def _short(who: str) -> str:
    who = who.removesuffix(FROM_LEFT)
    return who if len(who) <= NAME_LETTERS else who[: NAME_LETTERS - 1].rstrip() + "…"


def _standing(answer: FaceAnswer) -> str:
    """Return in one line whether a sitter is in, and if not, where the eye lies."""
    if answer.inside is None:
        return CANNOT
    return "in" if answer.inside else " ".join(_lines(answer))


def _lines(answer: FaceAnswer) -> tuple[str, ...]:
    """Return where the near eye of a sitter lies who is out, in lines short enough for a head."""
    if answer.inside:
        return ()
    if answer.inside is None:
        return (CANNOT,)
    behind = behind_plane(answer)
    if behind is None:
        return ("out",)
    words = _from_plane(behind)
    first, _, rest = words.partition(" the plane")
    return first, f"the plane{rest}"


def _from_plane(behind: Measured) -> str:
    if behind.low < 0 < behind.high:
        most = float(f"{max(-behind.low, behind.high):.2g}")
        return f"within {side_words(most, ('', '', '')).strip()} of the plane"
    return offset_words(behind, SIDES)


def _head(sitter: _Sitter, lines: tuple[str, ...], *, inside: bool = False) -> Head:
    x, y = sitter.middle
    half = max(len(line) for line in lines) * LETTER / 2
    base = y - 0.3 * sitter.half[1] if inside else y + sitter.half[1] + LEADING
    return Head(
        number=sitter.number,
        held=sitter.answer.inside,
        decides=sitter.decides,
        path=_outline(sitter),
        eyes=tuple(_stroke(sitter, eye) for eye in sitter.eyes),
        lines=lines,
        x=x if inside else min(max(x, half), WIDTH - half),
        y=base,
    )


def _outline(sitter: _Sitter) -> str:
    """Return an egg with the blunt end up, leaning as the head does."""
    (x, y), (a, b) = sitter.middle, sitter.half
    cosine, sine = math.cos(sitter.roll_rad), math.sin(sitter.roll_rad)

    def _point(u: float, v: float) -> str:
        return f"{x + u * a * cosine - v * b * sine:.1f} {y + u * a * sine + v * b * cosine:.1f}"

    curves = (
        ((-1.0, -0.72), (-0.62, -1.0), (0.0, -1.0)),
        ((0.62, -1.0), (1.0, -0.72), (1.0, -0.12)),
        ((1.0, 0.42), (0.5, 1.0), (0.0, 1.0)),
        ((-0.5, 1.0), (-1.0, 0.42), (-1.0, -0.12)),
    )
    drawn = "".join("C" + " ".join(_point(u, v) for u, v in curve) for curve in curves)
    return f"M{_point(-1.0, -0.12)}{drawn}Z"


def _stroke(sitter: _Sitter, eye: tuple[float, float]) -> tuple[float, float, float, float]:
    reach = 0.16 * sitter.half[0]
    x, y = math.cos(sitter.roll_rad) * reach, math.sin(sitter.roll_rad) * reach
    return eye[0] - x, eye[1] - y, eye[0] + x, eye[1] + y


def _fits(heads: Sequence[Head], sitters: Sequence[_Sitter]) -> bool:
    """Return whether no label lies on another label or on another head."""
    boxes = [
        (
            head.x - max(len(line) for line in head.lines) * LETTER / 2,
            head.y - 0.75 * LEADING,
            head.x + max(len(line) for line in head.lines) * LETTER / 2,
            head.y + LEADING * (len(head.lines) - 1) + 4,
        )
        for head in heads
    ]
    faces = [
        (
            s.middle[0] - 0.85 * s.half[0],
            s.middle[1] - s.half[1],
            s.middle[0] + 0.85 * s.half[0],
            s.middle[1] + 0.9 * s.half[1],
        )
        for s in sitters
    ]
    return all(
        not _over(box, other)
        for k, box in enumerate(boxes)
        for other in (*boxes[:k], *faces[:k], *faces[k + 1 :])
    )


def _over(one: Sequence[float], other: Sequence[float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _edges(
    crop: tuple[float, float, float, float],
    size_px: tuple[int, int],
    at: Callable[[float, float], tuple[float, float]],
) -> tuple[tuple[float, float, float, float], ...]:
    """Return the edges of the frame that lie in the drawn part."""
    left, top, right, foot = crop
    wide, high = size_px
    ends = (
        (left <= 0, (0.0, top), (0.0, foot)),
        (right >= wide, (wide, top), (wide, foot)),
        (top <= 0, (left, 0.0), (right, 0.0)),
        (foot >= high, (left, high), (right, high)),
    )
    return tuple((*at(*one), *at(*other)) for drawn, one, other in ends if drawn)


def _counted(sitters: Sequence[_Sitter]) -> str:
    told = [s for s in sitters if s.answer.inside is not None]
    if not told:
        return "Who is in the depth of field we cannot tell."
    held = sum(s.answer.inside is True for s in told)
    untold = len(sitters) - len(told)
    rest = f"; of {count_word(untold)} we cannot tell" if untold else ""
    if held == len(sitters):
        return f"All {count_word(held)} are in the depth of field."
    share = f"{capital(count_word(held)) if held else 'None'} of {count_word(len(sitters))}"
    return f"{share} {'is' if held < 2 else 'are'} in the depth of field{rest}."
