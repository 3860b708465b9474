"""How many frames to take."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.light import MOST_FLASHES_PER_S
from eyeplane.plan.frames_needed import (
    MOST_FRAMES,
    chance_of_one,
    frames_for,
    frames_for_both,
    frames_for_eyes,
    frames_to_hold,
    open_share_of,
    pace_per_s,
)
from eyeplane.plan.words import THIN
from eyeplane.records import Measured, PlanLight

FLASH = PlanLight(kind="flash", guide_number_m=40.0)
THIRD = Measured(value=0.33, low=0.2, high=0.45)


@given(st.floats(0.06, 0.999), st.floats(0.5, 0.99))
def test_the_number_of_frames_is_the_least_that_does(share: float, wanted: float) -> None:
    frames = frames_for(share, wanted_share=wanted)
    if frames is None:
        assert 1.0 - (1.0 - share) ** MOST_FRAMES < wanted
        return
    assert 1.0 - (1.0 - share) ** frames >= wanted - 1e-9
    assert frames == 1 or 1.0 - (1.0 - share) ** (frames - 1) < wanted


def test_the_chance_is_that_of_counted_frames() -> None:
    """By drawing: a frame in three holds, eight are taken, at least one holds."""
    draws = np.random.default_rng(7).random((40_000, 8)) < THIRD.value
    known = Measured(value=THIRD.value, low=THIRD.value, high=THIRD.value)
    assert chance_of_one(known, 8).value == pytest.approx(draws.any(axis=1).mean(), abs=0.005)


def test_a_share_that_is_unsure_is_so_in_all_frames_together() -> None:
    """By drawing: the share is drawn once for eight frames, normal in its log-odds."""
    unsure = Measured(value=0.5, low=0.2, high=0.8)
    rng = np.random.default_rng(8)
    spread = np.log(4.0) / 1.6449  # log-odds of .8, nine times in ten
    share = 1.0 / (1.0 + np.exp(-spread * rng.normal(size=(80_000, 1))))
    some = (rng.random((80_000, 4)) < share).any(axis=1).mean()
    assert chance_of_one(unsure, 4).value == pytest.approx(some, abs=0.006)
    assert some < 1.0 - 0.5**4 - 0.03


def test_one_that_holds() -> None:
    needed = frames_to_hold(THIRD, frames_per_s=0.5)
    assert needed.for_what == "one that holds"
    assert needed.frames == 9  # 8 if a third were sure; it may be a fifth
    assert needed.seconds_s == pytest.approx(18.0)
    assert needed.chance.low < needed.chance.value < needed.chance.high
    assert "9 frames" in needed.text
    assert "14 if the numbers are at their worst" in needed.text


@pytest.mark.parametrize("share", [0.0, 0.01])
def test_no_number_where_none_is_sensible(share: float) -> None:
    needed = frames_to_hold(Measured(value=share, low=0.0, high=share))
    assert needed.frames is None
    assert needed.seconds_s is None
    assert "change the settings or the light" in needed.text
    assert needed.chance.high == pytest.approx(1.0 - (1.0 - share) ** MOST_FRAMES)
    assert needed.chance.value <= needed.chance.high


def test_all_hold_needs_one() -> None:
    needed = frames_to_hold(Measured(value=1.0, low=1.0, high=1.0))
    assert needed.frames == 1
    assert needed.text.startswith("One frame")


def test_more_people_need_more_frames() -> None:
    numbers = [frames_for_eyes(people).frames for people in range(1, 20)]
    assert all(n is not None for n in numbers)
    assert numbers == sorted(n for n in numbers if n is not None)
    shares = [open_share_of(people).value for people in range(1, 20)]
    assert shares == sorted(shares, reverse=True)


def test_the_published_rule_stands_beside_its_model_where_it_was_made_for() -> None:
    assert "people over three, says 3" in frames_for_eyes(8).text
    assert "in poor light 4" in frames_for_eyes(8).text
    assert "if people are nervous" in frames_for_eyes(8).text
    assert "fewer than 20 people" in frames_for_eyes(20).text
    assert "rule" not in frames_for_eyes(1).text


def test_a_crowd_cannot_all_look() -> None:
    needed = frames_for_eyes(80)
    assert needed.frames is None
    assert "somebody blinks in nearly every frame" in needed.text


def test_both_asks_for_more_than_either() -> None:
    both = frames_for_both(THIRD, 8).frames
    hold, eyes = frames_to_hold(THIRD).frames, frames_for_eyes(8).frames
    assert both is not None
    assert hold is not None
    assert eyes is not None
    assert both > max(hold, eyes)


def test_frames_that_share_a_blink_are_not_counted() -> None:
    assert (
        frames_for_eyes(8, frames_per_s=10.0).seconds_s
        == frames_for_eyes(8, frames_per_s=2.0).seconds_s
    )


@given(st.floats(0.001, 1.0), st.floats(0.1, 50.0))
def test_flash_never_fires_faster_than_is_harmless_or_than_it_recycles(
    power: float, wish: float
) -> None:
    pace = pace_per_s(FLASH, flash_power=power, wished_per_s=wish)
    assert 0 < pace <= min(wish, MOST_FLASHES_PER_S)
    assert pace * power <= 0.5 + 1e-9
    assert pace_per_s(PlanLight(), flash_power=None, wished_per_s=wish) == wish


def test_the_time_it_takes_is_said() -> None:
    four = frames_to_hold(Measured(value=0.6, low=0.6, high=0.6), frames_per_s=2.0)
    assert (four.frames, four.seconds_s) == (4, 2.0)
    assert f"about 2{THIN}s" in four.text
    assert "the eyes open" in frames_for_eyes(1).text
    assert "everybody's eyes open" in frames_for_eyes(5).text
