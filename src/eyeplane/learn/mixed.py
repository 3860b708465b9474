"""A mean or a slope over frames that come in bursts, with what measuring adds taken out.

Each number is y = design · coefficients + what its burst shares + what it has alone + what the
measuring adds, the last of known size. The two spreads are not fixed at one estimate but averaged
over all that the numbers leave possible, so that few bursts give wide intervals.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from eyeplane.records import Measured

Array = NDArray[np.float64]

TOTALS = 32  # grid of the total spread, a factor of 1.2 apart
SHARES = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)  # of the spread's square that a burst shares; all alike
SMALLEST, LARGEST = 0.02, 8.0  # ends of that grid over the rough spread of the numbers
HUBER = 1.345  # of robust regression: 95 % efficient on normal errors (Huber 1981)
ASIDE = 4.0  # standard deviations from which a frame did something else; one normal in 16,000
ROUNDS = 15  # of reweighting; more changes nothing
NUMBERS = 1_000_000  # that are worked on at once: 8 MB
TO_SD = 1.4826  # standard deviation over median absolute deviation of a normal distribution
Z90 = 1.6449  # half width of a 90 % interval in standard deviations, normal


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """What is known of one number: normal distributions, each with its weight.

    Attributes
    ----------
    means, sds, weights : ndarray
        Of the parts; the weights sum to 1.
    """

    means: Array
    sds: Array
    weights: Array

    def below(self, value: float) -> float:
        """Return the probability that the number lies below a value.

        Parameters
        ----------
        value : float
            Any value.

        Returns
        -------
        float
            0..1.
        """
        return float(self.weights @ special.ndtr((value - self.means) / self.sds))

    def quantile(self, share: float) -> float:
        """Return the value below which the number lies with a probability.

        Parameters
        ----------
        share : float
            Probability, in (0, 1).

        Returns
        -------
        float
            By bisection, to a millionth of the width.
        """
        low = float(np.min(self.means - 12 * self.sds))
        high = float(np.max(self.means + 12 * self.sds))
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.below(middle) < share else (low, middle)
        return (low + high) / 2

    def measured(self) -> Measured:
        """Return the number with its 90 % interval.

        Returns
        -------
        Measured
            The median and the middle 90 %.
        """
        return Measured(value=self.quantile(0.5), low=self.quantile(0.05), high=self.quantile(0.95))


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedFit:
    """A fit over bursts.

    Attributes
    ----------
    coefficients : tuple of Posterior
        One a column of the design.
    spread : Measured
        Standard deviation from frame to frame, measuring error taken out.
    evidence : float
        Natural logarithm of the likelihood, averaged over all coefficients and spreads; only
        differences between designs of equally scaled columns mean something.
    """

    coefficients: tuple[Posterior, ...]
    spread: Measured
    evidence: float


def fit_mixed(
    values: Array, errors_sd: Array, bursts: Sequence[int], design: Array, *, extra_sd: float = 0.0
) -> MixedFit:
    """Return coefficients and spread of numbers that come in bursts.

    Parameters
    ----------
    values : ndarray
        One number a frame.
    errors_sd : ndarray
        Standard deviation of each number's measuring error, > 0.
    bursts : sequence of int
        The frames' bursts.
    design : ndarray
        One row a frame, one column a coefficient; the first column of ones is the mean.
    extra_sd : float
        Error that all frames of the sitting share, in the unit of the values: widens the first
        coefficient.

    Returns
    -------
    MixedFit
        Wide where there are few bursts.

    Notes
    -----
    Restricted likelihood of the linear mixed model on a grid over the total spread and the share
    of it (in squares) that a burst has in common, both a priori uniform.

    References
    ----------
    Patterson, H. D., Thompson, R. (1971), "Recovery of inter-block information when block sizes
    are unequal", Biometrika 58, 545-554.
    """
    _, groups = np.unique(np.asarray(bursts), return_inverse=True)
    rough = max(TO_SD * _mad(values), 0.5 * float(np.median(errors_sd)), 1e-9)
    totals = np.geomspace(SMALLEST * rough, LARGEST * rough, TOTALS)
    share = np.array(SHARES)
    between = np.outer(totals, np.sqrt(share)).ravel()
    within = np.outer(totals, np.sqrt(1 - share)).ravel()
    logs, betas, covariances = restricted_likelihoods(
        values, errors_sd, groups, design, (between, within)
    )
    spacing = np.repeat(totals, len(SHARES))  # uniform in the spread, not in its logarithm
    raw = np.exp(logs - logs.max()) * spacing
    weights = raw / raw.sum()
    variances = np.diagonal(covariances, axis1=1, axis2=2).copy()
    variances[:, 0] += extra_sd**2
    found = tuple(
        Posterior(means=betas[:, k], sds=np.sqrt(variances[:, k]), weights=weights)
        for k in range(design.shape[1])
    )
    by_total = weights.reshape(len(totals), len(SHARES)).sum(axis=1)
    evidence = float(logs.max() + np.log(raw.sum() / spacing.sum()))
    return MixedFit(coefficients=found, spread=_spread(totals, by_total), evidence=evidence)


def restricted_likelihoods(
    values: Array,
    errors_sd: Array,
    groups: NDArray[np.intp],
    design: Array,
    spreads: tuple[Array, Array],
) -> tuple[Array, Array, Array]:
    """Return the restricted log-likelihoods of pairs of spreads, and the coefficients for each.

    Parameters
    ----------
    values, errors_sd : ndarray
        Numbers and their measuring errors.
    groups : ndarray of int
        Bursts, counted from 0, none missing.
    design : ndarray
        One row a frame.
    spreads : tuple of ndarray
        Standard deviations from burst to burst, and from frame to frame within one.

    Returns
    -------
    tuple of ndarray
        Natural logarithms, coefficients, and their covariances, one a pair.

    Notes
    -----
    By the matrix inversion lemma burst by burst, so the time goes with the number of frames.
    """
    order = np.argsort(groups, kind="stable")
    starts = np.flatnonzero(np.diff(groups[order], prepend=-1))
    columns = np.column_stack([design, values])[order]
    products = np.einsum("ni,nj->nij", columns, columns).reshape(len(columns), -1)
    step = max(1, NUMBERS // columns.size)
    parts = [
        _likelihoods(
            errors_sd[order],
            starts,
            columns,
            products,
            (spreads[0][at : at + step], spreads[1][at : at + step]),
        )
        for at in range(0, len(spreads[0]), step)
    ]
    logs, betas, covariances = (np.concatenate(kind) for kind in zip(*parts, strict=True))
    return logs, betas, covariances


def _likelihoods(
    errors_sd: Array,
    starts: NDArray[np.intp],
    columns: Array,
    products: Array,
    spreads: tuple[Array, Array],
) -> tuple[Array, Array, Array]:
    between, within = (spread[:, None] ** 2 for spread in spreads)
    weight = 1.0 / (within + errors_sd**2)
    mass = np.add.reduceat(weight, starts, axis=1)
    per_group = np.add.reduceat(weight[:, :, None] * columns, starts, axis=1)
    shrink = between / (1.0 + between * mass)
    count = columns.shape[1]
    cross = (weight @ products).reshape(-1, count, count)
    cross -= np.einsum("gj,gja,gjb->gab", shrink, per_group, per_group)
    information, right = cross[:, :-1, :-1], cross[:, :-1, -1]
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    beta = np.einsum("gab,gb->ga", covariance, right)
    squares = cross[:, -1, -1] - np.einsum("ga,ga->g", right, beta)
    log_det = np.log1p(between * mass).sum(axis=1) - np.log(weight).sum(axis=1)
    log_information = np.linalg.slogdet(information)[1]
    return -0.5 * (squares + log_det + log_information), beta, covariance


def set_aside(values: Array, errors_sd: Array, design: Array) -> NDArray[np.bool_]:
    """Return which numbers go with the others; False for those far off all of them.

    Parameters
    ----------
    values, errors_sd : ndarray
        Numbers and their measuring errors.
    design : ndarray
        One row a frame.

    Returns
    -------
    ndarray of bool
        False from `ASIDE` robust standard deviations on.

    Notes
    -----
    Huber's reweighted least squares; the spread is the median absolute deviation of what is left,
    so half of the frames may lie anywhere. A frame that focused on something else altogether is
    not part of how the focus scatters about the eye.
    """
    root = 1.0 / np.hypot(errors_sd, max(TO_SD * _mad(values), 1e-9))
    weights = root.copy()
    left = values - np.median(values)
    for _ in range(ROUNDS):
        beta, *_ = np.linalg.lstsq(design * weights[:, None], values * weights, rcond=None)
        left = values - design @ beta
        spread = max(TO_SD * float(np.median(np.abs(left))), 1e-9)
        far = np.abs(left) / np.hypot(spread, errors_sd)
        weights = root * np.sqrt(np.minimum(1.0, HUBER / np.maximum(far, 1e-12)))
    spread = max(TO_SD * float(np.median(np.abs(left))), 1e-9)
    return np.asarray(np.abs(left) <= ASIDE * np.hypot(spread, errors_sd), dtype=bool)


def _mad(values: Array) -> float:
    return float(np.median(np.abs(values - np.median(values))))


def _spread(totals: Array, weights: Array) -> Measured:
    """Return the spread with its interval from the grid, linear between its nodes."""
    edges = np.concatenate([[0.0], np.cumsum(weights)])
    ends = np.concatenate(
        [[totals[0]], np.sqrt(totals[1:] * totals[:-1]), [totals[-1]]]
    )  # cells of the grid meet halfway
    low, value, high = (float(np.interp(q, edges, ends)) for q in (0.05, 0.5, 0.95))
    return Measured(value=value, low=low, high=high)


def spread_of_measured(measured: Measured, least_sd: float) -> float:
    """Return the standard deviation that a 90 % interval stands for.

    Parameters
    ----------
    measured : Measured
        A number.
    least_sd : float
        Smallest that is believed.

    Returns
    -------
    float
        Half its width over 1.645, at least `least_sd`.
    """
    return max((measured.high - measured.low) / (2 * Z90), least_sd)
