"""How fast sitters move: frames without visible motion count too."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, stats
from tests.sitting.simulated import CLEAN, MM_PER_PX, Habits, simulate

from eyeplane.learn.speeds import Speed, fit_speeds
from eyeplane.records import FrameAnswer, SittingFrame, Viewing
from eyeplane.sitting.learned import learn_from
from eyeplane.sitting.shutter import holding_time, shutter_habit
from eyeplane.sitting.speeds import speeds_of

GOAL_CM, VIEWING = 40.0, Viewing()
LIVELY = replace(CLEAN, speed_mm_per_s=60.0, speed_log_sd=0.9, times_s=(1 / 60, 1 / 125, 1 / 250))
FAST = 60.0 * math.exp(1.2816 * 0.9)  # nine exposures in ten are slower


def sitting(seed: int, habits: Habits = LIVELY, bursts: int = 15) -> tuple[SittingFrame, ...]:
    return simulate(np.random.default_rng(seed), habits, bursts=bursts)[0]


def plain(text: str) -> str:
    return text.replace("\u2009", " ")


def as_cause(frames: tuple[SittingFrame, ...], cause: str) -> tuple[SittingFrame, ...]:
    """Return frames whose motion was of another cause."""

    def named(answer: FrameAnswer) -> FrameAnswer:
        if answer.cause != "sitter":
            return answer
        faces = tuple(replace(f, cause=cause) for f in answer.faces)  # type: ignore[arg-type]
        return replace(answer, cause=cause, faces=faces)  # type: ignore[arg-type]  # one of them

    return tuple(replace(f, answer=named(f.answer)) for f in frames)


def test_the_fit_lies_about_the_most_likely_one() -> None:
    # Single frames, so that each counts as one: maximum likelihood by scipy, seen speeds by their
    # density, unseen ones by their probability.
    rng = np.random.default_rng(1)
    logs = rng.normal(4.0, 0.8, 300)
    limit = 4.2
    speeds = [
        Speed(
            number=n,
            burst=n,
            value=math.exp(max(value, limit)),
            seen=bool(value > limit),
            unit_per_px=1.0,
        )
        for n, value in enumerate(logs)
    ]

    def minus(parameters: np.ndarray) -> float:
        middle, width = parameters[0], math.exp(parameters[1])
        seen = stats.norm.logpdf(logs[logs > limit], middle, width).sum()
        return -float(seen + (logs <= limit).sum() * stats.norm.logcdf(limit, middle, width))

    best = optimize.minimize(minus, (4.0, 0.0), method="Nelder-Mead").x
    fit = fit_speeds(speeds)
    assert fit is not None
    assert math.log(fit.median.value) == pytest.approx(best[0], abs=0.05)
    assert math.log(fit.median.high / fit.median.value) / 1.6449 == pytest.approx(
        math.exp(best[1]), rel=0.08
    )
    assert math.log(fit.fast.value) == pytest.approx(best[0] + 1.2816 * math.exp(best[1]), abs=0.1)
    assert (fit.seen, fit.frames) == (int((logs > limit).sum()), 300)


@pytest.mark.slow
def test_the_fast_speed_is_held_by_its_interval() -> None:
    trials, held, middle = 60, 0, []
    for seed in range(trials):
        fit = fit_speeds(speeds_of(sitting(seed), "sitter"))
        assert fit is not None
        held += fit.fast.low <= FAST <= fit.fast.high
        middle.append(fit.median.value)
    assert 0.78 * trials <= held  # .85, less two standard deviations of sixty trials
    assert float(np.median(middle)) == pytest.approx(60.0, rel=0.25)


def test_frames_that_came_out_sharp_are_not_forgotten() -> None:
    speeds = speeds_of(sitting(1), "sitter")
    seen = [one for one in speeds if one.seen]
    assert len(seen) < len(speeds)
    whole, only = fit_speeds(speeds), fit_speeds(seen)
    assert whole is not None
    assert only is not None
    assert whole.median.value < only.median.value


def test_speed_is_length_over_time_in_the_sitters_space() -> None:
    frames = sitting(2)
    for one in speeds_of(frames, "sitter"):
        frame = frames[one.number]
        time_s = frame.reading.exposure.exposure_time_s
        assert time_s is not None
        motion = frame.answer.faces[0].motion_mm
        if motion is not None:
            assert one.value == pytest.approx(motion.value / time_s)
        else:
            assert one.value >= 5.0 * MM_PER_PX / time_s * 0.999


def test_shake_is_told_in_degrees() -> None:
    # 63 µm at the reciprocal rule are 3.61 degrees a second (AS ISO 20954-1:2019).
    frames = as_cause(sitting(3), "shake")
    for one in speeds_of(frames, "shake"):
        frame = frames[one.number]
        time_s = frame.reading.exposure.exposure_time_s or 0.0
        if one.seen:
            size = frame.reading.faces[0].eyes[0].blur.size_px
            assert size is not None
            per_rule = size.value * 6.0 / 63.0 * 3.610 * (1 / 85.0) / time_s
            assert one.value == pytest.approx(per_rule, rel=2e-3)
    assert not [one for one in speeds_of(frames, "sitter") if one.seen]


def test_motion_of_nobody_counts_for_who_moves_more() -> None:
    undecided = as_cause(sitting(4), "motion")
    assert [one for one in speeds_of(undecided, "sitter") if one.seen]
    assert not [one for one in speeds_of(undecided, "shake") if one.seen]


def test_flash_and_unknown_times_tell_no_speed() -> None:
    def changed(frame: SittingFrame, **exif: object) -> SittingFrame:
        exposure = replace(frame.reading.exposure, **exif)  # type: ignore[arg-type]  # by name
        return replace(frame, reading=replace(frame.reading, exposure=exposure))

    frames = sitting(5)
    assert speeds_of([changed(f, exposure_time_s=None) for f in frames], "sitter") == ()
    flash = [changed(f, flash_fired=True, f_number=11.0, iso=100.0) for f in frames]
    assert speeds_of(flash, "sitter") == ()


def test_few_frames_teach_nothing() -> None:
    frames = sitting(1)
    assert fit_speeds(()) is None
    assert fit_speeds(speeds_of(frames[:6], "sitter")) is None
    assert learn_from(frames[:6]).sitter_mm_per_s is None
    assert fit_speeds(speeds_of(sitting(1, CLEAN), "sitter")) is None


def test_what_is_learned_is_what_repeats() -> None:
    learned = learn_from(sitting(1))
    assert learned.sitter_mm_per_s is not None
    assert learned.sitter_mm_per_s.low < 60.0 < learned.sitter_mm_per_s.high
    assert learned.shake_deg_per_s is None
    assert learned.colours == ()
    assert [focus.kit for focus in learned.focus] == ["Body A with 85 mm"]


def test_the_shutter_is_called_too_slow_with_its_losses() -> None:
    frames = sitting(1)
    (habit,) = shutter_habit(frames, goal_cm=GOAL_CM, viewing=VIEWING)
    text = plain(habit.text)
    assert text.startswith("This sitter moves at ")
    assert "mm/s in nine exposures of ten. Lost to it: " in text
    assert " at 1/60 s, " in text
    assert "9 frames in 10 would hold 40 cm at 1/" in text
    assert habit.advice.startswith("Use 1/")
    assert "stays beside a child" in habit.advice
    lost = sum(f.answer.cause == "sitter" for f in frames)
    told = [
        part.split(" of ")[0].split(": ")[-1] for part in text.split("Lost to it")[1].split(",")
    ]
    assert sum(int(part) for part in told if part.strip().isdigit()) == lost
    (unknown,) = shutter_habit(as_cause(frames, "motion"), goal_cm=GOAL_CM, viewing=VIEWING)
    assert "whose motion it is cannot be told" in unknown.text
    assert "if a tripod cures it" in unknown.advice
    assert learn_from(as_cause(frames, "motion")).sitter_mm_per_s is None
    shaken = as_cause(frames, "shake")
    (other,) = shutter_habit(shaken, goal_cm=GOAL_CM, viewing=VIEWING)
    assert plain(other.text).startswith("Your camera turns at ")
    assert "tripod" in other.advice


@pytest.mark.slow
def test_called_when_it_is_so_and_silent_when_not() -> None:
    quiet = sum(
        bool(shutter_habit(sitting(s, CLEAN), goal_cm=GOAL_CM, viewing=VIEWING)) for s in range(60)
    )
    lively = sum(
        bool(shutter_habit(sitting(s), goal_cm=GOAL_CM, viewing=VIEWING)) for s in range(20)
    )
    assert quiet <= 3
    assert lively >= 18


def test_the_time_that_holds_is_the_line_over_the_speed() -> None:
    frames = sitting(2)
    speeds = speeds_of(frames, "sitter")
    fit = fit_speeds(speeds)
    assert fit is not None
    time = holding_time(frames, speeds, fit, goal_cm=GOAL_CM, viewing=VIEWING)
    assert time is not None
    # A line of about 4 px is 38 cm of reach in a frame of 6000 px seen from 50 cm (docs).
    assert time.value == pytest.approx(3.8 * MM_PER_PX / fit.fast.value, rel=0.05)
    assert time.low < time.value < time.high
    larger = holding_time(frames, speeds, fit, goal_cm=80.0, viewing=VIEWING)
    assert larger is not None
    assert larger.value < time.value
    assert holding_time(frames, speeds, fit, goal_cm=500.0, viewing=VIEWING) is None


def test_a_line_of_the_other_is_a_limit_and_anybodys_is_nothing() -> None:
    frames = sitting(3)
    moved = {one.number: one for one in speeds_of(frames, "sitter") if one.seen}
    hand = {one.number: one for one in speeds_of(frames, "shake")}
    assert len(moved) > 3
    for number, one in moved.items():
        assert not hand[number].seen
        # No less than the line itself, in pixels.
        assert hand[number].value / hand[number].unit_per_px >= 0.999 * one.value / one.unit_per_px
    unknown = as_cause(frames, "motion")
    assert {one.number for one in speeds_of(unknown, "sitter") if one.seen} == set(moved)
    assert not {one.number for one in speeds_of(unknown, "shake")} & set(moved)
