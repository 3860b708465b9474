"""Speeds of sitters: mixtures, moods, age, learned numbers, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    LIVELY,
    SITTER_SPEEDS,
    UNKNOWN,
    SitterSpeed,
    share_slower,
    sitter_speed,
    usual_mood,
)
from eyeplane.records import Measured
from eyeplane.records.plan import Mood

moods = st.sampled_from(sorted(SITTER_SPEEDS))
ages = st.floats(0, 100)


def median(speeds: tuple[tuple[float, SitterSpeed], ...]) -> float:
    """Return the speed that half of the exposures stay below."""
    grid = np.geomspace(0.1, 1e5, 4000)
    shares = [share_slower(speeds, speed_mm_per_s=float(v)) for v in grid]
    return float(np.interp(0.5, shares, grid))


@pytest.mark.parametrize("mood", SITTER_SPEEDS)
def test_every_speed_has_a_source_a_spread_and_says_how_unsure_it_is(mood: Mood) -> None:
    speed = SITTER_SPEEDS[mood]
    assert speed.source
    assert 0.5 <= speed.log_sd <= 1.4
    assert 0.2 <= speed.unsure_log_sd <= 0.8
    # From memory alone nobody knows a median to a quarter.
    assert "from memory" not in speed.source or speed.unsure_log_sd >= 0.3


def test_moods_are_in_the_order_of_their_liveliness() -> None:
    order: list[Mood] = ["resting", "still", "talking", "fidgeting", "laughing", "toddling"]
    medians = [SITTER_SPEEDS[mood].median_mm_per_s for mood in [*order, "walking"]]
    assert medians == sorted(medians)


@given(mood=st.none() | moods, age=st.none() | ages)
def test_shares_sum_to_one_and_calm_comes_first(mood: Mood | None, age: float | None) -> None:
    parts = sitter_speed(mood=mood, age_years=age)
    assert math.fsum(share for share, _ in parts) == pytest.approx(1.0, abs=1e-12)
    assert parts[0][0] > 0.8
    medians = [part.median_mm_per_s for _, part in parts]
    assert medians == sorted(medians)


@given(younger=ages, older=ages)
def test_nobody_keeps_stiller_when_younger(younger: float, older: float) -> None:
    younger, older = sorted((younger, older))
    young, old = (sitter_speed(mood="still", age_years=age)[0][1] for age in (younger, older))
    assert young.median_mm_per_s >= old.median_mm_per_s
    assert old.median_mm_per_s >= SITTER_SPEEDS["still"].median_mm_per_s


def test_children_who_keep_still_sway_more_and_say_why() -> None:
    ((_, child), _) = sitter_speed(mood="still", age_years=4)
    ((_, adult), _) = sitter_speed(mood="still", age_years=30)
    assert adult == SITTER_SPEEDS["still"]
    assert child.median_mm_per_s == pytest.approx(2 * adult.median_mm_per_s)
    assert "children sway more" in child.source


def test_somebody_unknown_is_mostly_calm_and_now_and_then_lively() -> None:
    assert sitter_speed() == ((0.9, UNKNOWN), (0.1, LIVELY))
    # What is known of age alone tells nothing more of an adult.
    assert sitter_speed(age_years=40) == sitter_speed()
    # Half of all exposures of somebody unknown lie between one who keeps still and one who talks.
    still, talking = (SITTER_SPEEDS[m].median_mm_per_s for m in ("still", "talking"))
    assert still < median(sitter_speed()) < talking


def test_a_stated_mood_is_kept_more_often_than_a_guessed_one() -> None:
    assert sitter_speed(mood="toddling")[1][0] < sitter_speed(age_years=2)[1][0]
    assert len(sitter_speed(mood="walking")) == 1


@pytest.mark.parametrize(
    ("age", "mood"),
    [(0.2, "resting"), (1.5, "toddling"), (5, "fidgeting"), (10, "still"), (None, "still")],
)
def test_usual_mood(age: float | None, mood: Mood) -> None:
    assert usual_mood(age_years=age) == mood


@given(mood=st.none() | moods, age=st.none() | ages)
def test_a_client_known_replaces_what_people_usually_do(
    mood: Mood | None, age: float | None
) -> None:
    own = Measured(value=30.0, low=10.0, high=90.0)
    ((share, part),) = sitter_speed(mood=mood, age_years=age, learned=own)
    assert share == 1.0
    assert part.median_mm_per_s == 30.0
    # The middle 90 % of exposures: 10 to 90.
    assert share_slower(((1.0, part),), speed_mm_per_s=10.0) == pytest.approx(0.05, abs=1e-3)
    assert share_slower(((1.0, part),), speed_mm_per_s=90.0) == pytest.approx(0.95, abs=1e-3)
    assert 0 < part.unsure_log_sd < part.log_sd


@given(mood=moods, low=st.floats(0.1, 1e4), factor=st.floats(1.0, 100.0))
def test_more_exposures_are_slower_than_a_faster_speed(
    mood: Mood, low: float, factor: float
) -> None:
    speeds = sitter_speed(mood=mood)
    slow, fast = (share_slower(speeds, speed_mm_per_s=v) for v in (low, low * factor))
    assert 0.0 <= slow <= fast <= 1.0


def test_share_slower_against_drawn_speeds() -> None:
    speeds = sitter_speed(age_years=2)
    rng = np.random.default_rng(7)
    parts = [speeds[int(one)][1] for one in rng.random(40_000) > speeds[0][0]]
    drawn = np.array([p.median_mm_per_s for p in parts])
    drawn *= np.exp(np.array([p.log_sd for p in parts]) * rng.normal(size=len(parts)))
    for speed in (20.0, 150.0, 900.0):
        told = share_slower(speeds, speed_mm_per_s=speed)
        assert told == pytest.approx(float((drawn < speed).mean()), abs=0.01)


def test_nothing_is_slower_than_standing() -> None:
    assert share_slower(sitter_speed(), speed_mm_per_s=0.0) == 0.0


def test_refusals_list_what_is_known() -> None:
    with pytest.raises(InputError, match="dancing") as caught:
        sitter_speed(mood="dancing")  # type: ignore[arg-type]  # what a user may type
    assert "toddling" in str(caught.value.hint)
    for age in (-1.0, float("nan")):
        with pytest.raises(InputError, match="age"):
            sitter_speed(age_years=age)
        with pytest.raises(InputError, match="age"):
            usual_mood(age_years=age)
