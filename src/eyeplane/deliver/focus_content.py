"""What a check of the focus tells, in words: the answer, what to adjust, and what not to."""

from collections.abc import Iterator
from pathlib import PurePath

from eyeplane.deliver.check_content import CheckContent, CheckDrawing, CheckReason, CheckTable
from eyeplane.deliver.focus_drawings import (
    SIDES,
    DepthPlane,
    curve_drawing,
    depth_drawing,
    shown_frame,
)
from eyeplane.deliver.plan_words import length_words
from eyeplane.deliver.wording import (
    THIN,
    count_words,
    far_words,
    number,
    offset_words,
    plain_text,
    side_words,
    spread_words,
    stop_words,
)
from eyeplane.records import Measured
from eyeplane.records.kit_focus import (
    CarriedFocus,
    FocusTargetResult,
    TargetFrame,
    TargetGroup,
    TargetShift,
)

SHORT = ("in front", "behind", "on it")
WORTH_MM = 0.5  # a smaller move is not said in words
ADJUST = (
    "No file says what one step of a camera's fine adjustment moves: change it by one step the "
    "right way, take ten frames, check again, and go on from what that step did."
)
CAUTIONS = (
    "Write down the old value before you change a fine adjustment, and check a second distance "
    "afterwards. What it cannot reach, or a lens that is off on one side of the frame only, "
    "belongs in a service shop: nothing is opened or turned by hand.",
    "Weigh the tripod down; where lamps light the target, stands get sandbags, cables are taped "
    "down, and modelling lamps are hot.",
)
METHOD = (
    "The square marks of the middle panel and of the wings give the place of the sheet before the "
    "lens and the true angle of every wing, so every printed edge has a known depth. The folds "
    "need not be exact.",
    "At each edge a blurred step is fitted to the pixels. Blur squared = what does not depend on "
    "depth, squared + (slope × (1/depth − 1/plane))²; the plane is where it is least. Edges that "
    "run up and down and edges that run across may differ in the part that does not depend on "
    "depth, so shake is not taken for focus.",
    "Two wings come forward and two go back, crosswise: a sharp plane that is tilted in the frame "
    "cancels to first order.",
    "The offset is told from the middle of the field you focused on, along the lens axis, + "
    "behind.",
    "Over several frames the scatter is what is left after the measuring's own error; with few "
    "frames the intervals are wide. A correction is only spoken of where the 90 % interval of the "
    "mean offset leaves nought out.",
    "Carried to another distance, the offset is the one that the same shift of the image behind "
    "the lens makes there: about as the square of the distance. That holds for a fault of the "
    "adjustment; other faults of autofocus may follow other rules, so check at the distance you "
    "work at.",
)


def focus_content(result: FocusTargetResult) -> CheckContent:
    """Return what a check of the focus tells.

    Parameters
    ----------
    result : FocusTargetResult
        Of the check.

    Returns
    -------
    CheckContent
        In words, drawings and tables.
    """
    group = result.groups[result.main] if result.main is not None else None
    told = [f for f in result.frames if not f.problem]
    focal = next((f"{f.focal_length_mm:g}{THIN}mm" for f in told if f.focal_length_mm), "")
    frames = f"{count_words(len(told), 'frame')} of the focus target"
    over = " · ".join(part for part in (plain_text(result.kit), focal, frames) if part)
    return CheckContent(
        title="Focus",
        over=over,
        sentence=_sentence(result, group),
        advice=_advice(result, group),
        lines=tuple(_lines(result, group)),
        drawings=tuple(_drawings(result, group)),
        tables=tuple(_tables(result)),
        reasons=(CheckReason(name="How it is read", lines=(*METHOD, *_checks(result))),),
        cautions=CAUTIONS if result.correct_mm is not None else CAUTIONS[1:],
        notes=(*result.notes, *_frame_notes(result)),
    )


def _at(group: TargetGroup) -> str:
    stop = f" and {stop_words(group.f_number)}" if group.f_number else ""
    if group.distance_mm is None:
        return f"at {stop_words(group.f_number)}" if group.f_number else "here"
    return f"at {far_words(group.distance_mm)}{stop}"


def _sentence(result: FocusTargetResult, group: TargetGroup | None) -> str:
    if group is None:
        return _single(result)
    if result.verdict == "beyond":
        return _beyond(result, group)
    where, at = offset_words(group.bias_mm, SIDES), _at(group)
    scatter = spread_words(group.spread_mm, "mm")
    told = {
        "offset": f"Focus misses the same way each time: {where} {at}, scattering by {scatter}.",
        "offset and scatter": f"Focus lies {where} on average {at}, and scatters by more: "
        f"{scatter}.",
        "scatter": _scatter_sentence(group, scatter, at),
        "on": f"Focus is right: {where} {at}, scattering by {scatter}.",
    }
    verdict = "offset and scatter" if _scatter_is_more(result, group) else result.verdict
    return told.get(verdict, f"No offset is sure yet: {where} {at}.")


