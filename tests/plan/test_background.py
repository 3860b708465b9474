"""Background blur and its trade, against the cone of rays and by going back and forth."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.optics import magnification
from eyeplane.plan.background import background_blur, equal_blur_mm, trade
from eyeplane.records import PlanKit

KIT = PlanKit(focal_length_mm=85.0)
STOPS = st.floats(1.0, 22.0)


@given(STOPS, st.floats(500, 8000), st.floats(1, 20_000))
def test_there_and_on_the_sensor_are_the_same_disc(n: float, s: float, behind: float) -> None:
    blur = background_blur(KIT, f_number=n, focus_mm=s, background_mm=s + behind)
    # Image scale at the background: image distance over its distance.
    image_mm = 85.0 * s / (s - 85.0)
    on_sensor_mm = blur.there_mm * image_mm / (s + behind)
    assert blur.of_height_share == pytest.approx(on_sensor_mm / 24.0, rel=1e-9)


def test_at_infinity_the_disc_is_the_pupil_times_the_magnification() -> None:
    # Limit of A m x / (s + x): geometry.
    blur = background_blur(KIT, f_number=2.0, focus_mm=2000.0, background_mm=1e12)
    m = magnification(focal_length_mm=85.0, subject_distance_mm=2000.0)
    assert blur.of_height_share == pytest.approx(42.5 * m / 24.0, rel=1e-6)


@given(st.floats(10, 20_000), st.floats(500, 8000), STOPS, STOPS)
def test_the_trade_is_exact(behind: float, s: float, n: float, wider: float) -> None:
    goal = equal_blur_mm(behind_mm=behind, focus_mm=s, f_number=n, as_f_number=wider)
    at_infinity = 1 / n
    now = behind / (s + behind) / wider
    if goal is None:
        assert now >= at_infinity * (1 - 1e-12)
        return
    assume(goal < 1e12)
    assert goal / (s + goal) / n == pytest.approx(now, rel=1e-9)
    assert (goal >= behind) == (n >= wider) or goal == pytest.approx(behind)


def test_past_infinity_there_is_no_trade() -> None:
    assert equal_blur_mm(behind_mm=3000, focus_mm=2000, f_number=5.657, as_f_number=2.828) is None


def test_the_sentence_is_the_sum() -> None:
    # By hand: behind 600 at 2 m, two stops: q = 2 × 600/2600 = 6/13, x = 2000 × (6/13)/(7/13).
    goal_mm = 2000 * 6 / 7
    said = trade(KIT, f_number=5.6, focus_mm=2000.0, behind_mm=600.0).replace("\u2009", " ")
    assert (
        f"Step {(goal_mm - 600) / 1000:.1f} m farther from it, and f/5.6 blurs it as f/2.8" in said
    )
    blur = background_blur(KIT, f_number=5.6, focus_mm=2000.0, background_mm=2600.0)
    assert f"discs of {blur.there_mm:.0f} mm there" in said
    assert f"{100 * blur.of_height_share:.2g} % of the frame's height" in said


def test_where_two_stops_cannot_be_had_one_is_said_and_then_none() -> None:
    assert "as f/4 does" in trade(KIT, f_number=5.6, focus_mm=2000.0, behind_mm=2500.0)
    assert "At no distance" in trade(KIT, f_number=5.6, focus_mm=2000.0, behind_mm=30_000.0)
    # Wide open there is nothing wider: what a smaller aperture would ask for is said.
    assert "f/2.8 blurs it as f/1.4 does" in trade(
        KIT, f_number=1.4, focus_mm=2000.0, behind_mm=500.0
    )
    assert trade(KIT, f_number=5.6, focus_mm=2000.0, behind_mm=0.0) == ""


def test_a_metre_behind_the_sitter_f56_still_shows_a_blurred_background() -> None:
    """Common practice, no source: a sitter about 1 m in front, f/5.6, head portrait."""
    m = 24.0 / 380.0  # a head shot
    focus_mm = 85.0 * (1 + 1 / m)
    blur = background_blur(KIT, f_number=5.6, focus_mm=focus_mm, background_mm=focus_mm + 1000)
    assert blur.of_height_share > 0.01  # discs of a hundredth of the height: plainly blurred
    assert blur.there_mm > 5


def test_apertures_below_zero_are_refused() -> None:
    with pytest.raises(InputError):
        equal_blur_mm(behind_mm=100, focus_mm=2000, f_number=0, as_f_number=2)
    with pytest.raises(InputError):
        equal_blur_mm(behind_mm=math.nan, focus_mm=2000, f_number=4, as_f_number=2)
