"""What sittings taught, answer first: how steady, who moves how fast, where each kit focuses."""

import math
from collections.abc import Sequence

from eyeplane.deliver.check_content import CheckContent, CheckDrawing, CheckReason, CheckTable
from eyeplane.deliver.learned_plot import IntervalAxis, IntervalRow, intervals_drawing
from eyeplane.deliver.wording import THIN, number, offset_words, plain_text, spread_words
from eyeplane.light import SHUTTER_PARTS
from eyeplane.light.camera_words import shutter
from eyeplane.people import rule_rate_deg_per_s
from eyeplane.records import Measured
from eyeplane.records.lessons import (
    LearnedCounts,
    LearnedFocus,
    LearnedNumbers,
    LearnedShake,
    LearnedSitter,
)

STABILISED = {"on": "stabiliser on", "off": "stabiliser off", "tripod": "tripod", "": ""}
ADJUSTING = (
    "Write down the setting before you change a fine adjustment, so that you can go back; what the "
    "body cannot adjust is work for a service shop."
)
CHILDREN = (
    "Children do not keep still on request: rather a shorter time than asking again; somebody "
    "stays beside a child on a stool, and their guardian is present."
)
WHOLE = (
    "This holds if you measured whole sittings, frames you would throw away too: by chosen frames "
    "alone you look steadier, and your sitters calmer, than they are. Measure chosen frames and "
    "exports with --without-learning; take them out again with eyeplane learned forget --sitting "
    "FOLDER."
)
HELD = (
    "Dot and line: the middle speed and what is not known of it. Pale: where nine exposures in ten "
    "lie."
)
METHOD = CheckReason(
    name="How it is learned",
    lines=(
        "Each frame says how fast camera and sitter moved, or, where it shows no motion, that they "
        "moved no faster than would have shown; so frames that came out sharp count too.",
        "Speeds spread within a sitting, sittings spread about their lens or kind of sitter, and "
        "those about you. How much each spreads is summed over all that your frames leave "
        "possible. A lens with few frames so borrows from your others, as far as they are alike.",
        "Frames of one burst share their fate: three count as one and a half.",
        "The focus of a kit rests on its own frames alone. Each sitting adds an error that all its "
        f"frames share, 1{THIN}mm at least, from the size of this sitter's iris.",
        "Brackets hold the truth nine times in ten.",
    ),
)


def learned_content(numbers: LearnedNumbers) -> CheckContent:
    """Return what sittings taught, in words and drawings.

    Parameters
    ----------
    numbers : LearnedNumbers
        All of it, or what is asked for.

    Returns
    -------
    CheckContent
        For text and page.
    """
    corrections = [one.correction for one in numbers.focus if one.correction]
    said = _sentences(numbers)
    return CheckContent(
        title="What your sittings taught",
        over=_over(numbers),
        sentence=said[0],
        advice=corrections[0] if corrections else "",
        lines=(*said[1:], *corrections[1:]),
        drawings=_drawings(numbers),
        tables=_tables(numbers),
        reasons=(METHOD,),
        cautions=_cautions(numbers, corrections),
        notes=(*numbers.notes, *_notes(numbers)),
    )


def hold_s(shake: LearnedShake) -> Measured | None:
    """Return the slowest shutter time that nine exposures in ten hold, as the 1/f rule counts it.

    Parameters
    ----------
    shake : LearnedShake
        Of one kit.

    Returns
    -------
    Measured or None
        Seconds; None where the focal length is not known. In so long nine in ten leave no longer a
        line than the reciprocal rule allows, 30 µm on 36 × 24 mm.
    """
    focal, fast = shake.focal_length_mm, shake.fast_deg_per_s
    if not focal or fast.low <= 0:
        return None
    line_deg = rule_rate_deg_per_s() / focal
    return Measured(value=line_deg / fast.value, low=line_deg / fast.high, high=line_deg / fast.low)


def _over(numbers: LearnedNumbers) -> str:
    text = f"{_many(numbers.frames, 'frame')} of {_many(numbers.sittings, 'sitting')}"
    newest = f", the newest of {numbers.newest}" if numbers.newest else ""
    half = numbers.half_life_days
    old = f"; {half:g} days before that a sitting counts half" if half is not None else ""
    return f"{text}{newest}{old}"


