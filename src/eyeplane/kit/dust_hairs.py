"""Long thin shadows: hairs and fibres on the sensor. Points are (x, y), arrays [y, x]."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_find import Coding, Field, Level, levels

STANDS_OUT = 4.0  # spreads of the noise that each part of a hair stands out; our own choice
ON_AVERAGE = 6.0  # that its whole length stands out on average; our own choice
SLENDER = 3.0  # length over breadth from which a shadow is called a hair; our own choice
WIDE = 1.2  # of the cone's diameter b, of the filter: a hair adds its own breadth
LONGEST = 0.5  # of the short edge: longer lines are folds, bands or edges of the surface


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line:
    """A long thin dark place.

    Attributes
    ----------
    x_px, y_px : float
        Its middle, in pixels of the field.
    length_px, breadth_px : float
        Of the shadow.
    angle_deg : float
        Main direction, counter-clockwise from +x, in [0, 180).
    depth_share, depth_sd : float
        Middling loss along its ridge, and the spread of that.
    lost_px2 : float
        Loss summed over it, in pixels of the field.
    strength : float
        Mean answer along it over its spread.
    cover : ndarray
        bool [y, x] of the whole field, what it hides.
    inside : bool
        Whether it is short enough, and ends within the frame, to be a hair.
    """

    x_px: float
    y_px: float
    length_px: float
    breadth_px: float
    angle_deg: float
    depth_share: float
    depth_sd: float
    lost_px2: float
    strength: float
    cover: NDArray[np.bool_]
    inside: bool


def find_lines(field: Field, *, cone_px: float, coding: Coding | None = None) -> tuple[Line, ...]:
    """Return long thin dark places: hairs, and folds or bands of the surface.

    Parameters
    ----------
    field : ndarray
        Of float32 [y, x] around 1.
    cone_px : float
        Diameter b of the cone of light, in pixels of the field.
    coding : Coding or None
        How coarsely the file is coded.

    Returns
    -------
    tuple of Line
        Strongest first; those that are no hairs have `inside` False.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    wide = WIDE * cone_px
    level = next(levels(field, smallest_px=wide, largest_px=wide, coding=coding))
    dark = (level.strength > STANDS_OUT).astype(np.uint8)
    closed = cv2.morphologyEx(dark, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(closed, connectivity=8)
    lines = []
    least = max(20.0, 1.5 * (level.diameter_px / level.step) ** 2)
    for label in range(1, count):
        left, top, width, height, area = stats[label]
        if area >= least:
            box = (slice(top, top + height), slice(left, left + width))
            line = _line(level, field, labels[box] == label, box, cone_px)
            if line is not None:
                lines.append(line)
    return tuple(sorted(lines, key=lambda one: one.strength, reverse=True))


def _line(
    level: Level,
    field: Field,
    part: NDArray[np.bool_],
    box: tuple[slice, slice],
    cone_px: float,
) -> Line | None:
    import cv2  # noqa: PLC0415  slow to load for --help

    padded = np.pad(part.astype(np.uint8), 1)
    inner = cv2.distanceTransform(padded, cv2.DIST_L2, 5)[1:-1, 1:-1]
    half = float(np.quantile(inner[part], 0.95))
    length = part.sum() / max(2 * half - 1, 1.0)  # along a curve too: area over breadth
    if length < SLENDER * 2 * half:
        return None
    strength = float(np.mean(level.strength[box][part]))
    ridge = part & (inner >= 0.8 * half)
    step = level.step
    ys, xs = np.nonzero(ridge)
    ys, xs = ys + box[0].start, xs + box[1].start
    if strength < ON_AVERAGE or not ys.size:
        return None
    breadth = max(2 * half * step, cone_px)
    cover = np.zeros(field.shape, np.uint8)
    for y, x in zip(ys, xs, strict=True):
        at = (int((x + 0.5) * step), int((y + 0.5) * step))
        cv2.circle(cover, at, int(np.ceil(0.9 * breadth)), 1, -1)
    hidden = cover.astype(bool)
    loss = level.field[ys, xs]
    around = _around(field, hidden, breadth)
    edge = (
        box[0].start <= 1
        or box[1].start <= 1
        or box[0].stop >= level.answer.shape[0] - 1
        or box[1].stop >= level.answer.shape[1] - 1
    )
    middle = len(ys) // 2
    order = np.argsort(xs + ys * 1e-3) if np.ptp(xs) > np.ptp(ys) else np.argsort(ys + xs * 1e-3)
    long_px = float(length) * step
    spread = np.cov(np.stack([xs, ys])) if xs.size > 1 else np.eye(2)
    turn = 0.5 * np.arctan2(-2 * spread[0, 1], spread[0, 0] - spread[1, 1])  # y is down
    return Line(
        x_px=float((xs[order[middle]] + 0.5) * step - 0.5),
        y_px=float((ys[order[middle]] + 0.5) * step - 0.5),
        length_px=long_px,
        breadth_px=breadth,
        angle_deg=float(np.degrees(turn)) % 180.0,
        depth_share=float(np.clip(around - 1 - np.median(loss), 1e-4, 1.0)),
        depth_sd=float(1.25 * np.std(loss) / np.sqrt(max(1.0, long_px / breadth))),
        lost_px2=float(np.sum(around - field[hidden])),
        strength=strength,
        cover=hidden,
        inside=long_px <= LONGEST * min(field.shape) and not edge,
    )


def _around(field: Field, hidden: NDArray[np.bool_], breadth: float) -> float:
    import cv2  # noqa: PLC0415  slow to load for --help

    size = 2 * int(np.ceil(0.6 * breadth)) + 1
    wide = cv2.dilate(hidden.astype(np.uint8), np.ones((size, size), np.uint8)).astype(bool)
    ring = field[wide & ~hidden]
    return float(np.median(ring)) if ring.size else 1.0
