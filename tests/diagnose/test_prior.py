"""What the settings alone make probable: tables, sums, and what more or less of a setting does."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.diagnose.builders import LENS, blur, face, focused_face, frame, measured

from eyeplane.diagnose.case import FaceCase, case_of
from eyeplane.diagnose.prior import (
    CELLS_ABOVE,
    CELLS_BELOW,
    VISIBLE_PX,
    CausePrior,
    cell_sizes_px,
    equal_blur_px,
    kit_focus,
    prior_of,
)
from eyeplane.diagnose.reach import print_view
from eyeplane.optics import PointSpread, reach_cm
from eyeplane.records import Exposure, FrameReading, KitFocus, Learned, Measured, Viewing

NOTHING = Learned()


def priors(
    exposure: Exposure,
    *,
    distance_mm: float = 1500.0,
    people: int = 1,
    learned: Learned = NOTHING,
    print_cm: float | None = None,
    pitch_um: float | None = 4.4,
) -> dict[str, CausePrior]:
    """Return priors by cause of a frame of 24 MP; the scale at the eye follows the distance."""
    one = face(near_blur=blur("disc", 5.0), distance_mm=distance_mm)
    # 4.4 um behind 85 mm: the scale of the thin lens.
    scale = measured(4.4e-3 * (distance_mm - 85.0) / 85.0, 0.06)
    one = replace(one, face=replace(one.face, mm_per_px=scale))
    reading = frame(*(one,) * people, exposure=exposure, pitch_um=pitch_um)
    return {p.cause: p for p in prior_of(case_in(reading, print_cm), reading, learned)}


def case_in(reading: FrameReading, print_cm: float | None = None) -> FaceCase:
    """Return the first face of a reading, worked out."""
    view = print_view(reading, Viewing(print_cm=print_cm))
    return case_of(reading.faces[0], reading, view, sitter=True)


def shot(time_s: float | None, f_number: float | None, **more: float | bool | None) -> Exposure:
    """Return EXIF of the 85 mm lens at these settings."""
    return replace(LENS, exposure_time_s=time_s, f_number=f_number, **more)  # type: ignore[arg-type]  # by name


MOTION = ("shake", "sitter", "motion")


def moved(found: dict[str, CausePrior]) -> float:
    """Return the probability of any motion."""
    return sum(found[c].prior for c in MOTION)


# Settings, the most probable of focus, shake and sitter, and bounds of its probability.
TABLE: list[tuple[str, Exposure, float, str, float, float]] = [
    # measuring: at f/1.4 and 1.5 m focus is probable, at 1/2000 s motion is not.
    ("f/1.4, 1.5 m, 1/2000 s", shot(1 / 2000, 1.4), 1500.0, "focus", 0.45, 0.95),
    ("f/1.4, 1.5 m, 1/500 s", shot(1 / 500, 1.4), 1500.0, "focus", 0.4, 0.9),
    # 85 mm at 1/15 s, six times slower than the reciprocal rule allows.
    ("f/8, 1/15 s", shot(1 / 15, 8.0), 2000.0, "shake", 0.5, 0.95),
]


@pytest.mark.parametrize(("name", "exposure", "distance", "cause", "low", "high"), TABLE)
def test_what_settings_make_probable(
    name: str, exposure: Exposure, distance: float, cause: str, low: float, high: float
) -> None:
    found = priors(exposure, distance_mm=distance)
    usual = max(("focus", "shake", "sitter"), key=lambda c: found[c].prior)
    assert usual == cause, name
    assert low <= found[cause].prior <= high, (name, found[cause].prior)


def test_fifteenth_of_a_second_moves_even_before_a_wide_aperture() -> None:
    found = priors(shot(1 / 15, 1.4))
    assert moved(found) > 0.7
    assert found["focus"].prior < 0.2


def test_hardly_a_hand_shows_at_a_two_thousandth() -> None:
    # 6 to 12 Hz of tremor (Lakie et al., J Physiol 593:4411, 2015) turn little in half a
    # millisecond; even the 3.61 deg/s of the standard's 63 um are .6 px of 4.4 um here.
    found = priors(shot(1 / 2000, 1.4))
    assert found["shake"].prior < 0.01
    assert (
        found["shake"].because == "at 1/2000\u2009s a hand moves the picture by about 0.1\u2009px"
    )


def test_reciprocal_rule_keeps_five_frames_in_six() -> None:
    # At 1/f the rule's 30 um are 1.719 deg/s and the standard's 63 um 3.610 deg/s, whatever the
    # focal length (computed). A sensor of 30 / 1.5 / 1.17 um pixels makes these just visible.
    for length_um, share in ((30.0, 5 / 6), (63.0, 0.965)):
        pitch_um = length_um * (0.70508 / 0.603355) / VISIBLE_PX
        # A small aperture and a still sitter leave the hand alone.
        still = Learned(sitter_mm_per_s=Measured(value=0.01, low=0.005, high=0.02))
        found = priors(shot(1 / 85, 5.6), learned=still, pitch_um=pitch_um)
        assert found["shake"].prior == pytest.approx(1 - share, abs=0.03)


def test_flash_alone_stops_hand_and_sitter() -> None:
    # Black-frame check of the trade: ISO 100, 1/125 s, f/8 show nothing of a room without flash.
    lit = priors(shot(1 / 125, 8.0, flash_fired=True))
    unlit = priors(shot(1 / 125, 8.0, flash_fired=False))
    assert moved(lit) < 0.5 * moved(unlit)
    assert lit["shake"].because.startswith("flash did the lighting")
    # A slow shutter with a wide aperture lets the room in: the ghost of dragging the shutter.
    dragged = priors(shot(1 / 15, 2.8, iso=800.0, flash_fired=True))
    assert moved(dragged) > 0.6


def test_child_asks_for_a_shorter_time_than_the_rule() -> None:
    # Trade table: drift 10 mm/s needs 1/100 s, a child at 500 mm/s 1/5000 s, 85 mm at 2 m.
    child = Learned(sitter_mm_per_s=Measured(value=500.0, low=250.0, high=1000.0))
    calm = Learned(sitter_mm_per_s=Measured(value=10.0, low=5.0, high=20.0))
    fast, slow = shot(1 / 5000, 5.6), shot(1 / 100, 5.6)
    assert priors(fast, distance_mm=2000.0, learned=child)["sitter"].prior < 0.4
    assert priors(slow, distance_mm=2000.0, learned=child)["sitter"].prior > 0.9
    assert priors(slow, distance_mm=2000.0, learned=calm)["sitter"].prior < 0.4
    told = priors(slow, learned=child)["sitter"].because
    assert "this sitter moves" in told


def test_own_hand_counts_where_it_is_known() -> None:
    steady = Learned(shake_deg_per_s=Measured(value=0.1, low=0.05, high=0.2))
    found = priors(shot(1 / 30, 5.6), learned=steady)
    assert found["shake"].prior < 0.1 < priors(shot(1 / 30, 5.6))["shake"].prior
    assert "your hand" in found["shake"].because


def kit(name: str, bias_mm: float, setting: str = "") -> KitFocus:
    """Return a kit's focus with a scatter of 2 mm."""
    bias = Measured(value=bias_mm, low=bias_mm - 1, high=bias_mm + 1)
    spread = Measured(value=2.0, low=1.5, high=2.5)
    return KitFocus(kit=name, setting=setting, frames=30, bias_mm=bias, spread_mm=spread)


