"""What a series of frames of the focus target tells of a kit: offset or scatter, and where."""

import math
import statistics
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from eyeplane.errors import InputError
from eyeplane.kit.focus_bias import (
    carried_offset_mm,
    fit_focus,
    image_shift_um,
    usual_scatter_mm,
)
from eyeplane.records import Measured
from eyeplane.records.kit_focus import (
    CarriedFocus,
    FocusTargetResult,
    FocusVerdict,
    TargetFrame,
    TargetGroup,
    TargetShift,
)

ALIKE_DISTANCE = 1.12  # ratio of distances up to which frames count as of one distance; no source
CONSTANT_SHARE = 0.5  # of the scatter: a mean offset above this outweighs it in most frames
MIXED_FOCAL = 1.03  # ratio of focal lengths above which they are two: zooms write whole mm
USUAL_MM = 1500.0  # of a target whose distance is not known; a usual head shot, common practice
CARRIED_MM = (700.0, 1000.0, 1500.0, 2000.0, 3000.0, 5000.0)  # further distances of sitters
CARRIED_RATIOS = (0.5, 2.2)  # of the target's distance: not carried farther than this
Z90 = 1.6449  # standard deviations to either side that hold nine frames in ten
LITTLE_MM = 2.0  # an offset that hardly shows, where no depth of field is known; from memory


def check_focus(
    frames: Sequence[TargetFrame], *, sitter_distance_mm: float | None = None
) -> FocusTargetResult:
    """Return what frames of the focus target tell together.

    Parameters
    ----------
    frames : sequence of TargetFrame
        Of one kit; at least one that tells something.
    sitter_distance_mm : float or None
        Distance from the lens that the focus is carried to; None: that of the target. Too far from
        that it is not carried, and the notes say so.

    Returns
    -------
    FocusTargetResult
        The verdict rests on the widest aperture with three told frames or more, at the distance
        with most frames.

    Raises
    ------
    InputError
        If no frame tells anything, or they come from several kits or focal lengths.
    """
    _check_alike(frames)
    useful = [f for f in frames if not f.problem]
    if not useful:
        (problem, _), *_ = Counter(f.problem for f in frames).most_common(1)
        what, _, hint = problem.partition(". ")
        if len(frames) > 1:
            what = f"none of the {len(frames)} frames tells where the focus lies; most: {what}"
        raise InputError(
            what.rstrip("."),
            where="focus target" if len(frames) > 1 else PurePath(frames[0].path).name,
            hint=hint.rstrip(".") or "Photograph the folded focus target as its words say",
        )
    groups = tuple(_group(own) for own in _grouped(useful))
    main = _main(groups)
    verdict = _verdict(groups, main)
    chosen = groups[main] if main is not None else None
    sure = verdict in {"offset", "offset and scatter"}
    return FocusTargetResult(
        kit=useful[0].kit,
        verdict=verdict,
        main=main,
        correct_mm=_negative(chosen.bias_mm) if sure and chosen and chosen.bias_mm else None,
        groups=groups,
        shifts=tuple(_shifts(groups, main)),
        carried=tuple(_carried(chosen, sitter_distance_mm)) if chosen else (),
        frames=tuple(frames),
        notes=(*_notes(groups, main, useful), *_far_notes(chosen, sitter_distance_mm)),
    )


def _check_alike(frames: Sequence[TargetFrame]) -> None:
    kits = Counter(f.kit for f in frames if not f.problem)
    if len(kits) > 1:
        listed = ", ".join(f"{kit} ({count})" for kit, count in kits.most_common())
        raise InputError(
            f"the frames come from {len(kits)} kits: {listed}",
            where="focus target",
            hint="Check one body with one lens at a time: put their frames into folders of their "
            "own",
        )
    lengths = sorted(f.focal_length_mm for f in frames if f.focal_length_mm and not f.problem)
    if lengths and lengths[-1] > MIXED_FOCAL * lengths[0]:
        raise InputError(
            f"the frames were taken at {lengths[0]:g} to {lengths[-1]:g} mm",
            where="focus target",
            hint="A zoom focuses differently at each focal length: check one at a time",
        )


def _grouped(frames: Sequence[TargetFrame]) -> Iterator[list[TargetFrame]]:
    """Yield frames by distance, cut where it jumps, and then by aperture, widest first."""
    rest = sorted(frames, key=_distance_mm)
    while rest:
        end = ALIKE_DISTANCE * _distance_mm(rest[0])  # 0, where no distance is known: all of one
        near = [f for f in rest if _distance_mm(f) <= end]
        rest = rest[len(near) :]
        for f_number in sorted({f.f_number or 0.0 for f in near}):
            yield [f for f in near if (f.f_number or 0.0) == f_number]


