"""Frames of one sitter, worked out for many settings at once, against the plain sums."""

from dataclasses import replace

import numpy as np
import pytest
from tests.plan.sitter_scene import KIT, PROMISE, SCENE, two_eyes

from eyeplane.light import SKIN_LEVEL
from eyeplane.optics import blur_circle_um
from eyeplane.plan.draws import plan_draws
from eyeplane.plan.expected import (
    FAR,
    NEAR,
    expected,
    motion_shares,
    shares,
    shares_with_interval,
    with_beliefs,
)
from eyeplane.plan.frames import frame_blurs
from eyeplane.plan.limit_table import limit_table, most_cm, motion_limits
from eyeplane.plan.scene import settings_of
from eyeplane.plan.share import frame_shares, limits_of, share_with_interval

SETTINGS = settings_of(
    f_number=[1.4, 2.8, 2.8, 4.0, 5.6, 8.0, 5.6, 5.6],
    shutter_s=[1 / 2000, 1 / 500, 1 / 60, 1 / 250, 1 / 200, 1 / 100, 1 / 60, 1 / 125],
    iso=[400, 1600, 200, 800, 100, 6400, 100, 3200],
    motion_s=[1 / 2000, 1 / 500, 1 / 60, 1 / 250, 1 / 2000, 1 / 100, 1 / 1000, 1 / 125],
    ghost_share=[0, 0, 0, 0, 0.05, 0, 0.4, 0],
    level=[SKIN_LEVEL] * 7 + [SKIN_LEVEL / 8],
)


@pytest.mark.parametrize("eyes", [(NEAR,), (FAR,), (NEAR, FAR)])
def test_shares_are_those_of_the_plain_sum(eyes: tuple[int, ...]) -> None:
    frames = expected(SCENE, focus_mm=2000.0, eyes=eyes)
    plain = frame_shares(two_eyes(), SETTINGS, 2000.0, plan_draws(), list(eyes))
    assert shares(frames, SETTINGS) == pytest.approx(plain, abs=1e-12)
    assert 0 < np.count_nonzero(plain) < len(SETTINGS) + 1


def test_intervals_are_those_of_the_plain_sum() -> None:
    frames = with_beliefs(expected(SCENE, focus_mm=2000.0, eyes=(NEAR, FAR)))
    told = shares_with_interval(frames, SETTINGS)
    for which, name in (([0], "near"), ([1], "far"), ([0, 1], "both")):
        plain = share_with_interval(two_eyes(), SETTINGS, 2000.0, plan_draws(), which)
        for one, other in zip(told, plain, strict=True):
            mine = getattr(one, name)
            assert mine.value == pytest.approx(other.value, abs=1e-12)
            # Drawn alike, but shifted by what the fewer frames lie off the whole.
            assert mine.low == pytest.approx(other.low, abs=0.05)
            assert mine.high == pytest.approx(other.high, abs=0.05)
    assert all(one.counting == one.both for one in told)


def test_beliefs_drawn_once_or_for_each_question_are_the_same() -> None:
    frames = expected(SCENE, focus_mm=2000.0)
    first = shares_with_interval(with_beliefs(frames), SETTINGS)
    assert shares_with_interval(frames, SETTINGS) == first


def test_motion_alone_against_a_count() -> None:
    frames = with_beliefs(expected(SCENE, focus_mm=2000.0))
    limits = motion_limits(KIT, PROMISE, f_number=4.0)
    times = np.array([1 / 1000, 1 / 250, 1 / 60])
    settings = settings_of(f_number=4.0, shutter_s=times, iso=400.0)
    told = motion_shares(frames, settings, limits=limits)
    lines = frame_blurs(SCENE, 2000.0, plan_draws()).line_um_per_s[NEAR]
    for one, time_s in zip(told, times, strict=True):
        assert one.value == pytest.approx((lines * time_s <= limits.line_um[0]).mean())
        assert one.low <= one.value <= one.high
    held = shares_with_interval(frames, settings)
    assert all(m.value >= h.near.value for m, h in zip(told, held, strict=True))


def test_the_table_gives_what_the_limits_give() -> None:
    table = limit_table(KIT, PROMISE)
    for settings in (SETTINGS, SETTINGS.at([0, 1, 2, 3])):
        one, other = table.at(settings), limits_of(SCENE, settings)
        assert one.disc_um == pytest.approx(other.disc_um, rel=1e-9)
        assert one.line_um == pytest.approx(other.line_um, rel=1e-9)
        assert one.room_share == pytest.approx(other.room_share, rel=1e-9)


def test_the_table_is_the_same_for_every_lens_and_light_limit() -> None:
    other = replace(KIT, focal_length_mm=50.0, highest_iso=3200.0, stabiliser_stops=3.0)
    assert limit_table(other, PROMISE) is limit_table(KIT, PROMISE)
    assert limit_table(replace(KIT, glass_um=4.0), PROMISE) is not limit_table(KIT, PROMISE)


def test_a_kit_with_marks_of_its_own_is_in_the_table() -> None:
    kit = replace(KIT, widest_f_number=1.7, smallest_f_number=19.0)
    settings = settings_of(f_number=[1.7, 19.0], shutter_s=1 / 100, iso=100.0)
    scene = replace(SCENE, kit=kit)
    assert limit_table(kit, PROMISE).at(settings).disc_um == pytest.approx(
        limits_of(scene, settings).disc_um
    )


def test_pixels_hold_no_more_than_a_frame_without_any_blur() -> None:
    # 6000 px seen from 50 cm hold 112 cm without blur or noise (optics.reach_cm's own example).
    assert 90.0 < most_cm(KIT, viewing_cm=50.0) <= 112.5
    assert most_cm(KIT, viewing_cm=100.0) == pytest.approx(
        2 * most_cm(KIT, viewing_cm=50.0), rel=0.01
    )


def test_the_disc_of_a_frame_is_the_thin_lens() -> None:
    still = replace(
        SCENE,
        focus=replace(SCENE.focus, bias_mm=0.0, spread_mm=1e-9, miss_share=0.0),
    )
    frames = expected(still, focus_mm=2000.0)
    whole = blur_circle_um(
        focal_length_mm=85.0, f_number=1.0, focus_distance_mm=2000.0, subject_distance_mm=2026.5
    )
    assert np.median(frames.blurs.disc_um[FAR]) == pytest.approx(whole, rel=1e-6)
