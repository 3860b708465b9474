"""Sittings made up frame by frame from known habits, as they would be measured and answered."""

import math
from dataclasses import dataclass, replace

import numpy as np
from tests.sitting.made import face, reading

from eyeplane.diagnose.reach import PrintView, reach_at
from eyeplane.optics import PointSpread
from eyeplane.records import (
    Blur,
    BudgetPart,
    Cause,
    Exposure,
    Eye,
    FaceAnswer,
    Finding,
    FrameAnswer,
    Measured,
    SittingFrame,
)

Z90 = 1.6449
FOCAL_MM, PITCH_UM, DISTANCE_MM = 85.0, 6.0, 2000.0
EDGE_PX, SHORT_PX = 6000, 4000
MM_PER_PX = PITCH_UM / 1000.0 * (DISTANCE_MM - FOCAL_MM) / FOCAL_MM
LINE_SEEN_PX = 5.0  # shorter lines are not called
LINE_OVER_DISC = 0.70508 / 0.603355  # of equal contrast at half modulation


@dataclass(frozen=True, kw_only=True)
class Habits:
    """What a made-up sitting is like; the defaults are a clean one.

    Attributes
    ----------
    bias_mm, between_mm, within_mm : float
        Of the true offset: mean, deviation from burst to burst, and within a burst.
    recompose : float
        How much of what turning the camera makes is in the offset.
    drift_mm : float
        Change of the offset from the first frame to the last.
    speed_mm_per_s, speed_log_sd : float
        Median and width of the sitter's speed; half of its variance is a burst's.
    times_s : tuple of float
        Shutter times, one a burst at random.
    closed : float
        Share of bursts' frames with closed eyes.
    caught : float
        Share of bursts whose focus caught the lashes.
    level : float
        Light at the eyes.
    noise : float
        Grain.
    error_mm : float
        Of measuring one offset; shared by a sitting besides: `shared_mm`.
    """

    bias_mm: float = 0.0
    between_mm: float = 2.5
    within_mm: float = 2.5
    recompose: float = 0.0
    drift_mm: float = 0.0
    speed_mm_per_s: float = 8.0
    speed_log_sd: float = 0.8
    times_s: tuple[float, ...] = (1 / 250,)
    closed: float = 0.04
    caught: float = 0.01
    level: float = 0.2
    noise: float = 0.01
    error_mm: float = 3.0
    shared_mm: float = 1.0
    f_number: float = 1.8
    aside_mm: float = 0.0
    kit: tuple[str, str] = ("Body A", "85 mm")


@dataclass(frozen=True, kw_only=True)
class Truth:
    """What was true of one frame."""

    offset_mm: float
    line_px: float
    disc_px: float


CLEAN = Habits()


def px_per_mm(f_number: float) -> float:
    """Return the disc in px that a millimetre of offset makes, linear."""
    away = DISTANCE_MM
    return 1000.0 * FOCAL_MM**2 / f_number / (away - FOCAL_MM) / away / PITCH_UM


def simulate(
    rng: np.random.Generator,
    habits: Habits = CLEAN,
    *,
    bursts: int = 15,
    per_burst: int = 3,
    goal_cm: float = 40.0,
) -> tuple[tuple[SittingFrame, ...], tuple[Truth, ...]]:
    """Return the frames of a sitting in order of time, and what was true of each."""
    frames, truths = [], []
    shared = float(rng.normal(0, habits.shared_mm))
    for burst in range(1, bursts + 1):
        common = float(rng.normal(0, habits.between_mm))
        eye_px = (float(rng.uniform(300, SHORT_PX - 300)), float(rng.uniform(300, EDGE_PX - 300)))
        time_s = float(rng.choice(habits.times_s))
        lively = float(rng.standard_normal())
        caught = rng.random() < habits.caught
        for shot in range(per_burst):
            share = (burst - 1) / max(bursts - 1, 1)
            offset = habits.bias_mm + common + float(rng.normal(0, habits.within_mm))
            offset += habits.drift_mm * share + habits.recompose * turned_mm(eye_px)
            offset += habits.aside_mm * (rng.random() < 0.1)
            pace = 0.5**0.5 * (lively + rng.standard_normal())
            speed = habits.speed_mm_per_s * math.exp(habits.speed_log_sd * pace)
            truth = Truth(
                offset_mm=offset,
                line_px=speed * time_s / MM_PER_PX,
                disc_px=px_per_mm(habits.f_number) * abs(offset),
            )
            at_s = 1000.0 + 20.0 * burst + 0.5 * shot
            frames.append(
                frame_of(
                    rng,
                    truth,
                    habits,
                    place=(f"{burst:04d}_{shot}.jpg", burst, at_s, eye_px, time_s),
                    shared_mm=shared,
                    caught=bool(caught),
                    goal_cm=goal_cm,
                )
            )
            truths.append(truth)
    return tuple(frames), tuple(truths)


def turned_mm(eye_px: tuple[float, float]) -> float:
    """Return s (1 − cos θ) for an eye at this place of an upright frame."""
    image_mm = FOCAL_MM * DISTANCE_MM / (DISTANCE_MM - FOCAL_MM)
    off_mm = math.dist(eye_px, (SHORT_PX / 2, EDGE_PX / 2)) * PITCH_UM / 1000.0
    theta = math.atan2(off_mm, image_mm)
    straight = DISTANCE_MM / math.cos(theta)  # from the lens to the eye
    return straight * (1 - math.cos(theta))


