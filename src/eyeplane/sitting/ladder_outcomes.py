"""What each frame of a ladder says: whether it holds as far as motion goes, and whose motion not.

Points are (x, y) in px of the upright frame.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from eyeplane.diagnose.lines import places_of
from eyeplane.diagnose.motion import contradicts, motion_of, plausible, whose, whose_log_odds
from eyeplane.records import (
    FaceReading,
    FrameReading,
    Measured,
    SittingFrame,
    counting_eye,
)
from eyeplane.sitting.ladder_units import Limits

Verdict = Literal["holds", "shake", "sitter", "motion", "left out"]

DRIVE_S = (
    1.0  # s: frames that came faster share one movement; a second press takes longer; no source
)
LIKELY = 0.5  # chance of motion from which a soft frame counts as lost to it
FEWEST_PLACES = 2  # of the background that must show a line, half of all at least; no source
MOTIONS = ("shake", "sitter", "motion")
OWNERS: dict[str, tuple[Verdict, float]] = {"shake": ("shake", 1.0), "sitter": ("sitter", 0.0)}
NO_TIME = "the file does not tell its shutter time"
FLASH = "lit by flash, which ends the exposure instead of the shutter"
NOBODY = "no face was found"
UNREADABLE = "it cannot be read"
OTHERWISE = "framed otherwise than most"
FOCUS = "soft by focus"
FOCUS_TOO = "soft by focus as well as moved"
GLASS = "soft by something else than focus or motion"
CANNOT = "whether it moved cannot be told"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What one frame says.

    Attributes
    ----------
    number : int
        Of the frame.
    verdict : str
        Whether it holds, whose motion lost it, or that it is left out.
    why : str
        Why it is left out.
    line_px : Measured or None
        Line of motion, where one was measured.
    shake_chance : float
        Where it was lost: how probable it is that the camera was moved.
    behind : bool
        Whether the background moved too, whoever else did.
    """

    number: int
    verdict: Verdict
    why: str = ""
    line_px: Measured | None = None
    shake_chance: float = 0.5
    behind: bool = False


def outcome_of(frame: SittingFrame, number: int, limits: Limits) -> Outcome:
    """Return what one frame says.

    Parameters
    ----------
    frame : SittingFrame
        Measured and answered.
    number : int
        Of the frame.
    limits : Limits
        For the print.

    Returns
    -------
    Outcome
        Left out where the shutter did not end the exposure, or where other blur hides what motion
        did.
    """
    unfit = _unfit(frame)
    if unfit:
        return Outcome(number=number, verdict="left out", why=unfit)
    deciding = frame.answer.deciding or 0
    face, said = frame.reading.faces[deciding], frame.answer.faces[deciding]
    if said.motion_mm is not None:
        length = _over(said.motion_mm, face.face.mm_per_px)
        return _moved(frame, number, length, limits)
    size = counting_eye(face).blur.size_px
    if size is None or contradicts(face):
        return Outcome(number=number, verdict="left out", why=CANNOT)
    if size.value <= limits.disc_px:
        return Outcome(number=number, verdict="holds")
    chance = {one.cause: one.chance for one in said.chances}
    moved = sum(chance.get(cause, 0.0) for cause in MOTIONS) if chance else said.cause in MOTIONS
    if moved >= LIKELY:
        verdict, sure = OWNERS.get(said.cause, ("motion", 0.5))
        return Outcome(number=number, verdict=verdict, shake_chance=sure)
    why = {"focus": FOCUS, "depth": FOCUS, "glass": GLASS}.get(said.cause, CANNOT)
    return Outcome(number=number, verdict="left out", why=why)


def drives(readings: Sequence[FrameReading]) -> tuple[int, ...]:
    """Return which frames came in one drive of the shutter, at one shutter time.

    Parameters
    ----------
    readings : sequence of FrameReading
        In order of time.

    Returns
    -------
    tuple of int
        A number for each; frames without capture time stand alone.
    """
    found: list[int] = []
    for number, reading in enumerate(readings):
        before = readings[number - 1].exposure if number else None
        now = reading.exposure
        goes_on = (
            before is not None
            and before.captured_s is not None
            and now.captured_s is not None
            and now.captured_s - before.captured_s < DRIVE_S
            and now.exposure_time_s == before.exposure_time_s
        )
        found.append(found[-1] if goes_on else number)
    return tuple(found)


def _unfit(frame: SittingFrame) -> str:
    """Return why a frame says nothing of motion; empty if it may."""
    reading = frame.reading
    if reading.status == "unreadable":
        return UNREADABLE
    if reading.status == "nobody" or not reading.faces:
        return NOBODY
    if not reading.exposure.exposure_time_s:
        return NO_TIME
    if reading.exposure.flash_fired:
        return FLASH
    return CANNOT if frame.answer.deciding is None else ""


def _moved(frame: SittingFrame, number: int, length: Measured, limits: Limits) -> Outcome:
    """Return what a frame with a line says."""
    face = frame.reading.faces[frame.answer.deciding or 0]
    beside = counting_eye(face).blur.disc_beside_px
    if beside is not None and beside.low > limits.disc_px:
        return Outcome(number=number, verdict="left out", why=FOCUS_TOO, line_px=length)
    if length.value <= limits.line_px:
        return Outcome(number=number, verdict="holds", line_px=length)
    verdict, chance = _owner(frame, face)
    return Outcome(
        number=number,
        verdict=verdict,
        line_px=length,
        shake_chance=chance,
        behind=_background_moved(frame.reading, limits.line_px),
    )


def _owner(frame: SittingFrame, face: FaceReading) -> tuple[Verdict, float]:
    """Return whose motion it was, and the chance that it was the camera's."""
    cause = frame.answer.faces[frame.answer.deciding or 0].cause
    if cause in OWNERS:
        return OWNERS[cause]
    motion = motion_of(face)
    if motion is None:
        return "motion", 0.5
    reading = frame.reading
    others = [one for one in reading.faces if one is not face]
    owner = whose(motion, face, reading, others)
    if owner != "motion":
        return owner, float(owner == "shake")
    odds = whose_log_odds(motion, face, reading, others)
    chance = 1.0 / (1.0 + math.exp(-max(min(odds, 30.0), -30.0)))
    if not plausible("shake", motion, face, reading):
        chance = min(chance, 0.5)
    return "motion", chance


def _background_moved(reading: FrameReading, line_px: float) -> bool:
    """Return whether the background shows lines longer than the print takes."""
    places = places_of(replace(reading, faces=()))
    lines = [p for p in reading.background if p.blur.kind == "line"]
    long = [p for p in lines if p.blur.size_px is not None and p.blur.size_px.value > line_px]
    return len(long) >= max(FEWEST_PLACES, len(places) / 2)


def _over(length_mm: Measured, mm_per_px: Measured) -> Measured:
    """Return a length in px; its own interval holds that of the scale already."""
    low, value, high = (
        v / mm_per_px.value for v in (length_mm.low, length_mm.value, length_mm.high)
    )
    return Measured(value=value, low=low, high=high)
