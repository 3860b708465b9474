"""How frames count in a guided trial, held against the marks of cameras and against ladders."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sitting.ladders import TIMES_S, Shooter, emptied, ladder, others

from eyeplane.light.camera_values import SHUTTER_TIMES_S, true_shutter_s
from eyeplane.records import SittingFrame
from eyeplane.records.live import LiveFrame
from eyeplane.records.trial import Trial, TrialState, TrialStep
from eyeplane.sitting.ladder import ladder_of
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.trial_state import MOST_FRAMES, step_words, trial_state
from eyeplane.sitting.trial_steps import WHOLE_F, check_steps, ladder_steps

ASKED = LadderAsked(prints_cm=(40.0,), name="ladder")
LADDER = Trial(
    kind="ladder",
    subject="sitter",
    after=0,
    steps=tuple(TrialStep(shutter_s=one, frames=6) for one in TIMES_S),
)
FRAMES = ladder(np.random.default_rng(3), Shooter(focus=0.2))


def landed(frames: Sequence[SittingFrame], first: int = 1) -> list[LiveFrame]:
    """Return frames as a live sitting numbers them."""
    return [LiveFrame(number=first + n, frame=one) for n, one in enumerate(frames)]


def counted(state: TrialState) -> list[int]:
    """Return how many frames count, step by step."""
    return [one.counted for one in state.counts]


@pytest.mark.parametrize("time_s", [t for t in SHUTTER_TIMES_S if 1 / 8000 <= t <= 1])
def test_a_mark_of_the_camera_is_its_own_step_alone(time_s: float) -> None:
    """Exact third stops as files hold them (EXIF 2.32: APEX Tv = -log2 t) fit one mark each."""
    marks = [t for t in SHUTTER_TIMES_S if 1 / 8000 <= t <= 1]
    trial = replace(LADDER, steps=tuple(TrialStep(shutter_s=t, frames=1) for t in marks))
    for written in (time_s, float(true_shutter_s(time_s))):
        state = trial_state(trial, landed(others(FRAMES[:1], exposure_time_s=written)))
        assert [marks[n] for n, one in enumerate(counted(state)) if one] == [time_s]


def test_frames_count_as_the_ladder_counts_them() -> None:
    """The same frames are left out, and the same lost, as in the ladder that is made of them."""
    result = ladder_of(FRAMES, ASKED)
    state = trial_state(LADDER, landed(FRAMES), ASKED)
    for one in state.counts:
        own = [f for f in result.frames if f.shutter_s == one.step.shutter_s]
        assert one.counted == sum(f.verdict != "left out" for f in own)
        assert one.lost == sum(f.verdict not in ("left out", "holds") for f in own)
    assert {one.name: one.why for one in state.aside} == {
        f.name: f.why for f in result.frames if f.verdict == "left out"
    }
    assert state.aside  # else nothing was compared


def test_frames_that_do_not_fit_are_named_with_their_reason() -> None:
    odd = [
        FRAMES[0],
        *others(FRAMES[1:2], exposure_time_s=1 / 1000),
        *others(FRAMES[2:3], flash_fired=True),
        *others(FRAMES[3:4], focal_length_mm=50.0),
        *others(FRAMES[4:5], body="Body B"),
        *others(FRAMES[5:6], exposure_time_s=None),
        emptied(FRAMES[6], "nobody"),
    ]
    state = trial_state(LADDER, landed(odd), ASKED)
    assert counted(state) == [1, 0, 0, 0, 0, 0]
    assert [(one.number, one.why.replace("\u2009", " ")) for one in reversed(state.aside)] == [
        (2, "1/1000 s is not part of this trial"),
        (3, "lit by flash, which ends the exposure instead of the shutter"),
        (4, "at 50 mm, and the first one at 85 mm"),
        (5, "of another body or lens than the first one"),
        (6, "the file does not tell its shutter time"),
        (7, "no face was found"),
    ]
    assert state.frames == (1, 7)  # in the last shake may have hidden the face: the ladder tells


def test_an_unreadable_frame_says_its_own_reason() -> None:
    one = emptied(FRAMES[0], "unreadable")
    one = replace(one, reading=replace(one.reading, reason="The file is cut short."))
    state = trial_state(LADDER, landed([one]), ASKED)
    assert [aside.why for aside in state.aside] == ["The file is cut short"]


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(range(len(FRAMES))), max_size=60))
def test_more_frames_never_take_any_away(order: list[int]) -> None:
    frames = landed([FRAMES[n] for n in order])
    before = trial_state(LADDER, frames[: len(frames) // 2], ASKED)
    after = trial_state(LADDER, frames, ASKED)
    assert all(b <= a for b, a in zip(counted(before), counted(after), strict=True))
    assert sum(counted(after)) + len(after.aside) == len(frames)
    if after.now is None:
        assert all(one.counted >= one.step.frames for one in after.counts)
    else:
        now = after.counts[after.now]
        assert now.counted < now.step.frames


def test_the_step_that_is_being_shot_comes_before_those_left_open() -> None:
    chart = replace(LADDER, subject="chart")
    assert trial_state(chart, []).now == 0
    assert trial_state(chart, landed(FRAMES[12:14])).now == 2
    assert trial_state(chart, landed(FRAMES[12:18])).now == 0
    assert trial_state(chart, landed(FRAMES)).now is None


def test_at_a_chart_and_in_checks_the_settings_decide() -> None:
    nobody = [emptied(one, "nobody") for one in FRAMES[:3]]
    chart = replace(LADDER, subject="chart")
    assert counted(trial_state(chart, landed(nobody), ASKED))[0] == 3
    stops = Trial(kind="chart", subject="", after=0, steps=check_steps("chart", 2.8))
    frames = [*others(nobody[:2], f_number=4.0), *others(nobody[2:], f_number=4.5)]
    state = trial_state(stops, landed(frames))
    assert counted(state) == [0, 2, 0, 0, 0, 0]
    assert state.aside[0].why == "f/4.5 is not part of this trial"
    anything = Trial(kind="glass", subject="", after=0, steps=check_steps("glass"))
    assert counted(trial_state(anything, landed(others(nobody, f_number=None)))) == [3]


def test_a_trial_that_is_forgotten_does_not_grow_for_ever() -> None:
    chart = replace(LADDER, subject="chart")
    state = trial_state(chart, landed([FRAMES[0]] * (MOST_FRAMES + 3)))
    assert sum(counted(state)) == MOST_FRAMES
    assert len(state.aside) == 3


def test_steps_go_from_where_nearly_all_hold_to_where_nearly_none_do() -> None:
    """Six whole stops about 1/f; 1/125 to 1/500 for children (common practice, no source)."""
    assert [round(1 / one.shutter_s) for one in ladder_steps() if one.shutter_s] == [
        500, 250, 125, 60, 30, 15
    ]  # fmt: skip
    assert ladder_steps(1 / 85) == ladder_steps()
    for rule in (1 / 24, 1 / 85, 1 / 200, 1 / 300):
        times = [one.shutter_s or math.nan for one in ladder_steps(rule)]
        assert times == sorted(times)
        assert times[0] <= rule / 3
        assert times[-1] >= 4 * rule
        faster = ladder_steps(rule, child=True)[0].shutter_s or math.nan
        assert faster == pytest.approx(times[0] / 2, rel=0.07)
        slower = ladder_steps(rule, stabilised=True)[0].shutter_s or math.nan
        assert slower == pytest.approx(4 * times[0], rel=0.1)


def test_checks_ask_for_the_frames_that_they_need() -> None:
    assert [one.f_number for one in check_steps("chart", 1.8)] == [1.8, 2.8, 4, 5.6, 8, 11, 16]
    assert [one.f_number for one in check_steps("chart")] == list(WHOLE_F)
    assert all(one.frames == 3 for one in check_steps("chart"))
    assert check_steps("focus", 1.4) == (TrialStep(f_number=1.4, frames=10),)
    assert check_steps("dust") == (TrialStep(f_number=16.0, frames=3),)
    assert step_words(check_steps("dust")[0]) == "f/16"
    assert step_words(TrialStep(shutter_s=1 / 250, f_number=2.8)) == "1/250\u2009s, f/2.8"
