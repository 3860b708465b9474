"""What the edges say of a disc or a line: a witness apart from the spectrum, and coarser.

Calibrated on synthetic blur of photographs: an edge reading, plus 2 px, comes within a quarter of
the blur's own size, plus 2 px; only natural softness makes it larger.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.bank import Line
from eyeplane.measure.edges import EdgeReading

BLIND_PX = 2.0  # thin lines (lashes) look sharper to it than edges: smaller sizes look alike
EDGE_PX = 2.0  # below about this size edges tell little
EDGE_SPREAD = 0.25  # of ln(edge reading + EDGE_PX): edges seldom look sharper than the blur ...
EDGE_SOFTNESS = 0.8  # ... but are often softer by nature
EDGE_KNEE = 2.0  # standard deviations from where on a contradiction grows evenly, not squared
DISC_REACH_PX = 110.0  # edges under a disc of this diameter read half of it ...
LINE_REACH_PX = 30.0  # ... and across a line of this length, where noise is all that is left
NEIGHBOUR_SHARE = 0.3  # of what edges 45 degrees off say: natural normals vary inside a class


def disc_support(
    edges: Sequence[EdgeReading | None], sizes_px: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the log-likelihood of discs by the edges.

    Parameters
    ----------
    edges : sequence of (EdgeReading or None)
        Of windows that share one blur; their witness counts once, since it errs alike in all.
    sizes_px : ndarray
        Diameters.

    Returns
    -------
    ndarray
        Natural logarithm, up to a constant; all 0 without edges.
    """
    read = [e.middle_px for e in edges if e is not None]
    expected = sizes_px / (1 + sizes_px / DISC_REACH_PX)
    parts = [_support(r, expected) for r in read]
    return np.asarray(np.mean(parts or [np.zeros(len(sizes_px))], axis=0))


def line_support(edges: Sequence[EdgeReading | None], lines: Sequence[Line]) -> NDArray[np.float64]:
    """Return the log-likelihood of lines by those edges that they must have blurred.

    Parameters
    ----------
    edges : sequence of (EdgeReading or None)
        Of windows that share one blur.
    lines : sequence of Line
        Motions.

    Returns
    -------
    ndarray
        Natural logarithm, up to a constant; all 0 without edges.
    """
    lengths = np.array([line[0] for line in lines])
    angles = np.array([line[1] for line in lines])
    parts = []
    for found in (e for e in edges if e is not None):
        part = np.zeros(len(lines))
        for direction, read in enumerate(found.across_px):
            if read is not None:
                part += _across_support(read, lengths, angles - direction * math.pi / 4)
        parts.append(part)
    return np.asarray(np.mean(parts or [np.zeros(len(lines))], axis=0))


def _across_support(
    read_px: float, lengths_px: NDArray[np.float64], angles: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return what edges say whose normals lie within 22.5° of a direction `angles` away."""
    off = np.abs((angles + math.pi / 2) % math.pi - math.pi / 2)
    nearest = off <= math.pi / 8
    across = lengths_px * np.where(nearest, 1.0, np.cos(np.minimum(off + math.pi / 8, math.pi / 2)))
    support = _support(read_px, across / (1 + across / LINE_REACH_PX))
    return np.asarray(np.where(nearest, support, NEIGHBOUR_SHARE * np.minimum(support, 0.0)))


def _support(read_px: float, sizes_px: NDArray[np.float64]) -> NDArray[np.float64]:
    sizes = np.maximum(sizes_px, BLIND_PX)
    off = (math.log(max(read_px, BLIND_PX) + EDGE_PX) - np.log(sizes + EDGE_PX)) / EDGE_SPREAD
    far = np.abs(off)
    sharper = np.where(far < EDGE_KNEE, 0.5 * off**2, EDGE_KNEE * (far - EDGE_KNEE / 2))
    softer = off * EDGE_SPREAD / EDGE_SOFTNESS
    return np.asarray(-np.where(off < 0, sharper, softer))