def _scatter_sentence(group: TargetGroup, scatter: str, at: str) -> str:
    bias, spread = group.bias_mm, group.spread_mm
    if bias is None or spread is None or spread.low > max(abs(bias.low), abs(bias.high)):
        return f"Scatter, not a constant offset: focus scatters by {scatter} {at}."
    where = offset_words(bias, SHORT)
    return (
        f"Focus scatters by {scatter} {at}; whether there is a constant offset as well cannot be "
        f"told: {where}."
    )


def _scatter_is_more(result: FocusTargetResult, group: TargetGroup) -> bool:
    """Return whether an offset is sure and frames scatter by more than that."""
    if result.correct_mm is None or group.bias_mm is None or group.spread_mm is None:
        return False
    return group.spread_mm.value > abs(group.bias_mm.value)


def _single(result: FocusTargetResult) -> str:
    told = [f for f in result.frames if f.offset_mm is not None]
    past = [f for f in result.frames if f.beyond and not f.problem]
    if len(told) == 1 and not past:
        where = offset_words(told[0].offset_mm, SIDES)
        return f"Focus of this frame lay {where}; one frame cannot tell offset from scatter."
    if told:
        listed = ", ".join(side_words(_value(f), SHORT) for f in told[:4])
        return f"Too few frames to tell offset from scatter; their focus lay {listed}."
    least = min(f.at_least_mm or 0.0 for f in past)
    side = past[0].beyond
    of = " of" if side == "in front" else ""
    return (
        f"Focus lay at least {length_words(least)} {side}{of} the field, past the target's wings."
    )


def _beyond(result: FocusTargetResult, group: TargetGroup) -> str:
    side = "behind" if group.beyond_behind >= group.beyond_front else "in front"
    own = [f for f in result.frames if f.beyond == side]
    least = min(f.at_least_mm or 0.0 for f in own)
    of = " of" if side == "in front" else ""
    return (
        f"Focus lies at least {length_words(least)} {side}{of} the field in {len(own)} of "
        f"{count_words(group.frames, 'frame')}: past the target's wings."
    )


def _value(frame: TargetFrame) -> float:
    return frame.offset_mm.value if frame.offset_mm is not None else 0.0


def _advice(result: FocusTargetResult, group: TargetGroup | None) -> str:
    if group is None or result.verdict == "cannot tell":
        return (
            "Take ten frames at the widest aperture, the focus turned away and set anew before "
            "each, then check again."
        )
    if result.correct_mm is not None:
        move = result.correct_mm
        if abs(move.value) < WORTH_MM:
            return "It is too little to adjust for."
        low, high = sorted((abs(move.low), abs(move.high)))
        way = "towards the camera" if move.value < 0 else "away from the camera"
        size = f"{length_words(abs(move.value))} ({number(low)}–{number(high)})"
        part = " That cures the smaller part only." if _scatter_is_more(result, group) else ""
        return f"Move the focus {size} {way}, {_at(group)}.{part} {ADJUST}"
    if result.verdict == "beyond":
        return (
            "See that the focus point lies on the field alone and that autofocus is on, then try "
            "the larger sheet (A3) or a smaller aperture."
        )
    if result.verdict == "scatter":
        return (
            "No adjustment cures scatter. Focus anew before each frame and take several, focus in "
            "better light on an edge with contrast, or stop down until the depth of field covers "
            "it."
        )
    return "There is nothing to adjust."


def _lines(result: FocusTargetResult, group: TargetGroup | None) -> Iterator[str]:
    if group is None or group.bias_mm is None:
        return
    front, behind = group.depth_front_mm, group.depth_behind_mm
    if front is not None and behind is not None:
        lies = _lies_words(group.bias_mm, front, behind)
        yield (
            f"Depth of field there: {length_words(front)} in front of the plane, "
            f"{length_words(behind)} behind it. {lies}."
        )
    yield from (_shift_line(one) for one in result.shifts)
    for one in result.carried:
        if one.distance_mm is None or group.distance_mm is None:
            continue
        if abs(one.distance_mm / group.distance_mm - 1) > 0.01:
            yield _carried_line(one, fault=result.verdict != "scatter")


def _lies_words(bias: Measured, front_mm: float, behind_mm: float) -> str:
    """Return whether the field lies within the depth of field about the plane."""
    if -behind_mm < bias.low and bias.high < front_mm:
        return "The field lies inside"
    if bias.high < -behind_mm or bias.low > front_mm:
        return "The field lies outside"
    return "Whether the field lies inside is not sure"


def _shift_line(shift: TargetShift) -> str:
    moves = shift.moves_value
    if shift.kind == "aperture":
        stops = f"From {stop_words(shift.of_value)} to {stop_words(shift.to_value)}"
        if not shift.sure:
            size = offset_words(moves, ("forward", "back", "none"))
            return f"{stops} no move of the plane is sure: {size}."
        way = "back" if moves.value > 0 else "forward"
        size = f"{length_words(abs(moves.value))} ({_ends(moves)})"
        return (
            f"{stops} the plane moves {way} by {size}: focus shift, which no adjustment cures at "
            "both."
        )
    ends = f"From {far_words(shift.of_value)} to {far_words(shift.to_value)}"
    if not shift.sure:
        return f"{ends} the image behind the lens is off alike, as far as can be told."
    size = f"{number(abs(moves.value))}{THIN}µm ({_ends(moves)})"
    return (
        f"{ends} the image behind the lens is off by {size} more: one adjustment cannot cure both."
    )


