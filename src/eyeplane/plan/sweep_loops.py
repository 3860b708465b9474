"""Sweeps of groups and of lean-ins: worked out point by point, and once where points agree."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.plan.burst import burst_chances, numbers_of
from eyeplane.plan.burst_setup import burst_of
from eyeplane.plan.candidates import candidates
from eyeplane.plan.depth_line import depth_limits_mm
from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.group_frames import GroupFrames, beliefs_of, group_frames
from eyeplane.plan.group_rows import moves_mm
from eyeplane.plan.group_shares import group_shares, limits_at, row_shares
from eyeplane.plan.lean import lean_mm
from eyeplane.plan.rows import seating
from eyeplane.plan.scene import Settings, joined
from eyeplane.plan.search import FEWEST_SHARE, best_of
from eyeplane.plan.sweep_points import Points, points_of
from eyeplane.plan.sweep_settings import CHOICE, settled_everywhere
from eyeplane.plan.whose import glass_left_out
from eyeplane.records import BurstRequest, GroupRequest, Sweep

IntArray = NDArray[np.intp]

MOST_LOOPED = 5000  # points that are worked out one by one: a few minutes
NO_ANSWER = math.nan  # a column's number where there is none

Row = dict[str, float]


def sweep_group(request: GroupRequest, ranges: Mapping[str, Sequence[float]]) -> Sweep:
    """Return a group's plan at every combination of some ranges, as columns.

    Parameters
    ----------
    request : GroupRequest
        What holds where no range says otherwise.
    ranges : mapping of str to sequence of float
        Values by name of input: any number of the request or of its parts, such as
        ``distance_mm``, ``rows``, ``row_spacing_mm``, ``f_number``, ``print_cm``.

    Returns
    -------
    Sweep
        The inputs, then f_number, shutter_s, iso, share (of frames in which everybody holds) with
        share_low and share_high, last_row_share, focus_distance_mm, depth_front_mm,
        depth_behind_mm and lean_cm, the most that anybody has to lean. None where a
        point cannot be taken.

    Raises
    ------
    InputError
        If an input is not known, a range is no range, there are more than 5,000 points, or no point
        at all can be taken.

    Notes
    -----
    Frames are drawn once for all points that differ in settings only. Every third of a stop is
    tried, as in `plan_group`; so shares are the same.
    """
    points = _few(points_of(request, ranges))
    others = [name for name in points.columns if name not in CHOICE]
    return _swept(
        points, ((n, r) for part in points.groups(others) for n, r in _group(points, part))
    )


def sweep_burst(request: BurstRequest, ranges: Mapping[str, Sequence[float]]) -> Sweep:
    """Return a lean-in's plan at every combination of some ranges, as columns.

    Parameters
    ----------
    request : BurstRequest
        What holds where no range says otherwise.
    ranges : mapping of str to sequence of float
        Values by name of input: any number of the request, such as ``lean_mm_per_s`` and
        ``frames_per_s``, or of its sitting.

    Returns
    -------
    Sweep
        The inputs, then frames (None where no number reaches the chance wanted), chance with
        chance_low and chance_high, still_chance, start_mm, end_mm, travel_mm, seconds_s, and the
        f_number, shutter_s, iso and share of single frames. Where frames are None the others are
        told for as many as still help.

    Raises
    ------
    InputError
        If an input is not known, a range is no range, there are more than 5,000 points, or no point
        at all can be taken.
    """
    points = _few(points_of(request, ranges))
    whole = points.groups(list(points.columns))
    table = _swept(points, ((numbers, _attempt(_burst_row, one)) for one, numbers in whole))
    if "glass_um" in points.columns:
        return table
    widest = min(n for n in table.columns["f_number"] if n is not None)
    said = glass_left_out(request.sitting.kit, widest, "this table")
    return replace(table, notes=(*table.notes, *said))


def _few(points: Points) -> Points:
    if len(points) > MOST_LOOPED:
        raise InputError(
            f"{len(points)} points are too many here",
            where="sweep",
            hint=f"Give ranges whose product is at most {MOST_LOOPED}",
        )
    return points


@dataclass(frozen=True, slots=True)
class _Failed:
    """Why a point cannot be taken."""

    error: InputError


def _attempt(one: Callable[[Any], Row], request: Any) -> Row | _Failed:  # noqa: ANN401  any request
    try:
        return one(request)
    except InputError as error:
        return _Failed(error)


def _swept(points: Points, rows: Iterator[tuple[IntArray, Row | _Failed]]) -> Sweep:
    """Return the table of rows worked out for some points each."""
    columns: dict[str, list[float | None]] = {}
    failed: list[InputError] = []
    out = 0
    for numbers, row in rows:
        if isinstance(row, _Failed):
            failed.append(row.error)
            out += len(numbers)
            continue
        for name, value in row.items():
            column = columns.setdefault(name, [None] * len(points))
            for number in numbers.tolist():
                column[number] = value if math.isfinite(value) else None
    if not columns:
        raise failed[0]
    notes: tuple[str, ...] = ()
    if failed:
        said = f"{failed[0].what}. {failed[0].hint}"
        notes = (f"{out} of {len(points)} points cannot be taken: {said}.",)
    told = {name: tuple(values.tolist()) for name, values in points.columns.items()}
    return Sweep(
        names=tuple(points.columns),
        columns={**told, **{n: tuple(c) for n, c in columns.items() if n not in told}},
        settled=settled_everywhere(points),
        notes=notes,
    )


def _burst_row(request: BurstRequest) -> Row:
    burst = burst_of(request)
    found = numbers_of(burst, burst_chances(burst))
    return {
        "frames": NO_ANSWER if found.frames is None else float(found.frames),
        "chance": found.chance.value,
        "chance_low": found.chance.low,
        "chance_high": found.chance.high,
        "still_chance": found.still_chance.value,
        "start_mm": found.start_mm,
        "end_mm": found.start_mm + found.travel_mm,
        "travel_mm": found.travel_mm,
        "seconds_s": (found.shown - 1) / burst.frames_per_s,
        **_settings_row(burst.setting),
        "share": burst.found.share,
    }


def _settings_row(setting: Settings) -> Row:
    return {name: float(getattr(setting, name)[0]) for name in CHOICE}


def _group(
    points: Points, part: tuple[GroupRequest, IntArray]
) -> Iterator[tuple[IntArray, Row | _Failed]]:
    """Yield the points of one group of people, which differ in settings only."""
    request, numbers = part
    some = points.some(numbers)
    choices = some.groups(CHOICE)
    if request.lean:  # how far they lean goes with the settings
        for one, inner in choices:
            yield numbers[inner], _attempt(_leaning_row, _with_choice(request, one))
        return
    try:
        frames = group_frames(request, seating(request))
    except InputError as error:
        yield numbers, _Failed(error)
        return
    taken, told = [], []
    for one, inner in choices:
        try:
            taken.append(_best(frames, _with_choice(request, one)))
            told.append(numbers[inner])
        except InputError as error:
            yield numbers[inner], _Failed(error)
    if taken:
        rows = _group_rows(frames, taken)
        yield from zip(told, rows, strict=True)


def _with_choice(request: GroupRequest, one: GroupRequest) -> GroupRequest:
    return replace(request, choice=one.choice)


def _best(frames: GroupFrames, request: GroupRequest) -> Settings:
    found = candidates(
        request.kit, request.light, request.choice, distance_mm=frames.where.plane_mm
    ).settings
    if len(found) == 1:
        return found
    shares = group_shares(frames, found)
    if shares.max() < FEWEST_SHARE:  # then a smaller print puts settings in order
        return group_choice(request).best
    return found.at(best_of(found, shares))


def _leaning_row(request: GroupRequest) -> Row:
    choice = group_choice(request)
    row = _group_rows(choice.frames, [choice.best])[0]
    return {**row, "lean_cm": float(np.abs(moves_mm(choice)).max()) / 10.0}


def _group_rows(frames: GroupFrames, taken: list[Settings]) -> list[Row]:
    settings = joined(*taken)
    limits = limits_at(frames.scene, settings)
    where = frames.where
    rows = []
    for k, told in enumerate(row_shares(frames, settings, beliefs_of(frames))):
        front, behind = depth_limits_mm(
            frames.scene.kit,
            f_number=float(settings.f_number[k]),
            focus_mm=where.plane_mm,
            disc_um=float(limits.disc_um[k]),
        )
        moves = lean_mm(
            where.effective_mm, near_mm=where.plane_mm - front, far_mm=where.plane_mm + behind
        )
        rows.append(
            {
                **_settings_row(taken[k]),
                "share": told.everybody.value,
                "share_low": told.everybody.low,
                "share_high": told.everybody.high,
                "last_row_share": told.rows[-1].value,
                "focus_distance_mm": where.plane_mm,
                "depth_front_mm": front,
                "depth_behind_mm": behind,
                "lean_cm": float(np.abs(moves).max()) / 10.0,
            }
        )
    return rows
