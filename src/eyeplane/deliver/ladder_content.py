"""What a ladder tells, answer first: sentence, what to shoot next, plot, tables, method."""

import re
from collections import Counter

from eyeplane.deliver.check_content import CheckContent, CheckReason, CheckTable
from eyeplane.deliver.ladder_plot import ladder_drawing
from eyeplane.deliver.ladder_words import (
    deciding,
    lapse_words,
    limit_at,
    limit_words,
    many_frames,
    prints_of,
    range_words,
    setting_words,
    share_at_s,
    step_words,
    whose,
)
from eyeplane.deliver.plan_words import share_words
from eyeplane.deliver.wording import THIN, count_words, number, plain_text, spread_words
from eyeplane.light.camera_words import shutter
from eyeplane.records import Measured
from eyeplane.records.ladder import LadderLimit, LadderPart, LadderResult, LadderVerdict
from eyeplane.records.said import share_percent

CHILDREN = (
    "Children do not keep still on request: rather a shorter time than asking again; somebody "
    "stays beside a child on a stool, and their guardian is present."
)
_CHILD = re.compile(r"\b(?:child|toddler|baby|newborn|kid|infant)", re.IGNORECASE)
LOST_TO: dict[LadderVerdict, str] = {
    "shake": "lost to shake",
    "sitter": "lost to the sitter",
    "motion": "lost to motion",
}


def ladder_content(result: LadderResult) -> CheckContent:
    """Return what a ladder tells.

    Parameters
    ----------
    result : LadderResult
        A ladder.

    Returns
    -------
    CheckContent
        For text and page.
    """
    part = deciding(result)
    others = [one for one in result.parts if one is not part]
    return CheckContent(
        title="Ladder: the slowest safe shutter time",
        over=_over(result),
        sentence=_sentence(result, part),
        advice=result.advice,
        lines=_lines(result),
        drawings=tuple(ladder_drawing(result, one) for one in (part, *others)),
        tables=(_limit_table(result), *_carried_tables(result), _step_table(result)),
        reasons=(_why(result), *_left_out(result)),
        cautions=(CHILDREN,) if _CHILD.search(result.sitter) else (),
        notes=result.notes,
    )


def _over(result: LadderResult) -> str:
    focal = None if result.focal_length_mm is None else f"{result.focal_length_mm:g}{THIN}mm"
    stabiliser = f"stabiliser {plain_text(result.stabiliser)}" if result.stabiliser else None
    parts = [
        plain_text(result.kit),
        focal,
        stabiliser,
        plain_text(result.sitter) if result.sitter else None,
        "printed chart" if result.subject == "chart" else None,
        count_words(len(result.frames), "frame"),
        result.shot_on or None,
    ]
    return " · ".join(one for one in parts if one)


def _sentence(result: LadderResult, part: LadderPart) -> str:
    limit = limit_at(part, result.wanted_share)
    frames = many_frames(result.wanted_share)
    paper = f"{result.print_cm:g}{THIN}cm"
    hand = "On the tripod" if result.stabiliser.lower().startswith("tripod") else "With your hand"
    who = {
        "shake": hand,
        "sitter": "With this sitter",
        "motion": "Hand and sitter together,",
    }[part.mover]
    if limit.shutter_s is not None:
        time = limit.shutter_s
        return (
            f"{who} {frames} hold {paper} at {setting_words(time.value)} ({range_words(time)})"
            f"{lapse_words(part)}."
        )
    said = limit_words(limit)
    if said == "cannot tell":
        return f"The slowest time at which {frames} hold {paper} cannot be told from these frames."
    if limit.least_s is not None:
        slowest = shutter(part.steps[-1].shutter_s)
        return (
            f"{who} {frames} hold {paper} at {said.removeprefix('at least ')} at least"
            f"{lapse_words(part)}; slower than {slowest} was not tried."
        )
    fastest = shutter(part.steps[0].shutter_s)
    return f"{who} it takes {said} for {frames} to hold {paper}; hardly any did at {fastest}."


def _lines(result: LadderResult) -> tuple[str, ...]:
    said = [_counts(result)]
    frames = many_frames(result.wanted_share)
    for part in result.parts:
        limit = limit_at(part, result.wanted_share)
        if part.mover != "sitter" and limit.shake_deg_per_s is not None:
            what = "your camera turns" if part.mover == "shake" else "all motion together is"
            said.append(f"In {frames} {what} at most {_rate(limit.shake_deg_per_s, '°/s')}.")
        if part.mover == "sitter" and limit.sitter_mm_per_s is not None:
            speed = _rate(limit.sitter_mm_per_s, f"{THIN}mm/s")
            said.append(f"In {frames} the sitter's eyes move at most {speed}.")
        said += _typical(part)
    return (*said, *_rule(result))


def _rule(result: LadderResult) -> list[str]:
    time, part = result.rule_s, next((p for p in result.parts if p.mover != "sitter"), None)
    if time is None or part is None:
        return []
    share = share_at_s(part, time)
    if share is None:
        return [
            f"The reciprocal rule names {shutter(time)}; frames so slow or fast were not tried."
        ]
    return [f"At the reciprocal rule's {shutter(time)}, {share_words(share)} of the frames hold."]


def _counts(result: LadderResult) -> str:
    counts = Counter(one.verdict for one in result.frames)
    parts = [f"{counts['holds']} hold as far as motion goes"]
    parts += [f"{counts[m]} {words}" for m, words in LOST_TO.items() if counts[m]]
    if counts["left out"]:
        parts.append(f"{counts['left out']} left out")
    return f"Of {count_words(len(result.frames), 'frame')} {', '.join(parts)}."


