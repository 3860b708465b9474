from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.made import reading
from tests.sitting.simulated import CLEAN, Habits, simulate

from eyeplane.learn.focus import FEWEST_FRAMES
from eyeplane.learn.kit_names import kit_name
from eyeplane.records import Exposure, SittingFrame
from eyeplane.sitting.kits import kit_focus
from eyeplane.sitting.offsets import focus_point, told_offsets


def sitting(seed: int, habits: Habits = CLEAN, bursts: int = 15) -> tuple[SittingFrame, ...]:
    return simulate(np.random.default_rng(seed), habits, bursts=bursts)[0]


def with_exif(frames: tuple[SittingFrame, ...], **exif: object) -> tuple[SittingFrame, ...]:
    def changed(exposure: Exposure) -> Exposure:
        return replace(exposure, **exif)  # type: ignore[arg-type]  # fields by name

    return tuple(
        replace(f, reading=replace(f.reading, exposure=changed(f.reading.exposure))) for f in frames
    )


@pytest.mark.slow
def test_bias_and_spread_are_held_by_their_intervals() -> None:
    habits = replace(CLEAN, bias_mm=9.0, between_mm=4.0, within_mm=4.0)
    trials, bias, spread = 60, 0, 0
    for seed in range(trials):
        (focus,) = kit_focus(sitting(seed, habits, bursts=10))
        bias += focus.bias_mm.low <= 9.0 <= focus.bias_mm.high
        spread += focus.spread_mm.low <= np.hypot(4, 4) <= focus.spread_mm.high
    # .85 to .95, and two standard deviations of sixty trials
    assert 0.77 * trials <= bias <= 0.995 * trials
    assert 0.77 * trials <= spread <= 0.995 * trials


def test_one_kit_without_settings_that_tell() -> None:
    (focus,) = kit_focus(sitting(1))
    assert (focus.kit, focus.setting) == ("Body A with 85 mm", "")
    assert focus.frames == len(told_offsets(sitting(1)))


def test_settings_are_split_only_where_two_say_something() -> None:
    frames = sitting(2, replace(CLEAN, bias_mm=6.0), bursts=20)
    middle = with_exif(frames[:36], subject_area_px=(3000, 2000))
    aside = with_exif(frames[36:], subject_area_px=(4500, 900, 80, 80))
    found = kit_focus(middle + aside)
    assert [f.setting for f in found] == [
        "",
        "focus point in the middle, f/2 and wider",
        "focus point off the middle, f/2 and wider",
    ]
    assert found[0].frames == found[1].frames + found[2].frames
    few = with_exif(frames[-3:], subject_area_px=(4500, 900))
    assert [f.setting for f in kit_focus(middle + few)] == [""]


def test_two_bodies_of_one_make_are_told_apart() -> None:
    a = with_exif(sitting(3, bursts=12), body_serial="0012345")
    b = with_exif(sitting(4, bursts=10), body_serial="0067890")
    found = kit_focus(a + b)
    assert [f.kit for f in found] == ["Body A with 85 mm (…2345)", "Body A with 85 mm (…7890)"]
    assert found[0].frames > found[1].frames


def test_a_camera_without_names() -> None:
    assert kit_name(("", "", "", "")) == "this camera"
    assert kit_name(("", "", "50 mm", "")) == "this camera with 50 mm"
    (focus,) = kit_focus(with_exif(sitting(5), body=None, lens=None))
    assert focus.kit == "this camera"


def test_few_frames_bursts_or_groups_say_nothing() -> None:
    frames = sitting(6)
    assert kit_focus(frames[: FEWEST_FRAMES - 1]) == ()
    assert kit_focus(simulate(np.random.default_rng(1), bursts=2, per_burst=9)[0]) == ()
    assert kit_focus(()) == ()
    # Of two sitters nothing tells for which the focus was meant.
    pairs = tuple(
        replace(
            f,
            reading=replace(f.reading, faces=(*f.reading.faces, *f.reading.faces)),
            answer=replace(f.answer, faces=(*f.answer.faces, *f.answer.faces)),
        )
        for f in frames
    )
    assert kit_focus(pairs) == ()


def test_frames_that_caught_something_else_do_not_make_the_spread() -> None:
    habits = replace(CLEAN, bias_mm=5.0, aside_mm=80.0)
    (focus,) = kit_focus(sitting(7, habits, bursts=20))
    assert focus.bias_mm.low <= 5.0 <= focus.bias_mm.high
    assert focus.spread_mm.high < 8.0


@pytest.mark.parametrize(
    ("area", "size", "expected"),
    [
        ((3000, 2000), (6000, 4000), "middle"),
        ((3000, 2000), (4000, 6000), "middle"),  # as the sensor lies, frame held upright
        ((2000, 3000), (4000, 6000), "middle"),
        ((3050, 2080, 200), (6000, 4000), "middle"),
        ((4400, 1500, 300, 200), (6000, 4000), "aside"),
        ((9000, 2000), (6000, 4000), ""),  # outside the frame
        ((0, 0), (6000, 4000), ""),  # written by cameras that know none; common practice, no source
        (None, (6000, 4000), ""),
        ((3000,), (6000, 4000), ""),
    ],
)
def test_where_the_focus_point_lay(
    area: tuple[int, ...] | None, size: tuple[int, int], expected: str
) -> None:
    frame = reading(size_px=size, exposure=Exposure(subject_area_px=area))
    assert focus_point(frame) == expected
