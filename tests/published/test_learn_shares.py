"""Published fits of shares: the same numbers from ours, from statsmodels and from scipy."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import optimize, special

from eyeplane.learn.shares import exact_interval, fit_shares, wilson_interval

# Bliss 1935 by way of Dobson, An Introduction to Generalized Linear Models; printed in P. Dunn's
# manual of glmlab, whose copy has 60 for the seventh count where its own numbers need 61 killed of
# 62 (another page lists 61); the eighth is 60 of 60.
DOSE = np.array([1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839])
BEETLES = np.array([59, 60, 62, 56, 63, 59, 62, 60])
KILLED = np.array([6, 13, 18, 28, 52, 53, 61, 60])
DESIGN = np.c_[np.ones(8), DOSE]


def test_the_logit_of_the_beetles_is_as_printed() -> None:
    fit = fit_shares(DESIGN, KILLED, BEETLES)
    assert fit.coefficients == pytest.approx([-60.717455, 34.270326], abs=2e-5)
    assert fit.errors == pytest.approx([5.180701, 2.912134], abs=2e-5)
    assert fit.deviance == pytest.approx(11.232231, abs=2e-6)
    # Fitted numbers and half dose: Dobson, from memory; statsmodels gives them too.
    fitted = [3.46, 9.84, 22.45, 33.90, 50.10, 53.29, 59.22, 58.74]
    assert fit.shares * BEETLES == pytest.approx(fitted, abs=0.006)
    assert fit.dose(0.5) == pytest.approx(1.7717, abs=5e-5)


def test_the_probit_of_the_beetles() -> None:
    # Computed with statsmodels; the deviance 10.12 is Dobson's (from memory).
    fit = fit_shares(DESIGN, KILLED, BEETLES, link="probit")
    assert fit.coefficients == pytest.approx([-34.935, 19.728], abs=6e-4)
    assert fit.errors == pytest.approx([2.648, 1.487], abs=6e-4)
    assert fit.deviance == pytest.approx(10.12, abs=5e-3)
    assert fit.dose(0.5) == pytest.approx(1.7709, abs=5e-5)
    logit = fit_shares(DESIGN, KILLED, BEETLES)
    assert logit.coefficients[1] / fit.coefficients[1] == pytest.approx(1.737, abs=5e-4)


def test_scipys_own_search_finds_the_same_beetles() -> None:
    def minus(b: np.ndarray) -> float:
        eta = b[0] + b[1] * (DOSE - 1.79)
        lost = BEETLES - KILLED
        return -float(KILLED @ special.log_expit(eta) + lost @ special.log_expit(-eta))

    found = optimize.minimize(minus, (0.0, 30.0), method="BFGS").x
    fit = fit_shares(DESIGN, KILLED, BEETLES)
    assert fit.coefficients[1] == pytest.approx(found[1], rel=1e-4)
    assert fit.coefficients[0] == pytest.approx(found[0] - 1.79 * found[1], rel=1e-4)


def test_finneys_rotenone() -> None:
    # Data and his "about 4.85" from memory (Finney, Probit Analysis); the fit of today computed.
    dose = np.log10([10.2, 7.7, 5.1, 3.8, 2.6])
    fit = fit_shares(
        np.c_[np.ones(5), dose], [44, 42, 24, 16, 6], [50, 49, 46, 48, 50], link="probit"
    )
    assert fit.coefficients[0] + 5 == pytest.approx(2.1125, abs=6e-5)
    assert fit.coefficients[1] == pytest.approx(4.2132, abs=6e-5)
    assert 10 ** fit.dose(0.5) == pytest.approx(4.845, abs=6e-4)
    assert fit.deviance == pytest.approx(1.739, abs=6e-4)


@pytest.mark.parametrize(
    ("link", "table"),
    [
        # L. Spector and M. Mazzeo 1980, as in Greene, Econometric Analysis (table from memory).
        ("logit", [-13.0213, 2.8261, 0.0952, 2.3787]),
        ("probit", [-7.4523, 1.6258, 0.0517, 1.4263]),
    ],
)
def test_spector_and_mazzeo_one_frame_a_row(link: str, table: list[float]) -> None:
    held = sm.datasets.spector.load()
    design = sm.add_constant(np.asarray(held.exog, float))
    passed = np.asarray(held.endog, float)
    fit = fit_shares(design, passed, np.ones(len(passed)), link=link)  # type: ignore[arg-type]  # one of two
    assert fit.coefficients == pytest.approx(table, abs=6e-5)


@pytest.mark.parametrize(
    ("held", "frames", "low", "high"),
    [
        # The examples of R. G. Newcombe, Stat. Med. 17, 857-872, 1998 (table from memory).
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        # Formula of NIST/SEMATECH e-Handbook 7.2.4.1, by hand.
        (7, 10, 0.3968, 0.8922),
        (9, 10, 0.5958, 0.9821),
        (10, 10, 0.7225, 1.0),
    ],
)
def test_wilsons_intervals_as_published(held: int, frames: int, low: float, high: float) -> None:
    share = wilson_interval(held, frames, level=0.95)
    assert (share.low, share.high) == pytest.approx((low, high), abs=6e-5)


def test_the_exact_interval_of_the_handbook() -> None:
    # NIST/SEMATECH e-Handbook 7.2.4.2: 4 of 20, 90 %.
    share = exact_interval(4, 20, level=0.9)
    assert (share.low, share.high) == pytest.approx((0.07135, 0.40103), abs=6e-6)
