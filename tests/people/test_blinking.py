"""Blinks: shares, chances, numbers of frames and their inverses, refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.people import (
    BLINK_SHARE,
    CALM_BLINK_S,
    CALM_BLINKS_PER_S,
    NERVOUS_BLINK_S,
    NERVOUS_BLINKS_PER_S,
    blink_share,
    chance_all_open,
    frames_for_open,
    rule_frames,
)

shares = st.floats(0.0, 0.5)
many = st.integers(1, 15)


@given(people=many, share=shares, chance=st.floats(0.01, 0.995))
def test_the_number_of_frames_is_the_least_that_does(
    people: int, share: float, chance: float
) -> None:
    frames = frames_for_open(people=people, chance=chance, share_closed=share)
    assert frames is not None
    assert chance_all_open(people=people, frames=frames, share_closed=share) >= chance - 1e-9
    if frames > 1:
        fewer = chance_all_open(people=people, frames=frames - 1, share_closed=share)
        assert fewer < chance + 1e-9


@given(people=many, frames=st.integers(0, 30), share=shares)
def test_more_people_less_chance_more_frames_more(people: int, frames: int, share: float) -> None:
    now = chance_all_open(people=people, frames=frames, share_closed=share)
    assert 0.0 <= now <= 1.0
    assert chance_all_open(people=people + 1, frames=frames, share_closed=share) <= now + 1e-12
    assert chance_all_open(people=people, frames=frames + 1, share_closed=share) >= now - 1e-12


def test_against_drawn_groups() -> None:
    rng = np.random.default_rng(3)
    shut = np.less(rng.random((20_000, 4, 8)), 0.09)  # groups, frames, people
    all_open = np.all(~shut, axis=2)
    one_open = np.mean(np.any(all_open, axis=1))
    told = chance_all_open(people=8, frames=4, share_closed=0.09)
    assert told == pytest.approx(float(one_open), abs=0.012)


def test_shares_that_are_handed_on_are_their_rates_rounded() -> None:
    calm = blink_share(blinks_per_s=CALM_BLINKS_PER_S, blink_s=CALM_BLINK_S)
    nervous = blink_share(blinks_per_s=NERVOUS_BLINKS_PER_S, blink_s=NERVOUS_BLINK_S)
    assert (round(calm, 2), round(nervous, 2)) == BLINK_SHARE
    assert blink_share(blinks_per_s=100.0, blink_s=1.0) == 1.0


def test_eyes_that_are_always_closed() -> None:
    assert frames_for_open(people=1, share_closed=1.0) is None
    assert frames_for_open(people=400, share_closed=0.09) is None
    assert frames_for_open(people=1, share_closed=0.0) == 1


@pytest.mark.parametrize("people", range(1, 20))
def test_the_rule_is_for_groups_under_twenty(people: int) -> None:
    good, poor = rule_frames(people=people), rule_frames(people=people, light="poor")
    assert good is not None
    assert poor is not None
    assert 1 <= good <= poor
    assert people / 3 <= good < people / 3 + 1
    assert rule_frames(people=20) is None


def test_refusals() -> None:
    for bad in (
        lambda: chance_all_open(people=0),
        lambda: chance_all_open(people=2, frames=-1),
        lambda: frames_for_open(people=2, share_closed=1.2),
        lambda: frames_for_open(people=2, chance=1.0),
        lambda: blink_share(blinks_per_s=-1.0, blink_s=0.1),
        lambda: blink_share(blinks_per_s=0.2, blink_s=float("nan")),
        lambda: rule_frames(people=3, light="dim"),  # type: ignore[arg-type]  # a user's
    ):
        with pytest.raises(InputError):
            bad()