def frame_of(
    rng: np.random.Generator,
    truth: Truth,
    habits: Habits,
    *,
    place: tuple[str, int, float, tuple[float, float], float],
    shared_mm: float,
    caught: bool,
    goal_cm: float,
) -> SittingFrame:
    """Return one frame as it would be measured and answered."""
    path, burst, at_s, eye_px, time_s = place
    lined = truth.line_px >= LINE_SEEN_PX and truth.line_px > truth.disc_px
    unlined = max(math.hypot(truth.disc_px, truth.line_px / LINE_OVER_DISC), 0.3)
    size = (truth.line_px if lined else unlined) * math.exp(rng.normal(0, 0.08))
    blurred = blur_of(size, lined=lined)
    exposure = Exposure(
        captured_s=at_s,
        focal_length_mm=FOCAL_MM,
        f_number=habits.f_number,
        exposure_time_s=time_s,
        body=habits.kit[0],
        lens=habits.kit[1],
        iso=200.0,
    )
    one = face((eye_px[0] - 400, eye_px[1] - 500, 1000.0, 1300.0), eye_blur=blurred)
    left, right = one.face.eyes
    eyes = (replace(left, iris_px=eye_px), right)
    one = replace(
        one,
        face=replace(
            one.face,
            eyes=_both(eyes),
            mm_per_px=Measured(value=MM_PER_PX, low=MM_PER_PX * 0.95, high=MM_PER_PX * 1.05),
            distance_mm=Measured(value=DISTANCE_MM, low=1900.0, high=2100.0),
        ),
        level=habits.level,
        noise_contrast=Measured(value=habits.noise, low=habits.noise, high=habits.noise),
    )
    shown = reading(path, exposure=exposure, faces=[one], size_px=(SHORT_PX, EDGE_PX))
    shown = replace(
        shown, pitch_um=Measured(value=PITCH_UM, low=PITCH_UM * 0.98, high=PITCH_UM * 1.02)
    )
    offset = None if lined else told_offset(rng, truth, habits, shared_mm)
    closed = rng.random() < habits.closed
    answer = answer_of(
        (size, lined), offset, habits, goal_cm=goal_cm, closed=bool(closed), caught=caught
    )
    return SittingFrame(
        reading=shown, answer=answer, companions=(), burst=burst, best_of_burst=False
    )


def _both(eyes: tuple[Eye, Eye]) -> tuple[Eye, Eye]:
    return eyes


def blur_of(size_px: float, *, lined: bool) -> Blur:
    """Return a disc or a line as it would be measured, 8 % standard deviation."""
    high = size_px * math.exp(Z90 * 0.08)
    size = Measured(value=size_px, low=size_px * math.exp(-Z90 * 0.08), high=high)
    return Blur(
        kind="line" if lined else "disc",
        size_px=size,
        angle_deg=20.0 if lined else None,
        disc_px=size,
        line_px=size,
        line_angle_deg=20.0,
        line_gain=10.0 if lined else -10.0,
        sharp_gain=-1.0,
    )


def told_offset(
    rng: np.random.Generator, truth: Truth, habits: Habits, shared_mm: float
) -> Measured | None:
    """Return the offset with its error; None where side and size could not be told."""
    error = habits.error_mm * math.exp(rng.normal(0, 0.2))
    value = truth.offset_mm + shared_mm + float(rng.normal(0, error))
    low, high = value - Z90 * error, value + Z90 * error
    side_told = low > 0 or high < 0
    small = max(abs(low), abs(high)) * px_per_mm(habits.f_number) <= 2.0
    return Measured(value=value, low=low, high=high) if side_told or small else None


def answer_of(
    blurred: tuple[float, bool],
    offset: Measured | None,
    habits: Habits,
    *,
    goal_cm: float,
    closed: bool = False,
    caught: bool = False,
) -> FrameAnswer:
    """Return the answer of a frame with this blur."""
    size, lined = blurred
    view = PrintView(width_px=SHORT_PX, height_px=EDGE_PX, viewing_cm=50.0, print_cm=None)

    def reach(px: float) -> float:
        px = round(px, 1)
        spread = PointSpread(line_px=px) if lined else PointSpread(disc_px=px)
        return reach_at(spread, habits.noise, view)

    value, low, high = reach(size), reach(size * 1.14), reach(size / 1.14)
    reach_cm = Measured(value=value, low=min(low, value), high=max(high, value))
    cause: Cause = "sitter" if lined else "focus"
    if value >= goal_cm:
        cause = "none"
    part = Measured(value=size, low=size * 0.9, high=size * 1.1)
    length_mm = size * MM_PER_PX
    motion = Measured(value=length_mm, low=length_mm * 0.9, high=length_mm * 1.1)
    findings = (Finding(kind="caught", text="Focus caught the lashes, 9 mm in front."),)
    said = FaceAnswer(
        sitter=True,
        reach_cm=reach_cm,
        holds_diagonal=None,
        offset_mm=offset,
        offset_why="" if offset else "which side cannot be told",
        cause=cause,
        motion_um=motion if lined else None,
        motion_mm=motion if lined else None,
        motion_angle_deg=20.0 if lined else None,
        budget=(
            BudgetPart(
                cause="sitter" if lined else "focus",
                blur_um=None,
                blur_px=part,
                reach_without_cm=reach(0.0),
            ),
        ),
        marks=(),
        depth_front_mm=None,
        depth_back_mm=None,
        eyes_open=not closed,
        findings=findings if caught else (),
    )
    return FrameAnswer(
        reach_cm=reach_cm,
        holds_diagonal=None,
        cause=cause,
        sentence="Near eye.",
        advice="",
        deciding=0,
        faces=(said,),
    )