def _distance_mm(frame: TargetFrame) -> float:
    return frame.distance_mm or 0.0


def _group(frames: Sequence[TargetFrame]) -> TargetGroup:
    distance = statistics.median(_distance_mm(f) for f in frames) or None
    focal = next((f.focal_length_mm for f in frames if f.focal_length_mm), None)
    offsets = [f.offset_mm for f in frames if f.offset_mm is not None]
    beyond = Counter(f.beyond for f in frames)
    usual = usual_scatter_mm(focal_length_mm=focal, distance_mm=distance or USUAL_MM)
    # Frames past the wings are no part of mean and spread: with many of them there is neither.
    few_beyond = beyond["in front"] + beyond["behind"] <= 0.2 * len(frames)
    fit = fit_focus(offsets, usual_mm=usual) if few_beyond else None
    return TargetGroup(
        f_number=frames[0].f_number,
        focal_length_mm=focal,
        distance_mm=distance,
        frames=len(frames),
        beyond_front=beyond["in front"],
        beyond_behind=beyond["behind"],
        bias_mm=fit.bias_mm if fit else None,
        spread_mm=fit.spread_mm if fit else None,
        image_shift_um=_shift_um(fit.bias_mm, focal, distance)
        if fit and focal and distance
        else None,
        depth_front_mm=_middle([f.depth_front_mm for f in frames]),
        depth_behind_mm=_middle([f.depth_behind_mm for f in frames]),
    )


def _middle(values: Sequence[float | None]) -> float | None:
    known = [v for v in values if v is not None]
    return statistics.median(known) if known else None


def _shift_um(bias: Measured, focal_mm: float, distance_mm: float) -> Measured:
    low, value, high = (
        image_shift_um(focal_length_mm=focal_mm, distance_mm=distance_mm, offset_mm=v)
        for v in (bias.low, bias.value, bias.high)
    )
    return Measured(value=value, low=low, high=high)


def _main(groups: Sequence[TargetGroup]) -> int | None:
    """Return the group that the verdict rests on."""
    told = [k for k, one in enumerate(groups) if one.bias_mm is not None]
    if not told:
        beyond = [k for k, one in enumerate(groups) if 2 * _beyond(one) > one.frames]
        return max(beyond, key=lambda k: groups[k].frames) if beyond else None

    def at_its_distance(k: int) -> list[int]:
        return [j for j in told if _is_near(groups[j], groups[k])]

    place = max(told, key=lambda k: sum(groups[j].frames for j in at_its_distance(k)))
    return min(at_its_distance(place), key=lambda k: groups[k].f_number or math.inf)


def _is_near(one: TargetGroup, other: TargetGroup) -> bool:
    if one.distance_mm is None or other.distance_mm is None:
        return one.distance_mm == other.distance_mm
    return _alike(one.distance_mm, other.distance_mm)


def _beyond(group: TargetGroup) -> int:
    return max(group.beyond_front, group.beyond_behind)


def _verdict(groups: Sequence[TargetGroup], main: int | None) -> FocusVerdict:
    if main is None:
        return "cannot tell"
    bias, spread = groups[main].bias_mm, groups[main].spread_mm
    if bias is None or spread is None:
        return "beyond"
    if bias.low > 0 or bias.high < 0:
        return (
            "offset" if abs(bias.value) >= CONSTANT_SHARE * spread.value else "offset and scatter"
        )
    left = max(abs(bias.low), abs(bias.high))
    depths = [d for d in (groups[main].depth_front_mm, groups[main].depth_behind_mm) if d]
    room = min(depths, default=LITTLE_MM)
    if left <= room and Z90 * spread.value <= room:
        return "on"
    return "scatter" if spread.low > left or Z90 * spread.low > room else "cannot tell"


def _negative(measured: Measured) -> Measured:
    return Measured(value=-measured.value, low=-measured.high, high=-measured.low)


def _shifts(groups: Sequence[TargetGroup], main: int | None) -> Iterator[TargetShift]:
    """Yield how the plane moves from the main group to the others."""
    if main is None or groups[main].bias_mm is None:
        return
    own = groups[main]
    for one in groups:
        if one is own or one.bias_mm is None or own.bias_mm is None:
            continue
        if _is_near(one, own) and one.f_number and own.f_number:
            moves = _difference(one.bias_mm, own.bias_mm)
            yield _moved("aperture", own.f_number, one.f_number, moves)
        elif (
            one.f_number == own.f_number
            and one.image_shift_um
            and own.image_shift_um
            and one.distance_mm
            and own.distance_mm
        ):
            moves = _difference(one.image_shift_um, own.image_shift_um)
            yield _moved("distance", own.distance_mm, one.distance_mm, moves)


