"""Steps to go on with are those that the ladder itself advises."""

from collections.abc import Sequence

import numpy as np
import pytest
from tests.sitting.ladders import Shooter, ladder

from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_advice import deciding_part, next_steps
from eyeplane.sitting.ladder_asked import LadderAsked, times_words

ASKED = LadderAsked(prints_cm=(40.0,), name="ladder")


@pytest.mark.parametrize(
    ("times_s", "shake", "way"),
    [
        ((1 / 2000, 1 / 1000), 0.7, "slower"),
        ((1 / 30, 1 / 15), 20.0, "faster"),
        ((1 / 125, 1 / 30), 0.7, "To halve that range"),
    ],
)
def test_they_are_named_in_the_advice(times_s: Sequence[float], shake: float, way: str) -> None:
    shooter = Shooter(shake_deg_per_s=shake)
    result = ladder_of(ladder(np.random.default_rng(3), shooter, times_s=times_s, each=4), ASKED)
    assert way in result.advice
    times, each = next_steps(deciding_part(result.parts, 0.9), 0.9)
    assert list(times) == sorted(times)
    assert times
    assert times_words(times) in result.advice
    assert ("five" if each == 5 else f" {each} ") in result.advice
