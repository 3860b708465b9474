"""Motion at a printed chart: how much more blurred each edge is than in the sharpest frames.

A line of motion of length L blurs an edge like a box of width w = L |cos| of the angle between the
line and the edge's normal, so w² = L²/2 + L²/2 cos 2(φ − θ): a constant and a wave over twice the
normal's direction θ. Missed focus has no wave. Edges that lean both ways tell the two apart.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.measure.slanted import EdgeResponse
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]
EdgeKey = tuple[int, int]  # square, and which of its four sides

REFERENCE_SHARE = 0.25  # of the frames, the sharpest, are what others are held against; no source
FEWEST_EDGES = 8  # that a frame must share with those; no source
HALF = 0.5  # contrast at which edges are compared
Z90 = 1.6449  # half width of a 90 % interval in standard deviations
LEAST_ERROR_PX2 = 0.02  # of w² of an edge: two readings of one edge agree no better; from renders
MOST_BOX = 0.95  # of a box's first zero: nearer to it contrast tells no width


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeMotion:
    """What the edges of one frame say.

    Attributes
    ----------
    line_px : Measured
        Length of the line of motion.
    round_px : float
        Width of the box of equal blur that is alike in all directions: missed focus.
    edges : int
        Edges it rests on.
    """

    line_px: Measured
    round_px: float
    edges: int


Edges = Mapping[EdgeKey, EdgeResponse]


def reference_frames(frames: Sequence[Edges]) -> tuple[int, ...]:
    """Return the sharpest frames.

    Parameters
    ----------
    frames : sequence of mapping
        The edges of each frame, by square and side.

    Returns
    -------
    tuple of int
        A quarter of those that have enough edges, at least one; empty if none has.
    """
    found = []
    for number, edges in enumerate(frames):
        halves = [e.mtf50_per_px for e in edges.values() if e.mtf50_per_px is not None]
        if len(edges) >= FEWEST_EDGES:
            found.append((-float(np.median(halves or [1.0])), number))
    count = max(1, round(REFERENCE_SHARE * len(found)))
    return tuple(number for _, number in sorted(found)[:count])


def motion_at_edges(edges: Edges, references: Sequence[Edges]) -> EdgeMotion | None:
    """Return the motion that one frame shows against the sharpest ones.

    Parameters
    ----------
    edges : mapping
        Its edges, by square and side.
    references : sequence of mapping
        Those of the sharpest frames.

    Returns
    -------
    EdgeMotion or None
        None if they share too few edges.
    """
    squares, angles = [], []
    for key, edge in edges.items():
        known = [one[key] for one in references if key in one]
        others = [one for one in known if one is not edge] or known
        width = box_px2(edge, others) if others else None
        if width is not None:
            squares.append(width)
            angles.append(math.radians(edge.angle_deg))
    if len(squares) < FEWEST_EDGES:
        return None
    return _fitted(np.array(squares), np.array(angles))


def box_px2(edge: EdgeResponse, known: Sequence[EdgeResponse]) -> float | None:
    """Return the squared width of the box by which an edge is more blurred.

    Parameters
    ----------
    edge : EdgeResponse
        The edge.
    known : sequence of EdgeResponse
        The same edge in the sharpest frames, at least one.

    Returns
    -------
    float or None
        In px²; below 0 where it is sharper. None where its contrast cannot be compared.
    """
    mtf = np.mean([one.mtf for one in known], axis=0)
    frequency = edge.frequency_per_px
    below = np.flatnonzero(np.minimum(edge.mtf, mtf) < HALF)
    if not len(below):
        return None
    k = max(int(below[0]), 1)
    ratio = float(edge.mtf[k] / max(float(mtf[k]), 1e-9))
    at = math.pi * float(frequency[k])
    if ratio >= 1.0:
        return -6.0 * (ratio - 1.0) / at**2  # of sin(x) / x, near 1
    x = inverse_sinc(ratio)
    return None if x > MOST_BOX * math.pi else (x / at) ** 2


def inverse_sinc(value: float) -> float:
    """Return the x in (0, π] at which sin(x) / x has a value.

    Parameters
    ----------
    value : float
        In [0, 1).

    Returns
    -------
    float
        By halving.

    Examples
    --------
    >>> round(inverse_sinc(0.5), 4)
    1.8955
    """
    low, high = 0.0, math.pi
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if math.sin(middle) / middle > value else (low, middle)
    return (low + high) / 2


def _fitted(squares: FloatArray, angles: FloatArray) -> EdgeMotion:
    """Return the wave in w² over twice the direction, by least squares, outliers set aside."""
    design = np.column_stack([np.ones_like(angles), np.cos(2 * angles), np.sin(2 * angles)])
    kept = np.ones(len(squares), dtype=bool)
    told, scatter = np.zeros(3), LEAST_ERROR_PX2
    for _ in range(3):
        told = np.linalg.lstsq(design[kept], squares[kept], rcond=None)[0]
        off = np.abs(squares - design @ told)
        scatter = max(1.4826 * float(np.median(off)), LEAST_ERROR_PX2)
        kept = off <= 4.0 * scatter
    covariance = np.linalg.pinv(design[kept].T @ design[kept]) * scatter**2
    wave = float(np.hypot(told[1], told[2]))
    towards = told[1:] / wave if wave > 0 else np.array([1.0, 0.0])
    sd = math.sqrt(max(float(towards @ covariance[1:, 1:] @ towards), 0.0))
    plain = math.sqrt(max(wave**2 - sd**2, 0.0))  # noise alone makes waves
    low, value, high = (
        math.sqrt(2.0 * max(one, 0.0)) for one in (wave - Z90 * sd, plain, wave + Z90 * sd)
    )
    return EdgeMotion(
        line_px=Measured(value=value, low=min(low, value), high=max(high, value)),
        round_px=math.sqrt(max(float(told[0]) - plain, 0.0)),
        edges=int(kept.sum()),
    )