def test_a_kit_that_misses_makes_focus_more_probable() -> None:
    wide = shot(1 / 2000, 1.8)
    true, off = (Learned(focus=(kit("Test with 85 mm", b),)) for b in (0.0, 12.0))
    assert priors(wide, learned=off)["focus"].prior > 0.9
    assert priors(wide, learned=true)["focus"].prior < priors(wide)["focus"].prior
    assert "this kit's focus error of 12\u2009mm" in priors(wide, learned=off)["focus"].because


def test_kits_are_told_apart() -> None:
    kits = (
        kit("Test with 85 mm", 1.0, "f/2 and wider"),
        kit("Test with 85 mm", 2.0),
        kit("Test with 50 mm", 3.0),
        kit("Other with 85 mm", 4.0),
    )
    found = kit_focus(LENS, Learned(focus=kits))
    assert found is not None
    assert found.bias_mm.value == 2.0
    assert kit_focus(replace(LENS, body=None), Learned(focus=kits)) is None
    assert kit_focus(replace(LENS, lens="35 mm"), Learned(focus=kits)) is None
    twins = (kit("Test with 85 mm (…1111)", 5.0), kit("Test with 85 mm (…2222)", 6.0))
    second = kit_focus(replace(LENS, body_serial="0002222"), Learned(focus=twins))
    assert second is not None
    assert second.bias_mm.value == 6.0
    assert kit_focus(LENS, Learned(focus=twins)) is None


def test_missing_exif_is_flat_and_said() -> None:
    found = priors(Exposure(), pitch_um=None)
    known = [found[c].prior for c in ("focus", "shake", "sitter")]
    assert known == pytest.approx([known[0]] * 3)
    assert found["shake"].because == "the shutter time is not known"
    assert found["focus"].because == "aperture, focal length or distance is not known"
    assert found["noise"].because == "the ISO is not known"


