"""Aperture, time and ISO at each point of a sweep: as settled, or the best there."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.light import (
    FULL_POWER_S,
    LEAST_POWER,
    ambient_level,
    effective_shutter_s,
    flash_f_number,
    flash_level,
    iso_for,
    nearest_power,
    power_beside_ambient,
    true_f_number,
    true_iso,
    true_shutter_s,
)
from eyeplane.light.noise import SKIN_LEVEL
from eyeplane.plan.axes import HALF_STEP_EV, MOST_OFF_EV, SAME_MARK
from eyeplane.plan.candidates import candidates
from eyeplane.plan.flash_candidates import flash_through
from eyeplane.plan.scene import Settings, settings_of
from eyeplane.plan.search import TIE_SHARE
from eyeplane.plan.sweep_points import Points

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

CHOICE = ("f_number", "shutter_s", "iso")
FEW_MARKS = 8  # as many marks of an axis are all tried; of more every third, in whole stops
ROWS = 40_000  # settings × points tried at once, which bounds the memory
CANDIDATE_INPUTS = (
    *CHOICE,
    *("widest_f_number", "smallest_f_number", "fastest_s", "slowest_s", "sync_s"),
    *("base_iso", "highest_iso", "exposure_ev", "guide_number_m", "flash_distance_mm"),
    "full_power_s",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PointSettings:
    """What each point is taken with.

    Attributes
    ----------
    settings : Settings
        One entry a point; where there is none, some number.
    off_ev : ndarray
        Exposure less the right one.
    valid : ndarray of bool
        Whether the point can be taken at all.
    why : str
        Why some cannot; empty if all can.
    coarse : bool
        Whether only whole stops were tried.
    """

    settings: Settings
    off_ev: FloatArray
    valid: BoolArray
    why: str
    coarse: bool


def settled_everywhere(points: Points) -> bool:
    """Return whether aperture, time and ISO are given at all points.

    Parameters
    ----------
    points : Points
        Of a sweep.

    Returns
    -------
    bool
        True if each is settled or a range.
    """
    return all(np.isfinite(points.values(name)).all() for name in CHOICE)


def settled_settings(points: Points, distance_mm: FloatArray) -> PointSettings:
    """Return what is settled, and how far off the right exposure it is.

    Parameters
    ----------
    points : Points
        With aperture, time and ISO everywhere.
    distance_mm : ndarray
        Lens to face: where the flash is, unless that is said.

    Returns
    -------
    PointSettings
        The same sums as `candidates` makes for one point.
    """
    f_number, shutter_s, iso = (points.values(name) for name in CHOICE)
    ranged = np.ones(len(points), bool)
    for values, low, high in (
        (f_number, "widest_f_number", "smallest_f_number"),
        (shutter_s, "fastest_s", "slowest_s"),
        (iso, "base_iso", "highest_iso"),
    ):
        ranged &= values >= points.values(low) * (1 - SAME_MARK)
        ranged &= values <= points.values(high) * (1 + SAME_MARK)
    safe = [np.where(values > 0, values, 1.0) for values in (f_number, shutter_s, iso)]
    true = (true_f_number(safe[0]), true_shutter_s(safe[1]), true_iso(safe[2]))
    flash = points.request.light.kind == "flash"
    if flash:
        found, off_ev, timed = _flash(points, distance_mm, safe, true)
    else:
        needed = iso_for(exposure_ev=points.values("exposure_ev"), f_number=true[0], time_s=true[1])
        off_ev, timed = np.log2(true[2] / needed), np.ones(len(points), bool)
        off_ev = np.where(np.abs(off_ev) <= HALF_STEP_EV, 0.0, off_ev)
        found = {}
    exposed = np.abs(off_ev) <= MOST_OFF_EV + 1e-6
    level = np.minimum(SKIN_LEVEL * np.exp2(np.clip(off_ev, -20, 20)), 1.0)
    settings = settings_of(f_number=safe[0], shutter_s=safe[1], iso=safe[2], level=level, **found)
    valid = ranged & timed & exposed
    why = "; ".join(
        said
        for ok, said in (
            (ranged, "settings lie outside the kit's limits"),
            (timed, "the shutter is faster than flash sync"),
            (exposed | ~ranged, "the exposure is over three stops off"),
        )
        if not ok.all()
    )
    return PointSettings(settings=settings, off_ev=off_ev, valid=valid, why=why, coarse=False)


def _flash(
    points: Points, distance_mm: FloatArray, settled: list[FloatArray], true: tuple[FloatArray, ...]
) -> tuple[dict[str, FloatArray], FloatArray, BoolArray]:
    """Return what flash adds to settings, the exposure's error, and where the time allows it."""
    if points.request.light.guide_number_m is None and "guide_number_m" not in points.columns:
        raise InputError(
            "how strong the flash is was not said",
            where="light",
            hint="Give its guide number in metres at ISO 100 (flash GN 40)",
        )
    time_s, sync_s = settled[1], points.values("sync_s")
    glow = points.values("full_power_s")
    glow = np.where(np.isfinite(glow), glow, FULL_POWER_S)
    flash_mm = points.values("flash_distance_mm")
    flash_mm = np.where(np.isfinite(flash_mm), flash_mm, distance_mm)
    exposure_ev = points.values("exposure_ev")
    room = ambient_level(
        exposure_ev=np.where(np.isfinite(exposure_ev), exposure_ev, -np.inf),
        f_number=true[0],
        time_s=true[1],
        iso=true[2],
    )
    right = flash_f_number(
        guide_number_m=points.values("guide_number_m"), distance_mm=flash_mm, iso=true[2]
    )
    kept, most = flash_through(time_s=time_s, sync_s=sync_s, full_power_s=glow)
    full = flash_level(flash_f_number=right, f_number=true[0]) * kept
    asked = power_beside_ambient(full_level=full, ambient_level=room)
    power = nearest_power(np.clip(asked, LEAST_POWER, 1.0))
    drawn_s = effective_shutter_s(power=power, full_power_s=glow, time_s=time_s)
    synced = time_s >= sync_s * (1 - SAME_MARK)
    whole = room + np.minimum(power, most) * full
    off_ev = np.log2(whole)
    added = {
        "motion_s": np.where(synced, drawn_s, time_s),
        "ghost_share": np.where(synced, room / whole, 0.0),
        "flash_power": power,
    }
    off_ev = np.where(np.abs(off_ev) <= HALF_STEP_EV, 0.0, off_ev)
    return added, off_ev, synced | points.request.light.high_speed_sync


