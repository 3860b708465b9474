"""How dark and how clear a frame is, zone by zone: what a veil on the glass would change.

Arrays are [y, x].
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging import Picture
from eyeplane.imaging.orient import upright_view
from eyeplane.imaging.tone import SRGB_LUMA_WEIGHTS, srgb_to_linear
from eyeplane.measure.places import SMALL_EDGE_PX
from eyeplane.records import Veil

LONG_ZONES, SHORT_ZONES = 6, 4  # along the long and the short edge: square zones on 3 : 2
DARKEST_SHARE = 0.01  # of a zone's pixels that its darkest light is the limit of
BLOCKS = 8  # coarse detail: a zone's 8 × 8 blocks against each other, down to 1/48 of the edge
BORDER_CODE = 4  # sRGB code up to which a row that is black from end to end is called a border
BORDER_EDGE_PX = 2  # of the halved picture, left out beside a border
USED_SHARE = 0.25  # of a zone's side: with less of it outside of borders it is read with them
LEAST_LIGHT = 1e-6  # of white: contrasts of a zone darker than this are held against it
Span = tuple[int, int]  # first pixel, and the one after the last
_BACK = {6: 8, 8: 6}  # the orientations whose turn back is not themselves


def read_veil(picture: Picture) -> Veil:
    """Return how dark and how clear each zone of a frame is.

    Parameters
    ----------
    picture : Picture
        The frame.

    Returns
    -------
    Veil
        In 6 × 4 zones (4 × 6 if stored upright), laid as the frame is stored.

    Notes
    -----
    Read from the small picture that faces are looked for in. Its pixels average several of the
    frame's, which keeps grain out of the darkest light. A black border around the picture is left
    out; a zone that is nothing else reads 0 throughout.
    """
    small, _ = picture.rgb_small(SMALL_EDGE_PX)
    darkest, level, coarse, fine = read_zones(small)
    back = _BACK.get(picture.orientation, picture.orientation)
    stored = [upright_view(part, back) for part in (darkest, coarse, fine, level)]
    rows, columns = stored[0].shape
    values = [tuple(float(v) for v in part.ravel()) for part in stored]
    return Veil(
        columns=columns,
        rows=rows,
        darkest=values[0],
        coarse=values[1],
        fine=values[2],
        level=values[3],
        orientation=picture.orientation,
    )


def read_zones(small: NDArray[np.uint8]) -> tuple[NDArray[np.float64], ...]:
    """Return the zones of a small picture.

    Parameters
    ----------
    small : ndarray
        Of uint8 [y, x, 3], sRGB.

    Returns
    -------
    tuple of ndarray
        Darkest light, mean light, coarse contrast and fine contrast, each [row, column] with
        6 zones along the long edge and 4 along the short one.
    """
    height, width = small.shape[:2]
    rows, columns = (SHORT_ZONES, LONG_ZONES) if width >= height else (LONG_ZONES, SHORT_ZONES)
    luma = _luma(_halved(small, rows, columns))
    bounds = _seen(luma)
    darkest, level, coarse, fine = (np.zeros((rows, columns)) for _ in range(4))
    detail = (luma - cv2.blur(luma, (3, 3))) ** 2
    edges = [
        np.linspace(0, n, k + 1).round().astype(int)
        for n, k in zip(luma.shape, (rows, columns), strict=True)
    ]
    for at in np.ndindex(rows, columns):
        box = _box(edges, at, bounds)
        zone = luma[box]
        mean = float(zone.mean())
        light = zone.ravel()
        rank = int(DARKEST_SHARE * light.size)
        darkest[at], level[at] = float(np.partition(light, rank)[rank]), mean
        lumps = cv2.resize(zone, (BLOCKS, BLOCKS), interpolation=cv2.INTER_AREA)
        coarse[at] = float(lumps.std()) / max(mean, LEAST_LIGHT)
        fine[at] = float(np.sqrt(detail[box].mean())) / max(mean, LEAST_LIGHT)
    return darkest, level, coarse, fine


def _halved(small: NDArray[np.uint8], rows: int, columns: int) -> NDArray[np.uint8]:
    """Return the picture at half its size, or enlarged where zones would have no blocks."""
    height, width = small.shape[:2]
    size = (max(width // 2, 2 * BLOCKS * columns), max(height // 2, 2 * BLOCKS * rows))
    halves = width == 2 * size[0] and height == 2 * size[1]
    if not halves and width >= 2 * size[0] and height >= 2 * size[1]:
        small = small[: 2 * size[1], : 2 * size[0]]  # an odd row is left off: twenty times as fast
    return np.asarray(cv2.resize(small, size, interpolation=cv2.INTER_AREA), np.uint8)


def _luma(codes: NDArray[np.uint8]) -> NDArray[np.float32]:
    linear = srgb_to_linear(np.linspace(0.0, 1.0, 256))
    tables = np.stack([w * linear for w in SRGB_LUMA_WEIGHTS], axis=1).astype(np.float32)
    parts = cv2.LUT(codes, tables[None])
    return np.asarray(cv2.transform(parts, np.ones((1, 3), np.float32)), np.float32)


def _seen(luma: NDArray[np.float32]) -> tuple[Span, Span]:
    """Return what is not a black border: rows and columns black from end to end, at the edges."""
    black = float(srgb_to_linear(np.array(BORDER_CODE / 255)))
    spans = []
    for size, axis in zip(luma.shape, (1, 0), strict=True):
        lit = np.flatnonzero(np.asarray(cv2.reduce(luma, axis, cv2.REDUCE_MAX)).ravel() > black)
        first, last = (int(lit[0]), int(lit[-1])) if lit.size else (0, size - 1)
        # A border's own edge is half dark still.
        first = first + BORDER_EDGE_PX if first else 0
        last = last - BORDER_EDGE_PX if last < size - 1 else last
        spans.append((first, last + 1))
    return spans[0], spans[1]


def _box(
    edges: list[NDArray[np.int_]], at: tuple[int, ...], seen: tuple[Span, Span]
) -> tuple[slice, slice]:
    """Return a zone's pixels without the border, or with it where little else is left."""
    box = []
    for edge, place, span in zip(edges, at, seen, strict=True):
        first, last = int(edge[place]), int(edge[place + 1])
        low, high = max(first, span[0]), min(last, span[1])
        enough = high - low >= USED_SHARE * (last - first)
        box.append(slice(low, high) if enough else slice(first, last))
    return box[0], box[1]
