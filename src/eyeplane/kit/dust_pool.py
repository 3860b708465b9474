"""Shadows in what a whole sitting leaves when everything that moves is averaged away.

Points are (x, y) in pixels of the map, centres at whole numbers; arrays are [y, x].
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_find import GAIN, Field, Level, Spot, find_spots, levels
from eyeplane.kit.dust_fit import FINE_PX, Cone, Fit, fit_spot, loss_at
from eyeplane.kit.dust_frame import cone_px
from eyeplane.kit.dust_profile import COVER_LN_SD
from eyeplane.kit.dust_sitting import LEAST_VIEWS, Pool, depth_scale
from eyeplane.kit.dust_stack import ASTRAY, LEAST_GAIN, Found, Searched, pooled_cone, shape_of

UNIT = 0.01  # the map of evidence is held in hundredths, as if it were light
SMALLEST, LARGEST = 0.7, 2.2  # of the cone's diameter
MISFIT = 0.7  # most of its depth that a profile may leave unexplained
LEFT_OUT = (
    0.2  # share of the views, those that speak most for a shadow, without which it must stand
)
STANDS = 4.0  # spreads by which it must
MOSTLY = 0.65  # least share of the views, by their say, in which it must darken


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Map:
    """Evidence in units of its own spread, and the filters' answers to it."""

    pooled: Pool
    evidence: Field
    answers: list[Level]
    cone: Cone

    def spread_at(self, spot: Spot) -> float:
        """Return the spread of the answers around a spot, in shares of light."""
        level = min(self.answers, key=lambda one: abs(math.log(one.diameter_px / spot.diameter_px)))
        rows, columns = level.spread.shape
        row = min(rows - 1, max(0, int((spot.y_px + 0.5) / level.step)))
        column = min(columns - 1, max(0, int((spot.x_px + 0.5) / level.step)))
        y = min(self.evidence.shape[0] - 1, max(0, round(spot.y_px)))
        x = min(self.evidence.shape[1] - 1, max(0, round(spot.x_px)))
        return float(level.spread[row, column]) / UNIT * float(self.pooled.spread[y, x])


def search_pool(pooled: Pool) -> Searched:
    """Return the shadows that stay in their place over a sitting.

    Parameters
    ----------
    pooled : Pool
        Its views, laid over each other.

    Returns
    -------
    Searched
        In pixels of the map; hairs are not looked for.
    """
    first = pooled.views[0]
    size_px, known = cone_px(
        f_number=pooled.f_number,
        pitch_um=first.frame.pitch_um,
        long_edge_px=max(first.frame.width_px, first.frame.height_px),
    )
    cone = Cone(
        size_px=size_px / first.step,
        ln_sd=COVER_LN_SD if known else 1.5 * COVER_LN_SD,
        fine_px=FINE_PX / first.step,
    )
    evidence = (1 + UNIT * (pooled.guarded - 1) / pooled.spread).astype(np.float32)
    answers = list(
        levels(evidence, smallest_px=SMALLEST * cone.size_px, largest_px=LARGEST * cone.size_px)
    )
    work = _Map(pooled=pooled, evidence=evidence, answers=answers, cone=cone)
    dark, bright = (list(_fits(work, sign)) for sign in (1, -1))
    threshold = max(LEAST_GAIN, 1.15 * max((fit.gain for fit in bright), default=0.0))
    found = tuple(
        Found(fit=fit, frames=sum(len(view.paths) for view in pooled.views))
        for fit in dark
        if fit.gain >= threshold
    )
    told = pooled_cone([one.fit for one in found], cone)
    level = min(answers, key=lambda one: abs(math.log(one.diameter_px / cone.size_px)))
    return Searched(
        spots=found,
        lines=(),
        cone=told or cone,
        cone_told=told is not None,
        limit=_limit(level, pooled, threshold),
        threshold=threshold,
        textured=threshold > LEAST_GAIN,
        views=len(pooled.views),
    )


