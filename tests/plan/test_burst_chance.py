"""Chances of a lean-in against closed forms, and against bursts drawn frame by frame."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from eyeplane.optics import blur_circle_um
from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.plan.burst_chance import Aim, Lean, aim_of, lean_chances, still_chances
from eyeplane.plan.burst_windows import Windows, hold_curve, windows_of
from eyeplane.plan.draws import plan_draws
from eyeplane.plan.frames import MISS_LOG_SD, frame_blurs, frame_costs
from eyeplane.plan.scene import Scene, settings_of
from eyeplane.plan.share import frame_shares, limits_of
from eyeplane.records import PlanKit, PlanPrint

DISTANCE_MM = 2000.0
SETTING = settings_of(f_number=1.8, shutter_s=1 / 400, iso=800)


def window(half_mm: float) -> Windows:
    """Return a window without any motion."""
    return Windows(
        front_mm=np.array([-half_mm]),
        behind_mm=np.array([half_mm]),
        weight=np.ones((1, 1, 1)),
        part_share=np.ones(1),
    )


def aimed(*, sd_mm: float, sway_mm: float = 0.05, miss_share: float = 0.0) -> Aim:
    """Return an aim without bias."""
    return Aim(
        bias_mm=0.0,
        common_sd_mm=np.array([sd_mm]),
        miss_share=np.array([miss_share]),
        miss_mm=40.0,
        sway_mm=sway_mm,
    )


def even(step_mm: float) -> Lean:
    """Return a lean at an exact pace from an exact start."""
    return Lean(step_mm=step_mm, pace_log_sd=0.0, start_sd_mm=0.0)


def within(half_mm: float, sd_mm: float, middle_mm: float = 0.0) -> float:
    """Return P(|e − middle| < half) of a normal distribution."""
    low, high = (middle_mm - half_mm) / sd_mm, (middle_mm + half_mm) / sd_mm
    return 0.5 * (math.erf(high / math.sqrt(2)) - math.erf(low / math.sqrt(2)))


def one(windows: Windows, aim: Aim, lean: Lean, start_mm: float, frames: int) -> float:
    """Return the chance of one burst."""
    starts = np.array([start_mm])
    table = lean_chances(windows, aim, lean, starts_mm=starts, most_frames=frames)
    return float(table[0, -1, 0])


def scene(**changed: object) -> Scene:
    """Return an adult unknown to us, 85 mm from 2 m."""
    numbers: dict[str, object] = {
        "kit": PlanKit(focal_length_mm=85.0),
        "promise": PlanPrint(),
        "eyes_mm": (DISTANCE_MM,),
        "person": (0,),
        "focus": focus_error(magnification=85.0 / (DISTANCE_MM - 85.0)),
        "hand": hand_speed(),
        "sway": camera_sway(),
        "sitters": sitter_speed(),
    }
    return Scene(**{**numbers, **changed})  # type: ignore[arg-type]  # a test's own changes


# Closed forms of the normal and the Cauchy distribution: any textbook of statistics.


@pytest.mark.parametrize("half_mm", [2.0, 5.0, 12.0])
def test_one_frame_with_a_focus_error_only_holds_as_often_as_it_lies_within(half_mm: float) -> None:
    found = one(window(half_mm), aimed(sd_mm=6.0), even(5.0), 0.0, 1)
    assert found == pytest.approx(within(half_mm, 6.0), abs=0.004)


def test_a_dense_sweep_holds_wherever_it_passes() -> None:
    found = one(window(4.0), aimed(sd_mm=10.0), even(5.0), -15.0, 7)
    # The windows of frames 5 mm apart meet: one window of 15 + 4 mm either way.
    assert found == pytest.approx(within(19.0, 10.0), abs=0.004)


def test_sparse_frames_hold_in_windows_apart() -> None:
    found = one(window(2.0), aimed(sd_mm=10.0), even(12.0), -12.0, 3)
    expected = sum(within(2.0, 10.0, middle) for middle in (-12.0, 0.0, 12.0))
    assert found == pytest.approx(expected, abs=0.004)


def test_frames_that_only_sway_are_independent_of_each_other() -> None:
    single = within(3.0, 4.0)
    found = one(window(3.0), aimed(sd_mm=0.02, sway_mm=4.0), even(0.001), 0.0, 6)
    assert found == pytest.approx(1.0 - (1.0 - single) ** 6, abs=0.005)


def test_misses_alone_follow_a_cauchy_distribution() -> None:
    found = one(window(10.0), aimed(sd_mm=1.0, miss_share=1.0), even(1.0), 0.0, 1)
    assert found == pytest.approx(2.0 / math.pi * math.atan(10.0 / 40.0), abs=0.004)


def test_a_bias_is_leaned_away() -> None:
    centred = one(window(4.0), aimed(sd_mm=6.0), even(5.0), -10.0, 5)
    biased = Aim(
        bias_mm=-18.0,
        common_sd_mm=np.array([6.0]),
        miss_share=np.zeros(1),
        miss_mm=40.0,
        sway_mm=0.05,
    )
    assert one(window(4.0), biased, even(5.0), 8.0, 5) == pytest.approx(centred, abs=0.003)


def test_focused_anew_frames_are_independent() -> None:
    found = still_chances(window(5.0), aimed(sd_mm=8.0), common_sd_mm=0.0, frames=4)
    assert found[0] == pytest.approx(1.0 - (1.0 - within(5.0, 8.0)) ** 4, abs=0.005)


def test_what_all_focusings_share_makes_many_frames_worth_less() -> None:
    aim = aimed(sd_mm=8.0)
    free, bound = (
        still_chances(window(4.0), aim, common_sd_mm=sd, frames=6)[0] for sd in (0.0, 6.0)
    )
    assert bound < free


def test_a_single_frame_does_not_care_what_focusings_share() -> None:
    aim = aimed(sd_mm=8.0)
    found = [still_chances(window(4.0), aim, common_sd_mm=sd, frames=1)[0] for sd in (0.0, 6.0)]
    assert found[0] == pytest.approx(found[1], abs=0.015)  # nine nodes of the shared part


def test_common_spread_and_sway_add_up_to_the_whole_focus_error() -> None:
    focus = focus_error(magnification=0.0444)
    usual = np.array([[0.0, 0.0, 0.0, MISS_LOG_SD / 2]])  # misses as often as told
    aim = aim_of(focus, usual)
    assert math.hypot(aim.common_sd_mm[0], aim.sway_mm) == pytest.approx(focus.spread_mm)
    assert aim.miss_share[0] == pytest.approx(focus.miss_share)
    more = aim_of(focus, np.ones((1, 4)))
    assert more.common_sd_mm[0] > aim.common_sd_mm[0]
    assert aim.miss_share[0] < more.miss_share[0] < 1.0


@settings(deadline=None, max_examples=25)
@given(
    half_mm=st.floats(1.0, 30.0),
    sd_mm=st.floats(1.0, 30.0),
    step_mm=st.floats(0.5, 30.0),
    start_mm=st.floats(-100.0, 20.0),
    miss=st.floats(0.0, 0.5),
)
def test_more_frames_never_harm(
    half_mm: float, sd_mm: float, step_mm: float, start_mm: float, miss: float
) -> None:
    aim = aimed(sd_mm=sd_mm, sway_mm=3.0, miss_share=miss)
    table = lean_chances(
        window(half_mm),
        aim,
        Lean(step_mm=step_mm),
        starts_mm=np.array([start_mm]),
        most_frames=12,
    )[0, :, 0]
    assert (np.diff(table) >= -1e-12).all()
    assert 0.0 <= table[0] <= table[-1] <= 1.0


def test_a_single_frame_holds_as_often_as_in_a_plan_for_one_sitter() -> None:
    draws = plan_draws()
    windows = windows_of(
        scene(),
        SETTING,
        draws,
        focus_mm=DISTANCE_MM,
        beliefs_z=draws.beliefs_z,
        lean_mm_per_s=0.0,
    )
    aim = aim_of(scene().focus, draws.beliefs_z)
    table = lean_chances(windows, aim, even(5.0), starts_mm=np.zeros(1), most_frames=1)
    single = frame_shares(scene(), SETTING, DISTANCE_MM, draws)[0]
    assert table.mean() == pytest.approx(single, abs=0.025)  # each drawn to about 1.5 %


def test_the_exact_thin_lens_makes_the_window() -> None:
    still = scene(sitters=((1.0, sitter_speed(mood="still")[0][1]),))
    windows = windows_of(
        still,
        SETTING,
        plan_draws(),
        focus_mm=DISTANCE_MM,
        beliefs_z=np.zeros((1, 4)),
        lean_mm_per_s=0.0,
    )
    limit = limits_of(still, SETTING).disc_um[0] * 23.5 / 24  # middle of the last cell
    for end in (windows.front_mm[-1], windows.behind_mm[-1]):
        # The plane stays 2 m from the lens; the eye is `end` nearer.
        circle = blur_circle_um(
            focal_length_mm=85.0,
            f_number=1.8,
            focus_distance_mm=DISTANCE_MM,
            subject_distance_mm=DISTANCE_MM - end,
        )
        assert circle == pytest.approx(limit, rel=1e-6)


def test_both_eyes_leave_a_narrower_window_between_them() -> None:
    far = scene(eyes_mm=(DISTANCE_MM, DISTANCE_MM + 12.0), person=(0, 0))
    ends = [
        windows_of(
            s,
            SETTING,
            plan_draws(),
            focus_mm=DISTANCE_MM,
            beliefs_z=np.zeros((1, 4)),
            lean_mm_per_s=0.0,
        )
        for s in (scene(), far)
    ]
    assert ends[1].front_mm[-1] == pytest.approx(ends[0].front_mm[-1] + 12.0)
    assert ends[1].behind_mm[-1] == pytest.approx(ends[0].behind_mm[-1])


def test_bursts_drawn_frame_by_frame_agree() -> None:
    """The whole sum against frames drawn one by one, each with its own lines and sway."""
    bursts, frames, step, start, sway = 3000, 6, 5.0, -12.0, 4.0
    rng = np.random.default_rng(5)
    whole = scene()
    aim = aim_of(whole.focus, np.zeros((1, 4)))
    windows = windows_of(
        whole,
        SETTING,
        plan_draws(),
        focus_mm=DISTANCE_MM,
        beliefs_z=np.zeros((1, 4)),
        lean_mm_per_s=0.0,
    )
    found = one(windows, aim, even(step), start, frames)
    drawn = plan_draws()
    parts = [scene(sitters=((1.0, part),)) for _, part in whole.sitters]
    lines = [
        frame_blurs(s, DISTANCE_MM, drawn, np.zeros(4)).line_um_per_s[0] / 400.0 for s in parts
    ]
    lively = rng.random(bursts) < whole.sitters[1][0]
    missed = rng.random(bursts) < whole.focus.miss_share
    common = rng.normal(0.0, aim.common_sd_mm[0], bursts)
    common = np.where(missed, whole.focus.miss_mm * rng.standard_cauchy(bursts), common)
    limits = limits_of(whole, SETTING)
    held = np.zeros(bursts, bool)
    for k in range(frames):
        plane = common + start + k * step + rng.normal(0.0, sway, bursts)
        eye = np.maximum(DISTANCE_MM - plane, 100.0)
        disc = 1000.0 * 85.0**2 / 1.8 / (DISTANCE_MM - 85.0) * np.abs(plane) / eye
        pick = rng.integers(len(lines[0]), size=bursts)
        line = np.where(lively, lines[1][pick], lines[0][pick])
        held |= limits.cost(disc, line) <= 1.0
    assert held.mean() == pytest.approx(found, abs=0.025)  # 3 sd of 3000 bursts


def test_sway_that_stays_the_same_for_a_burst_changes_little() -> None:
    """Frames count as independent though sway goes on for about a second: what that may cost."""
    anew = aimed(sd_mm=7.0, sway_mm=4.0)
    kept = aimed(sd_mm=math.hypot(7.0, 4.0), sway_mm=0.05)
    chances = [one(window(8.0), aim, even(5.0), -17.5, 8) for aim in (anew, kept)]
    assert chances[0] == pytest.approx(chances[1], abs=0.01)


def test_costs_are_those_of_single_frames() -> None:
    """The window at no motion is where the kernel's own cost is 1."""
    draws = plan_draws()
    limits = limits_of(scene(), SETTING)
    blurs = frame_blurs(scene(), DISTANCE_MM, draws)
    costs = frame_costs(limits, SETTING, blurs)
    disc, line = blurs.disc_um[0] / 1.8, blurs.line_um_per_s[0] / 400.0
    assert costs[0, 0] == pytest.approx(limits.cost(disc, line))


def test_a_curve_falls_away_from_the_iris() -> None:
    depth = np.array([-40.0, -10.0, 0.0, 10.0, 40.0])
    curve = hold_curve(window(6.0), depth, sway_mm=4.0)[0, 0]
    assert curve[2] == curve.max()
    assert curve[0] < 1e-9
    assert curve == pytest.approx(curve[::-1])


def test_where_no_window_is_open_nothing_holds() -> None:
    # Both eyes of a head turned far, a print that takes next to no blur: their windows lie apart.
    shut = window(-40.0)
    assert still_chances(shut, aimed(sd_mm=9.0), common_sd_mm=3.0, frames=5) == pytest.approx(0.0)
    assert one(shut, aimed(sd_mm=9.0), even(5.0), -20.0, 8) == 0.0
