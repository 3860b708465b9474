"""Bias and spread of kits over many sittings."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, stats
from tests.learn.simulated import offsets

from eyeplane.learn.focus import FocusLessons, fit_focus_groups
from eyeplane.learn.mixed import set_aside


@pytest.mark.slow
def test_nine_in_ten_intervals_hold_the_truth() -> None:
    rng = np.random.default_rng(1)
    biases, spreads = [], []
    for _ in range(100):
        kits = tuple((float(rng.normal(0, 6)), float(rng.uniform(3, 9))) for _ in range(2))
        for found, (bias, spread) in zip(fit_focus_groups(offsets(rng, kits)), kits, strict=True):
            assert found is not None
            biases.append(found.bias_mm.low <= bias <= found.bias_mm.high)
            spreads.append(found.spread_mm.low <= spread <= found.spread_mm.high)
    assert 0.85 <= np.mean(biases) <= 0.95  # 200 draws: standard error 2.1 %
    assert 0.83 <= np.mean(spreads) <= 0.97


@pytest.mark.slow
def test_a_kit_on_the_eye_is_seldom_called_off_it() -> None:
    rng = np.random.default_rng(2)
    called = 0
    for _ in range(100):
        found = fit_focus_groups(offsets(rng, ((0.0, 5.0),)))[0]
        assert found is not None
        called += not found.bias_mm.low <= 0 <= found.bias_mm.high
    assert called <= 16  # one in ten, and two standard errors


def test_a_kit_does_not_borrow_its_bias_from_others() -> None:
    rng = np.random.default_rng(3)
    alone = fit_focus_groups(offsets(np.random.default_rng(4), ((1.0, 4.0),), sittings=1))[0]
    first = offsets(np.random.default_rng(4), ((1.0, 4.0),), sittings=1)
    others = offsets(rng, ((12.0, 4.0), (11.0, 4.0), (13.0, 4.0)))
    both = FocusLessons(
        values_mm=np.append(first.values_mm, others.values_mm),
        errors_mm=np.append(first.errors_mm, others.errors_mm),
        bursts=[*first.bursts, *others.bursts],
        sittings=[*first.sittings, *(one + 1 for one in others.sittings)],
        groups=[*first.groups, *(one + 1 for one in others.groups)],
    )
    beside = fit_focus_groups(both)[0]
    assert alone is not None
    assert beside is not None
    assert beside.bias_mm.value == pytest.approx(alone.bias_mm.value, abs=0.4)


def test_more_sittings_make_it_surer_and_few_frames_say_nothing() -> None:
    widths = []
    for sittings in (1, 3, 9):
        found = fit_focus_groups(
            offsets(np.random.default_rng(5), ((4.0, 5.0),), sittings=sittings)
        )[0]
        assert found is not None
        widths.append(found.bias_mm.high - found.bias_mm.low)
    assert widths[0] > widths[1] > widths[2]
    assert fit_focus_groups(
        offsets(np.random.default_rng(6), ((4.0, 5.0),), sittings=1, bursts=2)
    ) == (None,)


def test_a_mirrored_world_has_mirrored_answers_in_any_order() -> None:
    lessons = offsets(np.random.default_rng(7), ((4.0, 5.0), (-2.0, 3.0)))
    order = np.random.default_rng(8).permutation(len(lessons.groups)).tolist()
    mirrored = FocusLessons(
        values_mm=-lessons.values_mm[order],
        errors_mm=lessons.errors_mm[order],
        bursts=[lessons.bursts[n] for n in order],
        sittings=[lessons.sittings[n] for n in order],
        groups=[1 - lessons.groups[n] for n in order],
    )
    for one, two in zip(
        fit_focus_groups(lessons), reversed(fit_focus_groups(mirrored)), strict=True
    ):
        assert one is not None
        assert two is not None
        assert two.bias_mm.value == pytest.approx(-one.bias_mm.value, abs=1e-6)
        assert two.bias_mm.low == pytest.approx(-one.bias_mm.high, abs=1e-6)
        assert two.spread_mm.value == pytest.approx(one.spread_mm.value)
        assert two.chance_behind == pytest.approx(1 - one.chance_behind, abs=1e-6)


def test_a_frame_focused_on_something_else_is_left_out() -> None:
    lessons = offsets(np.random.default_rng(9), ((0.0, 3.0),))
    clean = fit_focus_groups(lessons)[0]
    values = lessons.values_mm.copy()
    values[5] = 150.0
    found = fit_focus_groups(
        FocusLessons(
            values_mm=values,
            errors_mm=lessons.errors_mm,
            bursts=lessons.bursts,
            sittings=lessons.sittings,
            groups=lessons.groups,
        )
    )[0]
    assert clean is not None
    assert found is not None
    assert (clean.aside, found.aside) == (0, 1)
    assert found.bias_mm.value == pytest.approx(clean.bias_mm.value, abs=0.8)


def test_frames_of_one_sitting_that_agree_leave_the_sitting_in_doubt() -> None:
    # Sixteen frames that agree to half a millimetre say where that sitting lay. How far sittings
    # lie apart is believed to be half-normal, 2 mm, and 1 mm shared: the mean is that unsure.
    rng = np.random.default_rng(12)
    lessons = FocusLessons(
        values_mm=rng.normal(2.5, 0.5, 16),
        errors_mm=np.full(16, 0.5),
        bursts=[n // 4 for n in range(16)],
        sittings=[0] * 16,
        groups=[0] * 16,
    )
    found = fit_focus_groups(lessons)[0]
    scatters = np.hypot(np.abs(stats.norm.ppf(np.linspace(0.5005, 0.9995, 2000))) * 2.0, 1.0)
    half = optimize.brentq(lambda x: stats.norm.cdf(x / scatters).mean() - 0.95, 0.1, 20.0)
    assert found is not None
    assert found.bias_mm.high - found.bias_mm.low == pytest.approx(2 * half, rel=0.08)


def test_a_wild_frame_of_another_kit_changes_nothing() -> None:
    first = offsets(np.random.default_rng(4), ((1.0, 3.0),))
    wild = FocusLessons(
        values_mm=np.append(first.values_mm, 400.0),
        errors_mm=np.append(first.errors_mm, 20.0),
        bursts=[*first.bursts, 0],
        sittings=[*first.sittings, 3],
        groups=[*first.groups, 1],
    )
    alone, beside = fit_focus_groups(first)[0], fit_focus_groups(wild)[0]
    assert alone is not None
    assert beside is not None
    assert beside.bias_mm.value == pytest.approx(alone.bias_mm.value, abs=0.1)
    assert beside.bias_mm.low == pytest.approx(alone.bias_mm.low, abs=0.1)
    assert beside.bias_mm.high == pytest.approx(alone.bias_mm.high, abs=0.1)


def test_frames_of_one_burst_are_one_setting_of_the_focus() -> None:
    # Six bursts of five frames that all but agree: the mean is as unsure as six frames leave it.
    rng = np.random.default_rng(13)
    bursts = stats.norm.ppf((np.arange(6) + 0.5) / 6)
    bursts = bursts / bursts.std(ddof=1) * 10
    lessons = FocusLessons(
        values_mm=np.repeat(bursts, 5) + rng.normal(0, 0.3, 30),
        errors_mm=np.full(30, 0.5),
        bursts=[n // 5 for n in range(30)],
        sittings=[0] * 30,
        groups=[0] * 30,
    )
    found = fit_focus_groups(lessons)[0]
    alone = fit_focus_groups(replace(lessons, bursts=list(range(30))))[0]
    assert found is not None
    assert alone is not None
    told = found.bias_mm.high - found.bias_mm.low
    assert told == pytest.approx(2 * stats.t.ppf(0.95, 5) * 10 / 6**0.5, rel=0.2)
    assert told > 1.5 * (alone.bias_mm.high - alone.bias_mm.low)


def scattered(counts_spreads: tuple[tuple[int, float], ...], seed: int = 21) -> FocusLessons:
    """Return one kit's frames in bursts of one, so many of each spread, one part a spread."""
    rng = np.random.default_rng(seed)
    values, parts = [], []
    for part, (count, spread) in enumerate(counts_spreads):
        own = stats.norm.ppf((rng.permutation(count) + 0.5) / count) * spread
        values += own.tolist()
        parts += [part] * count
    size = len(values)
    return FocusLessons(
        values_mm=np.array(values),
        errors_mm=np.full(size, 0.5),
        bursts=list(range(size)),
        sittings=[0] * size,
        groups=[0] * size,
        parts=parts,
    )


