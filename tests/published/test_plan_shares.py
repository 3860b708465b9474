"""Shares of frames drawn at random against closed forms, and the drawing's own error.

Closed forms: the normal distribution function for a normal focus error between the two distances
where the disc just holds (exact thin lens); the same of a logarithm for log-normal speeds; the
arc tangent for Cauchy misses; sums over a grid where two of them meet. Nothing but the limits of
disc and line is taken from the plan, and those are held against the optics at the end.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from eyeplane.optics import (
    BLUR_POWER,
    SHARP,
    PointSpread,
    depth_of_field_mm,
    looks_sharp,
    perceived_sharpness,
)
from eyeplane.people.aim import FocusError
from eyeplane.people.hands import HandSpeed
from eyeplane.people.speeds import SitterSpeed
from eyeplane.plan.draws import FRAMES, draw_frames, plan_draws
from eyeplane.plan.hold import base_spreads, hold_limits
from eyeplane.plan.scene import Scene, settings_of
from eyeplane.plan.share import frame_shares, share_with_interval
from eyeplane.records import PlanKit, PlanPrint

FloatArray = NDArray[np.float64]

EYE_MM, FOCAL_MM = 2000.0, 85.0
KIT = PlanKit(focal_length_mm=FOCAL_MM)
EVENLY = 4 / FRAMES  # error of one spread that is met evenly: a frame at each of two ends, twice
DRAWN = 4 * math.sqrt(0.25 / FRAMES)  # four standard errors of a share of so many frames
NO_TURN = HandSpeed(median_deg_per_s=1e-9, log_sd=0.1, unsure_log_sd=0.0, source="none")
NO_MOVE = SitterSpeed(median_mm_per_s=1e-9, log_sd=0.1, unsure_log_sd=0.0, source="none")
SHARP_FOCUS = FocusError(
    bias_mm=0.0, spread_mm=1e-9, unsure_log_sd=0.0, miss_share=0.0, miss_mm=40.0, source="none"
)
SCENE = Scene(
    kit=KIT,
    promise=PlanPrint(print_cm=50.0),
    eyes_mm=(EYE_MM,),
    person=(0,),
    focus=SHARP_FOCUS,
    hand=NO_TURN,
    sway=NO_MOVE,
    sitters=((1.0, NO_MOVE),),
)


def limits_um(f_number: float, iso: float = 100.0) -> tuple[float, float]:
    """Return the largest disc alone and the longest line alone that hold."""
    found = hold_limits(KIT, SCENE.promise, f_number=[f_number], iso=[iso])
    return float(found.disc_um[0]), float(found.line_um[0])


def share_of(scene: Scene, *, f_number: float = 2.8, shutter_s: float = 1 / 125) -> float:
    """Return the share that the plan draws."""
    settings = settings_of(f_number=[f_number], shutter_s=shutter_s, iso=100.0)
    return float(frame_shares(scene, settings, EYE_MM, plan_draws())[0])


def planes_mm(circle_um: float, f_number: float) -> tuple[float, float]:
    """Return the nearest and farthest focus plane at which an eye at `EYE_MM` holds.

    c = (f²/N) |d − s| / (d (s − f)), solved for s on either side of d.
    """
    k = circle_um / 1000 * f_number / FOCAL_MM**2 * EYE_MM
    return (EYE_MM + k * FOCAL_MM) / (1 + k), (EYE_MM - k * FOCAL_MM) / (1 - k)


def normal_share(circle_um: float, f_number: float, *, bias_mm: float, spread_mm: float) -> float:
    near, far = planes_mm(circle_um, f_number)
    ends = (np.array([near, far]) - EYE_MM - bias_mm) / spread_mm
    return float(np.diff(special.ndtr(ends))[0])


@pytest.mark.parametrize("f_number", [1.4, 2.8, 5.6])
@pytest.mark.parametrize(("bias_mm", "spread_mm"), [(0.0, 8.0), (-12.0, 8.0), (6.0, 20.0)])
def test_normal_focus_error_alone(f_number: float, bias_mm: float, spread_mm: float) -> None:
    circle = limits_um(f_number)[0]
    found = share_of(
        replace(SCENE, focus=replace(SHARP_FOCUS, bias_mm=bias_mm, spread_mm=spread_mm)),
        f_number=f_number,
    )
    expected = normal_share(circle, f_number, bias_mm=bias_mm, spread_mm=spread_mm)
    assert found == pytest.approx(expected, abs=EVENLY)


def test_planes_are_those_of_the_depth_of_field() -> None:
    # Focused on the nearest plane that holds an eye at 2 m, the depth of field ends at 2 m.
    near, far = planes_mm(16.0, 2.8)
    ends = [
        depth_of_field_mm(
            focal_length_mm=FOCAL_MM, f_number=2.8, focus_distance_mm=plane, circle_um=16.0
        )
        for plane in (near, far)
    ]
    assert (ends[0][1], ends[1][0]) == pytest.approx((EYE_MM, EYE_MM), abs=1e-6)


@pytest.mark.parametrize("f_number", [1.4, 5.6])
def test_misses_beside_a_normal_error(f_number: float) -> None:
    # One frame in ten focused on something else: Cauchy, half of those within 40 mm.
    focus = replace(SHARP_FOCUS, spread_mm=8.0, miss_share=0.1)
    circle = limits_um(f_number)[0]
    near, far = planes_mm(circle, f_number)
    caught = np.diff(np.arctan((np.array([near, far]) - EYE_MM) / 40.0))[0] / math.pi
    expected = 0.9 * normal_share(circle, f_number, bias_mm=0.0, spread_mm=8.0) + 0.1 * caught
    assert share_of(replace(SCENE, focus=focus), f_number=f_number) == pytest.approx(
        expected, abs=0.1 * DRAWN + EVENLY
    )


def log_share(ratio: float, log_sd: float) -> float:
    """Return the share of a log-normal below so many times its median."""
    return float(special.ndtr(math.log(ratio) / log_sd))


@pytest.mark.parametrize("shutter_s", [1 / 30, 1 / 125, 1 / 500])
def test_log_normal_sitter_alone(shutter_s: float) -> None:
    sitter = SitterSpeed(median_mm_per_s=40.0, log_sd=0.9, unsure_log_sd=0.0, source="made up")
    found = share_of(replace(SCENE, sitters=((1.0, sitter),)), shutter_s=shutter_s)
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)
    expected = log_share(limits_um(2.8)[1] / (1000 * m * 40.0 * shutter_s), 0.9)
    assert 0.05 < expected < 0.999
    assert found == pytest.approx(expected, abs=EVENLY)


@pytest.mark.parametrize("shutter_s", [1 / 15, 1 / 60, 1 / 250])
def test_log_normal_hand_alone(shutter_s: float) -> None:
    hand = HandSpeed(median_deg_per_s=0.7, log_sd=0.9, unsure_log_sd=0.0, source="made up")
    found = share_of(replace(SCENE, hand=hand), shutter_s=shutter_s)
    image_mm = FOCAL_MM * EYE_MM / (EYE_MM - FOCAL_MM)
    line = 1000 * image_mm * math.radians(0.7) * shutter_s
    assert found == pytest.approx(log_share(limits_um(2.8)[1] / line, 0.9), abs=EVENLY)


def test_unsure_numbers_widen_the_share() -> None:
    # A log-normal speed whose median is itself log-normal is one with both spreads, as squares.
    sitter = SitterSpeed(median_mm_per_s=40.0, log_sd=0.9, unsure_log_sd=0.6, source="made up")
    found = share_of(replace(SCENE, sitters=((1.0, sitter),)))
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)
    line = 1000 * m * 40.0 / 125
    expected = log_share(limits_um(2.8)[1] / line, math.hypot(0.9, 0.6))
    assert found == pytest.approx(expected, abs=DRAWN)


def test_two_moods_of_a_sitter() -> None:
    calm = SitterSpeed(median_mm_per_s=15.0, log_sd=0.7, unsure_log_sd=0.0, source="made up")
    lively = SitterSpeed(median_mm_per_s=300.0, log_sd=1.0, unsure_log_sd=0.0, source="made up")
    found = share_of(replace(SCENE, sitters=((0.8, calm), (0.2, lively))), shutter_s=1 / 250)
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)
    ratio = limits_um(2.8)[1] / (1000 * m / 250)
    expected = 0.8 * log_share(ratio / 15.0, 0.7) + 0.2 * log_share(ratio / 300.0, 1.0)
    assert found == pytest.approx(expected, abs=DRAWN / 2)


def grid(count: int = 4001) -> tuple[FloatArray, FloatArray]:
    """Return standard normal values at evenly spaced probabilities, and those probabilities."""
    u = (np.arange(count) + 0.5) / count
    return np.asarray(special.ndtri(u)), u


def planned_discs_um(plane_mm: FloatArray) -> FloatArray:
    """Return the discs at f/2.8 by the focus plane: exact thin lens."""
    scale = 1000 * FOCAL_MM**2 / 2.8 / EYE_MM
    return np.asarray(scale * np.abs(EYE_MM - plane_mm) / (plane_mm - FOCAL_MM))


def test_focus_and_motion_together() -> None:
    # By a sum over the focus error: what is left of the limit for the line, then its share.
    focus = replace(SHARP_FOCUS, spread_mm=8.0)
    sitter = SitterSpeed(median_mm_per_s=20.0, log_sd=0.9, unsure_log_sd=0.0, source="made up")
    disc_limit, line_limit = limits_um(2.8)
    disc = planned_discs_um(EYE_MM + 8.0 * grid()[0])
    left = np.maximum(1 - (disc / disc_limit) ** BLUR_POWER, 0.0) ** (1 / BLUR_POWER)
    line = 1000 * FOCAL_MM / (EYE_MM - FOCAL_MM) * 20.0 / 125
    with np.errstate(divide="ignore"):
        expected = special.ndtr(np.log(left * line_limit / line) / 0.9).mean()
    found = share_of(replace(SCENE, focus=focus, sitters=((1.0, sitter),)))
    assert found == pytest.approx(float(expected), abs=DRAWN)


def test_hand_and_sitter_in_any_direction() -> None:
    # By a sum over both speeds and the angle between them.
    hand = HandSpeed(median_deg_per_s=0.7, log_sd=0.9, unsure_log_sd=0.0, source="made up")
    sitter = SitterSpeed(median_mm_per_s=20.0, log_sd=0.9, unsure_log_sd=0.0, source="made up")
    z, u = grid(81)
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)
    shake = 1000 * m * EYE_MM * math.radians(0.7) * np.exp(0.9 * z) / 125
    moves = 1000 * m * 20.0 * np.exp(0.9 * z) / 125
    a, b, angle = np.meshgrid(shake, moves, 2 * math.pi * u, indexing="ij")
    line = np.sqrt(a**2 + b**2 + 2 * a * b * np.cos(angle))
    expected = float((line <= limits_um(2.8)[1]).mean())
    found = share_of(replace(SCENE, hand=hand, sitters=((1.0, sitter),)))
    assert found == pytest.approx(expected, abs=DRAWN)


def test_error_of_the_drawing_itself() -> None:
    # Many drawings, nothing held even but each spread by itself: their mean is the closed form and
    # they scatter less than as many frames drawn at random would.
    focus = replace(SHARP_FOCUS, spread_mm=8.0)
    sitter = SitterSpeed(median_mm_per_s=40.0, log_sd=0.9, unsure_log_sd=0.6, source="made up")
    settings = settings_of(f_number=[2.8], shutter_s=1 / 125, iso=100.0)
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)
    disc_limit, line_limit = limits_um(2.8)
    disc = planned_discs_um(EYE_MM + 8.0 * grid()[0])
    left = np.maximum(1 - (disc / disc_limit) ** BLUR_POWER, 0.0) ** (1 / BLUR_POWER)
    with np.errstate(divide="ignore"):
        logs = np.log(left * line_limit / (1000 * m * 40.0 / 125))
    expected = float(special.ndtr(logs / math.hypot(0.9, 0.6)).mean())
    scene = replace(SCENE, focus=focus, sitters=((1.0, sitter),))
    shares = [
        float(frame_shares(scene, settings, EYE_MM, draw_frames(np.random.default_rng(k)))[0])
        for k in range(60)
    ]
    by_chance = math.sqrt(expected * (1 - expected) / FRAMES)
    assert np.std(shares) < by_chance
    assert np.mean(shares) == pytest.approx(expected, abs=4 * by_chance / math.sqrt(60))


def test_interval_is_that_of_the_unsure_number() -> None:
    # Only the sitter's median is unsure: the share falls as it rises, so the interval's ends are
    # the shares at its own 95th and 5th hundredth. Thirty beliefs and 3 in 8 frames: to .05.
    sitter = SitterSpeed(median_mm_per_s=40.0, log_sd=0.9, unsure_log_sd=0.5, source="made up")
    settings = settings_of(f_number=[2.8], shutter_s=1 / 250, iso=100.0)
    scene = replace(SCENE, sitters=((1.0, sitter),))
    found = share_with_interval(scene, settings, EYE_MM, plan_draws())[0]
    line = 1000 * FOCAL_MM / (EYE_MM - FOCAL_MM) * 40.0 / 250
    ratio = limits_um(2.8)[1] / line
    low, high = (log_share(ratio * math.exp(-z * 0.5), 0.9) for z in (1.645, -1.645))
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.05)


@pytest.mark.parametrize(
    ("f_number", "shutter_s", "iso"), [(2.0, 1 / 500, 800.0), (4.0, 1 / 125, 400.0)]
)
def test_share_against_frames_drawn_plainly(f_number: float, shutter_s: float, iso: float) -> None:
    # Everything at once, drawn anew with plain random numbers, each frame's blur summed by the
    # optics frame by frame instead of by the plan's power law.
    hand = HandSpeed(median_deg_per_s=0.7, log_sd=0.9, unsure_log_sd=0.3, source="made up")
    calm = SitterSpeed(median_mm_per_s=15.0, log_sd=0.9, unsure_log_sd=0.3, source="made up")
    lively = SitterSpeed(median_mm_per_s=300.0, log_sd=1.0, unsure_log_sd=0.4, source="made up")
    focus = replace(SHARP_FOCUS, bias_mm=-3.0, spread_mm=8.0, unsure_log_sd=0.3, miss_share=0.1)
    scene = replace(SCENE, focus=focus, hand=hand, sway=calm, sitters=((0.9, calm), (0.1, lively)))
    settings = settings_of(f_number=[f_number], shutter_s=shutter_s, iso=iso)
    found = float(frame_shares(scene, settings, EYE_MM, plan_draws())[0])

    rng, count = np.random.default_rng(17), 3000
    error = -3.0 + 8.0 * rng.normal(size=count) * np.exp(0.3 * rng.normal(size=count))
    missed = rng.random(count) < 0.1
    plane = EYE_MM + np.where(missed, 40.0 * rng.standard_cauchy(count), error)
    plane = np.clip(plane, 0.5 * EYE_MM, 3 * EYE_MM)
    scale = 1000 * FOCAL_MM**2 / f_number / EYE_MM
    disc = scale * np.abs(EYE_MM - plane) / (plane - FOCAL_MM)
    m = FOCAL_MM / (EYE_MM - FOCAL_MM)

    def drawn(median: float, log_sd: float, unsure: float) -> FloatArray:
        z, b = rng.normal(size=(2, count))
        return np.asarray(median * np.exp(log_sd * z + unsure * b))

    turn = np.radians(drawn(0.7, 0.9, 0.3)) * EYE_MM
    shake = np.hypot(turn, drawn(15.0, 0.9, 0.3))
    moves = np.where(rng.random(count) < 0.1, drawn(300.0, 1.0, 0.4), drawn(15.0, 0.9, 0.3))
    angle = 2 * math.pi * rng.random(count)
    across = np.hypot(shake + moves * np.cos(angle), moves * np.sin(angle))
    line = 1000 * m * across * shutter_s
    _, _, gaussian, airy, noise = base_spreads(KIT, [f_number], [iso]).columns()
    held = [
        looks_sharp(
            spread=PointSpread(
                disc_px=d / KIT.pitch_um,
                line_px=v / KIT.pitch_um,
                gaussian_px=float(gaussian[0]),
                airy_px=float(airy[0]),
            ),
            long_edge_px=KIT.long_edge_px,
            noise_contrast=float(noise[0]),
            print_cm=50.0,
            viewing_cm=50.0,
        )
        for d, v in zip(disc, line, strict=True)
    ]
    assert 0.2 < found < 0.95
    assert found == pytest.approx(np.mean(held), abs=0.03)


@pytest.mark.parametrize("f_number", [1.4, 2.8, 8.0])
@pytest.mark.parametrize("iso", [100.0, 3200.0])
def test_limits_are_where_the_print_stops_looking_sharp(f_number: float, iso: float) -> None:
    disc, line = limits_um(f_number, iso)
    assert disc > 0

    _, _, gaussian, airy, noise = base_spreads(KIT, [f_number], [iso]).columns()

    def seen(disc_um: float, line_um: float) -> float:
        return perceived_sharpness(
            spread=PointSpread(
                disc_px=disc_um / KIT.pitch_um,
                line_px=line_um / KIT.pitch_um,
                gaussian_px=float(gaussian[0]),
                airy_px=float(airy[0]),
            ),
            noise_contrast=float(noise[0]),
            px_per_deg=KIT.long_edge_px / 50.0 * 50.0 * math.radians(1),
        )

    assert seen(disc, 0.0) == pytest.approx(SHARP, abs=0.002)
    assert seen(0.0, line) == pytest.approx(SHARP, abs=0.002)
    # Both at once, each at the share that the power leaves it: 3 % of a limit is .006 in sharpness.
    part = 0.5 ** (1 / BLUR_POWER)
    assert seen(part * disc, part * line) == pytest.approx(SHARP, abs=0.006)
