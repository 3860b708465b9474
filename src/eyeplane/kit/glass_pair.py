"""Two frames of one view, before and after wiping: how much the glass spread.

Arrays are [y, x].
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.kit.glass_curve import (
    DEEP_TOE,
    SOFT_SHOULDER,
    ToneCurve,
    expected_light,
    likely_curve,
)
from eyeplane.kit.glass_light import LaidPair, shrunk
from eyeplane.kit.glass_spread import RADII, Spreading, fit_spread, with_spread
from eyeplane.kit.glass_zones import ZoneLosses, zone_losses
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassHalo

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

FIT_PX = 300  # long edge at which the spread is fitted
VEIL_SD, VEIL_LEAST = 0.1, 0.002  # what drawing again does not show of a veil; see docs
TAIL_SD = 0.08  # of the halo: six kernels do not tell how steeply it ends beyond a tenth
HALO_SD, HALO_LEAST = 0.25, 0.004  # the same of a halo, which focus and kernels make less sure
WIDTH_RATIO = 1.5  # either way, of a halo's width: real spreads are of other forms
LEAST_KNOWN = 0.2  # of the frame seen in both and below white
NEAR_WHITE = 0.85  # light from which a camera's shoulder bends what it gives; from memory
# Of the middle zone: contrast that a veil must take for its lack to tell anything, and the part of
# that below which a lamp brightened dark places. Made veils take 1.1 of it or more, lamps .3.
LEAST_TAKEN, LOST_PART = 0.015, 0.6
MUCH_CHANGED = 0.25  # share of places that show something else, from which nothing is told


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PairFound:
    """What two frames tell.

    Attributes
    ----------
    second_worse : bool
        Whether the second frame is the one that is veiled more.
    veil : Measured
        Share of the worse frame's light that comes from far away.
    halo : GlassHalo
        What lands nearer.
    zones : ZoneLosses
        By place.
    exposure_ev : float
        Brightness of the first over the second.
    changed_share : float
        Share of places that show something else.
    style_changed : bool
        Whether the tone curve differs.
    relit : bool
        Whether dark places are brighter in one frame and yet keep their contrast: another light.
    """

    second_worse: bool
    veil: Measured
    halo: GlassHalo
    zones: ZoneLosses
    exposure_ev: float
    changed_share: float
    style_changed: bool
    relit: bool = False


def compare(
    pair: LaidPair, rng: np.random.Generator, *, linear: bool, where: str = "FRAME"
) -> PairFound:
    """Return what two frames of one view tell of the glass.

    Parameters
    ----------
    pair : LaidPair
        The frames, laid over each other.
    rng : Generator
        For the intervals.
    linear : bool
        Whether the files hold linear light; else a tone curve may have bent it.
    where : str
        Name of the frames, for messages.

    Returns
    -------
    PairFound
        Of the one that is veiled more, against the other.

    Raises
    ------
    InputError
        If next to nothing is seen in both and below white.

    Notes
    -----
    A camera's picture style deepens shadows by a power and compresses lights by a shoulder that
    files do not tell; the same in both frames. The value takes the file at its word; the interval
    reaches to where a power of 1.25 brings it, and a shoulder at .7 of white.
    """
    step = max(1, round(max(pair.first.shape) / FIT_PX))
    whole = pair.known & (np.maximum(pair.first, pair.second) < NEAR_WHITE)
    known = shrunk(whole.astype(float), step) > 0.99
    if np.mean(known) < LEAST_KNOWN:
        raise InputError(
            f"only {100 * np.mean(known):.0f} % of the view is in both frames and not near white",
            where=where,
            hint="Expose so that only the light itself is white, and keep the camera where it is",
        )
    first, second = shrunk(pair.first, step), shrunk(pair.second, step)
    curve, changed = likely_curve(first[known], second[known])
    curves = [curve]
    if not linear:
        softer = min(SOFT_SHOULDER, curve.shoulder)
        curves += [replace(curve, toe=DEEP_TOE), replace(curve, shoulder=softer)]
    ahead = _fits(curves[:1], first, second, known, rng)[0]
    back = _fits(curves[:1], second, first, known, rng)[0]
    lights = [curve.light(one) for one in (pair.first, pair.second)]
    smalls = [curve.light(one)[known] for one in (first, second)]
    by_place = [
        zone_losses(
            lights[one],
            lights[other],
            expected=expected_light(smalls[one], smalls[other], lights[one]),
            known=whole,
            rng=rng,
        )
        for one, other in ((0, 1), (1, 0))
    ]
    second_worse = _spent(ahead, by_place[0]) >= _spent(back, by_place[1])
    clean, veiled = (first, second) if second_worse else (second, first)
    fits = [ahead if second_worse else back]
    fits += _fits(curves[1:], clean, veiled, known, rng)
    zones = by_place[0 if second_worse else 1]
    gain = max(float(np.median(second[known]) / max(np.median(first[known]), 1e-9)), 1e-6)
    veil = _reaching([_veil(fit) for fit in fits])
    return PairFound(
        second_worse=bool(second_worse),
        veil=veil,
        halo=_halo(fits),
        zones=zones,
        exposure_ev=-math.log2(gain),
        changed_share=fits[0].changed_share,
        style_changed=changed,
        relit=_is_relit(veil.value, zones, lights[1 if second_worse else 0], whole),
    )


def _is_relit(veil_share: float, zones: ZoneLosses, light: Array, known: Mask) -> bool:
    """Return whether zones keep more contrast than so much light from afar would leave them.

    Light that the glass adds takes its share of a zone's light from the contrast there; that of
    a lamp in the view falls on bright and dark detail alike.
    """
    rows, columns = (
        np.minimum(np.arange(side) * count // side, count - 1)
        for side, count in zip(light.shape, (zones.rows, zones.columns), strict=True)
    )
    number = (rows[:, None] * zones.columns + columns[None])[known]
    count = np.maximum(np.bincount(number, minlength=len(zones.zones)), 1)
    local = np.bincount(number, light[known], minlength=len(zones.zones)) / count
    told = [
        (zone.loss_share.value, veil_share * float(light.mean()) / max(float(mean), 1e-6))
        for zone, mean in zip(zones.zones, local, strict=True)
        if zone.loss_share is not None
    ]
    if not told:
        return False
    lost, taken = np.median(np.array(told), axis=0)
    return bool(taken > LEAST_TAKEN and lost < LOST_PART * taken)


def _spent(spread: Spreading, zones: ZoneLosses) -> float:
    """Return light spread and lost in smudges, by which the worse of two frames is told."""
    count = max(len(zones.zones), 1)
    lost = sum(z.loss_share.value for z in zones.zones if z.smudged and z.loss_share)
    return float(spread.veil[0] + spread.halo[0]) + lost / count


def _fits(
    curves: list[ToneCurve], clean: Array, veiled: Array, known: Mask, rng: np.random.Generator
) -> list[Spreading]:
    found = []
    for curve in curves:
        slopes = curve.slope(veiled)
        weights = slopes / float(np.median(slopes[known]))
        found.append(
            fit_spread(curve.light(clean), curve.light(veiled), known, rng, weights=weights)
        )
    return found


def _reaching(one_each: list[Measured]) -> Measured:
    """Return the first, with an interval that reaches to the values of the others."""
    first = one_each[0]
    return Measured(
        value=first.value,
        low=min([first.low, *(one.value for one in one_each[1:])]),
        high=max([first.high, *(one.value for one in one_each[1:])]),
    )


def _veil(fit: Spreading) -> Measured:
    least = math.hypot(VEIL_LEAST, TAIL_SD * float(fit.halo[0]))
    return with_spread(fit.veil, relative_sd=VEIL_SD, least_sd=least)


def _halo(fits: list[Spreading]) -> GlassHalo:
    share = _reaching([with_spread(f.halo, relative_sd=HALO_SD, least_sd=HALO_LEAST) for f in fits])
    low, high = np.quantile(fits[0].profile, [0.05, 0.95], axis=0)
    middle = fits[0].profile[0]
    return GlassHalo(
        share=share,
        width_share=_width(fits[0]) if share.low > 0 else None,
        radius_share=RADII,
        light_ratio=tuple(float(v) for v in middle),
        low_ratio=tuple(float(v) for v in np.minimum(low * (1 - HALO_SD), middle)),
        high_ratio=tuple(float(v) for v in np.maximum(high * (1 + HALO_SD), middle)),
    )


def _width(fit: Spreading) -> Measured | None:
    widths = fit.width[np.isfinite(fit.width)]
    if not np.isfinite(fit.width[0]) or len(widths) < len(fit.width) // 2:
        return None
    low, high = np.quantile(widths, [0.05, 0.95])
    value = float(fit.width[0])
    return Measured(
        value=value,
        low=min(float(low) / WIDTH_RATIO, value),
        high=max(WIDTH_RATIO * float(high), value),
    )
