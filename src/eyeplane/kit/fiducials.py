"""Fiducials of our printed sheets: square marks that tell by themselves which they are, and where.

Each is a black square of 7 × 7 cells: a border one cell wide round 5 × 5 cells that hold its number
in the 1000-word dictionary of OpenCV for that size. One cell of bare paper must surround it.
Points are (x, y), mm on paper or px of the upright frame with pixel centres at .5; arrays [y, x].
"""

from collections.abc import Callable
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from eyeplane.imaging.tone import srgb_to_linear
from eyeplane.kit.mark_edges import refined
from eyeplane.records.printed import PointMm, PrintedMark, PrintedPatch

CELLS = 7  # along a side, border counted
NUMBERS = {  # of the first mark of each sheet, which has at most 20
    ("chart", "A4"): 0,
    ("chart", "A3"): 20,
    ("chart", "Letter"): 40,
    ("focus", "A4"): 60,
    ("focus", "A3"): 80,
    ("focus", "Letter"): 100,
}
MARKS_PER_SHEET = 20
SEARCHED_PX = (1600, 3200)  # long edges searched before the full frame: most sheets fill it
SMALLEST_PX = 14  # side of a mark that is read: 2 px a cell
ENOUGH = 6  # marks found at one size that make a search at the next needless
_UNIT = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float64)

Corners = NDArray[np.float64]


@cache
def cells_of(number: int) -> NDArray[np.uint8]:
    """Return the cells of a mark.

    Parameters
    ----------
    number : int
        Of the pattern, 0 to 999.

    Returns
    -------
    ndarray
        Of uint8 [7, 7], 1 where the paper is bare, 0 where there is ink; read-only.
    """
    dictionary = _dictionary()
    size = dictionary.markerSize
    inner = cv2.aruco.Dictionary.getBitsFromByteList(
        dictionary.bytesList[number : number + 1], size
    )
    cells = np.zeros((CELLS, CELLS), np.uint8)
    cells[1:-1, 1:-1] = inner
    cells.flags.writeable = False
    return cells


def mark_patches(
    number: int, corner_mm: PointMm, size_mm: float
) -> tuple[tuple[PrintedPatch, ...], PrintedMark]:
    """Return the ink of a mark and the record that tells of it.

    Parameters
    ----------
    number : int
        Of the pattern, 0 to 999.
    corner_mm : tuple of float
        Its upper left corner on the paper.
    size_mm : float
        Length of its side.

    Returns
    -------
    tuple of (tuple of PrintedPatch, PrintedMark)
        A black square with bare areas over it (and inked ones in their holes), none of which
        shares a side with another of the same ink: no hairlines between them.
    """
    left, top = corner_mm
    step = size_mm / CELLS

    def placed(ring: Corners) -> tuple[PointMm, ...]:
        return tuple((left + step * float(x), top + step * float(y)) for x, y in ring)

    square = placed(_UNIT * CELLS)
    patches = [PrintedPatch(corners_mm=square)]
    for ring, bare in _rings(cells_of(number)):
        patches.append(PrintedPatch(corners_mm=placed(ring), level=float(bare)))
    mark = PrintedMark(number=number, corners_mm=(square[0], square[1], square[2], square[3]))
    return tuple(patches), mark


def find_marks(luma8: NDArray[np.uint8], *, mirrored: bool = False) -> dict[int, Corners]:
    """Return the marks in a frame, their corners to a fraction of a pixel.

    Parameters
    ----------
    luma8 : ndarray
        Of uint8 [y, x], sRGB codes of the upright frame.
    mirrored : bool
        Whether to look for marks as a mirror shows them.

    Returns
    -------
    dict
        Number → float [4, 2] px: upper left, upper right, lower right, lower left corner of the
        mark as printed, however the sheet lies. A number seen twice is left out.

    Notes
    -----
    Searched for in a small copy, then a larger one; the sides are then fitted at full size in
    linear light (`eyeplane.kit.mark_edges`).
    """
    seen = search_marks(luma8, mirrored=mirrored)
    light = srgb_to_linear(np.arange(256) / 255.0).astype(np.float32)[luma8]
    found = {}
    for number, places in seen.items():
        if len(places) == 1:
            mark = refined(light, places[0], cells_of(number))
            found[number] = places[0] if mark is None else mark.corners_px
    return found


def search_marks(luma8: NDArray[np.uint8], *, mirrored: bool = False) -> dict[int, list[Corners]]:
    """Return where marks are seen, roughly.

    Parameters
    ----------
    luma8 : ndarray
        Of uint8 [y, x], sRGB codes.
    mirrored : bool
        Whether to look for marks as a mirror shows them.

    Returns
    -------
    dict
        Number → list of float [4, 2] px, one for each time the mark is seen; only numbers that
        our sheets use.
    """
    height, width = luma8.shape
    longest = max(height, width)

    def shrunk(long_edge_px: int) -> NDArray[np.uint8]:
        scale = long_edge_px / longest
        if scale >= 1:
            return luma8
        size = (max(1, round(width * scale)), max(1, round(height * scale)))
        return np.asarray(cv2.resize(luma8, size, interpolation=cv2.INTER_AREA), np.uint8)

    return search_sizes(shrunk, (width, height), mirrored=mirrored)


