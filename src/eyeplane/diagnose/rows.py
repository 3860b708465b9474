"""Where the sitters of one frame stand against its one focus plane."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose.case import FaceCase
from eyeplane.diagnose.cone import LOG_SD_FLOOR, SOFT_PX, STUDENT_NU
from eyeplane.diagnose.lens import Z90, Lens
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]

PLANE_NODES = 401  # distances tried for the focus plane, even in their logarithm
PLANE_SPAN = 1.6  # beyond the nearest and farthest sitter, as a factor
DISTANCE_NODES = 81  # of each sitter's distance, to 3.5 standard deviations
FEWEST = 0.02  # of the probability is kept for either side, whatever the cone says


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """Where one sitter's near eye stands.

    Attributes
    ----------
    plane_mm : float
        Distance of the focus plane from the lens, as the whole group tells it (median).
    behind_mm : Measured
        Near eye minus focus plane, + farther than the plane.
    discs_px, weights : ndarray
        Discs that the plane may make at this eye, and how probable each is.
    """

    plane_mm: float
    behind_mm: Measured
    discs_px: FloatArray
    weights: FloatArray

    def chance_within(self, circle_px: float) -> float:
        """Return the probability that the disc is no larger than a circle.

        Parameters
        ----------
        circle_px : float
            Diameter in px.

        Returns
        -------
        float
            0 to 1.
        """
        return float(self.weights[self.discs_px <= circle_px].sum())


def standings_of(cases: Sequence[FaceCase]) -> tuple[Standing | None, ...]:
    """Return where the sitters of one frame stand against its focus plane.

    Parameters
    ----------
    cases : sequence of FaceCase
        Sitters of one frame.

    Returns
    -------
    tuple of Standing or None
        In the same order; None for a sitter whose lens or distance is not known.

    Notes
    -----
    One plane at an unknown distance F serves all. Sitter k stands at D_k, known from the size of
    the face (log-normal). What was measured on the face tells F − D_k: its own offset where that
    was told with a side, else the disc at the near eye, by the exact thin lens, each side
    weighted by how probable the face's cone makes it. So a face whose disc alone cannot tell front
    from back gets its side from where it stands against those in focus.
    """
    known = [c for c in cases if c.lens is not None]
    lenses = [c.lens for c in known if c.lens is not None]
    if not known:
        return tuple(None for _ in cases)
    plane = _planes(lenses)
    tables = [_table(case, lens, plane) for case, lens in zip(known, lenses, strict=True)]
    log_sum = sum(np.log(np.maximum(t.sum(axis=1), 1e-300)) for _, t in tables)
    post = np.exp(log_sum - np.max(log_sum))
    post /= post.sum()
    middle = float(np.interp(0.5, np.cumsum(post) - 0.5 * post, plane))
    found = {}
    for case, lens, (distance, table) in zip(known, lenses, tables, strict=True):
        rows = np.maximum(table.sum(axis=1, keepdims=True), 1e-300)
        weight = post[:, None] * table / rows
        discs = lens.circle_px(plane[:, None], distance[None, :])
        found[id(case)] = Standing(
            plane_mm=middle,
            behind_mm=_measured(distance[None, :] - plane[:, None], weight),
            discs_px=discs.ravel(),
            weights=weight.ravel() / weight.sum(),
        )
    return tuple(found.get(id(c)) for c in cases)


def _planes(lenses: Sequence[Lens]) -> FloatArray:
    near = min(lens.distance_mm.low for lens in lenses) / PLANE_SPAN
    far = max(lens.distance_mm.high for lens in lenses) * PLANE_SPAN
    near = max(near, 1.5 * max(lens.focal_length_mm for lens in lenses))
    return np.geomspace(near, max(far, 1.01 * near), PLANE_NODES)


def _table(case: FaceCase, lens: Lens, plane: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return distances of one sitter, and the likelihood [plane, distance] with their prior."""
    u = np.linspace(-3.5, 3.5, DISTANCE_NODES)
    spread = max(np.log(lens.distance_mm.high / lens.distance_mm.low) / (2 * Z90), 0.005)
    distance = lens.distance_mm.value * np.exp(spread * u)
    prior = np.exp(-0.5 * u * u)
    offset = plane[:, None] - distance[None, :]
    return distance, prior / prior.sum() * _likelihood(case, lens, offset, distance)


def _likelihood(case: FaceCase, lens: Lens, offset: FloatArray, distance: FloatArray) -> FloatArray:
    told = case.offset.offset_mm
    if told is not None and case.offset.side:
        step = 0.6 * float(np.diff(offset[:, 0]).mean())  # the grid tells no finer
        below = max((told.value - told.low) / Z90, step)
        above = max((told.high - told.value) / Z90, step)
        t = (offset - told.value) / np.where(offset < told.value, below, above)
        return np.asarray(np.exp(-0.5 * np.minimum(t * t, 200.0)) + 1e-6)
    blur, shut = case.eye.blur, _shut(case)
    if blur.size_px is None or blur.kind == "line" or shut:
        return np.ones_like(offset)
    disc = lens.circle_px(distance[None, :] + offset, distance[None, :])
    behind = 0.5 if case.offset.fit is None else case.offset.fit.behind
    behind = min(max(behind, FEWEST), 1.0 - FEWEST)
    return _agreement(disc, blur.size_px) * np.where(offset > 0, behind, 1.0 - behind)


def _shut(case: FaceCase) -> bool:
    return any(e.side == case.eye.side and e.open is False for e in case.reading.face.eyes)


def _agreement(disc_px: FloatArray, seen_px: Measured) -> FloatArray:
    """Return how well discs agree with a measured one, as the cone fit has it."""
    low, high = max(seen_px.low, 0.0) + SOFT_PX, max(seen_px.high, 0.0) + SOFT_PX
    spread = max(float(np.log(high / low)) / (2 * Z90), LOG_SD_FLOOR)
    t = (np.log(max(seen_px.value, 0.0) + SOFT_PX) - np.log(disc_px + SOFT_PX)) / spread
    return np.asarray((1.0 + t * t / STUDENT_NU) ** (-(STUDENT_NU + 1) / 2))


def _measured(values: FloatArray, weights: FloatArray) -> Measured:
    flat, mass = values.ravel(), weights.ravel()
    order = np.argsort(flat)
    total = np.cumsum(mass[order])
    total = (total - 0.5 * mass[order]) / total[-1]
    low, value, high = (float(q) for q in np.interp([0.05, 0.5, 0.95], total, flat[order]))
    return Measured(value=value, low=low, high=high)
