"""Hands: what holds the camera, stabiliser, learned numbers, the rule as time and as rate."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    HAND,
    RULE_DEG_PER_S,
    TRIPOD,
    camera_sway,
    hand_speed,
    reciprocal_rule_s,
    rule_rate_deg_per_s,
)
from eyeplane.people.hands import STABILISED_FLOOR_DEG_PER_S
from eyeplane.records import Measured

OWN = Measured(value=0.35, low=0.1, high=1.2)


@given(fewer=st.floats(0, 10), more=st.floats(0, 10))
def test_more_stops_never_shake_more_and_never_less_than_is_left(fewer: float, more: float) -> None:
    fewer, more = sorted((fewer, more))
    slow, slower = (hand_speed(stabiliser_stops=s) for s in (fewer, more))
    assert slower.median_deg_per_s <= slow.median_deg_per_s
    assert slower.median_deg_per_s >= STABILISED_FLOOR_DEG_PER_S
    assert slower.log_sd == HAND.log_sd


def test_each_stop_halves_until_the_floor() -> None:
    for stops in (1, 2, 3, 4):
        halved = HAND.median_deg_per_s / 2**stops
        assert hand_speed(stabiliser_stops=stops).median_deg_per_s == pytest.approx(halved)
    # Claims of 8 stops are not met in practice (trade).
    assert hand_speed(stabiliser_stops=8).median_deg_per_s == STABILISED_FLOOR_DEG_PER_S
    assert hand_speed(stabiliser_stops=3).unsure_log_sd > hand_speed().unsure_log_sd
    assert hand_speed(stabiliser_stops=0) == HAND


def test_one_who_is_steadier_than_the_floor_is_not_made_shakier() -> None:
    rock = Measured(value=0.02, low=0.01, high=0.04)
    assert hand_speed(learned=rock, stabiliser_stops=5).median_deg_per_s == 0.02


def test_learned_hands_replace_usual_ones() -> None:
    own = hand_speed(learned=OWN)
    assert own.median_deg_per_s == 0.35
    assert own.log_sd == pytest.approx(math.log(12.0) / (2 * 1.6449))
    assert hand_speed(learned=OWN, stabiliser_stops=2).median_deg_per_s == pytest.approx(0.0875)


def test_a_tripod_ends_it() -> None:
    assert hand_speed(support="tripod", learned=OWN, stabiliser_stops=5) == TRIPOD
    # 85 mm, 1/15 s: a line of 1 um, under any pixel.
    line_um = math.radians(TRIPOD.median_deg_per_s) * 85_000 / 15
    assert line_um < 1.5
    assert camera_sway(support="tripod").median_mm_per_s < 0.05 * camera_sway().median_mm_per_s


def test_a_learned_turning_holds_the_sway_already() -> None:
    # It was read from lines on the sensor, which both had drawn: never counted twice.
    assert camera_sway(learned=OWN).median_mm_per_s == 0.0
    assert camera_sway(learned=None) == camera_sway()
    # A stabiliser slows it along with the turning, but stops no sway.
    assert camera_sway(learned=OWN, stabiliser_stops=3.0) == camera_sway()
    # A tripod's own motion is not that of hands.
    assert camera_sway(support="tripod", learned=OWN) == camera_sway(support="tripod")


@given(focal=st.floats(5, 2000))
def test_the_rule_leaves_the_same_line_with_every_lens(focal: float) -> None:
    line_mm = math.radians(rule_rate_deg_per_s()) * focal * reciprocal_rule_s(focal_length_mm=focal)
    assert line_mm == pytest.approx(0.030)


def test_the_rounded_rate_is_the_rule() -> None:
    assert pytest.approx(rule_rate_deg_per_s(), abs=5e-4) == RULE_DEG_PER_S


def test_refusals() -> None:
    for stops in (-1.0, 11.0, float("nan")):
        with pytest.raises(InputError, match="stops"):
            hand_speed(stabiliser_stops=stops)
    with pytest.raises(InputError, match="clamp"):
        hand_speed(support="clamp")  # type: ignore[arg-type]  # what a user may type
    for focal in (0.0, -50.0, float("inf")):
        with pytest.raises(InputError, match="focal length"):
            reciprocal_rule_s(focal_length_mm=focal)
