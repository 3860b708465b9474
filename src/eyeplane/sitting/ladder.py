"""A ladder from its folder: frames of one framing at many shutter times, and their limits."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from eyeplane.learn.kit_names import kit_name
from eyeplane.records import MeasureSettings, SittingFrame, Viewing
from eyeplane.records.ladder import (
    LadderFrame,
    LadderPart,
    LadderResult,
    LadderSubject,
)
from eyeplane.sitting.ladder_advice import deciding_part, next_frames, notes_of
from eyeplane.sitting.ladder_asked import (
    LadderAsked,
    check_alike,
    framed_otherwise,
    no_frames_left,
)
from eyeplane.sitting.ladder_carried import carried_limits
from eyeplane.sitting.ladder_outcomes import (
    OTHERWISE,
    Outcome,
    outcome_of,
)
from eyeplane.sitting.ladder_smeared import with_smeared
from eyeplane.sitting.ladder_trials import sitter_parts
from eyeplane.sitting.ladder_units import Limits, Units, limit_deg, limits_of, rule_s
from eyeplane.sitting.offsets import kit_of
from eyeplane.sitting.options import Progress, RunOptions
from eyeplane.sitting.run import measure_sitting, sitting_name


def measure_ladder(
    paths: Sequence[Path],
    *,
    asked: LadderAsked | None = None,
    settings: MeasureSettings | None = None,
    options: RunOptions | None = None,
    progress: Callable[[Progress], None] | None = None,
) -> LadderResult:
    """Return what a ladder tells, measured from its files.

    Parameters
    ----------
    paths : sequence of Path
        Files and folders, in any order.
    asked : LadderAsked or None
        Prints, viewer, share, labels.
    settings : MeasureSettings or None
        What to measure.
    options : RunOptions or None
        How to run.
    progress : callable or None
        Called after each frame.

    Returns
    -------
    LadderResult
        Of the sitter in the frames, or of a printed chart where nobody is in them.

    Raises
    ------
    InputError
        If a path is not there, the frames are not one ladder, or none of them counts.
    StoreError
        If the store cannot be used.
    """
    asked = asked or LadderAsked()
    settings = settings or MeasureSettings()
    sitting = measure_sitting(
        paths,
        settings=settings,
        viewing=Viewing(distance_cm=asked.viewing_cm, print_cm=asked.print_cm),
        options=options,
        progress=progress,
    )
    asked = replace(asked, name=asked.name or sitting_name(paths))
    if sitting.measured or not sitting.nobody:
        return ladder_of(sitting.frames, asked)
    from eyeplane.sitting.ladder_chart import chart_ladder  # noqa: PLC0415  only for charts

    return chart_ladder(sitting.frames, asked, settings=settings)


def ladder_of(frames: Sequence[SittingFrame], asked: LadderAsked) -> LadderResult:
    """Return what the frames of a ladder tell.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time, answered for the print that is asked for.
    asked : LadderAsked
        Prints, viewer, share, labels.

    Returns
    -------
    LadderResult
        With separate limits for shake and sitter where it can be told whose motion it was.

    Raises
    ------
    InputError
        If the frames are not one ladder, or none of them counts.
    """
    where = asked.name or "ladder"
    readable = [f.reading for f in frames if f.reading.status != "unreadable"]
    if not readable:
        raise no_frames_left(["it cannot be read"] * len(frames), where=where)
    check_alike(readable, where=where)
    limits = limits_of(readable[0], asked, where=where)
    astray = framed_otherwise(frames, where=where)
    outcomes = [
        Outcome(number=n, verdict="left out", why=OTHERWISE)
        if n in astray
        else outcome_of(frame, n, limits)
        for n, frame in enumerate(frames)
    ]
    outcomes = with_smeared(frames, outcomes)
    if all(one.verdict == "left out" for one in outcomes):
        raise no_frames_left([one.why for one in outcomes], where=where)
    units = _units(frames, outcomes, limits)
    parts = sitter_parts(frames, outcomes, units, asked)
    return result_of(frames, outcomes, parts, asked, ("sitter", limits, units))


def result_of(
    frames: Sequence[SittingFrame],
    outcomes: Sequence[Outcome],
    parts: Sequence[LadderPart],
    asked: LadderAsked,
    subject: tuple[LadderSubject, Limits, Units],
) -> LadderResult:
    """Return the record of a ladder.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.
    outcomes : sequence of Outcome
        What each says.
    parts : sequence of LadderPart
        One or two.
    asked : LadderAsked
        Prints, viewer, share, labels.
    subject : tuple
        What was shot; limits of blur in the frame, and in the world.

    Returns
    -------
    LadderResult
        With what to shoot next.
    """
    kind, limits, units = subject
    reading = next(f.reading for f in frames if f.reading.status != "unreadable")
    exif, pitch = reading.exposure, reading.pitch_um
    listed = tuple(
        LadderFrame(
            name=frame.reading.path.replace("\\", "/").rpartition("/")[2],
            shutter_s=frame.reading.exposure.exposure_time_s,
            verdict=one.verdict,
            why=one.why,
            line_px=one.line_px,
        )
        for frame, one in zip(frames, outcomes, strict=True)
    )
    decides = deciding_part(parts, asked.wanted_share)
    day = (exif.captured_at or "")[:10]
    return LadderResult(
        name=asked.name,
        kit=kit_name(kit_of(exif)),
        body=exif.body or "",
        lens=exif.lens or "",
        subject=kind,
        sitter=asked.sitter,
        stabiliser=asked.stabiliser,
        focal_length_mm=exif.focal_length_mm,
        print_cm=asked.print_cm,
        viewing_cm=asked.viewing_cm,
        limit_um=None if pitch is None else limits.line_px * pitch.value,
        limit_mm=units.limit_mm,
        wanted_share=asked.wanted_share,
        rule_s=rule_s(reading),
        shot_on=day,
        frames=listed,
        parts=tuple(parts),
        carried=carried_limits(reading, parts, asked),
        advice=next_frames(decides, asked.wanted_share),
        notes=notes_of(parts, listed, chart=kind == "chart"),
    )


def _units(frames: Sequence[SittingFrame], outcomes: Sequence[Outcome], limits: Limits) -> Units:
    counted = [frames[one.number] for one in outcomes if one.verdict != "left out"]
    scales = sorted(
        f.reading.faces[f.answer.deciding].face.mm_per_px.value
        for f in counted
        if f.answer.deciding is not None
    )
    return Units(
        limit_deg=limit_deg(counted[0].reading, limits),
        limit_mm=limits.line_px * scales[len(scales) // 2] if scales else None,
    )
