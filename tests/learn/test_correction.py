"""A correction is spoken of only where the interval excludes zero, and adjusting would help."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.learn.correction import LEAST_MM, correction_of
from eyeplane.records import Measured
from eyeplane.records.lessons import LearnedCounts, LearnedFocus


def focus(
    bias: tuple[float, float, float], spread_mm: float = 3.0, *, sittings: int = 4, name: str = "A"
) -> LearnedFocus:
    low, value, high = bias
    return LearnedFocus(
        kit=name,
        names=(name,),
        setting="",
        bias_mm=Measured(value=value, low=low, high=high),
        spread_mm=Measured(value=spread_mm, low=spread_mm * 0.8, high=spread_mm * 1.2),
        chance_behind=0.99,
        aside=0,
        correction="",
        counts=LearnedCounts(frames=60, seen=60, bursts=20, sittings=sittings, weight=60.0),
    )


SURE = (4.0, 6.0, 8.0)


def test_a_sure_constant_offset_is_corrected_after_the_test() -> None:
    text = correction_of(focus(SURE)).replace("\u2009", " ")
    assert "6 mm (4–8) behind the near eye" in text
    assert "First the test" in text
    assert "6 mm towards the camera" in text
    assert "away from the camera" in correction_of(focus((-8.0, -6.0, -4.0)))


@given(
    value=st.floats(-20, 20), down=st.floats(0, 30), up=st.floats(0, 30), spread=st.floats(0.5, 30)
)
def test_never_where_the_interval_holds_zero(
    value: float, down: float, up: float, spread: float
) -> None:
    one = focus((value - down, value, value + up), spread)
    text = correction_of(one)
    if value - down <= 0 <= value + up or abs(value) < LEAST_MM:
        assert text == ""
    else:
        assert text
    if abs(value) < 0.5 * spread:
        assert "fine adjustment" not in text


@pytest.mark.parametrize(
    ("spread", "sittings", "others", "settings", "said"),
    [
        (20.0, 4, (), (), "adjusting cures the smaller part only, so adjust nothing"),
        (3.0, 1, (), (), "in one sitting so far"),
        (3.0, 4, (focus(SURE, name="B"),), (), "that is the habit, not the lens"),
        (3.0, 4, (), (focus(SURE), focus((-2.0, 0.0, 2.0))), "that is the setting, not the lens"),
    ],
)
def test_what_adjusting_would_not_cure(
    spread: float,
    sittings: int,
    others: tuple[LearnedFocus, ...],
    settings: tuple[LearnedFocus, ...],
    said: str,
) -> None:
    text = correction_of(focus(SURE, spread, sittings=sittings), others=others, settings=settings)
    assert said in text
    assert "fine adjustment" not in text


def test_another_kit_on_the_eye_leaves_it_the_lens() -> None:
    text = correction_of(focus(SURE), others=(focus((-2.0, 0.0, 2.0), name="B"),))
    assert "fine adjustment" in text