def _sentences(numbers: LearnedNumbers) -> list[str]:
    """Return what was learned of hand, sitter and focus, each in a sentence."""
    said = []
    told = [one for one in numbers.shake if hold_s(one) is not None]
    if told:
        said.append(f"You hold nine frames in ten at {_held(told[0])} with {_kit(told[0])}.")
    elif numbers.any_shake is not None:
        rate = spread_words(numbers.any_shake.median_deg_per_s, "deg/s")
        said.append(f"Your camera turns at {rate} in half of all exposures.")
    if numbers.sitters:
        sitter = numbers.sitters[0]
        who = f"'{plain_text(sitter.sitter)}'" if sitter.sitter else "Whoever sat"
        fast = spread_words(sitter.fast_mm_per_s, "mm/s")
        said.append(f"{who} stays below {fast} in nine exposures of ten.")
    if numbers.focus:
        focus = numbers.focus[0]
        said.append(
            f"{plain_text(focus.kit)} focuses {offset_words(focus.bias_mm)} on average, scattering "
            f"by {spread_words(focus.spread_mm, 'mm')}."
        )
    return said or ["Nothing can be said yet: too few frames tell anything."]


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"


def _kit(one: LearnedShake) -> str:
    return ", ".join(filter(None, (plain_text(one.kit), STABILISED[one.stabiliser])))


def _held(one: LearnedShake) -> str:
    """Return the slowest time that is held, at values a camera has, never slower than it is."""
    held = hold_s(one)
    if held is None:
        return ""
    low, value, high = (
        max((1 / parts for parts in SHUTTER_PARTS if 1 / parts <= end), default=end)
        for end in (held.low, held.value, held.high)
    )
    return f"{shutter(value)} ({shutter(low).removesuffix(f'{THIN}s')} to {shutter(high)})"


def _rests(counts: LearnedCounts) -> str:
    weight = round(counts.weight)
    frames = f"{counts.frames} (as {weight})" if weight < counts.frames else f"{counts.frames}"
    return f"{frames} of {_many(counts.sittings, 'sitting')}"


def _tables(numbers: LearnedNumbers) -> tuple[CheckTable, ...]:
    tables = []
    shakes = [*numbers.shake, *([numbers.any_shake] if numbers.any_shake else [])]
    if shakes:
        tables.append(
            CheckTable(
                name="How fast your camera turns, in degrees a second",
                head=("kit", "half of exposures", "nine in ten", "you hold", "frames"),
                rows=tuple(_shake_row(one) for one in shakes),
                note="'You hold': the slowest time at which nine frames in ten show no more shake "
                f"than the 1/f rule allows, 30{THIN}µm on 36 × 24{THIN}mm.",
            )
        )
    sitters = [*numbers.sitters, *([numbers.any_sitter] if numbers.any_sitter else [])]
    if sitters:
        tables.append(
            CheckTable(
                name="How fast your sitters move, in mm a second across the lens",
                head=("sitter", "half of exposures", "nine in ten", "frames"),
                rows=tuple(_sitter_row(one, numbers) for one in sitters),
            )
        )
    if numbers.focus:
        tables.append(
            CheckTable(
                name="Where the focus lies from the near iris",
                head=("kit", "set by", "on average", "scatter", "frames"),
                rows=tuple(map(_focus_row, numbers.focus, _set_by(numbers.focus))),
                note=_aside(numbers.focus),
            )
        )
    return tuple(tables)


def _shake_row(one: LearnedShake) -> tuple[str, ...]:
    return (
        _kit(one) if one.kit else "a lens not measured yet",
        spread_words(one.median_deg_per_s, ""),
        spread_words(one.fast_deg_per_s, ""),
        _held(one),
        _rests(one.counts),
    )


def _sitter_row(one: LearnedSitter, numbers: LearnedNumbers) -> tuple[str, ...]:
    name = plain_text(one.sitter) or "without a label"
    if one is numbers.any_sitter:
        name = "a kind that has not sat yet"
    return (
        name,
        spread_words(one.median_mm_per_s, ""),
        spread_words(one.fast_mm_per_s, ""),
        _rests(one.counts),
    )


