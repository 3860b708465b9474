"""Frames of one even surface laid over each other: which dark places stay where they are.

Points are (x, y) in pixels of the field, centres at whole numbers; arrays are [y, x].
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.dust_find import GAIN, STRONG, Coding, Field, Level, Spot, find_spots, levels
from eyeplane.kit.dust_fit import FINE_PX, Cone, Fit, fit_spot, loss_at
from eyeplane.kit.dust_hairs import Line, find_lines
from eyeplane.kit.dust_profile import COVER_LN_SD
from eyeplane.kit.dust_views import count_views

NO_CODING = Coding()
LEAST_GAIN = STRONG**2  # of a fit, as a drop of χ²: the same six spreads
SURE_GAIN = 150.0  # of a fit that may tell the cone of light for all others; our own choice
ASTRAY = 1.1  # most |ln| by which a shadow's own cone may leave the expected one: a factor of three
MISFIT = 0.5  # most of its depth that a profile may leave unexplained: dust is not quite round
AGAIN = 0.45  # least share of its depth that a shadow must show in the middling frame
MOST = 400  # spots whose profile is fitted; more are texture
PASSES = 2  # of searching in what the shadows already found leave


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """A round shadow with all that was told of it.

    Attributes
    ----------
    fit : Fit
        Its profile.
    frames : int
        In how many frames it was found again.
    """

    fit: Fit
    frames: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Searched:
    """What a search of one field found.

    Attributes
    ----------
    spots : tuple of Found
        Round shadows.
    lines : tuple of Line
        Hairs, and long lines that are none.
    cone : Cone
        The cone of light, told from the shadows where it could be.
    cone_told : bool
        Whether it was.
    limit : ndarray
        Least depth in each place at which a shadow as wide as the cone would be found; [y, x].
    threshold : float
        Of the gain: raised where bright places are as round as shadows.
    textured : bool
        Whether it was raised.
    views : int
        How many different pieces of wall the frames show.
    """

    spots: tuple[Found, ...]
    lines: tuple[Line, ...]
    cone: Cone
    cone_told: bool
    limit: NDArray[np.float32]
    threshold: float
    textured: bool
    views: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """Which shadows are looked for, in pixels of the field.

    Attributes
    ----------
    smallest_px, largest_px : float
        Diameters.
    coding : Coding
        How coarsely the files are coded.
    """

    smallest_px: float
    largest_px: float
    coding: Coding = NO_CODING

    def answers(self, field: Field) -> list[Level]:
        """Return the filters' answers to a field.

        Parameters
        ----------
        field : ndarray
            Of float32 [y, x] around 1.

        Returns
        -------
        list of Level
            One a size.
        """
        return list(
            levels(
                field,
                smallest_px=self.smallest_px,
                largest_px=self.largest_px,
                coding=self.coding,
            )
        )


def search(fields: Sequence[Field], *, cone: Cone, sizes: Sizes) -> Searched:
    """Return the shadows that all fields share.

    Parameters
    ----------
    fields : sequence of ndarray
        One a frame, [y, x] around 1, all of one shape.
    cone : Cone
        What is expected of the cone of light.
    sizes : Sizes
        Which shadows are looked for.

    Returns
    -------
    Searched
        Perhaps nothing.
    """
    field = fields[0] if len(fields) == 1 else _mean(fields)
    lines = find_lines(field, cone_px=cone.size_px, coding=sizes.coding)
    hidden = np.zeros_like(field)
    for line in lines:
        hidden[line.cover] = np.clip(1 - field[line.cover], -1, 1)
    found, answers, told = _passes(field, hidden, cone, sizes)
    known = told or cone
    cleaned = field + hidden
    bright = _bright_gain(cleaned, answers, known)
    threshold = max(LEAST_GAIN, 1.15 * bright)
    kept = [fit for fit in found if fit.gain >= threshold]
    spots = _again(fields, kept, known)
    level = min(answers, key=lambda one: abs(math.log(one.diameter_px / known.size_px)))
    return Searched(
        spots=spots,
        lines=lines,
        cone=known,
        cone_told=told is not None,
        limit=(math.sqrt(threshold) / GAIN * level.spread).astype(np.float32),
        threshold=threshold,
        textured=threshold > LEAST_GAIN,
        views=count_views(fields, hidden, known),
    )


def _mean(fields: Sequence[Field]) -> Field:
    total = fields[0].astype(np.float32).copy()
    for other in fields[1:]:
        total += other
    total /= len(fields)
    return total


def _passes(
    field: Field, hidden: Field, cone: Cone, sizes: Sizes
) -> tuple[list[Fit], list[Level], Cone | None]:
    """Return the profiles that fit, searching again in what they leave, and the cone they tell.

    `hidden` grows by what is found; the answers returned are those of what is left.
    """
    found: list[Fit] = []
    told: Cone | None = None
    answers: list[Level] = []
    for number in range(PASSES + 1):
        answers = sizes.answers(field + hidden)
        if number == PASSES:
            break
        known = told or cone
        fits = (_fit(field, spot, answers, known, hidden) for spot in find_spots(answers)[:MOST])
        fresh = [
            fit for fit in fits if fit is not None and not any(_same(fit, other) for other in found)
        ]
        fresh = _apart(fresh)
        if not fresh:
            break
        if told is None:
            told = pooled_cone(fresh, cone)
            if told is not None:
                fresh = _refit(field, fresh, answers, told, hidden)
        for fit in fresh:
            _hide(hidden, fit, cone)
        found += fresh
    return found, answers, told


def _refit(
    field: Field, fits: list[Fit], answers: list[Level], cone: Cone, hidden: Field
) -> list[Fit]:
    again = []
    for fit in fits:
        spot = Spot(
            x_px=fit.x_px,
            y_px=fit.y_px,
            diameter_px=fit.outer_px * 0.8,
            strength=math.sqrt(fit.gain),
            depth_share=fit.depth_share,
        )
        once = _fit(field, spot, answers, cone, hidden)
        if once is not None:
            again.append(once)
    return _apart(again)


def _apart(fits: list[Fit]) -> list[Fit]:
    kept: list[Fit] = []
    for fit in sorted(fits, key=lambda one: one.gain, reverse=True):
        if not any(_same(fit, other) for other in kept):
            kept.append(fit)
    return kept


def _same(one: Fit, other: Fit) -> bool:
    apart = math.hypot(one.x_px - other.x_px, one.y_px - other.y_px)
    return apart < 0.35 * max(one.outer_px, other.outer_px)


def _fit(field: Field, spot: Spot, answers: list[Level], cone: Cone, hidden: Field) -> Fit | None:
    level = min(answers, key=lambda one: abs(math.log(one.diameter_px / spot.diameter_px)))
    rows, columns = level.spread.shape
    row = min(rows - 1, max(0, int((spot.y_px + 0.5) / level.step)))
    column = min(columns - 1, max(0, int((spot.x_px + 0.5) / level.step)))
    fit = fit_spot(
        field, spot, cone=cone, answer_sd=float(level.spread[row, column]), hidden=hidden
    )
    if fit is None or fit.gain < LEAST_GAIN or fit.misfit_share > MISFIT:
        return None
    if abs(math.log(fit.cone_px / cone.size_px)) > ASTRAY * min(1.0, 2 * cone.ln_sd + 0.2):
        return None
    inside = 0 <= fit.x_px < field.shape[1] and 0 <= fit.y_px < field.shape[0]
    return fit if inside else None


def _hide(into: Field, fit: Fit, cone: Cone) -> None:
    """Add a shadow's loss to a field."""
    reach = math.ceil(fit.outer_px / 2 + 3)
    top, left = max(0, round(fit.y_px) - reach), max(0, round(fit.x_px) - reach)
    piece = into[top : round(fit.y_px) + reach + 1, left : round(fit.x_px) + reach + 1]
    if not piece.size:
        return
    y, x = np.mgrid[0 : piece.shape[0], 0 : piece.shape[1]].astype(float)
    blur = math.sqrt(1 / 12 + cone.fine_px**2)
    piece += loss_at(x + left, y + top, shape_of(fit), blur).astype(np.float32)


