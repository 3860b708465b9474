"""Offsets read from frames that a general-purpose path tracer made (mitsuba 3, Jakob and others).

Its thin-lens camera shares no code with ours; what was rendered stands in `truth.json`. Stated
tolerance: 1 mm or 5 % of the depth of field, whichever is larger.
"""

import json
from pathlib import Path

import pytest

from eyeplane.imaging import open_picture
from eyeplane.kit.focus_frame import read_target
from eyeplane.records import MeasureSettings

FOLDER = Path(__file__).parents[1] / "data" / "focus_target"
TRUTH = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))
TOLD = ("f1.8-on", "f1.8-behind-14", "f1.8-front-22", "f4-front-12", "f2.8-far-behind-25")


@pytest.mark.slow
@pytest.mark.parametrize("name", TOLD)
def test_rendered_offset_is_read_within_1_mm_and_within_its_interval(name: str) -> None:
    frame = read_target(open_picture(FOLDER / f"{name}.jpg", settings=MeasureSettings()))
    truth = TRUTH[name]
    assert frame.problem == ""
    assert frame.offset_mm is not None
    assert frame.depth_front_mm is not None
    assert frame.depth_behind_mm is not None
    allowed = max(1.0, 0.05 * (frame.depth_front_mm + frame.depth_behind_mm))
    assert abs(frame.offset_mm.value - truth["offset_mm"]) < 0.5 < allowed
    assert frame.offset_mm.low <= truth["offset_mm"] <= frame.offset_mm.high
    assert frame.offset_mm.high - frame.offset_mm.low < 3.0
    assert frame.distance_mm == pytest.approx(truth["distance_mm"], rel=0.01)
    # The pupil of a thin lens is f / N: blur must grow as it gives.
    assert frame.slope_ratio == pytest.approx(1.0, abs=0.04)


@pytest.mark.slow
def test_rendered_plane_past_the_wings_is_said_to_be_past_them() -> None:
    frame = read_target(open_picture(FOLDER / "f2.8-beyond-95.jpg", settings=MeasureSettings()))
    assert (frame.offset_mm, frame.beyond, frame.problem) == (None, "behind", "")
    assert frame.at_least_mm is not None
    assert 45 < frame.at_least_mm < TRUTH["f2.8-beyond-95"]["offset_mm"]


def test_rendered_flat_sheet_is_refused_in_words() -> None:
    frame = read_target(open_picture(FOLDER / "f1.8-flat.jpg", settings=MeasureSettings()))
    assert frame.problem.startswith("the sheet is flat")
    assert frame.offset_mm is None
