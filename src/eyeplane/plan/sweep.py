"""The same plan over a product of ranges: columns of numbers for tables and plots."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.people import far_iris_depth_mm, focus_error
from eyeplane.people.learned import Z90
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.scene import Settings
from eyeplane.plan.search import FEWEST_SHARE, LEAST_PRINT_CM, SMALLER_PRINT, search
from eyeplane.plan.stand import framed_distance_mm, stand_of
from eyeplane.plan.sweep_limits import limits_at, reaches_at
from eyeplane.plan.sweep_points import Points, points_of, with_inputs
from eyeplane.plan.sweep_settings import (
    PointSettings,
    best_settings,
    settled_everywhere,
    settled_settings,
)
from eyeplane.plan.sweep_shares import MIDDLE_LINES, Aimed, lines_of, middle_blur_um, shares_at
from eyeplane.plan.whose import glass_left_out
from eyeplane.records import SitterRequest, Sweep

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]

WHO_INPUTS = ("stabiliser_stops", "age_years", "shake_deg_per_s", "speed_mm_per_s")
FOCUS_INPUTS = ("focus_bias_mm", "focus_spread_mm", "sensor_long_mm")
FRAMED_INPUTS = ("focal_length_mm", "sensor_short_mm", "age_years")
ABOVE_ZERO = (
    *("focal_length_mm", "sensor_long_mm", "sensor_short_mm", "long_edge_px", "short_edge_px"),
    *("print_cm", "viewing_cm"),
)
LEAST = 1e-4  # of a share, so that its odds are finite
DIGITS = 5  # of a magnification, to which focus errors count as alike


def sweep_sitter(request: SitterRequest, ranges: Mapping[str, Sequence[float]]) -> Sweep:
    """Return a sitter's plan at every combination of some ranges, as columns.

    Parameters
    ----------
    request : SitterRequest
        What holds where no range says otherwise.
    ranges : mapping of str to sequence of float
        Values by name of input: any number of the request or of its parts, such as
        ``distance_mm``, ``f_number``, ``iso``, ``exposure_ev``, ``print_cm``, ``yaw_deg``.

    Returns
    -------
    Sweep
        The inputs, then f_number, shutter_s, iso, exposure_off_ev, share with share_low and
        share_high, reach_cm and reach_far_cm of the middle frame, depth_front_mm, depth_behind_mm
        and, before a background, background_blur_mm. None where a point cannot be taken, or a
        depth of field has no end.

    Raises
    ------
    InputError
        If an input is not known, a range is no range, or no point at all can be taken.

    Notes
    -----
    Where aperture, time and ISO are not all settled, the best in whole stops are taken at each
    point. The focus error is summed in closed form, so shares differ from those of `plan_sitter`,
    which draws frames, by some 2 % of frames.

    Examples
    --------
    >>> from eyeplane.records import PlanChoice, PlanKit, PlanLight
    >>> request = SitterRequest(
    ...     kit=PlanKit(focal_length_mm=85), light=PlanLight(exposure_ev=9), distance_mm=2000,
    ...     choice=PlanChoice(shutter_s=1 / 250),
    ... )
    >>> sweep = sweep_sitter(request, {"f_number": (1.4, 2.8, 5.6)})
    >>> sweep.columns["iso"]
    (100.0, 400.0, 1600.0)
    """
    points = points_of(request, ranges)
    eyes, possible = _eyes(points)
    taken = _taken(points, eyes, possible)
    valid = taken.valid & possible
    if not valid.any():
        search(_first(points))  # says it better, as for one plan
        raise InputError(
            taken.why or "no point of these ranges can be taken",
            where="sweep",
            hint="Widen the limits of the kit, or choose other ranges",
        )
    columns = {name: _told(c, None) for name, c in points.columns.items()}
    for name, values in _columns(points, eyes, taken).items():
        columns.setdefault(name, _told(values, valid))
    return Sweep(
        names=tuple(points.columns),
        columns=columns,
        settled=settled_everywhere(points),
        notes=_notes(points, taken, valid),
    )


def _first(points: Points) -> SitterRequest:
    first = {name: float(values[0]) for name, values in points.columns.items()}
    return cast("SitterRequest", with_inputs(points.request, first))


def _told(values: FloatArray, valid: BoolArray | None) -> tuple[float | None, ...]:
    good = np.isfinite(values) if valid is None else np.isfinite(values) & valid
    return tuple(v if ok else None for v, ok in zip(values.tolist(), good.tolist(), strict=True))


def _notes(points: Points, taken: PointSettings, valid: BoolArray) -> tuple[str, ...]:
    said = []
    if taken.coarse:
        said.append("Settings that were not given were looked for in whole stops.")
    out = int((~valid).sum())
    if out:
        why = taken.why or "the lens cannot focus there"
        said.append(f"{out} of {len(valid)} points cannot be taken: {why}.")
    if valid.any() and "glass_um" not in points.columns:
        widest = float(taken.settings.f_number[valid].min())
        said += glass_left_out(points.request.kit, widest, "this table")
    return tuple(said)


def _eyes(points: Points) -> tuple[tuple[Aimed, Aimed], BoolArray]:
    """Return the near and the far iris at each point, and where the geometry is possible."""
    request = points.request
    focal_mm, near_mm = points.values("focal_length_mm"), points.values("distance_mm")
    if request.framing is not None and "distance_mm" not in points.columns:
        for one, numbers in points.groups(FRAMED_INPUTS):
            near_mm[numbers] = framed_distance_mm(
                one.kit, request.framing, age_years=one.sitter.age_years
            )
    limit_mm, yaw = points.values("near_limit_mm"), np.abs(points.values("yaw_deg"))
    possible = (near_mm > focal_mm) & ~(near_mm < limit_mm) & (yaw <= 90)
    for name in ABOVE_ZERO:
        possible &= points.values(name) > 0
    if not possible.any():
        stand_of(_first(points))
    near_mm = np.where(possible, near_mm, 1000.0)
    focal_mm = np.where(possible, focal_mm, 50.0)
    apart_mm = np.empty(len(points))
    for one, numbers in points.groups(("age_years",)):
        apart_mm[numbers] = far_iris_depth_mm(yaw_deg=90.0, age_years=one.sitter.age_years).mean_mm
    far_mm = near_mm + apart_mm * np.sin(np.radians(np.minimum(yaw, 90.0)))
    focus_mm = 2.0 / (1.0 / near_mm + 1.0 / far_mm) if request.eyes == "both" else near_mm
    near = _aimed(points, focal_mm, near_mm, focus_mm)
    return (near, replace(near, eye_mm=far_mm)), possible


def _aimed(
    points: Points, focal_mm: FloatArray, near_mm: FloatArray, focus_mm: FloatArray
) -> Aimed:
    """Return the near iris with the focus error at each point, worked out once where alike."""
    scale = focal_mm / (near_mm - focal_mm)
    digits = 10.0 ** (DIGITS - 1 - np.floor(np.log10(scale)))
    scale = np.round(scale * digits) / digits
    errors = np.empty((5, len(points)))
    for one, numbers in points.groups(FOCUS_INPUTS):
        kinds, back = np.unique(scale[numbers], return_inverse=True)
        found = [
            focus_error(
                magnification=m,
                learned_bias_mm=one.kit.focus_bias_mm,
                learned_spread_mm=one.kit.focus_spread_mm,
                sensor_long_mm=one.kit.sensor_long_mm,
            )
            for m in kinds.tolist()
        ]
        rows = [(e.bias_mm, e.spread_mm, e.unsure_log_sd, e.miss_share, e.miss_mm) for e in found]
        errors[:, numbers] = np.array(rows)[back.ravel()].T
    bias, spread, unsure, miss, miss_mm = errors
    return Aimed(
        focal_length_mm=focal_mm,
        eye_mm=near_mm,
        focus_mm=focus_mm,
        bias_mm=bias,
        spread_mm=spread,
        unsure_log_sd=unsure,
        miss_share=miss,
        miss_mm=miss_mm,
    )


def _taken(points: Points, eyes: tuple[Aimed, Aimed], possible: BoolArray) -> PointSettings:
    distance_mm = eyes[0].eye_mm
    if settled_everywhere(points):
        return settled_settings(points, distance_mm)

    def shares(numbers: IntArray, settings: Settings) -> FloatArray:
        there = (eyes[0].at(numbers), eyes[1].at(numbers))
        some = points.some(numbers)
        held = _expected(some, there, settings)
        print_cm = some.values("print_cm")
        while True:  # where nothing holds, a smaller print puts settings in order
            best = np.zeros(len(points))
            np.maximum.at(best, numbers, held)
            print_cm = SMALLER_PRINT * print_cm
            few = np.flatnonzero((best[numbers] < FEWEST_SHARE) & (print_cm > LEAST_PRINT_CM))
            if not len(few):
                return held
            smaller = some.some(few).with_column("print_cm", print_cm[few])
            held[few] = _expected(smaller, tuple(e.at(few) for e in there), settings.at(few))

    return best_settings(points, distance_mm, shares, possible)


def _expected(points: Points, eyes: tuple[Aimed, ...], settings: Settings) -> FloatArray:
    """Return the share of frames that hold to be expected, one a point."""
    limits = _limits(points, settings)
    return _shares(points, eyes, settings, limits, beliefs=False)[:, 0]


def _limits(points: Points, settings: Settings) -> HoldLimits:
    return limits_at(points, f_number=settings.f_number, iso=settings.iso, level=settings.level)


def _shares(
    points: Points,
    eyes: tuple[Aimed, ...],
    settings: Settings,
    limits: HoldLimits,
    *,
    beliefs: bool,
) -> FloatArray:
    """Return shares of frames that hold, (points, sets of beliefs)."""
    counting = eyes if points.request.eyes == "both" else eyes[:1]
    parts = []
    order = []
    for one, numbers in points.groups(WHO_INPUTS):
        lines = lines_of(
            one.hand, one.sitter, stabiliser_stops=one.kit.stabiliser_stops, beliefs=beliefs
        )
        there = [eye.at(numbers) for eye in counting]
        parts.append(shares_at(there, settings.at(numbers), limits.at(numbers), lines))
        order.append(numbers)
    out = np.empty((len(points), parts[0].shape[1]))
    out[np.concatenate(order)] = np.concatenate(parts)
    return out


def _columns(
    points: Points, eyes: tuple[Aimed, Aimed], taken: PointSettings
) -> dict[str, FloatArray]:
    settings, near = taken.settings, eyes[0]
    limits = _limits(points, settings)
    sets = _shares(points, eyes, settings, limits, beliefs=True)
    share, low, high = _interval(sets)
    reaches = [_reach_cm(points, eye, settings, limits) for eye in _different(eyes)]
    front, behind = _depth_mm(near, settings.f_number, limits.disc_um)
    columns = {
        "f_number": settings.f_number,
        "shutter_s": settings.shutter_s,
        "iso": settings.iso,
        "exposure_off_ev": taken.off_ev,
        "share": share,
        "share_low": low,
        "share_high": high,
        "reach_cm": reaches[0],
        "reach_far_cm": reaches[-1],
        "depth_front_mm": front,
        "depth_behind_mm": behind,
    }
    if points.request.light.kind == "flash":
        columns["flash_power"] = settings.flash_power
    background_mm = points.values("background_mm")
    if np.isfinite(background_mm).any():
        away = np.abs(near.eye_mm + background_mm - near.focus_mm)
        pupil_mm = near.focal_length_mm / settings.f_number
        columns["background_blur_mm"] = pupil_mm * away / near.focus_mm
    return columns


def _different(eyes: tuple[Aimed, Aimed]) -> tuple[Aimed, ...]:
    """Return one eye where both are equally far everywhere."""
    return eyes[:1] if np.array_equal(eyes[0].eye_mm, eyes[1].eye_mm) else eyes


def _interval(sets: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the share to be expected and the middle 90 % of what it may be.

    Log-odds of the share over a few sets of beliefs are taken as normal.
    """
    share = sets.mean(axis=1)
    clipped = np.clip(sets, LEAST, 1.0 - LEAST)
    odds = np.log(clipped / (1.0 - clipped))
    middle, spread = odds.mean(axis=1), odds.std(axis=1, ddof=1)
    low, high = (1.0 / (1.0 + np.exp(-middle - z * spread)) for z in (-Z90, Z90))
    sure = share <= 0.0
    return (
        share,
        np.where(sure, 0.0, np.minimum(low, share)),
        np.where(sure, 0.0, np.maximum(high, share)),
    )


