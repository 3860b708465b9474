"""Flash by guide number: inverses, monotony, steps of power and their names."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    LEAST_POWER,
    POWER_STEPS,
    combined_guide_number_m,
    flash_distance_mm,
    flash_f_number,
    flash_guide_number_m,
    flash_iso_for,
    guide_number_from_feet_m,
    guide_number_ft,
    may_flash_at,
    nearest_power,
    power_for,
    power_name,
)

numbers = st.floats(2, 200)
distances = st.floats(200, 30_000)
isos = st.floats(50, 25_600)
powers = st.floats(1 / 256, 1)


@given(gn=numbers, d=distances, iso=isos, power=powers)
def test_each_follows_from_the_others(gn: float, d: float, iso: float, power: float) -> None:
    n = flash_f_number(guide_number_m=gn, distance_mm=d, iso=iso, power=power)
    back = flash_guide_number_m(f_number=n, distance_mm=d, iso=iso, power=power)
    assert back == pytest.approx(gn)
    far = flash_distance_mm(guide_number_m=gn, f_number=n, iso=iso, power=power)
    assert far == pytest.approx(d)
    found = power_for(guide_number_m=gn, distance_mm=d, f_number=n, iso=iso)
    assert found == pytest.approx(power)
    speed = flash_iso_for(guide_number_m=gn, distance_mm=d, f_number=n, power=power)
    assert speed == pytest.approx(iso)


@given(gn=numbers, d=distances)
def test_a_stop_is_a_stop_everywhere(gn: float, d: float) -> None:
    n = flash_f_number(guide_number_m=gn, distance_mm=d)
    stop = math.sqrt(2)
    assert flash_f_number(guide_number_m=gn, distance_mm=d, iso=200) == pytest.approx(n * stop)
    assert flash_f_number(guide_number_m=gn, distance_mm=d * stop) == pytest.approx(n / stop)
    assert flash_f_number(guide_number_m=gn, distance_mm=d, power=0.5) == pytest.approx(n / stop)


@given(gn=numbers)
def test_feet_and_metres(gn: float) -> None:
    assert guide_number_from_feet_m(guide_number_ft(gn)) == pytest.approx(gn)
    # The aperture is the same in either unit.
    in_feet = guide_number_ft(gn) / (3000 / 304.8)
    assert flash_f_number(guide_number_m=gn, distance_mm=3000) == pytest.approx(in_feet)


@given(st.lists(numbers, min_size=1, max_size=4))
def test_the_light_of_several_flashes_adds(several: list[float]) -> None:
    total = combined_guide_number_m(*several)
    one = flash_f_number(guide_number_m=total, distance_mm=2000) ** 2
    each = sum(flash_f_number(guide_number_m=g, distance_mm=2000) ** 2 for g in several)
    assert one == pytest.approx(each)


def test_power_steps_are_thirds() -> None:
    assert POWER_STEPS[0] == 1
    assert POWER_STEPS[-1] == pytest.approx(LEAST_POWER)
    ratios = np.log2(np.array(POWER_STEPS[:-1]) / np.array(POWER_STEPS[1:]))
    assert np.allclose(ratios, 1 / 3)


@given(st.floats(1 / 200, 1.5))
def test_nearest_power(power: float) -> None:
    found = nearest_power(power)
    assert min(abs(found / step - 1) for step in POWER_STEPS) < 1e-9
    within = min(max(power, LEAST_POWER), 1.0)
    assert abs(math.log2(found / within)) <= 1 / 6 + 1e-9
    enough = nearest_power(power, higher=True)
    assert enough >= within * (1 - 1e-5)
    assert enough < 1.27 * within


def test_power_as_flashes_show_it() -> None:
    names = [power_name(step) for step in POWER_STEPS]
    assert names[:7] == ["1/1", "1/2 + 0.7", "1/2 + 0.3", "1/2", "1/4 + 0.7", "1/4 + 0.3", "1/4"]
    assert names[-1] == "1/128"
    assert len(set(names)) == len(POWER_STEPS)


def test_arrays_broadcast() -> None:
    f_number, iso = np.array([2.0, 4.0])[:, None], np.array([100.0, 400.0, 1600.0])
    power = power_for(guide_number_m=32, distance_mm=2000, f_number=f_number, iso=iso)
    assert power.shape == (2, 3)
    assert power[1].tolist() == [1 / 16, 1 / 64, 1 / 256]
    assert nearest_power(power).shape == (2, 3)


def test_rate() -> None:
    assert may_flash_at(3.0)
    assert not may_flash_at(3.5)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan")])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(InputError, match="guide_number_m"):
        flash_f_number(guide_number_m=bad, distance_mm=2000)
    with pytest.raises(InputError, match="distance_mm"):
        power_for(guide_number_m=40, distance_mm=bad, f_number=8)
    with pytest.raises(InputError, match="guide_number_m"):
        combined_guide_number_m(40, bad)
    with pytest.raises(InputError, match="power"):
        flash_iso_for(guide_number_m=40, distance_mm=2000, f_number=8, power=bad)