def _moved(kind: str, of: float, to: float, moves: Measured) -> TargetShift:
    return TargetShift(
        kind="aperture" if kind == "aperture" else "distance",
        of_value=of,
        to_value=to,
        moves_value=moves,
        sure=moves.low > 0 or moves.high < 0,
    )


def _difference(one: Measured, other: Measured) -> Measured:
    value = one.value - other.value
    low = math.hypot(one.value - one.low, other.high - other.value)
    high = math.hypot(one.high - one.value, other.value - other.low)
    return Measured(value=value, low=value - low, high=value + high)


def _carried(group: TargetGroup, sitter_mm: float | None) -> Iterator[CarriedFocus]:
    """Yield the focus at other distances, that of the sitter first."""
    bias, spread, focal = group.bias_mm, group.spread_mm, group.focal_length_mm
    if bias is None or spread is None:
        return
    own = group.distance_mm
    if focal is None or own is None:
        yield CarriedFocus(distance_mm=own, bias_mm=bias, spread_mm=spread)
        return
    low, high = (own * ratio for ratio in CARRIED_RATIOS)
    first = own if sitter_mm is None or _too_far(own, sitter_mm) else sitter_mm
    others = [d for d in CARRIED_MM if low < d < high and not _alike(d, own, first)]
    for distance in (first, *others):
        moved = [
            carried_offset_mm(
                focal_length_mm=focal,
                distance_mm=distance,
                shift_um=image_shift_um(focal_length_mm=focal, distance_mm=own, offset_mm=offset),
            )
            for offset in (bias.low, bias.value, bias.high)
        ]
        ratio = (distance - focal) ** 2 / (own - focal) ** 2  # of magnifications, squared
        if all(map(math.isfinite, moved)):
            yield CarriedFocus(
                distance_mm=distance,
                bias_mm=Measured(low=moved[0], value=moved[1], high=moved[2]),
                spread_mm=Measured(
                    low=spread.low * ratio, value=spread.value * ratio, high=spread.high * ratio
                ),
            )


def _too_far(own_mm: float, sitter_mm: float) -> bool:
    low, high = (own_mm * ratio for ratio in CARRIED_RATIOS)
    return not low <= sitter_mm <= high


def _alike(distance_mm: float, *others_mm: float) -> bool:
    return any(1 / ALIKE_DISTANCE < distance_mm / one < ALIKE_DISTANCE for one in others_mm)


def _far_notes(group: TargetGroup | None, sitter_mm: float | None) -> Iterator[str]:
    if group is None or sitter_mm is None or group.distance_mm is None:
        return
    if not _too_far(group.distance_mm, sitter_mm):
        return
    own_m, sitter_m = group.distance_mm / 1000, sitter_mm / 1000
    ends = sorted(sitter_m / ratio for ratio in CARRIED_RATIOS)
    yield (
        f"From {own_m:.2g} m the focus cannot be carried to a sitter at {sitter_m:.3g} m: what is "
        f"told holds at {own_m:.2g} m. For that sitter photograph the target from "
        f"{ends[0]:.2g} to {ends[1]:.2g} m."
    )


def _notes(
    groups: Sequence[TargetGroup], main: int | None, frames: Sequence[TargetFrame]
) -> Iterator[str]:
    told = sum(f.offset_mm is not None for f in frames)
    if main is None:
        yield (
            f"{told} told frame{'s' if told != 1 else ''}, fewer than three at any one aperture "
            "and distance, cannot tell an offset of the kit from scatter: ten, focused anew each "
            "time, can."
        )
    elif groups[main].bias_mm is not None and groups[main].frames < 6:
        yield (
            f"{groups[main].frames} frames give a wide interval: ten, focused anew each time, give "
            "a narrow one."
        )
    if all(f.f_number is None for f in frames):
        yield (
            "The files do not say the aperture: focus at different apertures is not told apart, "
            "and no depth of field is given."
        )
    if all(f.distance_mm is None for f in frames):
        yield (
            "The files do not say the focal length, or how far apart the pixels are: distances "
            "cannot be told. Frames are taken as shot from one distance, and the focus cannot be "
            "carried to another."
        )
