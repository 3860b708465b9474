"""What a plan foretells of a sitting, against sittings made up from known numbers."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from tests.sitting.made import answer, reading
from tests.sitting.simulated import Habits, simulate

from eyeplane.records import (
    KitFocus,
    Learned,
    Measured,
    PlanHand,
    Sitting,
    SittingFrame,
    Viewing,
)
from eyeplane.sitting.foretold import foretell, wilson

# Soft by focus: short lines of motion are measured as smaller discs, which is not asked here.
HABITS = Habits(speed_mm_per_s=4.0, between_mm=9.0, within_mm=9.0, f_number=1.8, caught=0.0)
SPREAD_MM = float(np.hypot(HABITS.between_mm, HABITS.within_mm))


def about(value: float, low: float, high: float) -> Measured:
    return Measured(value=value, low=low, high=high)


def sitting_of(frames: tuple[SittingFrame, ...], goal_cm: float = 40.0) -> Sitting:
    return Sitting(
        name="made up",
        viewing=Viewing(print_cm=goal_cm),
        goal_cm=goal_cm,
        frames=frames,
        measured=len(frames),
        nobody=0,
        unreadable=0,
        holding=0,
        causes=(),
        median_reach_cm=None,
        lines=("", "", "", ""),
    )


def learned(spread_mm: float, speed_mm_per_s: float) -> Learned:
    """Return what these habits would be learned as: the truth, well known."""
    width = float(np.exp(1.6449 * HABITS.speed_log_sd))
    return Learned(
        focus=(
            KitFocus(
                kit="Body A with 85 mm",
                setting="",
                frames=200,
                bias_mm=about(0.0, -0.5, 0.5),
                spread_mm=about(spread_mm, 0.9 * spread_mm, 1.1 * spread_mm),
            ),
        ),
        sitter_mm_per_s=about(speed_mm_per_s, speed_mm_per_s / width, speed_mm_per_s * width),
    )


@pytest.mark.parametrize("goal_cm", [30.0, 40.0, 55.0])
def test_learned_numbers_foretell_what_comes_out(goal_cm: float) -> None:
    frames, _ = simulate(np.random.default_rng(8), HABITS, bursts=120, per_burst=2, goal_cm=goal_cm)
    told = foretell(
        sitting_of(frames, goal_cm),
        learned=learned(SPREAD_MM, 4.0),
        hand=PlanHand(support="tripod"),
    )
    assert told is not None
    assert told.frames == len(frames)
    assert told.agrees == ("speaks against" in told.text)
    assert f"; {told.held} of {told.frames} did (" in told.text
    # A tenth of frames is taken to be focused on something else, which these sittings never are.
    assert told.foretold_share.value == pytest.approx(told.held_share.value, abs=0.12)
    assert told.foretold_share.value <= told.held_share.value + 0.03


def test_numbers_that_are_wrong_are_found_out() -> None:
    frames, _ = simulate(np.random.default_rng(8), HABITS, bursts=120, per_burst=2)
    told = foretell(
        sitting_of(frames), learned=learned(60.0, 800.0), hand=PlanHand(support="tripod")
    )
    assert told is not None
    assert not told.agrees
    assert "more than a plan says" in told.text


def test_frames_that_tell_nothing_are_left_out_and_counted() -> None:
    frames, _ = simulate(np.random.default_rng(8), HABITS, bursts=6, per_burst=2)
    bare = SittingFrame(
        reading=reading("bare"), answer=answer(50.0), companions=(), burst=9, best_of_burst=False
    )
    told = foretell(sitting_of((*frames, bare)))
    assert told is not None
    assert (told.frames, told.left_out) == (12, 1)
    assert foretell(sitting_of((bare,))) is None


def test_a_shorter_time_is_foretold_to_hold_more() -> None:
    frames, _ = simulate(np.random.default_rng(8), HABITS, bursts=6, per_burst=2)

    def at(time_s: float) -> float:
        changed = tuple(
            replace(
                frame,
                reading=replace(
                    frame.reading,
                    exposure=replace(frame.reading.exposure, exposure_time_s=time_s),
                ),
            )
            for frame in frames
        )
        told = foretell(sitting_of(changed))
        assert told is not None
        return told.foretold_share.value

    assert at(1 / 30) < at(1 / 125) < at(1 / 1000)


@pytest.mark.parametrize(("held", "frames"), [(7, 10), (0, 20), (10, 10), (81, 263)])
def test_interval_is_wilsons(held: int, frames: int) -> None:
    told = wilson(held, frames, weight=float(frames))
    exact = stats.binomtest(held, frames).proportion_ci(0.9, method="wilson")
    assert (told.low, told.high) == pytest.approx((exact.low, exact.high), abs=1e-4)


def test_frames_of_bursts_leave_more_open() -> None:
    single, bursts = wilson(20, 40, weight=40.0), wilson(20, 40, weight=20.0)
    assert bursts.high - bursts.low > single.high - single.low
