"""How much a frame counts."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.learn.recency import DAY_S, effective_weights, recency_weights


def test_frames_of_a_burst_share_their_fate() -> None:
    assert list(effective_weights([1, 2, 3])) == [1.0, 1.0, 1.0]
    assert effective_weights([1, 1, 1]).sum() == pytest.approx(1.5)


def test_without_a_half_life_all_count_alike() -> None:
    assert recency_weights([0.0, None, 9e9], half_life_days=None) == [1.0, 1.0, 1.0]
    assert recency_weights([None, None], half_life_days=10.0) == [1.0, 1.0]


@given(
    days=st.lists(st.floats(0, 4000), min_size=1, max_size=6),
    half=st.floats(1, 2000),
    later=st.floats(0, 1e4),
)
def test_halved_by_each_half_life_whatever_the_date(
    days: list[float], half: float, later: float
) -> None:
    found = recency_weights([day * DAY_S for day in days], half_life_days=half)
    assert max(found) == 1.0
    for day, weight in zip(days, found, strict=True):
        assert weight == pytest.approx(0.5 ** ((max(days) - day) / half))
    moved = recency_weights([(day + later) * DAY_S for day in days], half_life_days=half)
    assert moved == pytest.approx(found, rel=1e-6)


def test_an_unknown_age_counts_as_the_oldest() -> None:
    assert recency_weights([None, 0.0, 10 * DAY_S], half_life_days=10.0) == [0.5, 0.5, 1.0]
