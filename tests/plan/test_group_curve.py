"""Shares by shutter time, and ways to more light, for a group."""

from dataclasses import replace

import pytest
from tests.plan.group_requests import FLASH, TWO_ROWS

from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.group_curve import curve_of, ways_of
from eyeplane.plan.group_frames import beliefs_of
from eyeplane.records import PlanLight


def test_motion_alone_holds_more_often_at_shorter_times() -> None:
    choice = group_choice(TWO_ROWS)
    curve = curve_of(choice, beliefs_of(choice.frames))
    times = [point.shutter_s for point in curve]
    motion = [point.motion_share.value for point in curve]
    assert times == sorted(times)
    assert motion == sorted(motion, reverse=True)
    for point in curve:
        assert point.share.value <= point.motion_share.value + 0.01
    assert [p.shutter_s for p in curve if p.reciprocal] == [pytest.approx(1 / 50)]
    best = next(p for p in curve if p.shutter_s == pytest.approx(choice.best.shutter_s[0]))
    assert best.share.value == pytest.approx(choice.shares[choice.order[0]])
    assert best.allowed
    assert not curve[0].allowed  # beyond the ISO ceiling


def test_where_a_flash_ends_the_exposure_the_shutter_matters_little() -> None:
    choice = group_choice(FLASH)
    curve = curve_of(choice, beliefs_of(choice.frames))
    assert min(point.shutter_s for point in curve) >= FLASH.kit.sync_s * 0.99
    shares = [point.share.value for point in curve]
    assert max(shares) - min(shares) < 0.01


def test_ways_to_more_light_stand_side_by_side() -> None:
    choice = group_choice(TWO_ROWS)
    ways = {way.way: way for way in ways_of(choice, beliefs_of(choice.frames))}
    now = ways["now"]
    assert set(ways) == {"now", "more light", "wider aperture", "slower shutter"}
    assert now.share.value == pytest.approx(choice.shares[choice.order[0]])
    for way in ways.values():
        assert way.reach_cm.low <= way.reach_cm.value <= way.reach_cm.high
        if way is not now:
            assert way.iso == pytest.approx(now.iso / 2, rel=0.03)
            assert way.noise_cost_cm <= now.noise_cost_cm + 0.1
    # Half the noise gains less than none would, and that little beside what blur costs.
    gained = ways["more light"].reach_cm.value - now.reach_cm.value
    assert 0.0 < gained < now.noise_cost_cm < 0.2 * now.reach_cm.value
    assert ways["more light"].share.value >= now.share.value - 0.01
    assert ways["wider aperture"].f_number == pytest.approx(now.f_number / 2**0.5, rel=0.05)
    assert ways["slower shutter"].shutter_s == pytest.approx(now.shutter_s * 2, rel=0.05)


def test_at_base_iso_there_is_nothing_to_lower() -> None:
    bright = replace(TWO_ROWS, light=PlanLight(exposure_ev=15.0))
    choice = group_choice(replace(bright, kit=replace(bright.kit, highest_iso=100.0)))
    assert [way.way for way in ways_of(choice, beliefs_of(choice.frames))] == ["now"]