def _limit(level: Level, pooled: Pool, threshold: float) -> NDArray[np.float32]:
    import cv2  # noqa: PLC0415  slow to load for --help

    height, width = level.spread.shape
    local = cv2.resize(pooled.spread, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(math.sqrt(threshold) / GAIN * level.spread / UNIT * local, np.float32)


def _fits(work: _Map, sign: int) -> Iterator[Fit]:
    """Yield the profiles of dark (or, turned over, of bright) places that stay."""
    field = work.pooled.field if sign > 0 else 2 - work.pooled.field
    taken: list[Fit] = []
    for spot in find_spots(work.answers, sign=sign)[:200]:
        y = min(field.shape[0] - 1, max(0, round(spot.y_px)))
        x = min(field.shape[1] - 1, max(0, round(spot.x_px)))
        depth = spot.depth_share / UNIT * float(work.pooled.spread[y, x])
        start = Spot(
            x_px=spot.x_px,
            y_px=spot.y_px,
            diameter_px=spot.diameter_px,
            strength=spot.strength,
            depth_share=min(depth, 0.9),
        )
        fit = fit_spot(field, start, cone=work.cone, answer_sd=work.spread_at(spot))
        if fit is None or fit.gain < LEAST_GAIN or fit.misfit_share > MISFIT:
            continue
        if abs(math.log(fit.cone_px / work.cone.size_px)) > ASTRAY:
            continue
        near = any(
            math.hypot(fit.x_px - o.x_px, fit.y_px - o.y_px) < 0.35 * max(fit.outer_px, o.outer_px)
            for o in taken
        )
        if not near and stays(fit, work.pooled, sign):
            taken.append(fit)
            yield fit


def stays(fit: Fit, pooled: Pool, sign: int = 1) -> bool:
    """Return whether a shadow stands without the views that speak most for it.

    Parameters
    ----------
    fit : Fit
        The shadow.
    pooled : Pool
        The views.
    sign : int
        1 for a shadow, -1 for a bright place.

    Returns
    -------
    bool
        True where the other views darken there as well, and most of them do.
    """
    reach = math.ceil(0.75 * fit.outer_px + 1)
    top, left = max(0, round(fit.y_px) - reach), max(0, round(fit.x_px) - reach)
    rows, columns = pooled.field.shape
    y, x = np.mgrid[
        top : min(rows, round(fit.y_px) + reach + 1),
        left : min(columns, round(fit.x_px) + reach + 1),
    ].astype(float)
    if min(y.shape) < 4:
        return False
    template = loss_at(x, y, shape_of(fit))
    template -= template.mean()
    power = float(np.sum(template**2))
    amounts, says = [], []
    for view in pooled.views:
        box = (slice(top, top + y.shape[0]), slice(left, left + y.shape[1]))
        off = view.off[box].astype(float)
        restless = depth_scale(view, pooled.f_number) * view.restless[box].astype(float)
        if not np.isfinite(restless).all() or power <= 0:
            continue
        off *= depth_scale(view, pooled.f_number) * sign
        amounts.append(-float(np.sum(template * off)) / power)
        says.append(1 / float(np.mean(restless**2)))
    return _stand(np.array(amounts), np.array(says))


def _stand(amounts: NDArray[np.float64], says: NDArray[np.float64]) -> bool:
    """Return whether shares seen of a shadow, weighed, are above 0 without the highest of them."""
    if amounts.size < LEAST_VIEWS - 1:
        return False
    if float(says[amounts > 0].sum()) < MOSTLY * float(says.sum()):
        return False
    order = np.argsort(amounts * says)
    kept = order[: amounts.size - max(1, int(LEFT_OUT * amounts.size))]
    mean = float(np.average(amounts[kept], weights=says[kept]))
    whole = float(np.average(amounts, weights=says))
    scatter = float(np.average((amounts - whole) ** 2, weights=says))
    independent = float(says.sum()) ** 2 / float((says**2).sum())
    return mean > 0.25 and mean > STANDS / 2 * math.sqrt(scatter / max(independent, 1.0))
