"""What noise cost, what a stop would bring, and when no setting would have helped."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import blur, face, frame, measured

from eyeplane.diagnose.brightness import brightness_at, stops_under
from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.dark import dark_findings, noise_cost_cm, stops_of
from eyeplane.diagnose.reach import print_view
from eyeplane.diagnose.still import still_time_s
from eyeplane.optics import PointSpread, looks_sharp, reach_cm
from eyeplane.records import Blur, Exposure, FrameReading, Learned, Measured, Viewing

NIGHT = Exposure(
    exposure_time_s=1 / 250, f_number=2.8, focal_length_mm=85.0, iso=25600.0, body="Test"
)


def case(
    *,
    noise: float | None = 0.14,
    at_eye: Blur | None = None,
    exposure: Exposure = NIGHT,
    print_cm: float | None = None,
    level: float | None = 0.18,
) -> tuple[FaceCase, FrameReading]:
    """Return a face of 6000 × 4000 px at 1.5 m, 0.1 mm a pixel."""
    shown = replace(face(near_blur=at_eye or blur("none", 0.5), noise=noise), level=level)
    reading = frame(shown, exposure=exposure)
    view = print_view(reading, Viewing(print_cm=print_cm))
    return case_of(shown, reading, view, sitter=True), reading


def kinds(case_reading: tuple[FaceCase, FrameReading]) -> list[str]:
    return [f.kind for f in dark_findings(*case_reading)]


def test_the_cost_is_the_reach_without_noise_less_the_reach_with_it() -> None:
    one, _ = case(at_eye=blur("disc", 2.0))
    spread = PointSpread(disc_px=2.0)

    def reach(noise: float) -> float:
        return reach_cm(spread=spread, long_edge_px=6000, noise_contrast=noise, viewing_cm=50)

    cost = noise_cost_cm(one, measured(0.14, 0.2))
    assert cost.value == pytest.approx(reach(0.0) - reach(0.14))
    # Of both ends the noise's own is a part, so the interval is at least as wide.
    assert cost.low <= reach(0.0) - reach(0.112)
    assert cost.high >= reach(0.0) - reach(0.168)


def test_noise_is_named_with_its_cost_and_what_a_stop_gives_back() -> None:
    found = dark_findings(*case())
    assert [f.kind for f in found] == ["noise"]
    text = found[0].text.replace("\u2009", " ")

    def reach(noise: float) -> float:
        spread = PointSpread(disc_px=0.5)
        return reach_cm(spread=spread, long_edge_px=6000, noise_contrast=noise, viewing_cm=50)

    assert text.startswith(f"ISO 25600 cost {reach(0) - reach(0.14):.0f} cm (")
    assert f"of {reach(0):.0f} cm" in text
    assert "would give back" in text
    gain = reach(0.14 / math.sqrt(2)) - reach(0.14)
    assert f"give back {gain:.0f} cm" in text
    assert "at ISO 12800" in found[0].advice.replace("\u2009", " ")


@pytest.mark.parametrize(
    "quiet",
    [
        case(noise=0.01),
        case(noise=None),
        case(noise=0.14, print_cm=30.0),  # held all the same
        case(noise=0.08, at_eye=blur("disc", 12.0)),  # blur costs it, noise next to nothing
        case(noise=0.14, at_eye=blur("cannot tell", None)),
    ],
)
def test_nothing_is_said_where_noise_costs_nothing(quiet: tuple[FaceCase, FrameReading]) -> None:
    assert dark_findings(*quiet) == ()


def test_nothing_is_said_of_bystanders() -> None:
    one, reading = case()
    assert dark_findings(replace(one, sitter=False), reading) == ()


def test_a_longer_time_is_named_only_where_nothing_moved_and_it_is_short_enough() -> None:
    fast = replace(NIGHT, exposure_time_s=1 / 4000)
    still = dark_findings(*case(exposure=fast))[0]
    assert still.advice.startswith("Use 1/2000")
    assert "motion" in still.advice
    line = blur("line", 5.0, angle_deg=10.0)
    moved = dark_findings(*case(at_eye=line, noise=0.3, exposure=fast))
    slow = dark_findings(*case(exposure=replace(NIGHT, exposure_time_s=1 / 15, f_number=1.2)))
    flash = dark_findings(*case(exposure=replace(fast, flash_fired=True)))
    for found in (moved, slow, flash):
        assert found
        assert not any(f.advice.startswith("Use 1/") for f in found)
    assert "flash" in flash[0].advice


def test_a_wider_aperture_blurs_a_missed_focus_and_gains_less() -> None:
    fast = replace(NIGHT, exposure_time_s=1 / 4000)
    one, reading = case(at_eye=blur("disc", 3.0), noise=0.2, exposure=fast)
    ways = {s.way: s for s in stops_of(one, reading)}
    assert ways["aperture"].name == "f/2"
    assert ways["aperture"].blurs
    assert ways["aperture"].gain_cm < ways["light"].gain_cm
    assert ways["time"].gain_cm == pytest.approx(ways["light"].gain_cm, rel=0.15)
    assert not ways["time"].blurs
    slow, shown = case(noise=0.2, exposure=replace(NIGHT, exposure_time_s=1 / 15))
    assert {s.way: s.blurs for s in stops_of(slow, shown)}["time"]


@given(st.floats(0.02, 0.4), st.floats(0.0, 6.0))
@settings(max_examples=30, deadline=None)
def test_more_light_never_costs(noise: float, size_px: float) -> None:
    one, reading = case(noise=noise, at_eye=blur("disc", size_px))
    assert all(s.gain_cm >= -1e-6 for s in stops_of(one, reading) if not s.blurs)
    cost = noise_cost_cm(one, measured(noise, 0.2))
    assert 0 <= cost.low <= cost.value <= cost.high


def test_too_dark_is_said_where_no_setting_would_have_held_the_print() -> None:
    candle = Exposure(exposure_time_s=1 / 60, f_number=1.4, focal_length_mm=85.0, iso=51200.0)
    found = dark_findings(*case(noise=0.8, exposure=candle, level=0.09))
    assert [f.kind for f in found][:1] == ["dark"]
    text = found[0].text.replace("\u2009", " ")
    # EV = log2(1.4² · 60) − 9 = −2.1 by the settings, a stop less at a face at half the level.
    assert text.startswith("Too dark for 60 cm: by the settings about EV -3 at the face")
    # Noise needs to fall to what holds 60 cm: 2 log2 of the ratio, in whole stops.
    least = next(
        n
        for n in range(1, 9)
        if looks_sharp(
            spread=PointSpread(disc_px=0.5),
            long_edge_px=6000,
            noise_contrast=0.8 / math.sqrt(2**n),
            print_cm=60,
            viewing_cm=50,
        )
    )
    words = {1: "one stop", 2: "two stops", 3: "three stops", 4: "four stops"}
    assert f"it needs {words[least]} more light" in text
    assert "sandbag" in found[0].advice
    assert all(not f.advice for f in found[1:])


def test_not_too_dark_where_time_or_aperture_had_room() -> None:
    fast = Exposure(exposure_time_s=1 / 2000, f_number=5.6, focal_length_mm=85.0, iso=51200.0)
    assert "dark" not in kinds(case(noise=0.5, exposure=fast))
    shown = case(noise=0.5, exposure=replace(fast, exposure_time_s=1 / 60))
    assert kinds(shown)[0] == "dark"
    assert "dark" not in [f.kind for f in dark_findings(*shown, widest_f_number=1.4)]


def test_not_too_dark_where_blur_breaks_the_print_anyway() -> None:
    assert "dark" not in kinds(case(noise=0.8, at_eye=blur("disc", 8.0)))


def test_an_unknown_setting_is_no_darkness() -> None:
    assert "dark" not in kinds(case(noise=0.9, exposure=Exposure(iso=51200.0)))


def test_the_still_time_follows_what_was_learned() -> None:
    one, reading = case()
    usual = still_time_s(one, reading, 60.0)
    restless = Learned(sitter_mm_per_s=Measured(value=100.0, low=50.0, high=200.0))
    child = still_time_s(one, reading, 60.0, learned=restless)
    assert usual is not None
    assert child is not None
    assert child < usual / 4
    # A larger print asks for a shorter time.
    larger = still_time_s(one, reading, 90.0)
    assert larger is not None
    assert larger < usual


def test_light_is_not_told_from_settings_with_flash_or_without_them() -> None:
    assert brightness_at(replace(NIGHT, flash_fired=True), 0.18) is None
    assert brightness_at(Exposure(iso=100.0), 0.18) is None


@given(st.floats(0.002, 0.9))
@settings(deadline=None)
def test_a_face_twice_as_bright_stood_in_twice_the_light(level: float) -> None:
    one, two = brightness_at(NIGHT, level / 2), brightness_at(NIGHT, level)
    assert one is not None
    assert two is not None
    assert two.light_lux.value == pytest.approx(2 * one.light_lux.value)
    assert two.exposure_ev.value == pytest.approx(one.exposure_ev.value + 1)


def test_only_a_face_darker_than_any_skin_is_under_exposed() -> None:
    assert stops_under(None) == 0.0
    assert stops_under(0.06) == 0.0
    assert stops_under(0.015) == pytest.approx(2.0)
    text = dark_findings(*case(level=0.015))[0].text
    assert "under-exposed, by two stops at least" in text
