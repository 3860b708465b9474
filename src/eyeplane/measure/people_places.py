"""Where a person's hair and clothes lie, and background places that are far apart.

Points are (x, y) in pixels of the upright frame, arrays [y, x].
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.places import LEAST_DETAIL, Detail, people_mask, side_for
from eyeplane.records import Face

Place = tuple[float, float]
HAIR_WIDTH_MM = (
    35.0  # a window of hair: as wide as hair stands above and beside a head, from memory
)
CLOTHES_WIDTH_MM = 60.0  # a window of clothes: collar to seam, from memory
HAIR_PLACES = 2
CLOTHES_PLACES = 2
# In half face boxes from the box's middle; a box spans brow to chin and ear to ear, from memory:
HAIR_RING = (1.0, 1.4)  # between the brow and the end of the hair
HAIR_LOWEST = -0.1  # above the eyes: beside them hair is thin and the background near
CLOTHES_TOP, CLOTHES_BOTTOM = 1.7, 3.4  # from the shoulders down to the chest
CLOTHES_HALF_WIDTH = 1.9  # of half a box: shoulders are two to three heads wide, from memory


def hair_places(frame: Detail, face: Face, *, count: int = HAIR_PLACES) -> list[Place]:
    """Return textured places on the hair of a head, most textured first.

    Parameters
    ----------
    frame : Detail
        The frame.
    face : Face
        The head; its roll turns what is above.
    count : int
        How many at most.

    Returns
    -------
    list of (float, float)
        (x, y) in pixels of the upright frame; empty for a head without texture there, or where
        the frame cuts it.
    """
    across, down = _on_head(frame, face)
    radius = np.hypot(across, down)
    inside = (radius > HAIR_RING[0]) & (radius < HAIR_RING[1]) & (down < HAIR_LOWEST)
    return _highest(_merit(frame, inside), frame, count, _apart_px(frame, face, HAIR_WIDTH_MM))


def clothes_places(
    frame: Detail, face: Face, others: Sequence[Face] = (), *, count: int = CLOTHES_PLACES
) -> list[Place]:
    """Return textured places on shoulders and chest, most textured first.

    Parameters
    ----------
    frame : Detail
        The frame.
    face : Face
        The head above them.
    others : sequence of Face
        Other people: their heads are left out.
    count : int
        How many at most.

    Returns
    -------
    list of (float, float)
        (x, y) in pixels of the upright frame; empty where the frame ends below the chin.
    """
    across, down = _on_head(frame, face)
    inside = (down > CLOTHES_TOP) & (down < CLOTHES_BOTTOM) & (np.abs(across) < CLOTHES_HALF_WIDTH)
    for other in others:
        side, fall = _on_head(frame, other)
        inside &= np.hypot(side, fall) > HAIR_RING[1]
    return _highest(_merit(frame, inside), frame, count, _apart_px(frame, face, CLOTHES_WIDTH_MM))


def person_side(name: str, face: Face) -> int:
    """Return the side of the window to measure on a person.

    Parameters
    ----------
    name : str
        "hair" or "clothes".
    face : Face
        Whose: its scale counts.

    Returns
    -------
    int
        In pixels of the frame.
    """
    width = HAIR_WIDTH_MM if name == "hair" else CLOTHES_WIDTH_MM
    return side_for(width, mm_per_px=face.mm_per_px.value)


def person_places(
    frame: Detail, face: Face, others: Sequence[Face] = ()
) -> tuple[tuple[str, Place], ...]:
    """Return the named places of a person besides the face.

    Parameters
    ----------
    frame : Detail
        The frame.
    face : Face
        The head.
    others : sequence of Face
        Other people in the frame.

    Returns
    -------
    tuple of (str, (float, float))
        "hair" and "clothes" with (x, y); hair first.
    """
    hair = [("hair", at) for at in hair_places(frame, face)]
    return (*hair, *(("clothes", at) for at in clothes_places(frame, face, others)))


def spread_places(frame: Detail, faces: Sequence[Face], count: int = 6) -> list[Place]:
    """Return textured places away from people, far apart from each other.

    The frame is divided into as many sectors as places are wanted; each gives its most textured
    place. What sectors without a place leave over goes to the most textured places elsewhere, so
    that a frame whose background fills one half still gives all of them.

    Parameters
    ----------
    frame : Detail
        The frame.
    faces : sequence of Face
        The people in it; heads, hair and all below faces are left out.
    count : int
        How many at most.

    Returns
    -------
    list of (float, float)
        (x, y) in pixels of the upright frame, most textured first; empty if there is no such
        place.
    """
    merit = np.where(frame.level < 0, 0.0, frame.detail)
    people = people_mask(merit.shape, faces, scale=frame.scale, margin_px=frame.side_px)
    merit[people | (merit < LEAST_DETAIL)] = 0.0
    sector = _sectors(merit.shape, count)
    found = [
        _highest(np.where(sector == k, merit, 0.0), frame, 1, frame.side_px) for k in range(count)
    ]
    first = [place for places in found for place in places]
    rest = merit.copy()
    for place in first:
        _clear(rest, frame, place, frame.side_px)
    first += _highest(rest, frame, count - len(first), frame.side_px)
    return sorted(first, key=lambda at: -_at(merit, frame, at))


def _sectors(shape: tuple[int, ...], count: int) -> NDArray[np.int64]:
    """Return to which sector each pixel belongs: about square ones, `count` of them."""
    rows = max(1, min(count, round(math.sqrt(count * shape[0] / shape[1]))))
    y = (np.arange(shape[0]) * rows // shape[0])[:, None]
    x = np.arange(shape[1])[None]
    in_row = np.full(rows, count // rows) + (np.arange(rows) < count % rows)
    before = np.concatenate([[0], np.cumsum(in_row)[:-1]])
    return np.asarray(before[y] + x * in_row[y] // shape[1], np.int64)


def _on_head(frame: Detail, face: Face) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return each pixel as seen from the head: across and down in half boxes from its middle."""
    x, y, width, height = (v * frame.scale for v in face.box_px)
    rows, columns = frame.detail.shape
    right = (np.arange(columns) + 0.5 - (x + width / 2))[None]
    below = (np.arange(rows) + 0.5 - (y + height / 2))[:, None]
    roll = math.radians(face.roll_deg.value)  # clockwise in the picture
    across = right * math.cos(roll) + below * math.sin(roll)
    down = below * math.cos(roll) - right * math.sin(roll)
    return across / (width / 2), down / (height / 2)