def _reach_cm(points: Points, eye: Aimed, settings: Settings, limits: HoldLimits) -> FloatArray:
    blur = np.empty(len(points))
    for one, numbers in points.groups(WHO_INPUTS):
        lines = lines_of(
            one.hand,
            one.sitter,
            stabiliser_stops=one.kit.stabiliser_stops,
            beliefs=False,
            counts=MIDDLE_LINES,
        )
        some = (eye.at(numbers), settings.at(numbers), lines, limits.at(numbers))
        blur[numbers] = middle_blur_um(*some)
    return reaches_at(
        points,
        blur_um=blur,
        f_number=settings.f_number,
        iso=settings.iso,
        level=settings.level,
    )


def _depth_mm(
    near: Aimed, f_number: FloatArray, disc_um: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return the depth of field before and behind the plane: `depth_of_field_mm` on arrays."""
    f, s = near.focal_length_mm, near.focus_mm
    with np.errstate(divide="ignore", invalid="ignore"):
        beyond = 1000.0 * f**2 / (f_number * disc_um)  # hyperfocal distance less the focal length
        front = s * (s - f) / (beyond + s - f)
        behind = np.where(beyond > s - f, s * (s - f) / (beyond - (s - f)), math.inf)
    nothing = disc_um <= 0
    return np.where(nothing, 0.0, front), np.where(nothing, 0.0, behind)
