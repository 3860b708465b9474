"""One look of the detector: a square of the frame in, boxes with six points out."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from eyeplane.faces.nets import DETECTOR, net
from eyeplane.faces.view import carry

if TYPE_CHECKING:
    from numpy.typing import NDArray

SIDE_PX = 192  # the detector's input
BEYOND = 128  # grey level outside the frame
_GRID = 48  # cells a side, one box each


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A face as the detector sees it, in frame pixels.

    Attributes
    ----------
    x_px, y_px : float
        Middle of its box.
    size_px : float
        Side of its box, from brow to chin.
    score : float
        0..1.
    points_px : tuple of (float, float)
        Eye on the picture's left of an upright head, its other eye, nose tip, mouth, then the
        ear openings in the order of the eyes.
    turn_rad : float
        How the look was turned that found it, from +x towards +y.
    """

    x_px: float
    y_px: float
    size_px: float
    score: float
    points_px: tuple[tuple[float, float], ...]
    turn_rad: float = 0.0


def look(
    crop: "NDArray[np.uint8]", matrix: "NDArray[np.float64]", *, lowest_score: float
) -> list[Found]:
    """Return the faces that the detector sees in one square, best first, doubles left in.

    Parameters
    ----------
    crop : ndarray of uint8, shape (192, 192, 3)
        RGB.
    matrix : ndarray of float64, shape (2, 3)
        From positions in the crop to the frame.
    lowest_score : float
        Boxes below it are left out.

    Returns
    -------
    list of Found
        In frame pixels.
    """
    regressed, logits = net(DETECTOR).run(crop.astype(np.float32) / 127.5 - 1.0)
    scores = 1.0 / (1.0 + np.exp(-np.clip(logits, -80.0, 80.0)))
    keep = np.nonzero(scores >= lowest_score)[0]
    keep = keep[np.argsort(-scores[keep], kind="stable")]
    scale = float(np.hypot(matrix[0, 0], matrix[1, 0]))
    turn = math.atan2(matrix[1, 0], matrix[0, 0])
    found = []
    for cell in keep:
        raw = regressed.reshape(-1, 16)[cell].astype(np.float64)
        anchor = (np.array([cell % _GRID, cell // _GRID]) + 0.5) * SIDE_PX / _GRID
        places = carry(matrix, np.vstack([raw[:2], raw[4:].reshape(6, 2)]) + anchor)
        found.append(
            Found(
                x_px=float(places[0, 0]),
                y_px=float(places[0, 1]),
                size_px=float(max(raw[2], raw[3])) * scale,
                score=float(scores[cell]),
                points_px=tuple((float(x), float(y)) for x, y in places[1:]),
                turn_rad=turn,
            )
        )
    return found


def overlap(a: Found, b: Found) -> float:
    """Return the shared area of two boxes over the area of the smaller one, 0..1.

    Parameters
    ----------
    a, b : Found
        Boxes, taken as upright squares.

    Returns
    -------
    float
        0 when apart, 1 when one holds the other.
    """
    reach = (a.size_px + b.size_px) / 2
    smaller = min(a.size_px, b.size_px)
    if smaller <= 0.0:
        return 0.0
    width = min(smaller, max(0.0, reach - abs(a.x_px - b.x_px)))
    height = min(smaller, max(0.0, reach - abs(a.y_px - b.y_px)))
    return width * height / smaller**2


def without_doubles(found: list[Found], *, most_overlap: float = 0.4) -> list[Found]:
    """Return the faces with doubles of better-scored ones left out.

    Parameters
    ----------
    found : list of Found
        In any order.
    most_overlap : float
        Two boxes that share more than this part of the smaller one are one face.

    Returns
    -------
    list of Found
        Best score first.
    """
    kept: list[Found] = []
    for face in sorted(found, key=lambda f: -f.score):
        if all(overlap(face, other) <= most_overlap for other in kept):
            kept.append(face)
    return kept
