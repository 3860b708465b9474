"""Reach of an eye: which eye counts, interval, monotony."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.diagnose.builders import blur, face, measured

from eyeplane.diagnose.reach import (
    PrintView,
    diagonal_of,
    other_eye,
    pixel_reach,
    reach_at,
    reach_of,
    reach_without_pixels,
    spread_of,
)
from eyeplane.optics import PointSpread
from eyeplane.records import Blur, BlurKind, Measured, counting_eye

VIEW = PrintView(width_px=6000, height_px=4000, viewing_cm=50.0, print_cm=None)


def reach(kind: BlurKind, size_px: float, noise: float = 0.005) -> float:
    found = reach_of(blur(kind, size_px), measured(noise), VIEW)
    assert found is not None
    return found.value


@given(
    st.sampled_from(["disc", "line", "cannot tell"]),
    st.floats(0, 60),
    st.floats(0, 60),
)
def test_more_blur_never_raises_the_reach(kind: BlurKind, one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert reach(kind, high) <= reach(kind, low) * (1 + 1e-6)


@given(st.floats(0, 0.3), st.floats(0, 0.3))
def test_more_noise_never_raises_the_reach(one: float, two: float) -> None:
    low, high = sorted((one, two))
    assert reach("disc", 3.0, high) <= reach("disc", 3.0, low) * (1 + 1e-6)


def test_interval_comes_from_the_blur_s_interval() -> None:
    found = reach_of(blur("disc", 5.0, share=0.3), None, VIEW)
    assert found is not None
    assert found.low == pytest.approx(reach("disc", 6.5, 0.05), rel=0.03)
    assert found.high == pytest.approx(reach("disc", 3.5, 0.0), rel=0.03)
    assert found.low < found.value < found.high


def test_no_size_no_reach() -> None:
    assert reach_of(blur("cannot tell", None), measured(0.01), VIEW) is None
    assert diagonal_of(blur("cannot tell", None), measured(0.01), VIEW) is None


def test_perfect_frame_holds_about_a_metre_at_half_a_metre() -> None:
    # 300 px/inch at 25 cm looks sharp, 100 px/inch does not (common practice, no source): at 50 cm
    # 6000 px hold at least 150 px/inch = 101.6 cm and less than 50 px/inch = 304.8 cm.
    assert 101.6 <= pixel_reach(VIEW) < 304.8


def test_diagonal_is_answered_only_where_both_ends_agree() -> None:
    noise = measured(0.005)
    assert diagonal_of(blur("none", 0.4), noise, VIEW) is True
    assert diagonal_of(blur("disc", 25.0), noise, VIEW) is False
    answers = {diagonal_of(blur("disc", s, share=0.5), noise, VIEW) for s in (3, 4, 5, 6, 8, 10)}
    assert None in answers


def test_finer_pixels_keep_the_blur_and_lift_the_pixels() -> None:
    sharp, soft = spread_of("none", 0.0), spread_of("disc", 20.0)
    assert reach_without_pixels(sharp, 0.0, VIEW) > 3 * pixel_reach(VIEW)
    assert reach_without_pixels(soft, 0.0, VIEW) == pytest.approx(
        reach("disc", 20.0, 0.0), rel=0.05
    )


@pytest.mark.parametrize("near", ["left", "right"])
def test_near_eye_counts_even_if_the_far_one_is_sharper(near: str) -> None:
    soft, sharp = blur("disc", 8.0), blur("none", 0.5)
    one = face(near_blur=soft, far_blur=sharp, near="left" if near == "left" else "right")
    assert counting_eye(one).side == near
    assert counting_eye(one).blur is soft
    assert other_eye(one).blur is sharp


@pytest.mark.parametrize(
    ("left", "right", "open_", "counts"),
    [
        (blur("disc", 8.0), blur("disc", 4.0), (True, True), "right"),
        (blur("disc", 4.0), blur("disc", 8.0), (True, True), "left"),
        (blur("cannot tell", None), blur("disc", 8.0), (True, True), "right"),
        (blur("disc", 8.0), blur("disc", 4.0), (True, False), "left"),
    ],
)
def test_sharper_open_eye_counts_where_neither_is_nearer(
    left: Blur, right: Blur, open_: tuple[bool, bool], counts: str
) -> None:
    one = face(near_blur=left, far_blur=right, near=None, eyes_open=open_)
    assert counting_eye(one).side == counts


def test_where_disc_and_line_cannot_be_told_apart_the_low_end_is_the_worse() -> None:
    """A line of 4 px, as the rendered heads have it when they moved: told as neither."""
    view = PrintView(width_px=4000, height_px=6000, viewing_cm=50.0, print_cm=None)
    noise = Measured(value=0.01, low=0.008, high=0.012)
    neither = replace(
        blur("cannot tell", 3.4), line_px=Measured(value=4.1, low=3.7, high=4.5), line_gain=1.0
    )
    told = reach_of(neither, noise, view)
    assert told is not None
    assert told.low <= reach_at(PointSpread(line_px=4.0), 0.01, view) <= told.high
    as_disc = reach_of(replace(neither, kind="disc"), noise, view)
    assert as_disc is not None
    assert as_disc.low > told.low
    assert (as_disc.value, as_disc.high) == (told.value, told.high)
