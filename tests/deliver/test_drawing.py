"""Blur marks at one scale, bars and points where the numbers are, cautions where they apply."""

from dataclasses import replace
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.deliver.cautions import cautions
from eyeplane.deliver.drawing import (
    MARK_SIDE,
    MM,
    blur_mark,
    cause_bars,
    enlargement,
    on_print_mm,
    reach_chart,
)
from eyeplane.deliver.numbers import near_blur
from eyeplane.deliver.windows import PX_PER_FACE_MM, eye_window
from eyeplane.records import CauseCount, EyeView, Finding, Habit, counting_eye


def test_a_blur_on_the_print() -> None:
    """A disc of 6 px in 6000 px is a thousandth of the edge: 0.6 mm of 60 cm."""
    assert on_print_mm(6.0, long_edge_px=6000, print_cm=60.0) == pytest.approx(0.6)


@given(st.lists(st.floats(0.001, 50), min_size=1))
def test_the_largest_blur_fits_its_square(sizes_mm: list[float]) -> None:
    times = enlargement(sizes_mm)
    assert times == 1 or times * max(sizes_mm) * MM <= MARK_SIDE
    assert times in {1, 2, 5, 10, 20, 50, 100, 200}


@pytest.mark.parametrize(
    ("angle_deg", "right", "up"), [(0.0, 1, 0), (45.0, 1, 1), (90.0, 0, 1), (135.0, -1, 1)]
)
def test_a_stroke_points_as_measured(
    builder: ModuleType, angle_deg: float, right: int, up: int
) -> None:
    mark = blur_mark(builder.blur_of("line", 8.0, angle_deg), size_mm=1.0, enlarged=10)
    assert mark is not None
    assert mark.kind == "stroke"
    assert 2 * (mark.dx**2 + mark.dy**2) ** 0.5 == pytest.approx(10 * MM)
    assert (round(mark.dx), round(mark.dy)) == (
        round(right * abs(mark.dx)),
        -round(up * abs(mark.dy)),
    )


def test_dot_disc_and_nothing(builder: ModuleType) -> None:
    disc = blur_mark(builder.blur_of("disc", 8.0), size_mm=1.0, enlarged=10)
    dot = blur_mark(builder.blur_of("none", 0.5), size_mm=0.1, enlarged=10)
    assert disc is not None
    assert dot is not None
    assert (disc.kind, dot.kind) == ("disc", "dot")
    assert 2 * disc.radius == pytest.approx(10 * MM)
    assert blur_mark(builder.blur_of("cannot tell", 5.0), size_mm=1.0, enlarged=10) is None
    assert blur_mark(builder.blur_of("disc", None), size_mm=1.0, enlarged=10) is None


def test_bars_are_as_long_as_their_counts() -> None:
    bars = cause_bars((CauseCount(cause="focus", frames=6), CauseCount(cause="noise", frames=1)))
    assert bars[0].length == pytest.approx(6 * bars[1].length)
    assert [bar.count for bar in bars] == ["6 frames", "1 frame"]
    assert cause_bars(()) == ()


def test_points_stand_above_the_print_when_they_hold_it(builder: ModuleType) -> None:
    sitting = builder.make_sitting()
    chart = reach_chart(sitting.frames, goal_cm=60.0)
    assert chart is not None
    told = [f for f in sitting.frames if f.answer.reach_cm is not None]
    for frame, point in zip(told, chart.points, strict=True):
        assert (frame.answer.reach_cm.value >= 60) == (point.y <= chart.goal_y)
        assert point.high_y <= point.y <= point.low_y
        assert 0 <= point.high_y <= point.low_y <= chart.height
        alone = sum(other.burst == frame.burst for other in sitting.frames) == 1
        assert point.best == (frame.best_of_burst and not alone)
    assert [p.x for p in chart.points] == sorted(p.x for p in chart.points)
    assert reach_chart(sitting.frames[:2], goal_cm=60.0) is None


def test_the_near_eye_is_the_nearer_or_else_the_sharper(builder: ModuleType) -> None:
    reading = builder.face_reading(builder.blur_of("disc", 12.0))
    assert counting_eye(reading).side == "left"
    level = replace(reading, face=replace(reading.face, near=None))
    assert counting_eye(level).side == "right"  # 9 px against 12
    assert near_blur(builder.make_sitting().frames[-1]) is None


def test_an_eye_window_is_as_large_as_the_face_in_it(builder: ModuleType) -> None:
    near, far = builder.drawn_eye(1.0, 0.1), builder.drawn_eye(1.0, 0.4)
    for view in (near, far):
        window = eye_window(view)
        assert window is not None
        assert window.width == pytest.approx(36 * PX_PER_FACE_MM, rel=0.02)
        assert window.height == pytest.approx(24 * PX_PER_FACE_MM, rel=0.02)
    assert eye_window(None) is None
    assert eye_window(EyeView(jpeg=b"no picture", mm_per_px=0.1)) is None


def test_the_flash_caution_stands_only_where_a_flash_fired(builder: ModuleType) -> None:
    sitting = builder.bare_sitting()
    said = " ".join(cautions(sitting))
    assert "photosensitive" in said
    assert "burst 1" in said  # four frames a quarter of a second apart
    assert "burst 2" not in said
    assert "safe" not in said
    dark = replace(
        sitting,
        frames=tuple(
            replace(
                f,
                reading=replace(f.reading, exposure=replace(f.reading.exposure, flash_fired=False)),
            )
            for f in sitting.frames
        ),
    )
    assert "photosensitive" not in " ".join(cautions(dark))
    assert "furniture" in " ".join(cautions(dark))
    assert cautions(replace(dark, frames=dark.frames[:4])) == ()


@pytest.mark.parametrize(
    ("advice", "caution"),
    [
        ("At 1/200 s with more flash it would have frozen.", "photosensitive"),
        ("Have the rear row lean in 10 cm.", "furniture"),
        ("Raise the main light a little.", "sandbags"),
        ("Look at the front element.", "blower"),
        ("Clean the front of the lens, then take one more.", "service shop"),
    ],
)
def test_a_caution_stands_where_an_advice_gives_cause(
    builder: ModuleType, advice: str, caution: str
) -> None:
    bare = builder.bare_sitting()
    frame = bare.frames[0]
    dark = replace(frame.reading.exposure, flash_fired=False)
    frame = replace(frame, reading=replace(frame.reading, exposure=dark))
    quiet = replace(bare, frames=(frame,))
    assert cautions(quiet) == ()
    finding = Finding(kind="dark", text="So.", advice=advice)
    habit = Habit(kind="cost", text="So.", advice=advice, frames=3)
    answer = frame.answer
    face = replace(answer.faces[0], findings=(finding,))
    for said in (
        replace(quiet, habits=(habit,)),
        replace(quiet, lines=("", "", "", advice)),
        *(
            replace(quiet, frames=(replace(frame, answer=changed),))
            for changed in (
                replace(answer, advice=advice),
                replace(answer, findings=(finding,)),
                replace(answer, faces=(face,)),
            )
        ),
    ):
        (only,) = cautions(said)
        assert caution in only


@pytest.mark.parametrize(
    "advice",
    [
        "Focus on the near iris, or close to f/4.",
        "Give it more light, at a lower ISO.",
        "With glasses on, ask for the chin a little lower.",
        "At 1/400 s it would have held 80 cm.",
    ],
)
def test_no_caution_stands_without_a_cause(builder: ModuleType, advice: str) -> None:
    bare = builder.bare_sitting()
    quiet = replace(bare, frames=(), lines=("", "", "", advice))
    assert cautions(quiet) == ()
