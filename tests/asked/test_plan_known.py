"""Which of the learned shakes a plan takes, and that a stabiliser counts once."""

from dataclasses import replace

import pytest
from tests.asked.test_plan_request import given

from eyeplane.asked.plan_known import Known, Named, with_known
from eyeplane.asked.plan_request import sitter_request
from eyeplane.records import Measured
from eyeplane.records.lessons import (
    LEARN_VERSION,
    LearnedCounts,
    LearnedFocus,
    LearnedNumbers,
    LearnedShake,
    Stabiliser,
)

COUNTS = LearnedCounts(frames=40, seen=20, bursts=20, sittings=2, weight=40.0)


def shake(kit: str, stabiliser: Stabiliser, value: float) -> LearnedShake:
    measured = Measured(value=value, low=value / 4, high=value * 4)
    return LearnedShake(
        kit=kit,
        names=(kit,) if kit else (),
        focal_length_mm=85.0,
        stabiliser=stabiliser,
        median_deg_per_s=measured,
        exposures_deg_per_s=measured,
        fast_deg_per_s=measured,
        counts=COUNTS,
    )


def known(*shakes: LearnedShake) -> Known:
    return Known(
        numbers=LearnedNumbers(
            version=LEARN_VERSION,
            half_life_days=None,
            frames=80,
            sittings=4,
            newest="2026-01-01",
            any_shake=shake("", "", 0.25),
            shake=shakes,
        )
    )


ON, OFF = shake("A with 50", "on", 0.1), shake("A with 85", "off", 0.8)
UNSAID = shake("A with 35", "", 0.5)


@pytest.mark.parametrize(
    ("shakes", "kit", "stops", "taken", "said"),
    [
        ((ON, OFF), None, None, 0.25, "stabiliser on in some"),
        ((ON, OFF), None, "0", None, "learned with the stabiliser on as well"),
        ((ON, OFF), None, "3 stops", None, "learned with the stabiliser off as well"),
        ((ON, OFF), "New 24", "0", None, "learned with the stabiliser on as well"),
        ((ON, UNSAID), "New 24", "3 stops", 0.25, "--stabiliser is in it"),
        ((ON,), "New 24", "0", None, "learned only with the stabiliser on"),
        ((ON,), "New 24", None, 0.25, "stabiliser on"),
        ((ON,), None, "0", None, "learned only with the stabiliser on"),
        ((ON, OFF), "A with 50", "0", None, "learned only with the stabiliser on"),
        ((ON, OFF), "A with 50", "3 stops", 0.1, "stabiliser on, --stabiliser is in it"),
        ((OFF, UNSAID), "A with 35", "3 stops", 0.5, "--stabiliser is in it"),
        ((OFF,), "A with 85", "0", 0.8, "stabiliser off"),
    ],
)
def test_no_shake_of_the_other_state_of_the_stabiliser(
    shakes: tuple[LearnedShake, ...],
    kit: str | None,
    stops: str | None,
    taken: float | None,
    said: str,
) -> None:
    typed = given() if stops is None else given(stabiliser=stops)
    filled, lines = with_known(typed, known(*shakes), Named(kit=kit))
    request = sitter_request(filled)
    assert len(lines) == 1
    assert said in lines[0]
    if taken is None:
        assert request.hand.shake_deg_per_s is None
        assert request.kit.stabiliser_stops == (3.0 if stops == "3 stops" else 0.0)
    else:
        assert request.hand.shake_deg_per_s is not None
        assert request.hand.shake_deg_per_s.value == pytest.approx(taken)
        assert request.kit.stabiliser_stops == 0.0  # a learned shake holds it already


@pytest.mark.parametrize(
    ("aside", "said"), [(0, "(A):"), (1, "1 far off is"), (3, "3 far off are")]
)
def test_frames_left_out_of_the_focus_are_told(aside: int, said: str) -> None:
    focus = LearnedFocus(
        kit="A",
        names=("A",),
        setting="",
        bias_mm=Measured(value=1.0, low=-2.0, high=4.0),
        spread_mm=Measured(value=5.0, low=3.0, high=8.0),
        chance_behind=0.7,
        aside=aside,
        correction="",
        counts=COUNTS,
    )
    numbers = known().numbers
    assert numbers is not None
    taught = Known(numbers=replace(numbers, any_shake=None, focus=(focus,)))
    lines = with_known(given(), taught, Named())[1]
    assert said in lines[0]
    assert ("left out" in lines[0]) == (aside > 0)
