"""Shares with the focus error in closed form, against frames drawn, and against sums by hand."""

import math

import numpy as np
import pytest

from eyeplane.optics import blur_circle_um, special
from eyeplane.plan.frames import powered
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.scene import settings_of
from eyeplane.plan.sweep_shares import (
    Aimed,
    Lines,
    _half_turns,
    _normal,
    _window_mm,
    middle_blur_um,
    shares_at,
)

DISTANCE_MM = 2000.0


def aimed(**changed: float) -> Aimed:
    """Return one point: 85 mm, 2 m, a normal focus error."""
    numbers = {
        "focal_length_mm": 85.0,
        "eye_mm": DISTANCE_MM,
        "focus_mm": DISTANCE_MM,
        "bias_mm": 0.0,
        "spread_mm": 7.0,
        "unsure_log_sd": 0.0,
        "miss_share": 0.0,
        "miss_mm": 40.0,
    }
    return Aimed(**{name: np.array([v]) for name, v in {**numbers, **changed}.items()})


def lines(moves_mm: float) -> Lines:
    """Return one line: no shake, a sitter of one speed."""
    one = np.ones((1, 1), np.float32)
    return Lines(
        turn_rad=0 * one,
        sway_mm=0 * one,
        moves_mm=np.float32(moves_mm) * one,
        aligned=0 * one,
        weight=np.ones(1, np.float32),
        focus_z=0 * one,
        odds=one,
    )


SETTING = settings_of(f_number=1.8, shutter_s=0.01, iso=100.0)


def limits(disc_um: float, line_um: float) -> HoldLimits:
    """Return the limits of one print."""
    return HoldLimits(
        disc_um=np.array([disc_um]), line_um=np.array([line_um]), room_share=np.array([3.0])
    )


def within(half_mm: float, sd_mm: float) -> float:
    """Return P(|e| < half) of a normal distribution."""
    return math.erf(half_mm / sd_mm / math.sqrt(2.0))


def test_without_motion_it_is_how_often_the_plane_lies_within_the_depth_of_field() -> None:
    # c = f²/(N (s − f)) · e/s: check values' thin lens, 10.43 µm for 10 mm (check values 1.7).
    share = shares_at([aimed()], SETTING, limits(10.48, 9.0), lines(0.0))[0, 0]
    assert share == pytest.approx(within(10.0, 7.0), abs=0.003)


def test_motion_narrows_the_depth_of_field_by_the_power_of_blur() -> None:
    image_mm = 85.0 * DISTANCE_MM / (DISTANCE_MM - 85.0)
    speed = 0.5 * 9.0 / (1000.0 * image_mm / DISTANCE_MM) / 0.01  # half the line's limit
    share = shares_at([aimed()], SETTING, limits(10.48, 9.0), lines(speed))[0, 0]
    left = (1.0 - 0.5**2.07) ** (1 / 2.07)
    assert share == pytest.approx(within(10.0 * left, 7.0), abs=0.003)
    assert shares_at([aimed()], SETTING, limits(10.48, 9.0), lines(2.1 * speed))[0, 0] == 0.0


def test_misses_follow_a_cauchy_distribution() -> None:
    missing = aimed(miss_share=0.999999)
    share = shares_at([missing], SETTING, limits(10.48, 9.0), lines(0.0))[0, 0]
    assert share == pytest.approx(2.0 / math.pi * math.atan(10.0 / 40.0), abs=0.003)
    endless = shares_at([missing], SETTING, limits(5000.0, 9.0), lines(0.0))[0, 0]
    # Only planes nearer than some place before the eye are too blurred: no end behind.
    assert 0.9 < endless < 1.0


def test_both_eyes_ask_for_what_each_asks_for() -> None:
    near, far = aimed(focus_mm=2008.0), aimed(focus_mm=2008.0, eye_mm=2016.0)
    alone = [shares_at([e], SETTING, limits(12.0, 9.0), lines(0.0))[0, 0] for e in (near, far)]
    both = shares_at([near, far], SETTING, limits(12.0, 9.0), lines(0.0))[0, 0]
    assert both < min(alone)
    assert both >= sum(alone) - 1.0 - 1e-6


def test_nothing_holds_where_the_print_takes_no_blur() -> None:
    assert shares_at([aimed()], SETTING, limits(0.0, 0.0), lines(0.0))[0, 0] == 0.0


@pytest.mark.parametrize("free_um", [5.0, 100.0, 900.0])
def test_the_window_is_where_the_thin_lens_makes_that_disc(free_um: float) -> None:
    eye = aimed(focus_mm=1990.0)
    free = np.full((1, 1, 1), free_um, np.float32)
    for end in _window_mm(eye, np.array([1.8]), free):
        circle = blur_circle_um(
            focal_length_mm=85.0,
            f_number=1.8,
            focus_distance_mm=1990.0 + float(end[0, 0, 0]),
            subject_distance_mm=DISTANCE_MM,
        )
        assert circle == pytest.approx(free_um, rel=2e-3)


@pytest.mark.parametrize("speed", [0.0, 5.0])
def test_the_middle_frame_has_the_median_blur(speed: float) -> None:
    found = middle_blur_um(aimed(), SETTING, lines(speed), limits(12.0, 11.0))[0]
    disc = 10.48 * 0.6745 * 7.0 / 10.0  # of the median focus error
    image_mm = 85.0 * DISTANCE_MM / (DISTANCE_MM - 85.0)
    line = speed * 0.01 * 1000.0 * image_mm / DISTANCE_MM / 0.8557
    expected = (disc**2.07 + line**2.07) ** (1 / 2.07)
    assert found == pytest.approx(expected, rel=0.02)


def test_the_quick_normal_distribution_is_close_to_the_true_one() -> None:
    z = np.linspace(-8.0, 8.0, 3201).astype(np.float32)
    away = np.abs(_normal(z) - special.ndtr(z))
    assert away.max() < 2e-4  # Page 1977 gives 0.00018


def test_the_quick_angle_is_close_to_the_true_one() -> None:
    turn = np.linspace(0.0, np.pi, 4001)
    size = 10.0 ** np.linspace(-3.0, 8.0, 4001)
    ahead = (size * np.cos(turn)).astype(np.float32)
    aside = (size * np.abs(np.sin(turn))).astype(np.float32)
    away = np.abs(_half_turns(ahead, aside) - turn / np.pi)
    assert away.max() < 1e-5  # 4.4.47: 1e-5 radians in the arc tangent


def test_powers_by_logarithms_are_powers() -> None:
    x = np.linspace(0.0, 5.0, 1001).astype(np.float32)
    for power in (2.07, 1.0 / 2.07):
        assert powered(x, power) == pytest.approx(x.astype(float) ** power, rel=1e-5, abs=1e-12)
