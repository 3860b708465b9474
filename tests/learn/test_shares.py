"""Intervals of shares and maximum-likelihood fits: bounds, invariances, refusals."""

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import (
    proportion_confint,
)

from eyeplane.errors import InputError
from eyeplane.learn.shares import exact_interval, fit_shares, group_counts, wilson_interval

COUNTS = st.integers(1, 200).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(COUNTS, st.sampled_from([0.8, 0.9, 0.95]))
def test_wilson_is_that_of_statsmodels_and_scipy(counts: tuple[int, int], level: float) -> None:
    held, frames = counts
    share = wilson_interval(held, frames, level=level)
    low, high = proportion_confint(held, frames, 1 - level, "wilson")
    other = stats.binomtest(held, frames).proportion_ci(level, "wilson")
    assert (share.low, share.high) == pytest.approx((low, high), abs=1e-9)
    assert (share.low, share.high) == pytest.approx((other.low, other.high), abs=1e-9)


@given(COUNTS, st.sampled_from([0.8, 0.9, 0.95]))
def test_exact_is_that_of_statsmodels_and_scipy(counts: tuple[int, int], level: float) -> None:
    held, frames = counts
    share = exact_interval(held, frames, level=level)
    low, high = proportion_confint(held, frames, 1 - level, "beta")
    other = stats.binomtest(held, frames).proportion_ci(level, "exact")
    ends = (np.nan_to_num(low, nan=0.0), np.nan_to_num(high, nan=1.0))
    assert (share.low, share.high) == pytest.approx(ends, abs=1e-9)
    assert (share.low, share.high) == pytest.approx((other.low, other.high), abs=1e-9)


@given(COUNTS)
def test_lost_frames_are_the_mirror_of_held_ones(counts: tuple[int, int]) -> None:
    held, frames = counts
    share, other = wilson_interval(held, frames), wilson_interval(frames - held, frames)
    assert share.low == pytest.approx(1 - other.high, abs=1e-12)
    assert share.high == pytest.approx(1 - other.low, abs=1e-12)


@pytest.mark.parametrize("link", ["logit", "probit"])
def test_any_fit_is_that_of_statsmodels(link: str) -> None:
    rng = np.random.default_rng(5)
    for _ in range(10):
        design = np.column_stack([np.ones(9), rng.normal(size=9), rng.normal(size=9)])
        frames = rng.integers(5, 60, 9)
        held = rng.binomial(frames, 1 / (1 + np.exp(-(design @ [0.3, 0.8, -0.5]))))
        ours = fit_shares(design, held, frames, link=link)  # type: ignore[arg-type]  # one of two
        named = {"logit": sm.families.links.Logit, "probit": sm.families.links.Probit}[link]
        family = sm.families.Binomial(link=named())
        theirs = sm.GLM(np.c_[held, frames - held], design, family=family).fit(tol=1e-12)
        assert ours.coefficients == pytest.approx(theirs.params, abs=1e-6)
        assert ours.errors == pytest.approx(theirs.bse, rel=1e-4)
        assert ours.deviance == pytest.approx(theirs.deviance, abs=1e-6)
        assert ours.shares == pytest.approx(theirs.fittedvalues, abs=1e-7)


def test_moving_and_stretching_the_doses_moves_and_stretches_the_answer() -> None:
    dose, held, frames = np.arange(5.0), [9, 8, 5, 2, 1], [10] * 5
    plain = fit_shares(np.c_[np.ones(5), dose], held, frames)
    other = fit_shares(np.c_[np.ones(5), 3 * dose - 7], held, frames)
    for share in (0.1, 0.5, 0.9):
        assert other.dose(share) == pytest.approx(3 * plain.dose(share) - 7, abs=1e-6)


@pytest.mark.parametrize(
    ("held", "why"), [([10, 10, 10], "all"), ([0, 0, 0], "none"), ([10, 10, 0], "a clean cut")]
)
@pytest.mark.parametrize("link", ["logit", "probit"])
def test_without_a_finite_estimate_it_is_said(held: list[int], why: str, link: str) -> None:
    with pytest.raises(InputError, match="no finite estimate") as refused:
        fit_shares([[1, 0], [1, 1], [1, 2]], held, [10] * 3, link=link)  # type: ignore[arg-type]  # one of two
    assert "fit_ladder" in refused.value.hint, why


def test_doses_far_from_the_middle_are_no_hindrance() -> None:
    fit = fit_shares(np.c_[np.ones(5), [-80.0, -1.0, 0.0, 1.0, 80.0]], [0, 1, 3, 6, 7], [7] * 5)
    near = fit_shares(np.c_[np.ones(3), [-1.0, 0.0, 1.0]], [1, 3, 6], [7] * 3)
    assert fit.coefficients == pytest.approx(near.coefficients, abs=1e-6)


def test_impossible_counts_are_refused() -> None:
    with pytest.raises(InputError, match="11 of 10 frames"):
        wilson_interval(11, 10)
    with pytest.raises(InputError, match="0 of 0 frames"):
        exact_interval(0, 0)
    with pytest.raises(InputError, match="interval of 1 "):
        exact_interval(1, 2, level=1.0)
    with pytest.raises(InputError, match="do not fit"):
        fit_shares([[1, 0]], [1, 2], [3, 3])


def test_frames_are_grouped_by_value() -> None:
    values, held, frames = group_counts(
        [0.02, 0.01, 0.02, 0.02], [True, False, False, True], [1.0, 1.0, 0.5, 1.0]
    )
    assert values.tolist() == [0.01, 0.02]
    assert held.tolist() == [0.0, 2.0]
    assert frames.tolist() == [1.0, 2.5]
