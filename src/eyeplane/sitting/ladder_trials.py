"""Frames of a ladder as trials of the hand and of the sitter, and the lines they drew."""

from collections.abc import Sequence
from dataclasses import replace

from eyeplane.learn.ladder_fit import LadderFit
from eyeplane.learn.speeds import Speed
from eyeplane.records import SittingFrame
from eyeplane.records.ladder import LadderMover, LadderPart
from eyeplane.sitting.ladder_advice import deciding_part
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.ladder_outcomes import Outcome, drives
from eyeplane.sitting.ladder_parts import Trial, more_of, part_of
from eyeplane.sitting.ladder_units import Limits, Units, limit_deg
from eyeplane.sitting.speeds import speeds_of

OWNED_SHARE = 0.6  # of the lost frames whose mover must be told, to tell the two apart; no source


def sitter_parts(
    frames: Sequence[SittingFrame],
    outcomes: Sequence[Outcome],
    units: Units,
    asked: LadderAsked,
) -> tuple[LadderPart, ...]:
    """Return shake and sitter apart where most lost frames tell whose motion it was.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    outcomes : sequence of Outcome
        What each says.
    units : Units
        Of the longest line.
    asked : LadderAsked
        For the wanted share.

    Returns
    -------
    tuple of LadderPart
        Shake and sitter, or the one part "motion".
    """
    lost = [one for one in outcomes if one.verdict not in ("left out", "holds")]
    owned = sum(one.verdict != "motion" for one in lost)
    apart = bool(lost) and owned >= OWNED_SHARE * len(lost)
    return _fitted(frames, outcomes, ("shake", "sitter") if apart else ("motion",), units, asked)


def shake_parts(
    frames: Sequence[SittingFrame],
    outcomes: Sequence[Outcome],
    units: Units,
    asked: LadderAsked,
) -> tuple[LadderPart, ...]:
    """Return the one part of frames in which nothing can move but the camera.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    outcomes : sequence of Outcome
        What each says.
    units : Units
        Of the longest line.
    asked : LadderAsked
        For the wanted share.

    Returns
    -------
    tuple of LadderPart
        Shake.
    """
    return _fitted(frames, outcomes, ("shake",), units, asked)


def _fitted(
    frames: Sequence[SittingFrame],
    outcomes: Sequence[Outcome],
    movers: Sequence[LadderMover],
    units: Units,
    asked: LadderAsked,
) -> tuple[LadderPart, ...]:
    counted = [one for one in outcomes if one.verdict != "left out"]
    number_of = drives([frame.reading for frame in frames])
    found = []
    for mover in movers:
        trials = [
            trial
            for one in counted
            for trial in trials_of(
                one, mover, frames[one.number].reading.exposure.exposure_time_s, number_of
            )
        ]
        if trials:
            speeds = _speeds(frames, counted, mover, number_of, units)
            found.append(
                part_of(mover, trials, units, wanted_share=asked.wanted_share, speeds=speeds)
            )
    return parts_with_more(found, asked.wanted_share)


def parts_with_more(
    found: Sequence[tuple[LadderPart, LadderFit]], wanted_share: float
) -> tuple[LadderPart, ...]:
    """Return the parts, that which decides with how many more frames would help.

    Parameters
    ----------
    found : sequence of (LadderPart, LadderFit)
        Of one mover each.
    wanted_share : float
        Whose limit.

    Returns
    -------
    tuple of LadderPart
        In the same order.
    """
    decides = deciding_part([part for part, _ in found], wanted_share)
    return tuple(
        replace(part, more=more_of(fit, wanted_share)) if part is decides else part
        for part, fit in found
    )


def trials_of(
    one: Outcome, mover: LadderMover, time_s: float | None, drive_of: Sequence[int]
) -> list[Trial]:
    """Return how one frame counts for one mover.

    Parameters
    ----------
    one : Outcome
        What the frame says; not left out.
    mover : {"shake", "sitter", "motion"}
        For whom.
    time_s : float or None
        Its shutter time.
    drive_of : sequence of int
        Drives of all frames.

    Returns
    -------
    list of Trial
        A frame that the sitter's motion lost is one that the hand held still, where the background
        does not say otherwise; how a sitter moved in a frame that shake lost cannot be seen. A
        frame of nobody's motion counts for each by how probable it is.
    """
    if time_s is None:
        return []

    def trial(share: float, *, held: bool) -> Trial:
        return Trial(
            number=one.number,
            shutter_s=time_s,
            drive=drive_of[one.number],
            held=held,
            counts_share=share,
        )

    if one.verdict == "holds" or mover == "motion":
        return [trial(1.0, held=one.verdict == "holds")]
    shake = 1.0 if one.behind else one.shake_chance
    if mover == "shake":
        both = [trial(shake, held=False), trial(1.0 - shake, held=True)]
    else:
        both = [trial(1.0 - one.shake_chance, held=False)]
    return [t for t in both if t.counts_share > 0]


def _speeds(
    frames: Sequence[SittingFrame],
    counted: Sequence[Outcome],
    mover: LadderMover,
    drive_of: Sequence[int],
    units: Units,
) -> tuple[Speed, ...]:
    """Return what lengths of lines say of a mover, in frames that count."""
    if mover == "motion":
        return ()
    if units.limit_mm is None:
        return _turns(frames, counted, drive_of)
    fit = {one.number for one in counted}
    found = speeds_of(frames, mover)
    return tuple(replace(s, burst=drive_of[s.number]) for s in found if s.number in fit)


def _turns(
    frames: Sequence[SittingFrame], counted: Sequence[Outcome], drive_of: Sequence[int]
) -> tuple[Speed, ...]:
    """Return how fast the camera turned by lines at a chart, or at most could have turned."""
    found = []
    for one in counted:
        reading = frames[one.number].reading
        time_s = reading.exposure.exposure_time_s
        unit = limit_deg(reading, Limits(disc_px=1.0, line_px=1.0))
        if unit is None or not time_s or one.line_px is None:
            continue
        seen = one.line_px.low > 0
        found.append(
            Speed(
                number=one.number,
                burst=drive_of[one.number],
                value=(one.line_px.value if seen else one.line_px.high) * unit / time_s,
                seen=seen,
                unit_per_px=unit,
            )
        )
    return tuple(found)
