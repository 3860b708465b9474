"""A ladder of rendered heads whose motion is known, from files to the limit."""

import json
from pathlib import Path

import pytest

from eyeplane.sitting import RunOptions
from eyeplane.sitting.ladder import measure_ladder
from eyeplane.sitting.ladder_asked import LadderAsked

# Rendered with the camera turned by 240 px/s at every shutter time, and with the sitter moving by
# 1000 px/s (truth.json): 2, 4, 8 and 16 px. A print of 7 cm of these crops takes 5.2 px.
SHAKEN = ("dev_0050", "dev_0056", "dev_0062", "dev_0068")
MOVED = ("dev_0060", "dev_0072")


@pytest.mark.slow
def test_frames_hold_as_their_true_lines_say(data: Path, tmp_path: Path) -> None:
    folder = data / "rendered" / "single"
    frames = json.loads((folder / "truth.json").read_text(encoding="utf-8"))["frames"]
    truth = {one["file"]: one["motion"] for one in frames}
    paths = [folder / f"{name}.jpg" for name in (*SHAKEN, *MOVED)]
    result = measure_ladder(
        paths,
        asked=LadderAsked(prints_cm=(7.0,)),
        options=RunOptions(store_path=tmp_path / "store.db", workers=0, learns=False),
    )
    assert result.limit_um == pytest.approx(5.2 * 6.0, rel=0.05)
    assert {one.verdict for one in result.frames} == {"holds", "motion"}  # backdrops are plain
    for one in result.frames:
        line_px = truth[one.name]["px"]
        assert (one.verdict == "holds") == (line_px < 5.2), one
        if one.line_px is not None:
            assert one.line_px.value == pytest.approx(line_px, rel=0.25)
        assert one.shutter_s == pytest.approx(truth[one.name]["shutter_s"], rel=0.01)
    (both,) = result.parts
    half = both.limits[0].shutter_s
    assert half is not None
    # 5.2 px at 240 px/s are 1/46 s: among frames that all moved like this the limit lies there;
    # the two of the sitter, four times as fast, pull it to faster times.
    assert half.low < 5.2 / 240.0
    assert half.high > 5.2 / 1000.0
