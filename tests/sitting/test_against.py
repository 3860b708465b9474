"""One kit against another by frames of one sitter: sittings made up from known numbers."""

from dataclasses import replace

import numpy as np
import pytest
from tests.sitting.simulated import CLEAN, DISTANCE_MM, EDGE_PX, Habits, simulate

from eyeplane.errors import InputError
from eyeplane.optics import Spreads, reaches_cm
from eyeplane.records import Measured, Sitting, SittingFrame, Viewing
from eyeplane.records.kit_against import AgainstResult
from eyeplane.sitting.against import FramesAsked, compare_frames
from eyeplane.sitting.against_frames import KitFrames, kit_frames, kit_of_frames
from eyeplane.sitting.against_habit import frames_habit

ASKED = FramesAsked(sold_cm=((30.0, 20.0), (60.0, 40.0)))
STILL = replace(CLEAN, speed_mm_per_s=1.0, between_mm=1.0, within_mm=1.0, caught=0.0, closed=0.0)


def sitting_of(frames: tuple[SittingFrame, ...], name: str = "made up") -> Sitting:
    return Sitting(
        name=name,
        viewing=Viewing(),
        goal_cm=60.0,
        frames=frames,
        measured=len(frames),
        nobody=0,
        unreadable=0,
        holding=0,
        causes=(),
        median_reach_cm=None,
        lines=("", "", "", ""),
    )


def frames_of(habits: Habits, seed: int, *, bursts: int = 12, per_burst: int = 2) -> KitFrames:
    made, _ = simulate(np.random.default_rng(seed), habits, bursts=bursts, per_burst=per_burst)
    return kit_frames(sitting_of(made), "A", "made up")


def by_hand(**more: object) -> KitFrames:
    """Return frames all alike, each a burst of its own."""
    count = 10
    base: dict[str, object] = {
        "name": "by hand",
        "long_edge_px": 6000,
        "short_edge_px": 4000,
        "pitch_um": 6.0,
        "field_mm": np.full(count, 800.0),
        "focus_px": np.zeros(count),
        "rest_px": np.full(count, 2.0),
        "line_px": np.zeros(count),
        "noise_contrast": np.full(count, 0.01),
        "noise_told": True,
        "log_sd": np.full(count, 0.03),
        "told": np.ones(count, bool),
        "bursts": np.arange(count),
        "left_out": 0,
        "f_numbers": (2.8,),
        "isos": (100.0,),
        "focal_mm": (85.0,),
    }
    return KitFrames(**{**base, **more})  # type: ignore[arg-type]  # as the record has them


def against(a: KitFrames, b: KitFrames, seed: int = 1) -> AgainstResult:
    return compare_frames(a, b, ASKED, np.random.default_rng(seed))


def test_reaches_are_those_of_the_optics_and_parts_add_up() -> None:
    one = by_hand()
    other = by_hand(
        long_edge_px=9000,
        short_edge_px=6000,
        rest_px=np.full(10, 2.4),
        line_px=np.full(10, 1.5),
        noise_contrast=np.full(10, 0.02),
    )
    way = against(one, other).ways[0]
    expected = [
        float(
            reaches_cm(
                Spreads(disc_px=disc, line_px=line, noise_contrast=noise),
                long_edge_px=edge,
                viewing_cm=50.0,
            )
        )
        for disc, line, noise, edge in ((2.0, 0.0, 0.01, 6000), (2.4, 1.5, 0.02, 9000))
    ]
    assert way.a_reach_cm.value == pytest.approx(expected[0], rel=1e-3)
    assert way.b_reach_cm.value == pytest.approx(expected[1], rel=1e-3)
    total = sum(part.change_cm.value for part in way.parts)
    assert total == pytest.approx(way.difference_cm.value, abs=0.02)
    signs = {part.part: part.change_cm.value > 0 for part in way.parts}
    assert signs == {"pixels": True, "glass": True, "motion": False, "noise": False}
    # 2.4 px of 9000 are a finer blur than 2 px of 6000: the lens is B's merit, not its fault


def test_frames_alike_differ_in_nothing_that_can_be_told() -> None:
    way = against(by_hand(), by_hand(name="the other")).ways[0]
    assert way.sharper == "neither"
    assert way.difference_cm.value == pytest.approx(0.0, abs=1e-3)
    assert {one.seen for one in way.sold} == {"no"}


def test_who_stood_nearer_gets_no_merit_for_it() -> None:
    """Same kit and lens blur, framed half as wide: alike once both are framed alike."""
    wide, tight = by_hand(field_mm=np.full(10, 1200.0)), by_hand(field_mm=np.full(10, 600.0))
    result = against(wide, tight)
    assert result.common_field_mm == 600.0
    assert result.ways[0].difference_cm.value == pytest.approx(0.0, abs=0.01)
    assert any("B was nearer or framed tighter" in note for note in result.notes)


