"""Shares of frames: their intervals, and maximum-likelihood fits of them against what was set."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from eyeplane.errors import InputError
from eyeplane.records import Measured

FloatArray = NDArray[np.float64]
Link = Literal["logit", "probit"]

LEVEL = 0.90  # of an interval unless said otherwise: as all of ours
MOST_STEPS = 60  # of the search; six are usual
CLOSE = 1e-12  # relative change of the deviance at which the search ends
TINY = 1e-16  # shares nearer to 0 or 1 are kept off them
LEAST_TOLD = 1e-6  # information in the direction told least, of frames: less is none


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShareFit:
    """A share fitted by maximum likelihood, without lapses.

    Attributes
    ----------
    coefficients : ndarray
        One for each column of the design.
    errors : ndarray
        Their standard errors.
    covariance : ndarray
        Of the coefficients.
    deviance : float
        Twice the log-likelihood lost against every group having its own share.
    shares : ndarray
        Fitted share of each group.
    link : {"logit", "probit"}
        How the linear predictor becomes a share.
    """

    coefficients: FloatArray
    errors: FloatArray
    covariance: FloatArray
    deviance: float
    shares: FloatArray
    link: Link

    def dose(self, share: float) -> float:
        """Return where a share is reached, for a design of a constant and one column.

        Parameters
        ----------
        share : float
            In (0, 1).

        Returns
        -------
        float
            Value of the second column.
        """
        wanted = special.logit(share) if self.link == "logit" else special.ndtri(share)
        return float((wanted - self.coefficients[0]) / self.coefficients[1])


def wilson_interval(held: int, frames: int, *, level: float = LEVEL) -> Measured:
    """Return a share with Wilson's interval.

    Parameters
    ----------
    held, frames : int
        Count and number of trials, 0 <= held <= frames, frames > 0.
    level : float
        Of the interval, in (0, 1).

    Returns
    -------
    Measured
        The share as counted, with its interval.

    Raises
    ------
    InputError
        If the counts are impossible.

    References
    ----------
    E. B. Wilson, J. Am. Stat. Assoc. 22, 209-212, 1927; NIST/SEMATECH e-Handbook 7.2.4.1.

    Examples
    --------
    >>> share = wilson_interval(7, 10, level=0.95)
    >>> round(share.low, 4), round(share.high, 4)
    (0.3968, 0.8922)
    """
    _check_counts(held, frames, level)
    z = float(special.ndtri(0.5 + level / 2))
    share, extra = held / frames, z * z / frames
    middle = (share + extra / 2) / (1 + extra)
    half = z / (1 + extra) * float(np.sqrt(share * (1 - share) / frames + extra / frames / 4))
    return Measured(
        value=share, low=min(max(middle - half, 0.0), share), high=max(min(middle + half, 1), share)
    )


def exact_interval(held: int, frames: int, *, level: float = LEVEL) -> Measured:
    """Return a share with the interval of Clopper and Pearson, which never covers too little.

    Parameters
    ----------
    held, frames : int
        Count and number of trials, 0 <= held <= frames, frames > 0.
    level : float
        Of the interval, in (0, 1).

    Returns
    -------
    Measured
        The share as counted, with its interval.

    Raises
    ------
    InputError
        If the counts are impossible.

    References
    ----------
    C. J. Clopper and E. S. Pearson, Biometrika 26, 404-413, 1934; NIST/SEMATECH e-Handbook 7.2.4.2.

    Examples
    --------
    >>> share = exact_interval(4, 20)
    >>> round(share.low, 5), round(share.high, 5)
    (0.07135, 0.40103)
    """
    _check_counts(held, frames, level)
    tail = (1 - level) / 2
    low = special.betaincinv(held, frames - held + 1, tail) if held > 0 else 0.0
    high = special.betaincinv(held + 1, frames - held, 1 - tail) if held < frames else 1.0
    return Measured(value=held / frames, low=float(low), high=float(high))


def fit_shares(
    design: ArrayLike, held: ArrayLike, frames: ArrayLike, *, link: Link = "logit"
) -> ShareFit:
    """Return shares fitted by maximum likelihood.

    Parameters
    ----------
    design : array_like
        [groups, columns]; the first column is usually ones.
    held, frames : array_like
        [groups], how many of how many; frames > 0.
    link : {"logit", "probit"}
        Logistic, or cumulative normal.

    Returns
    -------
    ShareFit
        The estimates, with standard errors from the expected information.

    Raises
    ------
    InputError
        If shapes or counts do not fit, or no finite estimate exists: all held, none held, or a
        clean cut between the two. `eyeplane.learn.fit_ladder` answers there too.

    Notes
    -----
    Iteratively reweighted least squares.

    References
    ----------
    P. McCullagh and J. A. Nelder, Generalized Linear Models, 2nd ed. 1989, section 2.5.

    Examples
    --------
    >>> fit = fit_shares([[1, 0], [1, 1], [1, 2]], [9, 5, 2], [10, 10, 10])
    >>> fit.coefficients.round(3)
    array([ 1.948, -1.748])
    """
    columns, counts, totals = _checked(design, held, frames)
    axes = np.linalg.qr(columns)[0]  # the same whatever the units of the columns
    share = (counts + 0.5) / (totals + 1.0)
    predictor = special.logit(share) if link == "logit" else special.ndtri(share)
    before = np.inf
    for _ in range(MOST_STEPS):
        share, slope = _share_and_slope(predictor, link)
        weights = totals * slope**2 / (share * (1 - share))
        aim = predictor + (counts / totals - share) / slope
        information = axes.T @ (weights[:, None] * axes)
        if not np.linalg.eigvalsh(information)[0] > LEAST_TOLD:
            raise _no_estimate()
        predictor = axes @ np.linalg.solve(information, axes.T @ (weights * aim))
        share, _ = _share_and_slope(predictor, link)
        deviance = _deviance(counts, totals, share)
        if abs(before - deviance) <= CLOSE * (abs(deviance) + 0.1):
            coefficients = np.linalg.lstsq(columns, predictor, rcond=None)[0]
            return _fit(columns, totals, coefficients, link, deviance)
        before = deviance
    raise _no_estimate()


def _fit(
    columns: FloatArray, totals: FloatArray, coefficients: FloatArray, link: Link, deviance: float
) -> ShareFit:
    share, slope = _share_and_slope(columns @ coefficients, link)
    weights = totals * slope**2 / (share * (1 - share))
    information = columns.T @ (weights[:, None] * columns)
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    return ShareFit(
        coefficients=coefficients,
        errors=np.sqrt(np.diag(covariance)),
        covariance=covariance,
        deviance=deviance,
        shares=share,
        link=link,
    )


def _share_and_slope(predictor: FloatArray, link: Link) -> tuple[FloatArray, FloatArray]:
    raw = special.expit(predictor) if link == "logit" else special.ndtr(predictor)
    share = np.clip(raw, TINY, 1 - TINY)
    if link == "logit":
        return share, share * (1 - share)
    return share, np.maximum(np.exp(-(predictor**2) / 2) / np.sqrt(2 * np.pi), 1e-100)


def _deviance(counts: FloatArray, totals: FloatArray, share: FloatArray) -> float:
    lost = totals - counts
    own = special.xlogy(counts, counts / totals) + special.xlogy(lost, lost / totals)
    return float(2 * (own - special.xlogy(counts, share) - special.xlogy(lost, 1 - share)).sum())


def _checked(
    design: ArrayLike, held: ArrayLike, frames: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    columns, counts, totals = (np.asarray(a, dtype=float) for a in (design, held, frames))
    alike = columns.ndim == 2 and columns.shape[:1] == counts.shape == totals.shape
    if not alike or not len(counts):
        raise InputError(
            f"{columns.shape} design, {counts.shape} counts and {totals.shape} totals do not fit",
            where="fit_shares",
            hint="Give one row, one count and one total for each group",
        )
    for count, total in zip(counts, totals, strict=True):
        _check_counts(float(count), float(total), LEVEL)
    return columns, counts, totals


def _check_counts(held: float, frames: float, level: float) -> None:
    if not (0 <= held <= frames and 0 < frames < np.inf):
        raise InputError(
            f"{held:g} of {frames:g} frames is impossible",
            where="held, frames",
            hint="Give a count from 0 to the number of frames, of which there is at least one",
        )
    if not 0 < level < 1:
        raise InputError(
            f"an interval of {level:g} is none", where="level", hint="Give a share such as 0.9"
        )


def _no_estimate() -> InputError:
    return InputError(
        "no finite estimate exists: all held, none did, or one cut parts the two",
        where="fit_shares",
        hint="Use fit_ladder, which answers with one-sided limits",
    )


def group_counts(
    values: Sequence[float], held: Sequence[bool], weights: Sequence[float] | None = None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return frames sorted into groups of equal value.

    Parameters
    ----------
    values : sequence of float
        What was set, frame by frame.
    held : sequence of bool
        Whether each held.
    weights : sequence of float, optional
        For how much each counts; 1 unless given.

    Returns
    -------
    values, held, frames : ndarray
        Of each group, rising by value.
    """
    own = np.ones(len(values)) if weights is None else np.asarray(weights, dtype=float)
    found, index = np.unique(np.asarray(values, dtype=float), return_inverse=True)
    count, total = np.zeros(len(found)), np.zeros(len(found))
    np.add.at(count, index, own * np.asarray(held, dtype=float))
    np.add.at(total, index, own)
    return found, count, total