@pytest.mark.parametrize(("narrow", "far", "least_mm"), [(14, 4, 10.0), (70, 6, 5.0)])
def test_frames_far_off_the_others_but_usual_for_their_setting_count(
    narrow: int, far: int, least_mm: float
) -> None:
    # A few frames lie far off, all of them set as seven frames were that scatter by 26 mm.
    lessons = scattered(((narrow, 2.0), (7, 26.0)))
    alone = set_aside(lessons.values_mm, lessons.errors_mm, np.ones((narrow + 7, 1)))
    assert int((~alone).sum()) == far
    found = fit_focus_groups(lessons)[0]
    assert found is not None
    assert found.aside == 0
    truth = float(np.std(lessons.values_mm))
    assert found.spread_mm.low <= truth <= found.spread_mm.high
    assert found.spread_mm.value > least_mm


def test_more_than_a_frame_in_ten_far_off_is_how_it_scatters() -> None:
    for far, aside in ((1, 1), (2, 2), (3, 0), (4, 0)):
        lessons = replace(scattered(((21, 2.0),)), parts=None)
        values = lessons.values_mm.copy()
        values[:far] = (40.0, -35.0, 45.0, -50.0)[:far]
        found = fit_focus_groups(replace(lessons, values_mm=values))[0]
        assert found is not None
        assert found.aside == aside
        assert (found.spread_mm.value > 8.0) == (aside == 0)
    # A frame of a setting with few frames is held against all; one frame may always be far off.
    few = scattered(((6, 2.0),))
    values = few.values_mm.copy()
    values[2] = 90.0
    found = fit_focus_groups(replace(few, values_mm=values))[0]
    assert found is not None
    assert found.aside == 1
