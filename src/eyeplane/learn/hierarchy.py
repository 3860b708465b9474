"""Numbers that come in sittings, sittings that come in groups, and groups of one photographer.

A group is a kit with its stabiliser on or off, a kind of sitter, or a kit with one way of setting
the focus. Each sitting has a middle of its own, which scatters about that of its group; the groups'
middles scatter about the photographer's. How much they scatter is not fixed at one estimate but
averaged over all that the numbers leave possible. So a group with few frames borrows from the
others as much as the groups turned out to be alike, and a group that was never seen gets what the
photographer's others foretell, with as wide an interval as that deserves.

All of it is summed on a grid, without sampling: the same numbers in any order give the same answer.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from eyeplane.learn.mixed import Array
from eyeplane.records import Measured

SCATTERS = 8  # nodes of each scatter between sittings and between groups
SCATTER_REACH = 2.5  # ends of those nodes in standard deviations of their prior
ENDS = (0.05, 0.5, 0.95)  # of a 90 % interval, and its middle
_STANDARD = (np.arange(SCATTERS) + 0.5) / SCATTERS * SCATTER_REACH


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where a fit is summed.

    Attributes
    ----------
    middles : ndarray
        Of sittings, groups and the photographer; evenly spaced.
    spreads : ndarray
        Standard deviation within a sitting, of each column of the likelihoods.
    kernel : ndarray
        Chance of each of `spreads` in a group, for each spread that is usual with this
        photographer; rows sum to 1.
    between_sittings, between_groups : float
        Standard deviations of the half-normal priors of the two scatters; the second may be
        infinite: then no group borrows anything.
    least_between : float
        What sittings scatter by at least (an error that all frames of one share).
    """

    middles: Array
    spreads: Array
    kernel: Array
    between_sittings: float
    between_groups: float
    least_between: float = 0.0

    def scatters(self) -> Array:
        """Return the nodes of the scatter between sittings.

        Returns
        -------
        ndarray
            Standard deviations, rising.
        """
        return np.hypot(_STANDARD * self.between_sittings, self.least_between)


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPosterior:
    """What is known of one group.

    Attributes
    ----------
    middles, spreads, scatters : ndarray
        Nodes: the group's middle, its spread within a sitting, the scatter between sittings.
    chances : ndarray
        Of each (middle, spread, scatter); sums to 1.
    """

    middles: Array
    spreads: Array
    scatters: Array
    chances: Array

    def middle(self) -> Measured:
        """Return the group's middle.

        Returns
        -------
        Measured
            Median and middle 90 % of what is left possible.
        """
        return _measured(self.middles, self.chances.sum(axis=(1, 2)), self._step())

    def spread(self) -> Measured:
        """Return the spread within a sitting.

        Returns
        -------
        Measured
            Median and middle 90 %.
        """
        chances = self.chances.sum(axis=(0, 2))
        order = np.argsort(self.spreads, kind="stable")
        return _between_nodes(self.spreads[order], chances[order])

    def beyond(self, standard_value: float) -> Measured:
        """Return the value that a share of all numbers to come stay below.

        Parameters
        ----------
        standard_value : float
            That share as a quantile of the standard normal distribution, e.g. 1.2816 for 90 %.

        Returns
        -------
        Measured
            Of numbers from sittings to come.
        """
        total = np.hypot(self.spreads[:, None], self.scatters[None, :])
        values = self.middles[:, None, None] + standard_value * total[None]
        return _measured(values.ravel(), self.chances.ravel(), self._step())

    def total(self) -> float:
        """Return how numbers to come spread about the group's middle.

        Returns
        -------
        float
            Standard deviation, scatter between sittings included; root of the mean square.
        """
        square = self.spreads[:, None] ** 2 + self.scatters[None, :] ** 2
        return float(np.sqrt((self.chances.sum(axis=0) * square).sum()))

    def unsure(self) -> float:
        """Return how unsure the group's middle is.

        Returns
        -------
        float
            Standard deviation.
        """
        chance = self.chances.sum(axis=(1, 2))
        mean = float(chance @ self.middles)
        return float(np.sqrt(chance @ (self.middles - mean) ** 2))

    def above(self, value: float) -> float:
        """Return the probability that the group's middle lies above a value.

        Parameters
        ----------
        value : float
            Any value.

        Returns
        -------
        float
            0..1, linear between nodes.
        """
        chance = self.chances.sum(axis=(1, 2))
        ends = np.concatenate([self.middles - self._step() / 2, [self.middles[-1] + 1e-12]])
        ends[-1] = self.middles[-1] + self._step() / 2
        return 1.0 - float(np.interp(value, ends, np.concatenate([[0.0], np.cumsum(chance)])))

    def _step(self) -> float:
        return float(self.middles[1] - self.middles[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Levels:
    """A fit of all levels.

    Attributes
    ----------
    groups : tuple of GroupPosterior
        One a group.
    new : GroupPosterior
        A group of which nothing was seen yet.
    """

    groups: tuple[GroupPosterior, ...]
    new: GroupPosterior


def fit_levels(
    tables: Array, groups: Sequence[int], grid: Grid, weights: Sequence[float] | None = None
) -> Levels:
    """Return what is known of each group, and of one to come.

    Parameters
    ----------
    tables : ndarray
        Natural logarithm of the likelihood of each sitting's numbers (sitting, middle, spread),
        on the nodes of the grid.
    groups : sequence of int
        Group of each sitting, counted from 0, none missing.
    grid : Grid
        Nodes and priors.
    weights : sequence of float or None
        What each sitting counts for, 0..1; None: all count whole.

    Returns
    -------
    Levels
        The photographer's middle is a priori uniform over the grid, the usual spread uniform over
        the rows of its kernel.

    Notes
    -----
    For each scatter between sittings the likelihood of a sitting's own middle is folded with the
    normal distribution about its group's; the sittings of a group are multiplied; the same again
    from groups to the photographer. A sitting that counts for less enters with a power below 1.

    References
    ----------
    Gelman, A. et al. (2013), Bayesian Data Analysis, 3rd ed., chapter 5.
    Ibrahim, J. G., Chen, M.-H. (2000), "Power prior distributions for regression models",
    Statistical Science 15, 46-60.
    """
    of_group = np.asarray(groups)
    power = np.ones(len(of_group)) if weights is None else np.asarray(weights, dtype=float)
    logs = np.empty((max(groups) + 1, *tables.shape[1:], SCATTERS))
    for n, scatter in enumerate(grid.scatters()):
        folded = _folded(tables, _about(grid.middles, scatter)) * power[:, None, None]
        for group in range(len(logs)):
            logs[group, ..., n] = folded[of_group == group].sum(axis=0)
    return levels_of(logs, grid)


def levels_of(logs: Array, grid: Grid) -> Levels:
    """Return the same where the sittings of each group are multiplied already.

    Parameters
    ----------
    logs : ndarray
        Natural logarithm of the likelihood of each group's numbers (group, middle, spread,
        scatter between sittings), on the nodes of the grid.
    grid : Grid
        Nodes and priors.

    Returns
    -------
    Levels
        As `fit_levels` returns it.
    """
    likely = np.exp(logs - logs.max(axis=(1, 2, 3), keepdims=True))
    usual = np.einsum("uk,gtko->gtuo", grid.kernel, likely, optimize=True)
    folds, tau_prior = _group_folds(grid)
    per_group = np.maximum(np.einsum("amt,gtuo->gamuo", folds, usual, optimize=True), 1e-300)
    log_prior = np.log(tau_prior)[:, None, None, None] + np.log(_half_normal())
    joint = np.log(per_group).sum(axis=0) + log_prior
    chance = np.exp(joint - joint.max())
    chance /= chance.sum()
    found = []
    for group in range(len(logs)):
        above = np.einsum("amt,amuo->tuo", folds, chance / per_group[group], optimize=True)
        parts = np.einsum("tuo,uk->tko", above, grid.kernel, optimize=True) * likely[group]
        found.append(_posterior(grid, parts))
    new = np.einsum("amt,amuo->tuo", folds, chance, optimize=True)
    parts = np.einsum("tuo,uk->tko", new, grid.kernel, optimize=True)
    return Levels(groups=tuple(found), new=_posterior(grid, parts))


def even_nodes(low_value: float, high_value: float, count: int) -> Array:
    """Return evenly spaced nodes.

    Parameters
    ----------
    low_value, high_value : float
        Ends; where they are one, nodes spread a little about it.
    count : int
        How many, at least 2.

    Returns
    -------
    ndarray
        Rising.
    """
    if not high_value > low_value:
        low_value, high_value = low_value - 0.5, low_value + 0.5
    return np.linspace(low_value, high_value, count)


def spread_kernel(spreads: Array, usual: Array, *, log_sd: float) -> Array:
    """Return the chance of each spread in a group, given the photographer's usual one.

    Parameters
    ----------
    spreads, usual : ndarray
        Nodes, > 0.
    log_sd : float
        How much groups differ, in the natural logarithm.

    Returns
    -------
    ndarray
        (usual, spread), rows summing to 1.
    """
    away = (np.log(spreads)[None, :] - np.log(usual)[:, None]) / log_sd
    raw = np.exp(-0.5 * away**2)
    return np.asarray(raw / raw.sum(axis=1, keepdims=True))


def _half_normal() -> Array:
    """Return the chance of each node of a scatter."""
    prior = np.exp(-0.5 * _STANDARD**2)
    return np.asarray(prior / prior.sum())


def _about(middles: Array, scatter: float) -> Array:
    """Return the chance of each node about each node; rows sum to 1."""
    step = middles[1] - middles[0]
    sd = max(scatter, 0.4 * step)  # finer than the grid shows
    raw = np.exp(-0.5 * ((middles[None, :] - middles[:, None]) / sd) ** 2)
    return np.asarray(raw / raw.sum(axis=1, keepdims=True))


def _group_folds(grid: Grid) -> tuple[Array, Array]:
    count = len(grid.middles)
    if not np.isfinite(grid.between_groups):
        return np.full((1, 1, count), 1.0 / count), np.ones(1)
    nodes = _STANDARD * grid.between_groups
    return np.stack([_about(grid.middles, node) for node in nodes]), _half_normal()


def _folded(tables: Array, about: Array) -> Array:
    """Return log of the likelihoods folded with a kernel over their middles."""
    peak = tables.max(axis=1, keepdims=True)
    sums = np.einsum("tp,spk->stk", about, np.exp(tables - peak), optimize=True)
    return np.asarray(np.log(np.maximum(sums, 1e-300)) + peak)


def _posterior(grid: Grid, parts: Array) -> GroupPosterior:
    return GroupPosterior(
        middles=grid.middles,
        spreads=grid.spreads,
        scatters=grid.scatters(),
        chances=parts / parts.sum(),
    )


def _measured(values: Array, chances: Array, step: float) -> Measured:
    """Return median and interval of values that each stand for a step about them."""
    order = np.argsort(values, kind="stable")
    sums = np.cumsum(chances[order])
    below = sums - chances[order] / 2
    low, value, high = (float(np.interp(q, below, values[order])) for q in ENDS)
    half = step * 0.25  # half of a node's width at 90 %: it is known no closer than that
    return Measured(value=value, low=min(low, value - half), high=max(high, value + half))


def _between_nodes(nodes: Array, chances: Array) -> Measured:
    """Return median and interval from rising nodes, cells meeting halfway by ratio."""
    values, places = np.unique(nodes, return_inverse=True)
    mass = np.bincount(places, chances)
    inner = np.sqrt(values[1:] * values[:-1])
    ends = np.concatenate([[values[0]], inner, [values[-1]]])
    sums = np.concatenate([[0.0], np.cumsum(mass)])
    low, value, high = (float(np.interp(q, sums, ends)) for q in ENDS)
    return Measured(value=value, low=low, high=high)