def shape_of(fit: Fit) -> NDArray[np.float64]:
    """Return a fit as `loss_at` takes it.

    Parameters
    ----------
    fit : Fit
        The profile.

    Returns
    -------
    ndarray
        Its x, y, ln d, ln b.
    """
    return np.array([fit.x_px, fit.y_px, math.log(fit.particle_px), math.log(fit.cone_px)])


def pooled_cone(fits: Sequence[Fit], cone: Cone) -> Cone | None:
    """Return the cone of light that strong shadows tell together: it is one for all of them.

    Parameters
    ----------
    fits : sequence of Fit
        Shadows.
    cone : Cone
        What was expected.

    Returns
    -------
    Cone or None
        None where none is strong enough. Its spread is at least 3 %: dust is not quite round, and
        the cone differs a little between the middle and the corners.
    """
    strong = [f for f in fits if f.gain > SURE_GAIN and 0.01 < f.depth_share < 0.98]
    if not strong:
        return None
    values = np.array([math.log(f.cone_px) for f in strong])
    spreads = np.array([max(0.03, f.ln_sd(0, 1)) for f in strong])
    order = np.argsort(values)
    weights = (1 / spreads**2)[order]
    at = int(np.searchsorted(np.cumsum(weights), weights.sum() / 2))
    middle = float(values[order][min(at, len(values) - 1)])
    spread = max(0.03, 1.25 / math.sqrt(float(weights.sum())))
    if len(strong) == 1:
        spread = max(spread, 0.08)  # one alone may be a clump
    return Cone(size_px=math.exp(middle), ln_sd=spread, fine_px=cone.fine_px)


