"""Which settings the light allows: exposure closes, limits hold, errors say the way out."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import exposure_value_ev, true_f_number, true_iso, true_shutter_s
from eyeplane.plan.candidates import candidates
from eyeplane.plan.scene import Settings, settings_of
from eyeplane.records import PlanChoice, PlanKit, PlanLight

KIT = PlanKit(focal_length_mm=85.0, highest_iso=6400.0)
FREE = PlanChoice()
FLASH = PlanLight(kind="flash", guide_number_m=40.0, exposure_ev=5.0)


def found(
    light: PlanLight, choice: PlanChoice = FREE, kit: PlanKit = KIT, distance_mm: float = 2000.0
) -> Settings:
    return candidates(kit, light, choice, distance_mm=distance_mm).settings


def right_ev(settings: Settings) -> np.ndarray:
    return np.asarray(
        exposure_value_ev(
            f_number=true_f_number(settings.f_number),
            time_s=true_shutter_s(settings.shutter_s),
            iso=true_iso(settings.iso),
        )
    )


@given(st.floats(0.5, 16.0))
def test_every_setting_exposes_the_light_to_half_a_third(exposure_ev: float) -> None:
    settings = found(PlanLight(exposure_ev=exposure_ev))
    assert np.abs(right_ev(settings) - exposure_ev).max() <= 1 / 6 + 1e-5


@given(st.floats(0.5, 16.0), st.floats(1.2, 4.0), st.floats(4.0, 22.0), st.floats(200.0, 12_800.0))
def test_limits_hold(exposure_ev: float, widest: float, smallest: float, highest: float) -> None:
    kit = replace(
        KIT, widest_f_number=widest, smallest_f_number=smallest, highest_iso=highest, slowest_s=1.0
    )
    try:
        settings = found(PlanLight(exposure_ev=exposure_ev), kit=kit)
    except InputError:
        return  # too dark or too bright for them: another test
    # A limit takes in the mark that it names, to a hundredth.
    assert settings.f_number.min() >= widest * 0.99
    assert settings.f_number.max() <= smallest * 1.01
    assert settings.iso.min() >= 99
    assert settings.iso.max() <= highest * 1.01
    assert settings.shutter_s.max() <= 1.01
    assert settings.shutter_s.min() >= 0.99 / 8000


def test_two_settled_leave_the_third_to_the_light() -> None:
    # APEX: EV 9 at f/4 and 1/125 s asks for ISO 400; f/8 for 1600; at ISO 400 f/8 for 1/30 s.
    light = PlanLight(exposure_ev=9.0)
    assert found(light, PlanChoice(f_number=4.0, shutter_s=1 / 125)).iso == [400]
    assert found(light, PlanChoice(f_number=8.0, shutter_s=1 / 125)).iso == [1600]
    by_time = found(light, PlanChoice(f_number=8.0, iso=400.0))
    assert by_time.shutter_s == pytest.approx([1 / 30])
    by_stop = found(light, PlanChoice(shutter_s=1 / 125, iso=400.0))
    assert by_stop.f_number == [4.0]


def test_all_settled_says_how_far_off() -> None:
    light = PlanLight(exposure_ev=9.0)
    choice = PlanChoice(f_number=4.0, shutter_s=1 / 125, iso=1600.0)
    told = candidates(KIT, light, choice, distance_mm=2000.0)
    assert told.off_ev == pytest.approx(2.0)
    assert told.settings.level == pytest.approx(0.18 * 4)
    with pytest.raises(InputError, match="over-expose this light by four stops"):
        found(light, replace(choice, iso=6400.0))


def test_off_marks_are_used_as_they_are() -> None:
    kit = replace(KIT, widest_f_number=1.7)
    assert found(PlanLight(exposure_ev=6.0), kit=kit).f_number.min() == 1.7


@pytest.mark.parametrize(
    ("exposure_ev", "kit", "says"),
    [
        (-6.0, KIT, "too dark for f/1.4, 1/15.s and ISO 6400"),
        (21.0, replace(KIT, fastest_s=1 / 4000), "too bright for f/16, 1/4000.s and ISO 100"),
    ],
)
def test_light_out_of_reach_says_the_limits(exposure_ev: float, kit: PlanKit, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        found(PlanLight(exposure_ev=exposure_ev), kit=kit)
    assert caught.value.hint


def test_the_way_out_of_the_dark_is_enough() -> None:
    with pytest.raises(InputError) as caught:
        found(PlanLight(exposure_ev=-2.0))
    times = float(caught.value.hint.split()[1])
    found(PlanLight(exposure_ev=-2.0 + math.log2(times) + 0.05))


@pytest.mark.parametrize(
    ("kit", "choice", "where"),
    [
        (replace(KIT, widest_f_number=8.0, smallest_f_number=4.0), FREE, "aperture"),
        (replace(KIT, base_iso=800.0, highest_iso=400.0), FREE, "iso"),
        (replace(KIT, fastest_s=0.0), FREE, "shutter"),
        (KIT, PlanChoice(f_number=1.2), "aperture"),
        (KIT, PlanChoice(iso=25_600.0), "iso"),
        (KIT, PlanChoice(shutter_s=0.5), "shutter"),
        (KIT, PlanChoice(shutter_s=-1.0), "shutter"),
        (KIT, PlanChoice(iso=math.nan), "iso"),
    ],
)
def test_limits_that_contradict_are_refused(kit: PlanKit, choice: PlanChoice, where: str) -> None:
    with pytest.raises(InputError) as caught:
        found(PlanLight(exposure_ev=9.0), choice, kit)
    assert caught.value.where == where


def test_no_light_given_is_refused() -> None:
    with pytest.raises(InputError, match="how bright"):
        found(PlanLight())
    with pytest.raises(InputError, match="how strong"):
        found(PlanLight(kind="flash"))
    with pytest.raises(InputError, match="no light of a room"):
        found(replace(FLASH, exposure_ev=math.nan))


def test_a_guide_number_sets_the_power() -> None:
    # GN 40 at 5 m and ISO 100 in the dark: f/8 at full power, f/4 at a quarter; handbook rule.
    light = PlanLight(kind="flash", guide_number_m=40.0)
    settings = found(light, PlanChoice(iso=100.0), distance_mm=5000.0)
    power = dict(zip(settings.f_number, settings.flash_power, strict=True))
    assert power[8.0] == pytest.approx(1.0)
    assert power[4.0] == pytest.approx(0.25)
    assert power[2.8] == pytest.approx(0.125)
    assert 9.0 not in power
    assert set(settings.shutter_s) == {1 / 200}
    assert (settings.ghost_share == 0).all()


def test_flash_and_room_together_expose_and_leave_a_ghost() -> None:
    settings = found(FLASH)
    assert (settings.shutter_s >= 0.99 * KIT.sync_s).all()
    room = np.exp2(5.0 - right_ev(settings))
    assert settings.ghost_share == pytest.approx(room, rel=0.13)  # power is in thirds of a stop
    assert (settings.motion_s <= settings.shutter_s).all()
    # One time for each aperture and ISO: the shortest that exposes.
    pairs = set(zip(settings.f_number, settings.iso, strict=True))
    assert len(pairs) == len(settings)


def test_a_weak_flash_takes_the_room_in_by_a_longer_time() -> None:
    weak = replace(FLASH, guide_number_m=4.0, exposure_ev=7.7)
    settings = found(weak, PlanChoice(f_number=11.0, iso=800.0))
    assert settings.shutter_s[0] > 1.5 * KIT.sync_s
    assert settings.ghost_share[0] > 0.3


def test_sync_is_kept_or_refused() -> None:
    with pytest.raises(InputError, match="faster than the flash sync of 1/200"):
        found(FLASH, PlanChoice(shutter_s=1 / 500))
    pulsed = found(replace(FLASH, high_speed_sync=True), PlanChoice(shutter_s=1 / 500))
    assert (pulsed.motion_s == 1 / 500).all()
    assert (pulsed.ghost_share == 0).all()


def test_pulsing_costs_power() -> None:
    # Trade: 2.2 stops at the sync limit and one more for every stop beyond (light.flash_time).
    pulsing = PlanLight(kind="flash", guide_number_m=40.0, high_speed_sync=True)
    slow, fast = (
        found(pulsing, PlanChoice(f_number=5.6, shutter_s=time_s, iso=400.0)).flash_power[0]
        for time_s in (1 / 200, 1 / 800)
    )
    assert math.log2(fast / slow) == pytest.approx(4.2, abs=0.35)


@pytest.mark.parametrize(
    ("light", "says"),
    [
        (replace(FLASH, guide_number_m=0.1, exposure_ev=None), "too weak at 2.0.m for f/1.4"),
        (replace(FLASH, guide_number_m=4000.0), "too strong even at 1/128"),
        (replace(FLASH, exposure_ev=18.0), "room's light alone"),
    ],
)
def test_a_flash_that_cannot_says_why(light: PlanLight, says: str) -> None:
    with pytest.raises(InputError, match=says):
        found(light)


def test_settled_flash_goes_as_far_as_its_power() -> None:
    # GN 40 at 2 m is right at f/20, ISO 100: f/16 at full power would be ⅔ stop over.
    light = PlanLight(kind="flash", guide_number_m=40.0)
    choice = PlanChoice(f_number=8.0, shutter_s=1 / 125, iso=100.0)
    told = candidates(KIT, light, choice, distance_mm=2000.0)
    assert told.off_ev == 0.0
    assert told.settings.flash_power[0] == pytest.approx((8 / 20) ** 2, rel=0.13)
    weak = candidates(KIT, replace(light, guide_number_m=8.0), choice, distance_mm=2000.0)
    assert weak.off_ev == pytest.approx(-2.0, abs=0.02)


@pytest.mark.parametrize("exposure_ev", [-2.0, -5.0, -9.0, -20.0])
def test_times_and_isos_out_of_the_dark_do_alone_or_are_not_named(exposure_ev: float) -> None:
    light = PlanLight(exposure_ev=exposure_ev)
    with pytest.raises(InputError) as caught:
        found(light)
    hint = caught.value.hint
    # A camera has ISO up to 102 400 (four stops over this kit's) and times up to 30 s (nine over).
    widest = settings_of(f_number=1.4, shutter_s=1 / 15, iso=6400)
    short_ev = float(right_ev(widest)[0]) - exposure_ev
    named = re.search(r"allow ISO (\d+)", hint)
    assert (named is not None) == (short_ev <= 4.01)
    if named is not None:
        found(light, kit=replace(KIT, highest_iso=float(named[1])))
    named = re.search(r"allow (1/)?([\d.]+)\u2009s( on a tripod)?", hint)
    assert (named is not None) == (short_ev <= 9.01)
    if named is not None:
        longest_s = 1 / float(named[2]) if named[1] else float(named[2])
        found(light, kit=replace(KIT, slowest_s=longest_s))
    assert "e+" not in hint


def test_a_flash_out_of_reach_names_only_what_there_is() -> None:
    with pytest.raises(InputError) as caught:
        found(PlanLight(kind="flash", guide_number_m=0.001))
    assert "ISO" not in caught.value.hint
    assert "ring it to" not in caught.value.hint  # to a few mm of a face
    with pytest.raises(InputError) as caught:
        found(PlanLight(kind="flash", guide_number_m=0.2))
    named = re.search(r"allow ISO (\d+)", caught.value.hint)
    assert named is not None
    found(
        PlanLight(kind="flash", guide_number_m=0.2),
        kit=replace(KIT, highest_iso=float(named[1])),
    )


def test_what_the_plan_chose_is_rightly_exposed_when_it_is_settled() -> None:
    # Third-stop marks lie up to a sixth of a stop off: that is no wrong exposure.
    light = PlanLight(exposure_ev=8.12)
    free = found(light, PlanChoice(f_number=4.0, shutter_s=1 / 125))
    choice = PlanChoice(f_number=4.0, shutter_s=1 / 125, iso=float(free.iso[0]))
    told = candidates(KIT, light, choice, distance_mm=2000.0)
    assert told.off_ev == 0.0
    assert told.settings.level == free.level


def test_a_slow_flash_is_cut_at_full_power_and_whole_when_dimmed() -> None:
    # t.1 of 1/100 s at a sync of 1/250 s: e-fold in 1/230 s, so 60 % of a full discharge gets
    # through, and all of one that is cut off before: an exponential discharge (check of the sums).
    kit = replace(KIT, sync_s=1 / 250, smallest_f_number=22.0)
    slow = PlanLight(kind="flash", guide_number_m=40.0, full_power_s=1 / 100)
    quick = replace(slow, full_power_s=1 / 2000)

    def power(light: PlanLight, f_number: float) -> float:
        choice = PlanChoice(f_number=f_number, iso=100.0)
        return float(found(light, choice, kit, distance_mm=2000.0).flash_power[0])

    for f_number in (2.8, 5.6, 11.0):  # GN 40 at 2 m asks for f/20 at full power
        assert power(slow, f_number) == power(quick, f_number)
    assert power(quick, 18.0) == pytest.approx(0.794, abs=0.01)
    # At 1/160 s all of it gets through again; at the sync limit alone it does not.
    choice = PlanChoice(f_number=18.0, iso=100.0)
    assert found(slow, choice, kit, distance_mm=2000.0).shutter_s[0] == 1 / 160
    with pytest.raises(InputError, match="too weak"):
        found(slow, choice, replace(kit, slowest_s=1 / 250), distance_mm=2000.0)