def test_missed_focus_grows_with_the_square_of_the_scale_and_motion_with_the_scale() -> None:
    nothing = np.zeros(10)
    for field, power in (("focus_px", 2), ("line_px", 1)):
        wide = by_hand(field_mm=np.full(10, 900.0), rest_px=nothing, **{field: np.full(10, 2.0)})
        tight = by_hand(
            field_mm=np.full(10, 600.0), rest_px=nothing, **{field: np.full(10, 2.0 * 1.5**power)}
        )
        way = against(wide, tight).ways[0]
        assert way.difference_cm.value == pytest.approx(0.0, abs=0.05), field


def test_framings_too_different_are_refused() -> None:
    with pytest.raises(InputError, match="take in 2400 mm where the face is"):
        against(by_hand(field_mm=np.full(10, 2400.0)), by_hand())


def test_few_frames_leave_wide_ranges_and_two_are_refused() -> None:
    many = by_hand(rest_px=np.linspace(1.5, 3.0, 10))
    few = by_hand(
        **{
            name: getattr(many, name)[[0, 4, 9]]
            for name in (
                *("field_mm", "focus_px", "rest_px", "line_px", "noise_contrast", "log_sd"),
                *("told", "bursts"),
            )
        }
    )
    widths = [
        one.difference_cm.high - one.difference_cm.low
        for one in (against(by_hand(), kit).ways[0] for kit in (many, few))
    ]
    assert widths[1] > 1.5 * widths[0]
    made, _ = simulate(np.random.default_rng(1), STILL, bursts=2, per_burst=1)
    with pytest.raises(InputError, match="fewer than 3 cannot tell a kit from luck"):
        kit_frames(sitting_of(made), "B", "two")


def test_nobody_and_mixed_kits_are_refused() -> None:
    with pytest.raises(InputError, match="nobody in the frames of A"):
        kit_frames(sitting_of(()), "A", "empty")
    one, _ = simulate(np.random.default_rng(1), STILL, bursts=3, per_burst=1)
    other = replace(STILL, kit=("Body B", "85 mm"))
    two, _ = simulate(np.random.default_rng(2), other, bursts=3, per_burst=1)
    with pytest.raises(InputError, match="of several bodies: Body A, Body B"):
        kit_frames(sitting_of((*one, *two)), "A", "mixed")


def test_one_photographer_with_one_kit_twice_is_rarely_called_different() -> None:
    """The interval holds nought nine times in ten; more pairs: benchmarks/accuracy/against.py."""
    habits = replace(CLEAN, caught=0.0, closed=0.0)
    held = [
        against(frames_of(habits, 2 * k, bursts=6), frames_of(habits, 2 * k + 1, bursts=6), k)
        .ways[0]
        .sharper
        == "neither"
        for k in range(6)
    ]
    assert sum(held) >= 4  # of 6 fewer hold once in 60 by chance at 0.9


def test_better_focus_is_found_as_focus() -> None:
    missed = replace(CLEAN, between_mm=14.0, within_mm=14.0, caught=0.0, closed=0.0)
    result = against(frames_of(missed, 1, bursts=20), frames_of(STILL, 2, bursts=20))
    way = result.ways[0]
    assert way.sharper == "B"
    assert way.parts[0].part in ("focus", "focus and glass")


def test_what_costs_most_beside_the_kit_is_told_from_the_budgets() -> None:
    missed = replace(CLEAN, between_mm=14.0, within_mm=14.0, caught=0.0, closed=0.0)
    made, _ = simulate(np.random.default_rng(3), missed, bursts=15)
    a = kit_frames(sitting_of(made), "A", "missed")
    way = against(a, frames_of(STILL, 4)).ways[0]
    habit = frames_habit(sitting_of(made), way)
    assert habit is not None
    assert habit.part == "focus"
    assert habit.a_without_cm > 1.1 * way.a_reach_cm.value
    sharp, _ = simulate(np.random.default_rng(5), STILL, bursts=15)
    assert frames_habit(sitting_of(sharp), way) is None


def test_a_kit_is_read_off_the_files_of_its_frames_where_the_other_has_none() -> None:
    side = kit_of_frames(by_hand(), "A")
    assert side.kit.sensor_long_mm == pytest.approx(36.0)
    assert side.kit.widest_f_number == 2.8
    with pytest.raises(InputError, match="do not tell their pixel pitch"):
        kit_of_frames(by_hand(pitch_um=None), "A")


def test_the_simulated_frames_are_as_wide_as_they_were_made() -> None:
    frames = frames_of(STILL, 1)
    width = EDGE_PX * 0.006 * (DISTANCE_MM - 85.0) / 85.0
    assert np.median(frames.field_mm) == pytest.approx(width, rel=0.1)
    assert isinstance(against(frames, frames_of(STILL, 2)).a.field_mm, Measured)
