"""A photographer's slowest time as a rate of turning."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people.hands import HAND
from eyeplane.plan.curve import rule_time_s
from eyeplane.plan.steadiness import shake_from_steadiness
from eyeplane.records import PlanKit


def share_within(line_um: float, focal_length_mm: float, time_s: float) -> float:
    """Return the share of frames whose line is no longer, by the normal distribution itself."""
    shake = shake_from_steadiness(PlanKit(focal_length_mm=focal_length_mm), time_s=time_s)
    rate = math.degrees(line_um / 1000 / focal_length_mm) / time_s
    log_sd = math.log(shake.high / shake.low) / (2 * 1.645)
    return 0.5 * (1 + math.erf(math.log(rate / shake.value) / log_sd / math.sqrt(2)))


@given(st.floats(20, 400), st.floats(1 / 1000, 2))
def test_five_of_six_frames_are_kept_at_that_time(focal_length_mm: float, time_s: float) -> None:
    # Trade: six frames each at slower and slower times; the slowest with five of six sharp is
    # yours. Common practice, no source. 30 µm on 36 x 24 mm is what the reciprocal rule allows.
    assert share_within(30.0, focal_length_mm, time_s) == pytest.approx(5 / 6, abs=0.001)


@given(st.floats(20, 400))
def test_who_holds_one_over_the_focal_length_is_the_usual_photographer(
    focal_length_mm: float,
) -> None:
    kit = PlanKit(focal_length_mm=focal_length_mm)
    shake = shake_from_steadiness(kit, time_s=1 / focal_length_mm)
    assert shake.value == pytest.approx(HAND.median_deg_per_s, rel=0.05)


def test_twice_as_slow_is_half_as_fast() -> None:
    kit = PlanKit(focal_length_mm=85.0)
    slow, fast = (shake_from_steadiness(kit, time_s=t) for t in (1 / 30, 1 / 60))
    assert fast.value == pytest.approx(2 * slow.value)
    assert slow.low < slow.value < slow.high


@pytest.mark.parametrize("time_s", [0.0, -1.0, math.nan, math.inf])
def test_no_time_is_refused(time_s: float) -> None:
    with pytest.raises(InputError, match="cannot be held"):
        shake_from_steadiness(PlanKit(focal_length_mm=85.0), time_s=time_s)


@pytest.mark.parametrize("sides_mm", [(23.5, 15.6), (17.3, 13.0), (43.8, 32.9), (56.0, 56.0)])
def test_whoever_keeps_the_rule_of_their_sensor_is_the_usual_photographer(
    sides_mm: tuple[float, float],
) -> None:
    # Trade: on other sensors the reciprocal rule takes the focal length of the same angle of view
    # across the diagonal (43.27 mm on 36 x 24 mm). Common practice, no source.
    kit = PlanKit(focal_length_mm=50.0, sensor_long_mm=sides_mm[0], sensor_short_mm=sides_mm[1])
    rule_s = math.hypot(*sides_mm) / math.hypot(36.0, 24.0) / 50.0
    shake = shake_from_steadiness(kit, time_s=rule_s)
    whole = shake_from_steadiness(PlanKit(focal_length_mm=50.0), time_s=1 / 50)
    assert shake.value == pytest.approx(whole.value, rel=1e-4)
    assert rule_s / 1.3 <= rule_time_s(kit) <= rule_s * 1.03  # the mark that the plan shows