def _set_by(found: Sequence[LearnedFocus]) -> list[str]:
    """Return how the focus was set, row by row: a kit as a whole stands before its parts."""
    kits = [one.kit for one in found]
    told = []
    for place, one in enumerate(found):
        whole = one.kit not in kits[:place]
        other = "any way" if whole else "not said"
        told.append(plain_text(one.setting) or (other if kits.count(one.kit) > 1 else ""))
    return told


def _focus_row(one: LearnedFocus, set_by: str) -> tuple[str, ...]:
    return (
        plain_text(one.kit),
        set_by,
        offset_words(one.bias_mm),
        spread_words(one.spread_mm, "mm"),
        _rests(one.counts),
    )


def _aside(found: Sequence[LearnedFocus]) -> str:
    kits = [one.kit for one in found]
    wholes = [one for place, one in enumerate(found) if one.kit not in kits[:place]]
    aside = sum(one.aside for one in wholes)
    if not aside:
        return ""
    return (
        f"{_many(aside, 'frame')} far off all others {'is' if aside == 1 else 'are'} left out: the "
        "focus was on something else."
    )


def _drawings(numbers: LearnedNumbers) -> tuple[CheckDrawing, ...]:
    drawings = []
    shake = [
        IntervalRow(
            name=_kit(one),
            known=one.median_deg_per_s,
            exposures=one.exposures_deg_per_s,
        )
        for one in numbers.shake
    ]
    if shake:
        axis = IntervalAxis(
            name="How fast your camera turns", unit="degrees a second", by_factors=True
        )
        drawings.append(intervals_drawing(axis, shake, note=HELD))
    sitters = [
        IntervalRow(
            name=plain_text(one.sitter) or "without a label",
            known=one.median_mm_per_s,
            exposures=one.exposures_mm_per_s,
        )
        for one in numbers.sitters
    ]
    if sitters:
        axis = IntervalAxis(
            name="How fast your sitters move", unit="mm a second, across the lens", by_factors=True
        )
        drawings.append(intervals_drawing(axis, sitters, note=HELD))
    focus = [
        IntervalRow(
            name=", ".join(filter(None, (plain_text(one.kit), set_by))),
            known=one.bias_mm,
            exposures=_frames(one),
        )
        for one, set_by in zip(numbers.focus, _set_by(numbers.focus), strict=True)
    ]
    if focus:
        axis = IntervalAxis(
            name="Where the focus lies",
            unit="mm from the near iris, + behind it",
            by_factors=False,
        )
        note = (
            "Dot and line: the mean and what is not known of it. Pale: where nine frames in ten "
            "lie. The broken line is the near iris."
        )
        drawings.append(intervals_drawing(axis, focus, note=note))
    return tuple(drawings)


def _frames(one: LearnedFocus) -> Measured:
    half = 1.645 * one.spread_mm.value
    middle = one.bias_mm.value
    return Measured(value=middle, low=middle - half, high=middle + half)


def _cautions(numbers: LearnedNumbers, corrections: Sequence[str]) -> tuple[str, ...]:
    said = []
    if any("fine adjustment" in one for one in corrections):
        said.append(ADJUSTING)
    words = " ".join(one.sitter.casefold() for one in numbers.sitters)
    if any(word in words for word in ("child", "toddler", "baby", "kid", "infant", "newborn")):
        said.append(CHILDREN)
    return tuple(said)


def _notes(numbers: LearnedNumbers) -> tuple[str, ...]:
    notes = []
    if numbers.shake or numbers.sitters:
        notes.append(WHOLE)
    if numbers.shake and all(not one.stabiliser for one in numbers.shake):
        notes.append(
            "Whether the stabiliser was on is not in the files. Say it, and it is told apart: "
            "eyeplane learned label FOLDER --stabiliser on."
        )
    if numbers.sitters and all(not one.sitter for one in numbers.sitters):
        notes.append(
            "All sitters are taken together. Label sittings, and they are told apart: eyeplane "
            "learned label FOLDER --sitter 'child 3'."
        )
    if numbers.shake:
        spread = numbers.shake[0].exposures_deg_per_s
        ratio = math.sqrt(spread.high / max(spread.low, 1e-9))
        notes.append(
            f"From one exposure to the next your shake differs by a factor of {number(ratio)} "
            "either way: a burst holds one steady frame more often than a single press."
        )
    return tuple(notes)
