"""Fits over sittings against general libraries and a printed example."""

import numpy as np
import pytest
import statsmodels.formula.api as smf
from pandas import DataFrame
from scipy import stats
from tests.learn.simulated import Photographer, speeds

from eyeplane.learn.focus import FocusLessons, fit_focus_groups
from eyeplane.learn.hierarchy import Grid, even_nodes, fit_levels
from eyeplane.learn.speeds_levels import (
    SPREADS,
    _limit_tables,
    _seen_tables,
    fit_speed_groups,
    median_speed,
)

# A limit so low that every speed shows: then the model is the linear mixed one of statsmodels.
ALL_SEEN = Photographer(between_groups=0.5, between_sittings=0.4, limit=-20.0)


@pytest.mark.slow
def test_speeds_against_a_linear_mixed_model() -> None:
    # statsmodels MixedLM (REML), sittings nested in groups; Lindstrom, M. J., Bates, D. M. (1988),
    # J. Am. Stat. Assoc. 83, 1014-1022. One frame a burst, so that each counts whole.
    lessons, _ = speeds(np.random.default_rng(11), (6,) * 6, ALL_SEEN, bursts=12, frames=1)
    assert lessons.seen.all()
    table = DataFrame(
        {"y": np.log(lessons.values), "sitting": lessons.sittings, "group": lessons.groups}
    )
    model = smf.mixedlm(
        "y ~ 1", table, groups="group", re_formula="1", vc_formula={"sitting": "0 + C(sitting)"}
    ).fit(reml=True)
    fit = fit_speed_groups(lessons)
    assert fit is not None
    sd = float(np.sqrt(model.scale))
    for number, group in enumerate(fit.groups):
        theirs = float(model.fe_params["Intercept"] + model.random_effects[number]["group"])
        unsure = group.unsure()
        assert np.log(median_speed(group).value) == pytest.approx(theirs, abs=0.35 * unsure)
        spread = group.spread()
        assert spread.low <= sd * 1.08
        assert spread.high >= sd / 1.08
    new = fit.new.middle()
    between = float(np.sqrt(model.cov_re.iloc[0, 0]))
    assert new.low < model.fe_params["Intercept"] - between
    assert new.high > model.fe_params["Intercept"] + between


def test_limits_against_a_library_and_a_printed_example() -> None:
    # Ten mice, seven of which died on days 41 to 60, three lived on: Gupta, A. K. (1952),
    # Biometrika 39, 260-273: log10 of the day is normal with mean 1.742 and standard deviation
    # 0.079 (from memory, as Cohen 1959, Technometrics 1, 217-237, quotes it). They are censored
    # above; here with the sign turned, below. scipy's fit of censored data is the second witness.
    days = np.log10([41.0, 44.0, 46.0, 54.0, 55.0, 58.0, 60.0])
    theirs = stats.norm.fit(stats.CensoredData(uncensored=days, right=[days[-1]] * 3))
    assert theirs == pytest.approx((1.742, 0.079), abs=6e-4)
    # In units in which the likeliest spread is one of the grid's, its middle is theirs.
    node = 6
    unit = SPREADS[node] / theirs[1]
    logs = -unit * np.append(days, [days[-1]] * 3)
    middles = even_nodes(-unit * 1.9, -unit * 1.6, 1201)
    seen, at = np.array([True] * 7 + [False] * 3), (1, middles)
    ones, zeros = np.ones(10), np.zeros(10, dtype=np.intp)
    table = _seen_tables(logs[seen], ones[seen], zeros[seen], at)
    table += _limit_tables(logs[~seen], ones[~seen], zeros[~seen], at)
    best = table[0].max(axis=0)
    assert int(best.argmax()) == node
    curve = np.polyfit(np.log(SPREADS[node - 1 : node + 2]), best[node - 1 : node + 2], 2)
    assert np.exp(-curve[1] / (2 * curve[0])) == pytest.approx(SPREADS[node], rel=0.02)
    middle = float(middles[table[0][:, node].argmax()])
    assert middle / -unit == pytest.approx(theirs[0], abs=4e-4)


