import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from eyeplane.learn.mixed import (
    MixedFit,
    fit_mixed,
    restricted_likelihoods,
    set_aside,
    spread_of_measured,
)
from eyeplane.records import Measured


def one_pair(
    values: np.ndarray,
    errors: np.ndarray,
    groups: np.ndarray,
    design: np.ndarray,
    spreads: tuple[float, float],
) -> tuple[float, np.ndarray, np.ndarray]:
    """Return log-likelihood, coefficients and covariance of one pair of spreads."""
    pair = (np.array([spreads[0]]), np.array([spreads[1]]))
    logs, betas, covariances = restricted_likelihoods(values, errors, groups, design, pair)
    return float(logs[0]), betas[0], covariances[0]


def made(
    rng: np.random.Generator, bursts: int, each: int, spreads: tuple[float, float, float]
) -> tuple[np.ndarray, np.ndarray, list[int]]:
    """Return numbers, their errors and bursts: between, within and measuring deviations."""
    between, within, error = spreads
    groups = np.repeat(np.arange(bursts), each)
    errors = error * rng.uniform(0.6, 1.6, len(groups))
    values = rng.normal(0, between, bursts)[groups] + rng.normal(0, within, len(groups))
    return values + errors * rng.standard_normal(len(groups)), errors, groups.tolist()


def test_the_best_spreads_are_those_of_the_analysis_of_variance() -> None:
    # Balanced and without measuring error the restricted likelihood is highest at the mean
    # squares: within = MSW, between = (MSB − MSW) / m (Searle, Casella and McCulloch, Variance
    # Components, 1992, section 4.4; from memory).
    rng = np.random.default_rng(3)
    bursts, each = 8, 5
    groups = np.repeat(np.arange(bursts), each)
    values = rng.normal(0, 6, bursts)[groups] + rng.normal(0, 3, bursts * each)
    means = values.reshape(bursts, each).mean(axis=1)
    within = ((values - means[groups]) ** 2).sum() / (bursts * (each - 1))
    between = (each * means.var(ddof=1) - within) / each
    found = optimize.minimize(
        lambda s: (
            -one_pair(
                values, np.full(len(values), 1e-9), groups, np.ones((len(values), 1)), tuple(s)
            )[0]
        ),
        (4.0, 4.0),
        method="Nelder-Mead",
        options={"xatol": 1e-8, "fatol": 1e-10},
    )
    assert np.abs(found.x) ** 2 == pytest.approx([between, within], rel=1e-4)


def test_burst_by_burst_is_the_whole_covariance() -> None:
    rng = np.random.default_rng(4)
    values, errors, bursts = made(rng, 5, 3, (4, 2, 1))
    design = np.column_stack([np.ones(15), rng.normal(size=15)])
    logs, beta, covariance = one_pair(values, errors, np.array(bursts), design, (2.5, 1.5))
    same = np.equal.outer(bursts, bursts)
    whole = np.diag(1.5**2 + errors**2) + 2.5**2 * same
    inverse = np.linalg.inv(whole)
    assert covariance == pytest.approx(np.linalg.inv(design.T @ inverse @ design))
    assert beta == pytest.approx(covariance @ design.T @ inverse @ values)
    left = values - design @ beta
    expected = -0.5 * (
        left @ inverse @ left
        + np.linalg.slogdet(whole)[1]
        + np.linalg.slogdet(design.T @ inverse @ design)[1]
    )
    assert logs == pytest.approx(expected)


@pytest.mark.slow
@pytest.mark.parametrize(("bursts", "each"), [(5, 3), (15, 2)])
def test_intervals_hold_the_truth_nine_times_in_ten(bursts: int, each: int) -> None:
    rng = np.random.default_rng(bursts)
    trials, mean, spread, sure = 100, 0, 0, 0
    for _ in range(trials):
        values, errors, groups = made(rng, bursts, each, (4.0, 4.0, 3.0))
        fit = fit_mixed(values, errors, groups, np.ones((len(values), 1)))
        bias = fit.coefficients[0]
        mean += bias.measured().low <= 0 <= bias.measured().high
        spread += fit.spread.low <= np.hypot(4, 4) <= fit.spread.high
        sure += max(bias.below(0.0), 1 - bias.below(0.0)) >= 0.99
    # .85 to .95, and two standard deviations of a hundred trials
    assert 0.79 * trials <= mean <= trials * 0.99
    assert 0.79 * trials <= spread <= trials * 0.99
    assert sure <= 0.06 * trials  # a side called where there is none: 2 % on the average


