"""Ladders made up frame by frame from known speeds, as they would be measured and answered."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from tests.sitting.made import about, face, reading
from tests.sitting.simulated import CLEAN, answer_of, blur_of

from eyeplane.records import (
    CauseChance,
    Exposure,
    FaceReading,
    FrameStatus,
    Measured,
    ProbeReading,
    SittingFrame,
)

FOCAL_MM, PITCH_UM, DISTANCE_MM = 85.0, 6.0, 2000.0
EDGE_PX, SHORT_PX = 6000, 4000
MM_PER_PX = PITCH_UM / 1000.0 * (DISTANCE_MM - FOCAL_MM) / FOCAL_MM
DEG_PER_PX = math.degrees(PITCH_UM / 1000.0 / FOCAL_MM)
TIMES_S = tuple(1 / n for n in (500, 250, 125, 60, 30, 15))
SEEN_PX = 2.0  # shorter lines are not called


@dataclass(frozen=True, kw_only=True)
class Shooter:
    """Who shoots whom: medians and widths of their speeds over exposures.

    Attributes
    ----------
    shake_deg_per_s, sitter_mm_per_s : float
        Medians.
    shake_log_sd, sitter_log_sd : float
        Natural logarithm.
    lapse : float
        Share of frames that move far at any shutter time.
    focus : float
        Share of frames with missed focus.
    background : bool
        Whether something textured at rest is in the frame.
    """

    shake_deg_per_s: float = 0.7
    sitter_mm_per_s: float = 1.0
    shake_log_sd: float = 0.9
    sitter_log_sd: float = 0.9
    lapse: float = 0.0
    focus: float = 0.0
    background: bool = True


def limit_s(line_px: float, per_px: float, median: float, log_sd: float, z: float) -> float:
    """Return the true slowest time for a share of frames, z standard deviations of a normal."""
    return line_px * per_px / (median * math.exp(z * log_sd))


def ladder(
    rng: np.random.Generator,
    shooter: Shooter,
    *,
    times_s: Sequence[float] = TIMES_S,
    each: int = 6,
    focal_mm: float = FOCAL_MM,
    goal_cm: float = 40.0,
) -> tuple[SittingFrame, ...]:
    """Return the frames of a ladder, in order of time."""
    times = np.repeat(times_s, each)
    frames = []
    for number, time_s in enumerate(times):
        lapsed = rng.random() < shooter.lapse
        shake = speed(rng, shooter.shake_deg_per_s, shooter.shake_log_sd) * time_s
        sitter = speed(rng, shooter.sitter_mm_per_s, shooter.sitter_log_sd) * time_s
        shake_px, sitter_px = shake / DEG_PER_PX, sitter / MM_PER_PX
        if lapsed:
            sitter_px = 30.0
        disc_px = 12.0 if rng.random() < shooter.focus else 0.8
        exif = Exposure(
            captured_s=1000.0 + 3.0 * number,
            captured_at=f"2026-03-14T10:{number // 60:02d}:{number % 60:02d}",
            focal_length_mm=focal_mm,
            f_number=4.0,
            exposure_time_s=float(time_s),
            body="Body A",
            lens="85 mm",
            iso=200.0,
        )
        frames.append(
            made_frame(
                rng,
                f"{number:04d}.jpg",
                exif,
                (shake_px, sitter_px, disc_px),
                background=shooter.background,
                goal_cm=goal_cm,
            )
        )
    return tuple(frames)


def speed(rng: np.random.Generator, median: float, log_sd: float) -> float:
    """Return one exposure's speed."""
    return median * math.exp(log_sd * float(rng.standard_normal()))


def made_frame(
    rng: np.random.Generator,
    name: str,
    exif: Exposure,
    moved: tuple[float, float, float],
    *,
    background: bool,
    goal_cm: float,
) -> SittingFrame:
    """Return a frame whose camera and sitter drew these lines, with this disc of missed focus."""
    shake_px, sitter_px, disc_px = moved
    line_px = math.hypot(shake_px, sitter_px)
    lined = line_px >= SEEN_PX and line_px > disc_px
    rest = max(math.hypot(disc_px, line_px / 1.17), 0.3)
    size = (line_px if lined else rest) * math.exp(rng.normal(0, 0.06))
    one = replace(
        face((1500.0, 1500.0, 1000.0, 1300.0), eye_blur=blur_of(size, lined=lined)),
        noise_contrast=Measured(value=0.01, low=0.009, high=0.011),
    )
    one = replace(one, face=replace(one.face, mm_per_px=about(MM_PER_PX, 0.05)))
    shown = replace(
        reading(name, exposure=exif, faces=[one], size_px=(SHORT_PX, EDGE_PX)),
        pitch_um=about(PITCH_UM, 0.02),
        background=places(shake_px) if background and line_px > SEEN_PX else (),
    )
    answer = answer_of((size, lined), None, CLEAN, goal_cm=goal_cm)
    said = answer.faces[0]
    motion = None if said.motion_mm is None else about(size * MM_PER_PX, 0.1)
    owner = "shake" if shake_px > sitter_px else "sitter"
    cause = answer.cause
    if lined and cause != "none":
        cause = owner if background else "motion"  # type: ignore[assignment]  # one of them
    chances = (
        ()
        if cause == "none"
        else (
            CauseChance(
                cause="focus" if disc_px > line_px else "motion",
                prior=0.5,
                evidence=3.0,
                chance=0.95,
                because="",
            ),
        )
    )
    said = replace(said, motion_mm=motion, motion_um=motion, cause=cause, chances=chances)
    return SittingFrame(
        reading=shown,
        answer=replace(answer, cause=cause, faces=(said,)),
        companions=(),
        burst=1,
        best_of_burst=False,
    )


def places(line_px: float) -> tuple[ProbeReading, ...]:
    """Return places of the background, moved by the camera alone."""
    lined = line_px >= SEEN_PX
    blur = blur_of(max(line_px, 0.6), lined=lined)
    return tuple(
        ProbeReading(
            name="background", at_px=(x, 300.0), depth_mm=None, depth_sd_mm=None, blur=blur
        )
        for x in (300.0, 1900.0, 3700.0)
    )


def others(frames: Sequence[SittingFrame], **exif: object) -> tuple[SittingFrame, ...]:
    """Return frames with other notes of the camera."""
    return tuple(
        replace(f, reading=replace(f.reading, exposure=replace(f.reading.exposure, **exif)))  # type: ignore[arg-type]  # by name
        for f in frames
    )


def refaced(frame: SittingFrame, one: FaceReading) -> SittingFrame:
    """Return a frame with another face."""
    return replace(frame, reading=replace(frame.reading, faces=(one,)))


def emptied(frame: SittingFrame, status: FrameStatus) -> SittingFrame:
    """Return a frame with nobody in it, or one that cannot be read."""
    reading_ = replace(frame.reading, status=status, faces=(), background=())
    answer = replace(frame.answer, faces=(), deciding=None, cause="cannot tell", reach_cm=None)
    return replace(frame, reading=reading_, answer=answer, burst=None)