def best_settings(
    points: Points,
    distance_mm: FloatArray,
    shares: Callable[[IntArray, Settings], FloatArray],
    possible: BoolArray,
) -> PointSettings:
    """Return the best settings at each point.

    Parameters
    ----------
    points : Points
        Of a sweep.
    distance_mm : ndarray
        Lens to face.
    shares : callable
        From numbers of points and as many settings to shares of frames that hold.
    possible : ndarray of bool
        Which points can be taken at all.

    Returns
    -------
    PointSettings
        Of shares within half a frame in a hundred the lowest ISO, then the widest aperture.
    """
    chosen = np.ones((7, len(points)))  # points that cannot be taken stay so, and do no harm
    valid, why, coarse = np.zeros(len(points), bool), "", False
    rows: list[tuple[IntArray, Settings]] = []
    waiting = 0

    def settle() -> None:
        numbers, taken = _expanded(rows)
        best = _best(numbers, taken, shares(numbers, taken))
        chosen[:, numbers[best]] = [getattr(taken, n)[best] for n in Settings.__slots__]
        valid[numbers[best]] = True
        rows.clear()

    for request, numbers, flash_mm in _candidate_groups(points, distance_mm, possible):
        try:
            found = candidates(request.kit, request.light, request.choice, distance_mm=flash_mm)
        except InputError as error:
            why = why or f"{error.what}. {error.hint}"
            continue
        tried, thinned = _thinned(found.settings, flash=request.light.kind == "flash")
        coarse |= thinned
        for some in np.array_split(numbers, max(1, len(numbers) * len(tried) // ROWS)):
            rows.append((some, tried))
            waiting += len(some) * len(tried)
            if waiting > ROWS:
                settle()
                waiting = 0
    if rows:
        settle()
    settings = Settings(**dict(zip(Settings.__slots__, chosen, strict=True)))
    return PointSettings(
        settings=settings, off_ev=np.zeros(len(points)), valid=valid, why=why, coarse=coarse
    )


def _candidate_groups(
    points: Points, distance_mm: FloatArray, possible: BoolArray
) -> Iterator[tuple[Any, IntArray, float]]:
    """Yield points that have the same settings to choose from, with where the face is."""
    for request, numbers in points.groups(CANDIDATE_INPUTS):
        left = numbers[possible[numbers]]
        if not len(left):
            continue
        if request.light.kind != "flash" or request.light.flash_distance_mm is not None:
            yield request, left, float(distance_mm[left[0]])
            continue
        for flash_mm in np.unique(distance_mm[left]).tolist():
            yield request, left[distance_mm[left] == flash_mm], flash_mm


def _thinned(settings: Settings, *, flash: bool) -> tuple[Settings, bool]:
    """Return every third mark of axes that have many, and whether any was left out.

    A flash has few times to choose from, pulsed ones whole stops apart already: all are kept, and
    where room and flash share the light so that few apertures go with one, these are kept too.
    """
    if not flash:
        kept = _every_third(settings, CHOICE)
    else:
        kept = _every_third(settings, ("f_number", "iso"))
        if len(np.unique(kept.shutter_s)) < len(np.unique(settings.shutter_s)):
            kept = _every_third(settings, ("iso",))
    return kept, len(kept) < len(settings)


def _every_third(settings: Settings, names: Sequence[str]) -> Settings:
    kept = settings
    for name in names:
        marks = np.unique(getattr(kept, name))
        if len(marks) > FEW_MARKS:
            kept = kept.at(np.flatnonzero(np.isin(getattr(kept, name), marks[::3])))
    return kept


def _expanded(rows: list[tuple[IntArray, Settings]]) -> tuple[IntArray, Settings]:
    """Return every point with every setting of its group, point by point."""
    numbers = np.concatenate([np.repeat(some, len(tried)) for some, tried in rows])
    columns = {
        name: np.concatenate([np.tile(getattr(tried, name), len(some)) for some, tried in rows])
        for name in Settings.__slots__
    }
    return numbers, Settings(**columns)


def _best(numbers: IntArray, taken: Settings, held: FloatArray) -> IntArray:
    """Return the best row of each point; rows of a point stand together."""
    place = np.cumsum(np.diff(numbers, prepend=-1) != 0) - 1
    # Of each aperture the lowest ISO that is as good, as in a plan; then the best aperture.
    aperture = np.unique(taken.f_number, return_inverse=True)[1].ravel()
    _, kind = np.unique(place * (aperture.max() + 1) + aperture, return_inverse=True)
    most = np.full(kind.max() + 1, -1.0)
    np.maximum.at(most, kind, held)
    close = held >= most[kind] - TIE_SHARE
    order = np.lexsort((taken.shutter_s, taken.iso, ~close, kind))
    first = order[np.flatnonzero(np.diff(kind[order], prepend=-1))]
    ranked = np.lexsort((taken.f_number[first], taken.iso[first], -held[first], place[first]))
    best = first[ranked]
    return best[np.flatnonzero(np.diff(place[best], prepend=-1))]