def test_depth_needs_a_group() -> None:
    assert "depth" not in priors(LENS)
    group = priors(LENS, people=3, distance_mm=3500.0)
    assert 0.1 < group["depth"].prior < 0.9


def test_print_beyond_the_pixels_is_put_down_to_them() -> None:
    small = priors(shot(1 / 1000, 5.6), print_cm=150.0)
    assert "none" not in small
    assert small["pixels"].prior > 0.5
    assert "6000\u2009px hold" in small["pixels"].because
    assert "pixels" not in priors(shot(1 / 1000, 5.6), print_cm=60.0)


def test_small_aperture_softens_by_itself() -> None:
    # Diffraction at f/22: 1.745 x .55 um x 22 = 21 um (disc of equal half contrast, computed).
    found = priors(shot(1 / 250, 22.0))
    assert found["glass"].prior > 0.7
    assert found["glass"].because == "f/22 alone softens by 5\u2009px"
    assert priors(shot(1 / 250, 2.8))["glass"].prior < 0.05


@pytest.mark.parametrize(("noise", "iso"), [(0.02, 800.0), (0.2, 102400.0)])
def test_grain_is_weighed_as_the_blur_that_costs_as_much(noise: float, iso: float) -> None:
    disc = equal_blur_px(noise)
    held = [
        float(reach_cm(spread=s, long_edge_px=4000, noise_contrast=n, viewing_cm=70.0))
        for s, n in ((PointSpread(disc_px=disc), 0.0), (PointSpread(), noise))
    ]
    assert held[0] == pytest.approx(held[1], rel=0.03)
    loud = priors(shot(1 / 1000, 5.6, iso=iso))["noise"].prior
    assert (loud > 0.2) is (iso > 50_000)
    assert equal_blur_px(0.0) == 0.0


EXPOSURES = st.builds(
    Exposure,
    exposure_time_s=st.one_of(st.none(), st.floats(1e-5, 30.0)),
    f_number=st.one_of(st.none(), st.floats(0.7, 64.0)),
    focal_length_mm=st.one_of(st.none(), st.floats(4.0, 800.0)),
    iso=st.one_of(st.none(), st.floats(25.0, 400_000.0)),
    flash_fired=st.sampled_from([None, True, False]),
)


@given(
    EXPOSURES, st.floats(300.0, 20_000.0), st.integers(1, 3), st.sampled_from([None, 30.0, 200.0])
)
@settings(max_examples=60, deadline=None)
def test_priors_sum_to_one(
    exposure: Exposure, distance: float, people: int, print_cm: float | None
) -> None:
    found = priors(exposure, distance_mm=distance, people=people, print_cm=print_cm)
    assert math.isclose(sum(p.prior for p in found.values()), 1.0, abs_tol=1e-9)
    cells = np.array([p.cells for p in found.values()])
    assert cells.shape[1] == CELLS_BELOW + CELLS_ABOVE == cell_sizes_px().size
    assert np.all(cells >= 0)
    for one in found.values():
        assert 0.0 <= one.prior <= 1.0
        assert one.because
        assert "nan" not in one.because


TIMES = st.floats(1e-4, 2.0)
STOPS = st.floats(1.2, 16.0)


@given(TIMES, TIMES, st.builds(shot, st.none(), STOPS, flash_fired=st.booleans()))
@settings(max_examples=60, deadline=None)
def test_a_longer_shutter_never_makes_motion_less_probable(
    one: float, two: float, exposure: Exposure
) -> None:
    short, long = (moved(priors(replace(exposure, exposure_time_s=t))) for t in sorted((one, two)))
    assert long >= short - 2e-3


@given(STOPS, STOPS, TIMES)
@settings(max_examples=60, deadline=None)
def test_a_wider_aperture_never_makes_focus_less_probable(
    one: float, two: float, time_s: float
) -> None:
    wide, small = (priors(shot(time_s, n))["focus"].prior for n in sorted((one, two)))
    assert wide >= small - 2e-3


@given(st.floats(25.0, 1e6), st.floats(25.0, 1e6))
@settings(max_examples=30, deadline=None)
def test_a_higher_iso_never_makes_noise_less_probable(one: float, two: float) -> None:
    low, high = (priors(shot(1 / 250, 4.0, iso=i))["noise"].prior for i in sorted((one, two)))
    assert high >= low - 2e-3


def test_a_face_in_focus_is_answered_too() -> None:
    reading = frame(focused_face(0.0, f_number=8.0), exposure=shot(1 / 1000, 8.0))
    found = {p.cause: p for p in prior_of(case_in(reading), reading, NOTHING)}
    assert found["none"].prior > 0.4
