"""Parts of a plan held against sittings made up from known habits."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.sitting.simulated import simulate
from tests.sitting.test_foretold import HABITS, sitting_of

from eyeplane.records import PlanHand, SittingFrame
from eyeplane.records.foretold import ForetoldParts
from eyeplane.sitting.foretold import foretell
from eyeplane.sitting.foretold_parts import foretell_parts

TRIPOD = PlanHand(support="tripod")


def frames_of(bursts: int = 12, **habits: Any) -> tuple[SittingFrame, ...]:  # noqa: ANN401
    """Return frames shot with other habits."""
    return simulate(
        np.random.default_rng(8),
        replace(HABITS, **habits),
        bursts=bursts,
        per_burst=2,
        goal_cm=40.0,
    )[0]


def told(frames: tuple[SittingFrame, ...]) -> ForetoldParts:
    """Return what comes of them."""
    found = foretell_parts(sitting_of(frames), hand=TRIPOD)
    assert found is not None
    return found


def share(found: ForetoldParts, name: str) -> float:
    part = next(one for one in found.parts if one.name == name)
    assert part.foretold_share is not None
    return part.foretold_share.value


def test_parts_are_whole_and_the_first_is_what_foretell_says() -> None:
    frames = frames_of()
    found = told(frames)
    assert sum(share(found, one.name) for one in found.parts) == pytest.approx(1.0)
    assert sum(one.found for one in found.parts) == found.frames == len(frames)
    whole = foretell(sitting_of(frames), hand=TRIPOD)
    assert whole is not None
    holds = found.parts[0]
    assert holds.foretold_share == whole.foretold_share
    assert (holds.found, holds.found_share) == (whole.held, whole.held_share)
    assert found.text.startswith(whole.text)


def test_a_restless_sitter_shows_as_motion_and_a_wide_aperture_as_focus() -> None:
    calm = told(frames_of(6))
    slow, wide = told(frames_of(6, times_s=(1 / 30,))), told(frames_of(6, f_number=1.2))
    assert share(slow, "motion") > share(calm, "motion") + 0.05
    assert share(wide, "focus") > share(calm, "focus") + 0.03
    assert share(slow, "holds") < share(calm, "holds")


def test_the_part_that_is_off_is_named() -> None:
    scattered = told(frames_of(20, between_mm=40.0, within_mm=40.0))
    assert scattered.sentence.startswith("Fewer hold than a plan says: ")
    assert "Missed focus costs more frames than foretold" in scattered.text
    moved = told(frames_of(20, speed_mm_per_s=400.0))
    assert "Motion costs more frames than foretold" in moved.text


def test_parts_are_not_compared_where_no_frame_could_hold() -> None:
    frames = frames_of(6, between_mm=40.0, within_mm=40.0)
    far = foretell_parts(replace(sitting_of(frames), goal_cm=900.0), hand=TRIPOD)
    assert far is not None
    assert share(far, "rest") > 0.9
    assert "not even a still eye in exact focus would hold 900\u2009cm" in far.text
    assert "instead of" not in far.text
    assert far.sentence.startswith("Much as a plan says: ")


def test_what_the_frames_do_not_tell_may_be_of_any_part() -> None:
    frames = frames_of(between_mm=40.0, within_mm=40.0)
    untold = tuple(
        frame
        if frame.answer.cause != "focus"
        else replace(frame, answer=replace(frame.answer, cause="cannot tell"))
        for frame in frames
    )
    before, after = told(frames), told(untold)
    assert after.parts[-1].name == "untold"
    assert after.parts[-1].foretold_share is None
    focus, same = before.parts[1], after.parts[1]
    assert same.found < focus.found
    assert same.found_share.high >= focus.found_share.high - 1e-9
    assert after.parts[0] == before.parts[0]


@pytest.mark.slow
def test_a_plan_is_asked_about_a_few_of_many() -> None:
    found = told(frames_of(60))
    assert (found.frames, found.asked) == (120, 40)


def test_a_reach_is_foretold_with_its_spread() -> None:
    found = told(frames_of())
    for reach in (found.foretold_reach_cm, found.found_reach_cm):
        assert 0 < reach.low < reach.value < reach.high
    nothing = SittingFrame(
        reading=replace(frames_of(1)[0].reading, faces=()),
        answer=replace(frames_of(1)[0].answer, faces=(), reach_cm=None),
        companions=(),
        burst=1,
        best_of_burst=False,
    )
    assert foretell_parts(sitting_of((nothing,))) is None