def search_sizes(
    shrunk: Callable[[int], NDArray[np.uint8]], size_px: tuple[int, int], *, mirrored: bool = False
) -> dict[int, list[Corners]]:
    """Return where marks are seen in a frame that is shrunk when asked for.

    Parameters
    ----------
    shrunk : callable
        Long edge in px → uint8 [y, x], sRGB codes of the whole frame of that size.
    size_px : tuple of int
        Width and height of the frame.
    mirrored : bool
        Whether to look for marks as a mirror shows them.

    Returns
    -------
    dict
        As `search_marks`, in px of the frame.

    Notes
    -----
    The smallest size at which `ENOUGH` marks are seen decides, else the one with most.
    """
    longest = max(size_px)
    best: dict[int, list[Corners]] = {}
    if min(size_px) < SMALLEST_PX:
        return best
    for long_edge_px in (*(s for s in SEARCHED_PX if s < 0.8 * longest), longest):
        small = shrunk(long_edge_px)
        found = _detected(small, mirrored=mirrored)
        if len(found) > len(best):
            stretch = np.array([size_px[0] / small.shape[1], size_px[1] / small.shape[0]])
            best = {n: [c * stretch for c in places] for n, places in found.items()}
        if len(best) >= ENOUGH:
            break
    return best


def unread_squares(luma8: NDArray[np.uint8]) -> list[float]:
    """Return sides of squares that stand in a frame without a number to be read.

    Parameters
    ----------
    luma8 : ndarray
        Of uint8 [y, x], sRGB codes, small.

    Returns
    -------
    list of float
        Sides in px, of four-cornered dark shapes with sides and diagonals nearly equal: the
        chart's squares and marks too soft or too small to read, and whatever else is square.
    """
    _, _, rejected = _detector(max(luma8.shape)).detectMarkers(luma8)
    sides = []
    for ring in rejected:
        corners = np.asarray(ring, np.float64).reshape(4, 2)
        lengths = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
        across = np.hypot(*(corners[:2] - corners[2:]).T)
        if lengths.max() < 1.3 * lengths.min() and across.max() < 1.3 * across.min():
            sides.append(float(lengths.mean()))
    return sides


@cache
def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)


def _detector(longest_px: int) -> cv2.aruco.ArucoDetector:
    settings = cv2.aruco.DetectorParameters()
    settings.minMarkerPerimeterRate = 4 * SMALLEST_PX / longest_px
    settings.adaptiveThreshWinSizeMax = 43
    settings.perspectiveRemovePixelPerCell = 8
    settings.errorCorrectionRate = 0.3  # of the bits that could be mended: fewer false marks
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    return cv2.aruco.ArucoDetector(_dictionary(), settings)


def _detected(small: NDArray[np.uint8], *, mirrored: bool) -> dict[int, list[Corners]]:
    seen = np.ascontiguousarray(small[:, ::-1]) if mirrored else small
    corners, told, _ = _detector(max(seen.shape)).detectMarkers(seen)
    numbers = np.ravel(told).tolist() if len(corners) else []  # None where nothing is found
    found: dict[int, list[Corners]] = {}
    for ring, number in zip(corners, numbers, strict=True):
        if 0 <= number < max(NUMBERS.values()) + MARKS_PER_SHEET:
            placed = np.asarray(ring, np.float64).reshape(4, 2) + 0.5  # pixel centres at .5
            if mirrored:
                placed[:, 0] = small.shape[1] - placed[:, 0]
            found.setdefault(int(number), []).append(placed)
    return found


def _rings(cells: NDArray[np.uint8]) -> list[tuple[Corners, bool]]:
    """Return the outlines of bare areas and of the inked holes in them, outer ones first.

    Every border between a bare and an inked cell is walked with the bare cell on its right; cells
    that touch in a corner only are kept apart.
    """
    steps: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for y, x in np.argwhere(cells == 1).tolist():
        around = ((0, -1), (1, 0), (0, 1), (-1, 0))  # above, right, below, left
        ring = ((x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1))
        for k, (across, down) in enumerate(around):
            if not cells[y + down, x + across]:
                steps.setdefault(ring[k], []).append(ring[(k + 1) % 4])
    rings = []
    while steps:
        start = min(steps)
        walked = [start]
        heading = (0, 0)
        while True:
            here = walked[-1]
            ends = steps[here]
            following = max(ends, key=lambda end: _turn(heading, here, end))
            ends.remove(following)
            if not ends:
                del steps[here]
            heading = (following[0] - here[0], following[1] - here[1])
            if following == start:
                break
            walked.append(following)
        rings.append(_straightened(np.array(walked, np.float64)))
    rings.sort(key=lambda ring: -abs(_area(ring)))
    return [(ring, _area(ring) > 0) for ring in rings]


def _turn(heading: tuple[int, int], here: tuple[int, int], end: tuple[int, int]) -> int:
    """Return 1 for a turn to the right (into the same cell), 0 for straight on, −1 for left."""
    return heading[0] * (end[1] - here[1]) - heading[1] * (end[0] - here[0])


def _straightened(ring: Corners) -> Corners:
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    into, out = ring - before, after - ring
    return np.asarray(ring[into[:, 0] * out[:, 1] != into[:, 1] * out[:, 0]])


def _area(ring: Corners) -> float:
    following = np.roll(ring, -1, axis=0)
    return float(np.sum(ring[:, 0] * following[:, 1] - ring[:, 1] * following[:, 0]) / 2)
