"""Speeds over many sittings: intervals that hold, and groups that borrow as far as they may."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats
from tests.learn.simulated import Photographer, speeds

from eyeplane.learn.speeds_levels import (
    SpeedLessons,
    enough_speeds,
    exposures_speed,
    fast_speed,
    fit_speed_groups,
    median_speed,
)
from eyeplane.records import Measured

STILL = Photographer(between_groups=0.02, between_sittings=0.02)


def inside(found: Measured, truth: float) -> bool:
    return found.low <= truth <= found.high


@pytest.mark.slow
def test_nine_in_ten_intervals_hold_the_truth() -> None:
    rng = np.random.default_rng(5)
    person = Photographer()
    total = math.hypot(person.within, person.between_sittings)
    middles, fast, new = [], [], []
    for _ in range(40):
        lessons, truths = speeds(rng, (3, 1, 2), person)
        fit = fit_speed_groups(lessons)
        assert fit is not None
        for group, truth in zip(fit.groups, truths, strict=True):
            middles.append(inside(median_speed(group), math.exp(truth)))
            fast.append(inside(fast_speed(group), math.exp(truth + 1.2816 * total)))
        another = rng.normal(person.middle, person.between_groups)
        new.append(inside(median_speed(fit.new), math.exp(another)))
    # 120 and 40 draws: standard errors 2.7 and 4.7 %
    assert 0.83 <= np.mean(middles) <= 0.97
    assert 0.83 <= np.mean(fast) <= 0.99
    assert 0.80 <= np.mean(new) <= 0.99


def test_a_lens_with_three_frames_borrows_from_the_others() -> None:
    rng = np.random.default_rng(2)
    many, _ = speeds(rng, (4, 4, 4), STILL)
    few = SpeedLessons(
        values=np.append(many.values, [0.5, 0.6, 0.8]),
        seen=np.append(many.seen, [True, True, True]),
        bursts=[*many.bursts, 0, 0, 1],
        sittings=[*many.sittings, 12, 12, 12],
        groups=[*many.groups, 3, 3, 3],
    )
    fit = fit_speed_groups(few)
    assert fit is not None
    poor, rich = median_speed(fit.groups[3]), median_speed(fit.groups[0])
    assert inside(poor, 0.7)
    assert poor.high / poor.low < 3.5  # alone, three frames of a width of 0.9 leave a factor of 5
    assert rich.high / rich.low < poor.high / poor.low
    new = median_speed(fit.new)
    assert new.high / new.low >= 0.95 * (poor.high / poor.low)


def test_borrowing_foretells_better_than_each_group_alone() -> None:
    # Log score of frames to come in groups of one short sitting each: higher is better.
    rng = np.random.default_rng(3)
    person = Photographer(between_groups=0.3, limit=math.log(0.05), limit_sd=0.01)
    gain = 0.0
    for _ in range(6):
        lessons, truths = speeds(rng, (1, 1, 1, 1, 1), person, bursts=4, frames=2)
        fit = fit_speed_groups(lessons)
        assert fit is not None
        logs = np.log(lessons.values)
        for group, truth in enumerate(truths):
            own = logs[np.array(lessons.groups) == group]
            to_come = rng.normal(truth, math.hypot(0.9, 0.25), 200)
            together = exposures_speed(fit.groups[group])
            sd = math.log(together.high / together.low) / (2 * 1.6449)
            gain += score(to_come, math.log(together.value), sd)
            gain -= score(to_come, own.mean(), own.std(ddof=1) * math.sqrt(1 + 1 / len(own)))
    assert gain > 0


def score(values: np.ndarray, middle: float, sd: float) -> float:
    return float(np.mean(-0.5 * ((values - middle) / sd) ** 2 - math.log(sd)))


def test_frames_without_motion_count() -> None:
    lessons, _ = speeds(np.random.default_rng(4), (3,), bursts=8)
    with_limits = fit_speed_groups(lessons)
    seen = np.flatnonzero(lessons.seen).tolist()
    without = fit_speed_groups(
        SpeedLessons(
            values=lessons.values[seen],
            seen=lessons.seen[seen],
            bursts=[lessons.bursts[n] for n in seen],
            sittings=[lessons.sittings[n] for n in seen],
            groups=[lessons.groups[n] for n in seen],
        )
    )
    assert with_limits is not None
    assert without is not None
    assert median_speed(with_limits.groups[0]).value < 0.8 * median_speed(without.groups[0]).value


def test_a_sitting_of_limits_alone_says_no_more_than_that() -> None:
    # Nobody moved: the speed is below the limit, and how far below is left to the other sittings.
    lessons, _ = speeds(np.random.default_rng(4), (3, 3), STILL)
    quiet = replace(
        lessons,
        seen=lessons.seen & (np.array(lessons.groups) == 0),
        values=np.where(np.array(lessons.groups) == 1, 0.5, lessons.values),
    )
    fit = fit_speed_groups(quiet)
    assert fit is not None
    slow = median_speed(fit.groups[1])
    assert slow.value < 0.5
    assert 0 < slow.low < 0.3 * slow.high


@settings(max_examples=4)
@given(factor=st.floats(1e-3, 1e3), seed=st.integers(0, 5))
def test_any_unit_order_and_numbering(factor: float, seed: int) -> None:
    rng = np.random.default_rng(seed)
    lessons, _ = speeds(rng, (2, 1))
    fit = fit_speed_groups(lessons)
    order = rng.permutation(len(lessons.values)).tolist()
    turned = {0: 1, 1: 0}
    shuffled = SpeedLessons(
        values=lessons.values[order] * factor,
        seen=lessons.seen[order],
        bursts=[lessons.bursts[n] + 7 for n in order],
        sittings=[2 - lessons.sittings[n] for n in order],
        groups=[turned[lessons.groups[n]] for n in order],
    )
    other = fit_speed_groups(shuffled)
    assert fit is not None
    assert other is not None
    for group in (0, 1):
        one, two = median_speed(fit.groups[group]), median_speed(other.groups[turned[group]])
        assert [two.low, two.value, two.high] == pytest.approx(
            [factor * end for end in (one.low, one.value, one.high)], rel=1e-6
        )


def test_old_sittings_can_count_less() -> None:
    slow, _ = speeds(np.random.default_rng(1), (4,), replace(STILL, middle=math.log(0.3)))
    fast, _ = speeds(np.random.default_rng(2), (4,), replace(STILL, middle=math.log(3.0)))
    both = SpeedLessons(
        values=np.append(slow.values, fast.values),
        seen=np.append(slow.seen, fast.seen),
        bursts=[*slow.bursts, *fast.bursts],
        sittings=[*slow.sittings, *(one + 4 for one in fast.sittings)],
        groups=[0] * 2 * len(slow.values),
    )
    alike, recent = (fit_speed_groups(both, weights) for weights in (None, [0.02] * 4 + [1.0] * 4))
    assert alike is not None
    assert recent is not None
    assert median_speed(alike.groups[0]).value < 1.7 < median_speed(recent.groups[0]).value


def test_too_few_say_nothing() -> None:
    lessons, _ = speeds(np.random.default_rng(1), (2,))
    assert enough_speeds(lessons)
    assert not enough_speeds(replace(lessons, seen=np.zeros(len(lessons.seen), dtype=bool)))
    assert (
        fit_speed_groups(
            replace(lessons, bursts=[0] * len(lessons.values), sittings=[0] * len(lessons.values))
        )
        is None
    )


def test_one_sitting_leaves_open_how_the_next_will_be() -> None:
    # 300 single frames say where that sitting lay; how far sittings lie apart is believed to be
    # half-normal, a factor of 1.5: the middle of sittings to come is that unsure.
    rng = np.random.default_rng(6)
    lessons = SpeedLessons(
        values=np.exp(rng.normal(0.0, 0.4, 300)),
        seen=np.ones(300, dtype=bool),
        bursts=list(range(300)),
        sittings=[0] * 300,
        groups=[0] * 300,
    )
    fit = fit_speed_groups(lessons)
    assert fit is not None
    told = median_speed(fit.groups[0])
    apart = np.abs(stats.norm.ppf(np.linspace(0.5005, 0.9995, 2000))) * 0.4
    apart = np.hypot(apart, 0.4 / math.sqrt(300))
    half = optimize.brentq(lambda x: stats.norm.cdf(x / apart).mean() - 0.95, 0.01, 3.0)
    assert math.log(told.high / told.low) / 2 == pytest.approx(half, rel=0.08)