def test_equal_groups_against_the_textbook() -> None:
    # Eight schools: Rubin (1981), in Gelman et al., Bayesian Data Analysis, section 5.5, table
    # 5.2: effects 28 8 -3 7 -1 1 18 12 with standard errors 15 10 16 11 9 11 10 18. With a uniform
    # prior of the scatter table 5.3 gives medians 10 8 7 8 5 6 10 8 (from memory); our scatter has
    # a half-normal prior, here so wide (25) that it hardly matters.
    effects = np.array([28.0, 8, -3, 7, -1, 1, 18, 12])
    errors = np.array([15.0, 10, 16, 11, 9, 11, 10, 18])
    middles = even_nodes(-60.0, 90.0, 301)
    tables = -0.5 * ((effects[:, None] - middles[None, :]) / errors[:, None]) ** 2
    grid = Grid(
        middles=middles,
        spreads=np.ones(1),
        kernel=np.ones((1, 1)),
        between_sittings=1e-6,
        between_groups=25.0,
    )
    fit = fit_levels(tables[:, :, None], list(range(8)), grid)
    found = [group.middle().value for group in fit.groups]
    assert found == pytest.approx([10, 8, 7, 8, 5, 6, 10, 8], abs=1.6)
    # and against the same integral by brute force, over the scatter and the mean
    assert found == pytest.approx(brute(effects, errors, fit_sd=25.0), abs=0.35)


def brute(effects: np.ndarray, errors: np.ndarray, *, fit_sd: float) -> list[float]:
    """Return posterior medians by drawing from the model and weighting, Gelman et al. 5.4."""
    rng = np.random.default_rng(1)
    taus = np.abs(rng.normal(0, fit_sd, 20_000))
    variance = errors[None, :] ** 2 + taus[:, None] ** 2
    precision = (1 / variance).sum(axis=1)
    mean = (effects / variance).sum(axis=1) / precision
    logs = -0.5 * np.log(precision) - 0.5 * (
        np.log(variance) + (effects - mean[:, None]) ** 2 / variance
    ).sum(axis=1)
    weight = np.exp(logs - logs.max())
    chosen = rng.choice(len(taus), 20_000, p=weight / weight.sum())
    mu = rng.normal(mean[chosen], precision[chosen] ** -0.5)
    tau2 = np.maximum(taus[chosen], 1e-6)[:, None] ** 2
    own = 1 / errors[None, :] ** 2 + 1 / tau2
    middle = (effects / errors**2 + mu[:, None] / tau2) / own
    return [float(one) for one in np.median(rng.normal(middle, own**-0.5), axis=0)]


@pytest.mark.slow
def test_focus_against_a_linear_mixed_model() -> None:
    # statsmodels MixedLM with the same error in every frame; bursts nested in sittings.
    rng = np.random.default_rng(12)
    rows = []
    for sitting in range(8):
        own = rng.normal(5.0, 2.0)
        for burst in range(10):
            shared = rng.normal(own, 4.0)
            rows += [(shared + rng.normal(0, 4.0), burst, sitting) for _ in range(3)]
    y, bursts, sittings = (list(part) for part in zip(*rows, strict=True))
    table = DataFrame(
        {
            "y": y,
            "burst": [f"{s} {b}" for b, s in zip(bursts, sittings, strict=True)],
            "sitting": sittings,
        }
    )
    model = smf.mixedlm(
        "y ~ 1", table, groups="sitting", re_formula="1", vc_formula={"burst": "0 + C(burst)"}
    ).fit(reml=True)
    found = fit_focus_groups(
        FocusLessons(
            values_mm=np.array(y),
            errors_mm=np.full(len(y), 1e-3),
            bursts=bursts,
            sittings=sittings,
            groups=[0] * len(y),
        )
    )[0]
    assert found is not None
    assert found.bias_mm.value == pytest.approx(float(model.fe_params["Intercept"]), abs=0.25)
    half = 1.6449 * float(model.bse_fe["Intercept"])
    assert (found.bias_mm.high - found.bias_mm.low) / 2 == pytest.approx(half, rel=0.25)
    within = float(np.sqrt(model.scale + model.vcomp[0]))
    assert found.spread_mm.value == pytest.approx(within, rel=0.08)
