"""The fit over bursts against a worked example of random effects from medicine.

Thirteen trials of a vaccine: Colditz, G. A. et al. (1994), Journal of the American Medical
Association 271, 698-702; counts as printed in van Houwelingen, H. C., Arends, L. R., Stijnen, T.
(2002), Statistics in Medicine 21, 589-624, table I. The restricted maximum likelihood results for
the logarithm of the relative risk, tau² = 0.3132 (interval by likelihood about 0.12 to 0.95), mean
−0.7145 with standard error 0.1798, are those that Viechtbauer, W. (2010), Journal of Statistical
Software 36(3), gives for these data (figures from memory).
"""

import numpy as np
import pytest
from scipy import optimize

from eyeplane.learn.mixed import fit_mixed, restricted_likelihoods

# Ill and well among the vaccinated, ill and well among the others.
TRIALS = np.array(
    [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ],
    dtype=float,
)


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


def log_risks() -> tuple[np.ndarray, np.ndarray]:
    """Return the logarithms of the relative risks and their standard errors."""
    ill, well, ill_others, well_others = TRIALS.T
    treated, others = ill + well, ill_others + well_others
    values = np.log(ill / treated) - np.log(ill_others / others)
    return values, np.sqrt(1 / ill - 1 / treated + 1 / ill_others - 1 / others)


def test_restricted_maximum_likelihood() -> None:
    values, errors = log_risks()
    ones, groups = np.ones((13, 1)), np.arange(13)
    best = optimize.minimize_scalar(
        lambda tau: -one_pair(values, errors, groups, ones, (tau, 0.0))[0],
        bounds=(0.01, 3.0),
        method="bounded",
    )
    _, mean, covariance = one_pair(values, errors, groups, ones, (best.x, 0.0))
    assert best.x**2 == pytest.approx(0.3132, abs=2e-4)
    assert mean[0] == pytest.approx(-0.7145, abs=1e-4)
    assert covariance[0, 0] ** 0.5 == pytest.approx(0.1798, abs=1e-4)


def test_between_or_within_is_all_one_for_single_frames() -> None:
    values, errors = log_risks()
    ones, groups = np.ones((13, 1)), np.arange(13)
    a = one_pair(values, errors, groups, ones, (0.5, 0.0))
    b = one_pair(values, errors, groups, ones, (0.3, 0.4))
    assert a[0] == pytest.approx(b[0])


def test_the_interval_lies_about_the_published_one() -> None:
    # Averaged over tau it must be somewhat wider than −0.7145 ± 1.645 · 0.1798 with tau fixed.
    values, errors = log_risks()
    fit = fit_mixed(values, errors, list(range(13)), np.ones((13, 1)))
    mean = fit.coefficients[0].measured()
    assert mean.value == pytest.approx(-0.7145, abs=0.03)
    assert 1.0 <= (mean.high - mean.low) / (2 * 1.645 * 0.1798) <= 1.3
    assert fit.spread.low**2 < 0.3132 < fit.spread.high**2
