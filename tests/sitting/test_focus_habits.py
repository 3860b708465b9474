"""Front and back focus, lens or me, recomposing and drift: called when there, silent when not."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from tests.sitting.simulated import CLEAN, Habits, simulate, turned_mm

from eyeplane.records import Habit, SittingFrame
from eyeplane.sitting.drift import reach_drift, robust_slope
from eyeplane.sitting.lens_or_me import focus_side, lens_or_me
from eyeplane.sitting.offsets import recomposed_mm, told_offsets
from eyeplane.sitting.recompose import recompose, recompose_slope
from eyeplane.sitting.steady import steady_focus

GOAL_CM = 40.0
RECOMPOSES = replace(CLEAN, recompose=1.0)


def sitting(seed: int, habits: Habits = CLEAN, bursts: int = 15) -> tuple[SittingFrame, ...]:
    return simulate(np.random.default_rng(seed), habits, bursts=bursts)[0]


def called(frames: tuple[SittingFrame, ...]) -> tuple[Habit, ...]:
    steady = steady_focus(frames)
    return (
        *steady.explained,
        *focus_side(steady),
        *lens_or_me(frames, steady, goal_cm=GOAL_CM),
        *reach_drift(frames),
    )


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


@pytest.mark.slow
def test_a_clean_sitting_has_no_habit_of_focus() -> None:
    trials, counts = 60, Counter[str]()
    for seed in range(trials):
        counts.update({habit.kind for habit in called(sitting(seed))})
    # Each aims at 2 % and must keep below 5 %; two standard deviations of sixty trials.
    for kind in ("focus side", "lens or me", "recompose", "drift"):
        assert counts[kind] <= 6, counts


@pytest.mark.slow
@pytest.mark.parametrize(
    ("habits", "kind", "least"),
    [
        (replace(CLEAN, bias_mm=6.0), "focus side", 0.9),
        (replace(CLEAN, bias_mm=-6.0), "lens or me", 0.9),
        (RECOMPOSES, "recompose", 0.9),
        (replace(RECOMPOSES, between_mm=8.0, within_mm=8.0), "recompose", 0.7),
        (replace(CLEAN, drift_mm=20.0), "drift", 0.85),
        (replace(CLEAN, between_mm=14.0, within_mm=14.0), "lens or me", 0.6),
    ],
)
def test_a_habit_is_called_when_it_is_there(habits: Habits, kind: str, least: float) -> None:
    trials = 20
    found = sum(kind in {h.kind for h in called(sitting(s, habits))} for s in range(trials))
    assert found >= least * trials


def test_the_side_is_said_with_its_size() -> None:
    behind = focus_side(steady_focus(sitting(1, replace(CLEAN, bias_mm=12.0))))
    before = focus_side(steady_focus(sitting(1, replace(CLEAN, bias_mm=-12.0))))
    assert "lies behind the near eye: by 1" in plain(behind[0].text)
    assert "lies in front of the near eye: by 1" in plain(before[0].text)
    assert "(" in behind[0].text
    assert "nearer than the eye" in before[0].advice
    assert "beyond the eye" in behind[0].advice


def test_a_constant_offset_is_told_from_scatter_and_both_get_the_test() -> None:
    constant = sitting(2, replace(CLEAN, bias_mm=15.0))
    scatter = sitting(2, replace(CLEAN, between_mm=16.0, within_mm=16.0), bursts=25)
    (first,) = lens_or_me(constant, steady_focus(constant), goal_cm=GOAL_CM)
    (second,) = lens_or_me(scatter, steady_focus(scatter), goal_cm=GOAL_CM)
    assert "misses alike" in first.text
    assert "cured by adjustment" in first.text
    assert "scatters" in second.text
    assert "does not cure" in second.text
    for habit in (first, second):
        for word in ("tripod", "45°", "ten frames", "near and from far", "another lens"):
            assert word in habit.advice


def test_scatter_that_costs_no_frame_is_not_spoken_of() -> None:
    frames = sitting(2, replace(CLEAN, between_mm=16.0, within_mm=16.0), bursts=25)
    assert lens_or_me(frames, steady_focus(frames), goal_cm=1.0) == ()


def test_what_recomposing_makes_is_not_the_lens() -> None:
    kinds = Counter(h.kind for s in range(10) for h in called(sitting(s, RECOMPOSES)))
    assert kinds["recompose"] >= 9
    assert kinds["focus side"] <= 2
    drifting = [called(sitting(s, replace(CLEAN, drift_mm=30.0))) for s in range(5)]
    for habits in drifting:
        kinds = Counter(h.kind for h in habits)
        assert not (kinds["drift"] and kinds["focus side"])


@pytest.mark.slow
def test_the_slope_of_recomposing_is_held_by_its_interval() -> None:
    trials, held = 40, 0
    for seed in range(trials):
        found = recompose_slope(told_offsets(sitting(seed, replace(RECOMPOSES, between_mm=5.0))))
        assert found is not None
        held += found[0].low <= 1.0 <= found[0].high
    assert 0.76 * trials <= held  # .85, less two standard deviations of forty trials


def test_recomposing_follows_the_cosine() -> None:
    # s (1 − cos θ), from the sensor's geometry by the angle itself (in the generator) against the
    # one from pixels, pitch and focal length.
    for frame in sitting(3)[:10]:
        (face,) = frame.reading.faces
        assert recomposed_mm(face, frame.reading) == pytest.approx(
            turned_mm(face.face.eyes[0].iris_px), rel=1e-9
        )


def test_a_focus_point_off_the_middle_was_not_recomposed() -> None:
    frames = sitting(1, RECOMPOSES)
    assert recompose(told_offsets(frames))
    moved = tuple(
        replace(
            f,
            reading=replace(
                f.reading,
                exposure=replace(f.reading.exposure, subject_area_px=(4500, 1000)),
            ),
        )
        for f in frames
    )
    assert recompose(told_offsets(moved)) == ()


def test_eyes_in_the_middle_or_few_frames_tell_no_slope() -> None:
    frames = sitting(1, RECOMPOSES)
    assert recompose_slope(told_offsets(frames[:7])) is None
    assert recompose_slope(()) is None
    same = tuple(replace(one, recomposed_mm=1.0) for one in told_offsets(frames))
    assert recompose_slope(same) is None


@pytest.mark.parametrize("seed", range(4))
def test_the_robust_slope_is_sens_with_kendalls_chance(seed: int) -> None:
    # A reference library: scipy.stats.theilslopes and kendalltau (normal approximation).
    rng = np.random.default_rng(seed)
    times = np.sort(rng.uniform(0, 100, 25))
    values = np.round(0.1 * seed * times + rng.normal(0, 4, 25), 0 if seed % 2 else 6)
    found = robust_slope(times, values)
    span = float(np.ptp(times))
    slope, _, low, high = stats.theilslopes(values, times, alpha=0.9)
    assert found.change.value == pytest.approx(slope * span)
    assert found.change.low == pytest.approx(low * span, abs=0.6)
    assert found.change.high == pytest.approx(high * span, abs=0.6)
    chance = stats.kendalltau(times, values, method="asymptotic").pvalue
    # ours takes one off S for continuity, as Kendall does
    assert found.chance == pytest.approx(chance, rel=0.25, abs=0.05)
    assert found.chance >= chance


def test_no_time_no_drift() -> None:
    flat = robust_slope(np.zeros(5), np.arange(5.0))
    assert (flat.change.value, flat.chance) == (0.0, 1.0)
    assert robust_slope(np.arange(5.0), np.zeros(5)).chance == 1.0
    frames = sitting(1, replace(CLEAN, drift_mm=30.0))
    timeless = tuple(
        replace(
            f, reading=replace(f.reading, exposure=replace(f.reading.exposure, captured_s=None))
        )
        for f in frames
    )
    assert not [h for h in called(timeless) if h.kind == "drift"]


def test_a_drift_of_the_reach_is_asked_at_one_setting_only() -> None:
    def stopped(f: SittingFrame, stop: float) -> SittingFrame:
        return replace(
            f, reading=replace(f.reading, exposure=replace(f.reading.exposure, f_number=stop))
        )

    frames = sitting(4, replace(CLEAN, drift_mm=30.0), bursts=20)
    (habit,) = reach_drift(frames)
    assert "shrinks at the same aperture and shutter time" in habit.text
    # The same fall with another aperture for its first part is a change of settings.
    mixed = tuple(stopped(f, 4.0) if n < 25 else f for n, f in enumerate(frames))
    kept = [h for h in reach_drift(mixed) if h.frames == len(frames)]
    assert kept == []


@pytest.mark.parametrize("make", [lambda s: s, lambda s: s[::-1]])
def test_nothing_depends_on_the_number_of_frames_that_show_nobody(
    make: Callable[[tuple[SittingFrame, ...]], tuple[SittingFrame, ...]],
) -> None:
    frames = sitting(5, replace(CLEAN, bias_mm=12.0))
    empty = replace(
        frames[0],
        reading=replace(frames[0].reading, status="nobody", faces=()),
        answer=replace(frames[0].answer, faces=(), deciding=None, reach_cm=None),
        burst=None,
    )
    assert focus_side(steady_focus(make((*frames, empty)))) == focus_side(
        steady_focus(make(frames))
    )
