import numpy as np
import pytest
from scipy import stats

from eyeplane.sitting.trend import chance_of_trend, find_trend


def test_it_is_mantels_test() -> None:
    # M² = (n − 1) r², chi-square with one degree of freedom (Mantel 1963); r and the
    # distribution from scipy, a reference library.
    rng = np.random.default_rng(7)
    for _ in range(20):
        shares = rng.random(15)
        r = stats.pearsonr(np.arange(15), shares).statistic
        assert chance_of_trend(shares.tolist()) == pytest.approx(stats.chi2.sf(14 * r * r, 1))


def test_degenerate_shares_show_no_trend() -> None:
    assert chance_of_trend([]) == 1.0
    assert chance_of_trend([0.0, 1.0]) == 1.0
    assert chance_of_trend([0.5] * 20) == 1.0
    assert chance_of_trend([0.0, 0.5, 1.0]) == pytest.approx(stats.chi2.sf(2.0, 1))  # r = 1


@pytest.mark.parametrize("bursts", [8, 12, 30])
def test_chance_is_not_called_a_trend_more_often_than_stated(bursts: int) -> None:
    rng = np.random.default_rng(bursts)
    called = sum(
        find_trend((rng.random(bursts) < 0.4).tolist(), list(range(bursts))) is not None
        for _ in range(1000)
    )
    assert called <= 64  # 5 % of 1000 and two standard deviations


def test_a_burst_has_one_vote() -> None:
    # Eight soft frames at the end are one event if they are one burst.
    marks = [False] * 9 + [True] * 8
    assert find_trend(marks, [*range(9), *([9] * 8)]) is None
    trend = find_trend(marks, list(range(17)))
    assert trend is not None
    assert trend.grows
    assert (trend.first, trend.last) == ((0, 5), (5, 5))


def test_a_trend_has_its_direction_and_counts() -> None:
    marks = [True, True, True, False, True, True, False, False, False, False, False, False]
    trend = find_trend(marks, list(range(12)))
    assert trend is not None
    assert not trend.grows
    assert (trend.first, trend.last) == ((3, 4), (0, 4))


def test_too_few_bursts_show_nothing() -> None:
    assert find_trend([False, False, False, True, True, True, True], list(range(7))) is None