def _merit(frame: Detail, inside: NDArray[np.bool_]) -> NDArray[np.float64]:
    usable = inside & (frame.level >= 0) & (frame.detail >= LEAST_DETAIL)
    return np.where(usable, frame.detail, 0.0).astype(float)


def _apart_px(frame: Detail, face: Face, width_mm: float) -> int:
    return max(2, round(side_for(width_mm, mm_per_px=face.mm_per_px.value) * frame.scale))


def _highest(merit: NDArray[np.floating], frame: Detail, count: int, apart_px: int) -> list[Place]:
    """Return the places of highest merit, at least so far apart; merit 0 is never taken."""
    left = merit.copy()
    found: list[Place] = []
    for _ in range(count):
        y, x = np.unravel_index(int(np.argmax(left)), left.shape)
        if left[y, x] <= 0:
            break
        found.append(((x + 0.5) / frame.scale, (y + 0.5) / frame.scale))
        _clear(left, frame, found[-1], apart_px)
    return found


def _clear(merit: NDArray[np.floating], frame: Detail, at: Place, apart_px: int) -> None:
    x, y = (int(v * frame.scale) for v in at)
    merit[max(0, y - apart_px) : y + apart_px, max(0, x - apart_px) : x + apart_px] = 0


def _at(merit: NDArray[np.floating], frame: Detail, at: Place) -> float:
    return float(merit[int(at[1] * frame.scale), int(at[0] * frame.scale)])
