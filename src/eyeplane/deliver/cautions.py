"""Cautions, shown only where this sitting gives cause for them."""

import re
from collections.abc import Iterator, Sequence

from eyeplane.records import FrameAnswer, Sitting, SittingFrame

FLASH = (
    "Repeated flash can harm photosensitive people: ask before you use it, and never fire it "
    "more than three times a second."
)
FLASH_FAST = "In burst {burst} the flash fired more than three times within a second."
SEATING = (
    "When you seat a group anew: nobody leans, or stands on furniture, to reach a focus plane; "
    "a child on a stool has an adult beside it."
)
LIGHTS = (
    "When you move a light: sandbags on stands and booms, cables taped down, and modelling lamps "
    "are hot."
)
CLEANING = (
    "Clean glass with a blower first, then a clean cloth. A sensor can be ruined by cleaning: use "
    "the blower only, and follow its maker's instructions or give it to a service shop."
)
# What an advice that gives cause for each caution says.
_FLASH = re.compile(r"\b(?:flash|strobe)", re.IGNORECASE)
_MOVE = re.compile(r"\b(?:lean|seat|row|stand|closer together|one plane)", re.IGNORECASE)
_LIGHT = re.compile(
    r"\b(?:rais|mov|lower|turn|bring|set|add|swing)\w*\b[^.;]*\b(?:light|lamp|source|softbox)",
    re.IGNORECASE,
)
_CLEAN = re.compile(
    r"\b(?:clean|wipe|dust|smudge|smear|front element|blower|glass\b)", re.IGNORECASE
)


def cautions(sitting: Sitting) -> tuple[str, ...]:
    """Return the cautions that apply.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    tuple of str
        Whole sentences, perhaps none: where flash fired, where a group may be seated anew, and
        where any advice given speaks of flash, of leaning, of moving a light or of cleaning.
    """
    veiled = any(habit.kind == "veil" for habit in sitting.habits)
    return _applying(" ".join(_advice(sitting)), sitting.frames, veiled=veiled)


def frame_cautions(frame: SittingFrame) -> tuple[str, ...]:
    """Return the cautions that apply to one frame and what is advised on it.

    Parameters
    ----------
    frame : SittingFrame
        Measured and answered.

    Returns
    -------
    tuple of str
        As `cautions`, for the frame alone.
    """
    return _applying(" ".join(_frame_advice(frame.answer)), (frame,), veiled=False)


def _applying(advice: str, frames: Sequence[SittingFrame], *, veiled: bool) -> tuple[str, ...]:
    fired = any(f.reading.exposure.flash_fired for f in frames)
    said = []
    if fired or _FLASH.search(advice):
        said.append(FLASH)
        said += [FLASH_FAST.format(burst=number) for number in _fast_bursts(frames)]
    if _MOVE.search(advice) or any(
        f.answer.cause in {"focus", "depth"} and sum(a.sitter for a in f.answer.faces) > 1
        for f in frames
    ):
        said.append(SEATING)
    if _LIGHT.search(advice):
        said.append(LIGHTS)
    if _CLEAN.search(advice) or veiled:
        said.append(CLEANING)
    return tuple(said)


def _advice(sitting: Sitting) -> Iterator[str]:
    """Yield every advice given, of the sitting and of its frames."""
    yield from (habit.advice for habit in sitting.habits)
    yield from (change.text for change in sitting.changes)
    yield sitting.lines[3]
    for frame in sitting.frames:
        yield from _frame_advice(frame.answer)


def _frame_advice(answer: FrameAnswer) -> Iterator[str]:
    yield answer.advice
    yield from (finding.advice for finding in answer.findings)
    for face in answer.faces:
        yield from (finding.advice for finding in face.findings)


def _fast_bursts(frames: Sequence[SittingFrame]) -> list[int]:
    """Return the bursts in which more than three flashes fell within one second."""
    times: dict[int, list[float]] = {}
    for frame in frames:
        exposure = frame.reading.exposure
        if frame.burst is not None and exposure.flash_fired and exposure.captured_s is not None:
            times.setdefault(frame.burst, []).append(exposure.captured_s)
    return sorted(number for number, seconds in times.items() if _fast(sorted(seconds)))


def _fast(seconds: list[float]) -> bool:
    return any(late - early < 1.0 for early, late in zip(seconds, seconds[3:], strict=False))