def _typical(part: LadderPart) -> list[str]:
    for speed, unit, who in (
        (part.typical_deg_per_s, "°/s", "your camera turns"),
        (part.typical_mm_per_s, f"{THIN}mm/s", "the sitter moves"),
    ):
        if speed is not None:
            low, high = number(speed.low), number(speed.high)
            return [
                f"In the middle exposure {who} at {number(speed.value)}{unit}; nine in ten lie "
                f"between {low} and {high}{unit}."
            ]
    return []


def _rate(rate: Measured, unit: str) -> str:
    return f"{number(rate.value)}{unit} ({number(rate.low)}–{number(rate.high)})"


def _limit_table(result: LadderResult) -> CheckTable:
    shares = [one.share for one in result.parts[0].limits]
    rows = tuple(
        (
            share_percent(share),
            *(limit_words(limit_at(part, share)) for part in result.parts),
        )
        for share in shares
    )
    return CheckTable(
        name=f"Slowest shutter time for {result.print_cm:g}{THIN}cm",
        head=("of the frames", *(whose(part).lower() for part in result.parts)),
        rows=rows,
        note=_lapse_note(deciding(result)),
    )


def _lapse_note(part: LadderPart) -> str:
    lapse = part.lapse_share
    return (
        "In brackets the range that holds the truth nine times in ten. Frames lost at any shutter "
        f"time, {share_words(lapse)}, come off besides."
    )


def _carried_tables(result: LadderResult) -> tuple[CheckTable, ...]:
    tables = []
    for part in result.parts:
        own = [one for one in result.carried if one.mover == part.mover]
        prints = [p for p in prints_of(result) if any(one.print_cm == p for one in own)]
        if not own or (part.mover != "shake" and len(prints) < 2):
            continue
        lengths = sorted({one.focal_length_mm for one in own})
        cells = {(one.focal_length_mm, one.print_cm): one for one in own}
        rows = []
        for focal in lengths:
            found = [cells[focal, p] for p in prints]
            limits = [
                limit_words(_as_limit(one.shutter_s, one.least_s, result.wanted_share))
                for one in found
            ]
            rows.append((f"{focal:g}{THIN}mm", *limits, shutter(found[0].rule_s)))
        tables.append(
            CheckTable(
                name=f"{whose(part)} by lens and print, {many_frames(result.wanted_share)}",
                head=("lens", *(f"{p:g}{THIN}cm" for p in prints), "reciprocal rule"),
                rows=tuple(rows),
                note=_carried_note(part),
            )
        )
    return tuple(tables)


def _carried_note(part: LadderPart) -> str:
    if part.mover != "shake":
        return "At this framing; a motion even over the exposure is taken."
    return (
        "The camera turns alike whatever the lens, on this body and with the stabiliser set as "
        "here; a motion even over the exposure is taken. Another lens may be steadied otherwise."
    )


def _as_limit(time: Measured | None, least: float | None, share: float) -> LadderLimit:
    return LadderLimit(
        share=share,
        shutter_s=time,
        least_s=least,
        most_s=None,
        setting_s=None,
        shake_deg_per_s=None,
        sitter_mm_per_s=None,
    )


def _step_table(result: LadderResult) -> CheckTable:
    times = sorted({step.shutter_s for part in result.parts for step in part.steps})
    rows = []
    for time in times:
        cells = []
        for part in result.parts:
            step = next((s for s in part.steps if s.shutter_s == time), None)
            cells.append("–" if step is None else step_words(step))
        rows.append((shutter(time), *cells))
    return CheckTable(
        name="Frames that held",
        head=("shutter", *(whose(part).lower() for part in result.parts)),
        rows=tuple(rows),
    )


def _why(result: LadderResult) -> CheckReason:
    lines = [
        "A frame holds as far as motion goes where its line is no longer than what "
        f"{result.print_cm:g}{THIN}cm seen from {result.viewing_cm:g}{THIN}cm takes"
        f"{_longest(result)}. Frames soft by focus, lit by flash or without a shutter time are "
        "left out.",
        "The share that holds is fitted over stops of the shutter time by a logistic curve with a "
        "share of frames lost at any time; limits leave that share out. Before any frame is seen, "
        "usual hands and sitters are taken, widely.",
    ]
    for part in result.parts:
        scale = spread_words(part.scale_stops, "stops")
        lines.append(f"{whose(part)}: scale of the curve {scale}.")
        if part.typical_from == "lengths":
            lines.append("Speeds rest on the lengths of all lines, frames without one included.")
        if part.more is not None:
            now, then = number(part.more.now_stops), number(part.more.then_stops)
            lines.append(
                f"The range of the wanted limit is {now} stops wide; with the frames that would "
                f"help most it is to be expected {then} wide, by what is known now."
            )
    return CheckReason(name="Why we say so", lines=tuple(lines))


def _longest(result: LadderResult) -> str:
    parts = []
    if result.limit_um is not None:
        parts.append(f"{number(result.limit_um)}{THIN}µm on the sensor")
    if result.limit_mm is not None:
        parts.append(f"{number(result.limit_mm)}{THIN}mm at the sitter")
    return f", {', '.join(parts)}" if parts else ""


def _left_out(result: LadderResult) -> tuple[CheckReason, ...]:
    gone = [one for one in result.frames if one.verdict == "left out"]
    lines = tuple(f"{plain_text(one.name)}: {one.why}." for one in gone)
    return (CheckReason(name="Frames left out", lines=lines),) if lines else ()