def _bright_gain(cleaned: Field, answers: list[Level], cone: Cone) -> float:
    """Return how well the best bright place passes for a shadow turned to light.

    Dust never brightens, texture does as often as it darkens: so this is what texture can do.
    """
    mirrored = 2 - cleaned
    nothing = np.zeros_like(cleaned)
    spots = find_spots(answers, sign=-1)[:60]
    gains = [
        fit.gain
        for spot in spots
        if (fit := _fit(mirrored, spot, answers, cone, nothing)) is not None
    ]
    return max(gains, default=0.0)


def _again(fields: Sequence[Field], fits: list[Fit], cone: Cone) -> tuple[Found, ...]:
    """Return the shadows that show in the frames one by one."""
    if len(fields) == 1:
        return tuple(Found(fit=fit, frames=1) for fit in fits)
    kept = []
    for fit in fits:
        shares = sorted(_share_seen(field, fit, cone) for field in fields)
        if shares[(len(shares) - 1) // 2] >= AGAIN:
            kept.append(Found(fit=fit, frames=sum(share >= AGAIN for share in shares)))
    return tuple(kept)


def _share_seen(field: Field, fit: Fit, cone: Cone) -> float:
    """Return how much of a shadow's depth one frame shows, about 1 if it is all there."""
    reach = math.ceil(0.75 * fit.outer_px + 2)
    top, left = max(0, round(fit.y_px) - reach), max(0, round(fit.x_px) - reach)
    piece = field[top : round(fit.y_px) + reach + 1, left : round(fit.x_px) + reach + 1]
    y, x = np.mgrid[0 : piece.shape[0], 0 : piece.shape[1]].astype(float)
    blur = math.sqrt(1 / 12 + cone.fine_px**2)
    loss = loss_at(x + left, y + top, shape_of(fit), blur).ravel()
    terms = np.stack([-loss, np.ones_like(loss), x.ravel(), y.ravel()], axis=-1)
    return float(np.linalg.lstsq(terms, piece.ravel().astype(float), rcond=None)[0][0])


def field_cone(size_px: float, step: int, *, known: bool) -> Cone:
    """Return what is expected of the cone of light, in pixels of a field.

    Parameters
    ----------
    size_px : float
        Its diameter in pixels of the frame.
    step : int
        Pixels of the frame along each side of one of the field's.
    known : bool
        Whether aperture and pixel pitch are known.

    Returns
    -------
    Cone
        With the spread of covers, and more where something was assumed.
    """
    return Cone(
        size_px=size_px / step,
        ln_sd=COVER_LN_SD if known else 2 * COVER_LN_SD,
        fine_px=FINE_PX / step,
    )