def _ends(measured: Measured) -> str:
    low, high = sorted((abs(measured.low), abs(measured.high)))
    return f"{number(low)}–{number(high)}"


def _carried_line(one: CarriedFocus, *, fault: bool) -> str:
    where = offset_words(one.bias_mm, ("in front", "behind", "on it"))
    scatter = spread_words(one.spread_mm, "mm")
    if not fault:
        return f"At {_far(one.distance_mm)} the same scatter is {scatter}."
    return f"The same fault at {_far(one.distance_mm)}: {where}, scattering by {scatter}."


def _drawings(result: FocusTargetResult, group: TargetGroup | None) -> Iterator[CheckDrawing]:
    frame = shown_frame(result)
    plane = _plane(result, group, frame)
    if plane is not None:
        yield depth_drawing(plane)
    if frame is not None:
        yield curve_drawing(frame)


def _plane(
    result: FocusTargetResult, group: TargetGroup | None, frame: TargetFrame | None
) -> DepthPlane | None:
    if group is not None and group.bias_mm is not None:
        own = [
            _value(f)
            for f in result.frames
            if f.offset_mm is not None
            and f.f_number == group.f_number
            and _near(f.distance_mm, group.distance_mm)
        ]
        return DepthPlane(
            offset_mm=group.bias_mm,
            others_mm=tuple(own),
            depth_front_mm=group.depth_front_mm,
            depth_behind_mm=group.depth_behind_mm,
            distance_mm=group.distance_mm,
        )
    if frame is None or frame.offset_mm is None:
        return None
    return DepthPlane(
        offset_mm=frame.offset_mm,
        others_mm=(),
        depth_front_mm=frame.depth_front_mm,
        depth_behind_mm=frame.depth_behind_mm,
        distance_mm=frame.distance_mm,
    )


def _near(one_mm: float | None, other_mm: float | None) -> bool:
    if one_mm is None or other_mm is None:
        return one_mm == other_mm
    return abs(one_mm / other_mm - 1) < 0.15


def _far(distance_mm: float | None) -> str:
    return "cannot tell" if distance_mm is None else far_words(distance_mm)


def _tables(result: FocusTargetResult) -> Iterator[CheckTable]:
    yield CheckTable(
        name="By aperture and distance",
        head=("aperture", "distance", "frames", "focus", "scatter", "depth of field"),
        rows=tuple(_group_row(one) for one in result.groups),
        note="Focus: of the mean, seen from the field. Scatter: standard deviation. In brackets "
        "what holds the truth nine times in ten.",
    )
    yield CheckTable(
        name="Frame by frame",
        head=("frame", "aperture", "distance", "focus"),
        rows=tuple(_frame_row(one) for one in result.frames),
    )


def _group_row(one: TargetGroup) -> tuple[str, ...]:
    depth = "cannot tell"
    if one.depth_front_mm is not None:
        end = "no end" if one.depth_behind_mm is None else number(one.depth_behind_mm)
        depth = f"−{number(one.depth_front_mm)} to +{end}{THIN}mm"
    past = one.beyond_front + one.beyond_behind
    return (
        stop_words(one.f_number) if one.f_number else "not told",
        _far(one.distance_mm),
        f"{one.frames}" + (f" ({past} past the wings)" if past else ""),
        offset_words(one.bias_mm, SHORT) if one.bias_mm else "too few frames",
        spread_words(one.spread_mm, "mm") if one.spread_mm else "too few frames",
        depth,
    )


def _frame_row(one: TargetFrame) -> tuple[str, ...]:
    if one.problem:
        where = one.problem
    elif one.offset_mm is not None:
        where = offset_words(one.offset_mm, SHORT)
    else:
        where = f"at least {length_words(one.at_least_mm or 0.0)} {one.beyond}"
    return (
        plain_text(PurePath(one.path).name),
        stop_words(one.f_number) if one.f_number else "not told",
        "" if one.problem else _far(one.distance_mm),
        where,
    )


def _checks(result: FocusTargetResult) -> Iterator[str]:
    ratios = [f.slope_ratio for f in result.frames if f.slope_ratio]
    if ratios:
        middle = sorted(ratios)[len(ratios) // 2]
        yield (
            f"Cross-check: blur grows {number(middle)} times as fast with depth as focal length "
            "and aperture of the files give; the offset does not rest on it."
        )


def _frame_notes(result: FocusTargetResult) -> Iterator[str]:
    for frame in result.frames:
        for note in frame.notes:
            yield f"{plain_text(PurePath(frame.path).name)}: {note}."
    left_out = sum(bool(f.problem) for f in result.frames)
    if left_out:
        yield f"{count_words(left_out, 'frame')} left out: see the table, frame by frame."