def test_frames_of_a_burst_count_as_one_event() -> None:
    rng = np.random.default_rng(5)
    values = np.repeat(rng.normal(0, 5, 6), 10) + rng.normal(0, 0.3, 60)
    errors, ones = np.full(60, 0.5), np.ones((60, 1))
    together = fit_mixed(values, errors, np.repeat(np.arange(6), 10).tolist(), ones)
    apart = fit_mixed(values, errors, list(range(60)), ones)
    widths = [
        f.coefficients[0].measured().high - f.coefficients[0].measured().low
        for f in (together, apart)
    ]
    assert widths[0] > 2 * widths[1]


def test_measuring_error_is_not_spread() -> None:
    rng = np.random.default_rng(6)
    values = rng.normal(0, 5, 200)  # all of it measuring error
    fit = fit_mixed(values, np.full(200, 5.0), list(range(200)), np.ones((200, 1)))
    assert fit.spread.high < 3.0
    known = fit_mixed(values, np.full(200, 0.5), list(range(200)), np.ones((200, 1)))
    assert known.spread.low <= 5.0 <= known.spread.high


@settings(max_examples=15, deadline=None)
@given(st.floats(-50, 50), st.floats(0.2, 5.0), st.integers(0, 1000))
def test_shift_scale_and_order_change_nothing_else(shift: float, scale: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    values, errors, bursts = made(rng, 5, 2, (3, 2, 2))
    ones = np.ones((10, 1))
    plain = fit_mixed(values, errors, bursts, ones).coefficients[0].measured()
    order = rng.permutation(10)
    moved = (
        fit_mixed(
            (values * scale + shift)[order],
            (errors * scale)[order],
            [bursts[n] for n in order],
            ones,
        )
        .coefficients[0]
        .measured()
    )
    for one, other in ((plain.low, moved.low), (plain.value, moved.value)):
        assert other == pytest.approx(one * scale + shift, abs=1e-3 * scale)


def test_numbers_far_off_are_set_aside() -> None:
    rng = np.random.default_rng(8)
    values = rng.normal(3, 4, 40)
    values[[5, 17]] = (90.0, -70.0)  # the ear, the nose of another
    kept = set_aside(values, np.full(40, 2.0), np.ones((40, 1)))
    assert not kept[5]
    assert not kept[17]
    assert kept.sum() >= 37
    assert set_aside(np.zeros(8), np.full(8, 1.0), np.ones((8, 1))).all()
    # An imprecise number is not far off by its error alone.
    errors = np.full(40, 2.0)
    errors[5] = 40.0
    assert set_aside(values, errors, np.ones((40, 1)))[5]


def test_the_spread_of_an_interval() -> None:
    assert spread_of_measured(Measured(value=1.0, low=-0.6449, high=2.6449), 0.1) == pytest.approx(
        1
    )
    assert spread_of_measured(Measured(value=1.0, low=1.0, high=1.0), 0.1) == 0.1


def test_an_error_that_all_share_widens_the_mean_only() -> None:
    rng = np.random.default_rng(9)
    values, errors, bursts = made(rng, 20, 2, (2.0, 2.0, 1.0))
    ones = np.ones((len(values), 1))
    plain = fit_mixed(values, errors, bursts, ones)
    shared = fit_mixed(values, errors, bursts, ones, extra_sd=3.0)

    def half(fit: MixedFit) -> float:
        mean = fit.coefficients[0].measured()
        return (mean.high - mean.low) / 2

    assert half(shared) == pytest.approx(np.hypot(half(plain), 1.645 * 3.0), rel=0.02)
    assert shared.spread == plain.spread
