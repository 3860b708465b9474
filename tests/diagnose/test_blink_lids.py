"""Closed eyes are named as a blink, with more frames as the remedy, and never called soft."""

import pytest
from tests.diagnose.builders import DEPTHS, blur, face, frame

from eyeplane.diagnose import answer_frame
from eyeplane.records import FrameReading, Viewing

SHARP, SOFT, LINE = blur("none", 1.0), blur("disc", 9.0), blur("line", 9.0, angle_deg=90.0)
BOTH, NEAR, FAR = (False, False), (False, True), (True, False)


def shut(kind: str, eyes: tuple[bool, bool]) -> FrameReading:
    """Return a single sitter whose eyes are closed; closed lids show the given blur."""
    lids = {"sharp": SHARP, "soft": SOFT, "line": LINE}[kind]
    probes = [(n, d, SHARP) for n, d in DEPTHS.items()]
    near, far = (lids if not is_open else SHARP for is_open in eyes)
    together = LINE if kind == "line" else SHARP
    return frame(
        face(near_blur=near, far_blur=far, probes=probes, together=together, eyes_open=eyes)
    )


@pytest.mark.parametrize("eyes", [BOTH, NEAR])
def test_lids_without_texture_are_not_called_out_of_focus(eyes: tuple[bool, bool]) -> None:
    """Lids are skin: softness there is no softness of the eye; the rest of the face is sharp."""
    answer = answer_frame(shut("soft", eyes), Viewing())
    assert answer.cause not in ("focus", "depth", "glass")
    assert "Focus missed" not in answer.sentence
    assert "Focus lay" not in answer.sentence
