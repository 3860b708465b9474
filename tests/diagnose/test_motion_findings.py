"""Ghost and turn as they are said, with the one thing to change."""

from dataclasses import replace

import pytest
from tests.diagnose.builders import LENS, blur, face, frame, measured
from tests.diagnose.moves import MIDDLE, in_field, turning

from eyeplane.diagnose.motion_findings import ghost_findings, motion_findings
from eyeplane.records import Exposure, FaceReading, Ghost, Measured


def ghosted(core_share: float = 0.7) -> FaceReading:
    """Return a face with a ghost of 14 px beside it."""
    made = face(near_blur=blur("none", 1.0))
    ghost = Ghost(
        core_share=Measured(value=core_share, low=core_share - 0.1, high=core_share + 0.1),
        length_px=measured(14.0),
        angle_deg=4.0,
        gain=20.0,
    )
    return replace(made, ghost=ghost)


def flash(time_s: float | None, *, fired: bool | None = True) -> Exposure:
    """Return an exposure with flash."""
    return replace(LENS, exposure_time_s=time_s, flash_fired=fired)


# Steady light over flash is (1 - share) / share; 1/32 of it is five stops under. Sums of the trade:
# three stops under leave 12 %, five 3 %.
ADVICE = [
    (0.7, 1 / 4, "Use 1/60"),  # .43 over: factor 13.7 = 1/55 s
    (0.7, 1 / 60, "Use 1/160\u2009s and three stops less room light"),  # 13.7 less 2.7 = 5.1
    (0.7, 1 / 160, "Take four stops of room light away"),
    (0.3, 1 / 160, "Take seven stops of room light away"),  # 2.33 over: factor 74.7
    (0.7, None, "Use a shorter shutter time, up to your flash sync, or less room light"),
]


@pytest.mark.parametrize(("share", "time_s", "start"), ADVICE)
def test_advice_on_a_ghost(share: float, time_s: float | None, start: str) -> None:
    reading = frame(ghosted(share), exposure=flash(time_s))
    (found,) = ghost_findings(reading.faces[0], reading)
    assert found.kind == "ghost"
    assert found.advice.startswith(start), found.advice
    assert "black frame" in found.advice


def test_ghost_is_said_with_its_numbers() -> None:
    reading = frame(ghosted(), exposure=flash(1 / 160))
    (found,) = ghost_findings(reading.faces[0], reading)
    assert found.text == (
        "Flash froze the near eye, but steady light drew a ghost of 14\u2009px beside it, "
        "sideways, with 30\u2009% of the light: 1/160\u2009s let it in."
    )


def test_length_told_within_a_factor_of_two_is_said_as_two_numbers() -> None:
    made = ghosted()
    assert made.ghost is not None
    wide = replace(made.ghost, length_px=Measured(value=8.4, low=7.6, high=17.5))
    reading = frame(replace(made, ghost=wide), exposure=flash(1 / 60))
    (found,) = ghost_findings(reading.faces[0], reading)
    assert "a ghost of 8 to 18\u2009px beside it" in found.text


def test_caution_only_where_more_flash_is_asked_for() -> None:
    for time_s, more in ((1 / 4, False), (1 / 60, False), (1 / 160, True), (None, False)):
        reading = frame(ghosted(), exposure=flash(time_s))
        (found,) = ghost_findings(reading.faces[0], reading)
        assert ("more flash" in found.advice) is more
        assert ("photosensitive" in found.advice) is more


def test_no_ghost_without_flash() -> None:
    reading = frame(ghosted(), exposure=flash(1 / 60, fired=False))
    assert ghost_findings(reading.faces[0], reading) == ()
    assert motion_findings(face(near_blur=blur("none", 1.0)), frame()) == ()


def test_turn_is_said_in_degrees_with_its_remedy() -> None:
    reading = replace(in_field(turning(0.3, MIDDLE)), exposure=LENS)
    (found,) = motion_findings(reading.faces[0], reading)
    assert found.kind == "rotation"
    assert "turned about the lens axis by 0.3" in found.text
    assert "1/250\u2009s" in found.text
    assert "remote release" in found.advice
    assert "pushed" not in found.text


def test_turn_with_a_hard_push_says_so() -> None:
    reading = in_field(turning(0.15, MIDDLE, push=(0.0, 25.0)))
    (found,) = motion_findings(reading.faces[0], reading)
    assert "pushed besides" in found.text
