"""Shares of frames that hold, against sums that can be done by hand."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from tests.plan.plain_middle import middle_frames
from tests.plan.scenes import EXACT, KIT, NOTHING_MOVES, usual_scene

from eyeplane.optics import blur_circle_um, looks_sharp
from eyeplane.optics.kit_blur import GLASS_BEST_UM, GLASS_WIDE_UM
from eyeplane.optics.spread import PointSpread
from eyeplane.people.aim import FocusError
from eyeplane.people.hands import HandSpeed
from eyeplane.people.speeds import SitterSpeed
from eyeplane.plan.blurs import disc_um
from eyeplane.plan.draws import draw_frames, plan_draws
from eyeplane.plan.frames import frame_blurs, frame_costs
from eyeplane.plan.hold import base_spreads, hold_limits
from eyeplane.plan.scene import settings_of
from eyeplane.plan.share import frame_shares, limits_of, share_with_interval
from eyeplane.records import PlanPrint

DRAWS = plan_draws()
SETTINGS = settings_of(f_number=[2.0, 2.8, 4.0, 5.6], shutter_s=1 / 250, iso=400)


@given(f_number=st.floats(1, 22), focus_mm=st.floats(600, 9000), eye_mm=st.floats(600, 9000))
def test_disc_is_the_thin_lens(f_number: float, focus_mm: float, eye_mm: float) -> None:
    alone = blur_circle_um(
        focal_length_mm=85,
        f_number=f_number,
        focus_distance_mm=focus_mm,
        subject_distance_mm=eye_mm,
    )
    together = disc_um(focal_length_mm=85, f_number=f_number, focus_mm=focus_mm, eye_mm=eye_mm)
    assert float(together) == pytest.approx(alone, rel=1e-9, abs=1e-9)


def test_at_its_limit_the_print_is_just_sharp_by_the_whole_sum() -> None:
    limits = hold_limits(KIT, PlanPrint(), f_number=SETTINGS.f_number, iso=SETTINGS.iso)
    base = base_spreads(KIT, SETTINGS.f_number, SETTINGS.iso)
    gaussian, airy, noise = (
        np.asarray(a) for a in (base.gaussian_px, base.airy_px, base.noise_contrast)
    )
    for number, disc in enumerate(limits.disc_um):
        for share, sharp in ((0.98, True), (1.02, False)):
            spread = PointSpread(
                disc_px=share * disc / KIT.pitch_um,
                gaussian_px=float(gaussian[number]),
                airy_px=float(airy[number]),
            )
            seen = looks_sharp(
                spread=spread,
                long_edge_px=6000,
                noise_contrast=float(noise.ravel()[number]),
                print_cm=60,
                viewing_cm=50,
            )
            assert seen is sharp


def test_normal_focus_error_gives_the_normal_share() -> None:
    """Share = P(|error| < depth of field), with the exact limits on both sides."""
    focus = FocusError(
        bias_mm=3, spread_mm=9, unsure_log_sd=0, miss_share=0, miss_mm=40, source="made up"
    )
    scene = replace(NOTHING_MOVES, focus=focus)
    shares = frame_shares(scene, SETTINGS, 2000.0, DRAWS)
    limits = limits_of(scene, SETTINGS)
    f, d = 85.0, 2000.0
    for number, limit in enumerate(limits.disc_um):
        # disc = f²/(N (s − f)) |d − s| / d = c solved for s on either side.
        k = limit / 1000 * SETTINGS.f_number[number] * d / f**2
        near, far = (d + k * f) / (1 + k), (d - k * f) / (1 - k)
        told = stats.norm(3, 9).cdf(far - d) - stats.norm(3, 9).cdf(near - d)
        assert shares[number] == pytest.approx(told, abs=0.012)


def test_log_normal_motion_gives_the_log_normal_share() -> None:
    hand = HandSpeed(median_deg_per_s=1.5, log_sd=0.8, unsure_log_sd=0, source="made up")
    scene = replace(NOTHING_MOVES, hand=hand)
    times = settings_of(
        f_number=2.8, shutter_s=[1 / 30, 1 / 60, 1 / 125, 1 / 250, 1 / 500], iso=400
    )
    shares = frame_shares(scene, times, 2000.0, DRAWS)
    image_mm = 85 * 2000 / (2000 - 85)
    limit = limits_of(scene, times).line_um
    rate = np.degrees(limit / 1000 / image_mm) / times.shutter_s
    told = stats.norm.cdf(np.log(rate / 1.5) / 0.8)
    assert shares == pytest.approx(told, abs=0.012)


def test_two_lines_add_as_vectors() -> None:
    hand = HandSpeed(median_deg_per_s=1.0, log_sd=1e-9, unsure_log_sd=0, source="made up")
    moves = SitterSpeed(median_mm_per_s=30.0, log_sd=1e-9, unsure_log_sd=0, source="made up")
    blurs = frame_blurs(replace(NOTHING_MOVES, hand=hand, sitters=((1.0, moves),)), 2000.0, DRAWS)
    image_mm = 85 * 2000 / (2000 - 85)
    turn, walk = 1000 * image_mm * np.radians(1.0), 1000 * image_mm / 2000 * 30
    assert blurs.line_um_per_s.max() == pytest.approx(turn + walk, rel=1e-3)
    assert blurs.line_um_per_s.min() == pytest.approx(abs(turn - walk), rel=0.02)
    squares = float((blurs.line_um_per_s**2).mean())
    assert squares == pytest.approx(turn**2 + walk**2, rel=0.01)


def test_misses_lower_the_share_by_about_their_own() -> None:
    sure = FocusError(
        bias_mm=0, spread_mm=0.5, unsure_log_sd=0, miss_share=0, miss_mm=40, source="made up"
    )
    scene = replace(NOTHING_MOVES, focus=sure)
    missing = replace(scene, focus=replace(sure, miss_share=0.2))
    wide = settings_of(f_number=2.0, shutter_s=1 / 250, iso=400)
    assert frame_shares(scene, wide, 2000.0, DRAWS)[0] == 1.0
    # A miss within the depth of field holds all the same: Cauchy of half width 40 mm.
    limit_mm = limits_of(scene, wide).disc_um[0] / 1000 * 2.0 * 2000 * 1915 / 85**2
    lost = 0.2 * (1 - 2 / np.pi * np.arctan(limit_mm / 40))
    assert frame_shares(missing, wide, 2000.0, DRAWS)[0] == pytest.approx(1 - lost, abs=0.04)


def test_the_far_eye_as_well_is_never_more_often() -> None:
    scene = usual_scene(2000.0, 2027.0)
    near = frame_shares(scene, SETTINGS, 2000.0, DRAWS, [0])
    both = frame_shares(scene, SETTINGS, 2000.0, DRAWS)
    assert (both <= near).all()
    assert both[0] < near[0] - 0.2


@given(print_cm=st.floats(20, 100), more=st.floats(1.05, 2))
def test_a_larger_print_is_never_held_more_often(print_cm: float, more: float) -> None:
    scene = usual_scene()
    small, large = (
        frame_shares(replace(scene, promise=PlanPrint(print_cm=cm)), SETTINGS, 2000.0, DRAWS)
        for cm in (print_cm, print_cm * more)
    )
    assert (large <= small).all()


def test_a_shorter_time_is_never_worse() -> None:
    times = settings_of(f_number=2.8, shutter_s=[1 / 30, 1 / 125, 1 / 500, 1 / 2000], iso=400)
    shares = frame_shares(usual_scene(), times, 2000.0, DRAWS)
    assert (np.diff(shares) >= 0).all()
    assert shares[-1] > shares[0] + 0.2


def test_a_print_beyond_the_pixels_holds_never() -> None:
    scene = replace(usual_scene(), promise=PlanPrint(print_cm=150))
    assert (frame_shares(scene, SETTINGS, 2000.0, DRAWS) == 0).all()
    (frames, *_) = middle_frames(scene, SETTINGS, 2000.0, DRAWS)
    assert 0 < frames[0].reach_cm.value < 112


def test_flash_freezes_but_for_the_ghost() -> None:
    """Three stops under leave a ghost of 12 %, five stops 3 % (trade practice, own sums)."""
    lively = replace(
        NOTHING_MOVES,
        sitters=(
            (
                1.0,
                SitterSpeed(median_mm_per_s=300, log_sd=0.3, unsure_log_sd=0, source="made up"),
            ),
        ),
    )
    settings = settings_of(
        f_number=2.8,
        shutter_s=1 / 60,
        iso=100,
        motion_s=[1 / 60, 1 / 8000, 1 / 8000, 1 / 8000],
        ghost_share=[0, 0.12, 0.03, 0],
    )
    shares = frame_shares(lively, settings, 2000.0, DRAWS)
    assert shares[0] < 0.02
    assert shares[3] > 0.95
    assert shares[1] <= shares[2] <= shares[3]


def test_groups_move_one_by_one() -> None:
    one = usual_scene(3000.0)
    three = replace(one, eyes_mm=(3000.0,) * 3, person=(0, 1, 2))
    draws = draw_frames(np.random.default_rng(4), people=3, frames=1024)
    slow = settings_of(f_number=2.8, shutter_s=1 / 30, iso=400)
    alone = frame_shares(one, slow, 3000.0, DRAWS)[0]
    assert frame_shares(three, slow, 3000.0, draws)[0] < alone - 0.02
    together = replace(three, person=(0, 0, 0))
    assert frame_shares(together, slow, 3000.0, DRAWS)[0] == pytest.approx(alone, abs=1e-9)


def test_the_interval_holds_the_value_and_widens_with_doubt() -> None:
    scene = usual_scene()
    doubtful = share_with_interval(scene, SETTINGS, 2000.0, DRAWS)
    sure = replace(scene, focus=replace(scene.focus, unsure_log_sd=0.01))
    surer = share_with_interval(sure, SETTINGS, 2000.0, DRAWS)
    for wide in doubtful:
        assert 0 <= wide.low <= wide.value <= wide.high <= 1
    assert sum(w.high - w.low for w in doubtful) > sum(n.high - n.low for n in surer)
    assert doubtful == share_with_interval(scene, SETTINGS, 2000.0, plan_draws())


def test_costs_count_each_eye_and_frame() -> None:
    scene = usual_scene(2000.0, 2027.0)
    limits = limits_of(scene, SETTINGS)
    blurs = frame_blurs(scene, 2000.0, DRAWS)
    costs = frame_costs(limits, SETTINGS, blurs)
    assert costs.shape == (4, 2, DRAWS.focus_z.size)
    line = blurs.line_um_per_s / 250
    alone = limits.cost(blurs.disc_um[0, :1] / SETTINGS.f_number, line[0, :1])
    assert costs[:, 0, 0] == pytest.approx(alone)


def test_the_middle_frame_of_an_exact_scene_is_what_the_lens_makes() -> None:
    scene = replace(NOTHING_MOVES, eyes_mm=(2000.0, 2027.0), person=(0, 0), focus=EXACT)
    ((near, far),) = middle_frames(scene, SETTINGS.at(1), 2000.0, DRAWS)
    assert near.disc_um == pytest.approx(0, abs=1e-3)
    told = blur_circle_um(
        focal_length_mm=85, f_number=2.8, focus_distance_mm=2000, subject_distance_mm=2027
    )
    assert far.disc_um == pytest.approx(told, rel=1e-4)
    assert near.reach_cm.value > far.reach_cm.value


def test_unsure_glass_widens_the_interval_wide_open_and_hardly_stopped_down() -> None:
    """Usual glass is known to x / 1.5 only; glass that was measured far better."""
    wide = settings_of(f_number=[1.4, 4.0], shutter_s=1 / 1000, iso=400)
    usual = usual_scene()
    known = replace(usual, kit=replace(usual.kit, glass_um=GLASS_BEST_UM))
    doubtful, sure = (share_with_interval(s, wide, 2000.0, DRAWS) for s in (usual, known))
    widths = [[m.high - m.low for m in told] for told in (doubtful, sure)]
    assert widths[0][0] > widths[1][0] + 0.1
    assert widths[0][1] == pytest.approx(widths[1][1], abs=0.05)
    assert [m.value for m in doubtful] == [m.value for m in sure]


def test_glass_with_its_interval_is_as_sure_as_that() -> None:
    """A chart that says 0 to 3 µm is no 1 µm known to one in twelve."""
    wide = settings_of(f_number=[1.4, 4.0], shutter_s=1 / 1000, iso=400)
    usual = usual_scene()
    known = replace(usual.kit, glass_um=GLASS_BEST_UM, glass_wide_um=GLASS_WIDE_UM)
    ranged = replace(
        known, glass_range_um=(0.0, 3.0), glass_wide_range_um=(0.5 * GLASS_WIDE_UM, 6.0)
    )
    alike = replace(known, glass_range_um=(0.92, 1.085), glass_wide_range_um=(2.76, 3.26))
    doubtful, sure, near = (
        share_with_interval(replace(usual, kit=kit), wide, 2000.0, DRAWS)
        for kit in (ranged, known, alike)
    )
    for number, wider in enumerate((0.1, 0.01)):
        widths = [told[number].high - told[number].low for told in (doubtful, sure)]
        assert widths[0] > widths[1] + wider
        for end in ("low", "value", "high"):
            assert getattr(near[number], end) == pytest.approx(getattr(sure[number], end), abs=0.01)
