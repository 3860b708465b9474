"""Shadows held against those of an earlier check: new, gone, or still there.

Points are (x, y) from the middle of the frame, in shares of its long edge.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_places import field_name
from eyeplane.records.kit_dust import DustGone, DustLimit, DustResult, DustShadow, DustSince

SHIFT = 0.045  # most that shadows move outwards: t/n over the pupil's distance, 1.3 mm over 30 mm
NEAR = 0.30  # of a shadow's diameter: farther apart is another one; our own choice
SLACK = 0.0006  # of the long edge, that lenses off their axis move shadows sideways; our own choice
ALIKE = 3.0  # most by which the light that one particle takes may seem to differ; our own choice
CLEARLY = 1.6  # times the limit of a check: what is deeper would have been found; our own choice


def compared(now: DustResult, earlier: DustResult) -> DustResult:
    """Return a check held against an earlier one of the same sensor.

    Parameters
    ----------
    now, earlier : DustResult
        The two; apertures, lenses and sizes may differ.

    Returns
    -------
    DustResult
        `now` with what is new, still there and gone.

    Notes
    -----
    Another lens has its exit pupil elsewhere, so all shadows may have moved outwards or inwards
    alike, by up to 4.5 % of their distance from the middle: the scale at which most meet is taken.
    "new" and "gone" are said only of what would have been found by the other check as well.
    """
    here = _Sky.of(now.shadows, (now.width_px, now.height_px))
    there = _Sky.of(earlier.shadows, (earlier.width_px, earlier.height_px))
    scale, pairs = _matched(here, there)
    met = {one for one, _ in pairs}
    then = {before for _, before in pairs}
    stops = _stops(now.f_number, earlier.f_number)
    return replace(
        now,
        shadows=tuple(
            replace(one, since=_since(k in met, one, stops, earlier.limit))
            for k, one in enumerate(now.shadows)
        ),
        gone=tuple(
            DustGone(
                at_share=one.at_share,
                field=field_name(one.at_share) if earlier.whole else "",
                depth_share=one.depth_share.value,
                sure=_clear(one, stops, now.limit),
            )
            for k, one in enumerate(earlier.shadows)
            if k not in then
        ),
        compared_with=earlier.done_at,
        pupil_scale=scale if pairs else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sky:
    """Where shadows lie, how wide they are and what light they take, the long edge being 1."""

    points: NDArray[np.float64]
    diameters: NDArray[np.float64]
    lost: NDArray[np.float64]

    @classmethod
    def of(cls, shadows: Sequence[DustShadow], size_px: tuple[int, int]) -> "_Sky":
        edge = float(max(size_px))
        points = np.array([one.at_share for one in shadows], float).reshape(-1, 2)
        return cls(
            points=(points - 0.5) * (np.array(size_px, float) / edge),
            diameters=np.array([one.diameter_px.value for one in shadows]) / edge,
            lost=np.array([max(one.lost_px2.value, 1e-9) for one in shadows]) / edge**2,
        )


def _matched(here: _Sky, there: _Sky) -> tuple[float, list[tuple[int, int]]]:
    """Return the scale by which most shadows meet, and which meet which."""
    if not len(here.points) or not len(there.points):
        return 1.0, []
    wide = np.maximum(here.diameters[:, None], there.diameters[None, :])
    allowed = NEAR * wide + SLACK
    alike = np.abs(np.log(here.lost[:, None] / there.lost[None, :])) < math.log(ALIKE)
    best: tuple[float, float, list[tuple[int, int]]] = (-1.0, 1.0, [])
    for scale in sorted(np.arange(1 - SHIFT, 1 + SHIFT + 1e-9, 0.0005), key=lambda s: abs(s - 1)):
        apart = np.linalg.norm(here.points[:, None] - scale * there.points[None, :], axis=-1)
        cost = np.where((apart < allowed) & alike, apart / allowed, np.inf)
        pairs = _pairs(cost)
        score = sum(1 - 0.5 * float(cost[p]) ** 2 for p in pairs)
        if score > best[0] + 1e-6:
            best = (score, float(scale), pairs)
    return best[1], best[2]


def _pairs(cost: NDArray[np.float64]) -> list[tuple[int, int]]:
    """Return the nearest pairs, each shadow once."""
    order = [(int(k // cost.shape[1]), int(k % cost.shape[1])) for k in np.argsort(cost, axis=None)]
    pairs: list[tuple[int, int]] = []
    for now, before in order:
        if not np.isfinite(cost[now, before]):
            break
        if all(now != a and before != b for a, b in pairs):
            pairs.append((now, before))
    return pairs


def _stops(now: float | None, before: float | None) -> float:
    """Return the f-number now over that before, 1 where one is not known."""
    return now / before if now and before else 1.0


def _clear(one: DustShadow, stops: float, limit: DustLimit | None) -> bool:
    """Return whether a shadow would clearly have been found in the other check."""
    if limit is None:
        return False
    depth = min(1.0, one.depth_share.value * stops**2)
    return depth > CLEARLY * max(limit.depth_share, limit.worst_share / CLEARLY)


def _since(
    met: bool,  # noqa: FBT001  one answer of two
    one: DustShadow,
    stops: float,
    limit_then: DustLimit | None,
) -> DustSince:
    if met:
        return "still there"
    return "new" if _clear(one, 1 / stops, limit_then) else "cannot tell"
