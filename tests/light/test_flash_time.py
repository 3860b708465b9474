"""How long a flash glows: against sums over the glow itself, and the limits of sync."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    FULL_POWER_S,
    SHORTEST_FLASH_S,
    dark_bar_share,
    effective_shutter_s,
    flash_time_s,
    high_speed_sync_loss_ev,
    t01_from_t05_s,
)

powers = st.floats(1 / 64, 1)
glows = st.floats(1 / 1000, 1 / 100)


def brightness(time_s: np.ndarray, *, power: float, full_power_s: float) -> np.ndarray:
    """Return a glow that decays and is cut off once `power` of its light is out, by brute force."""
    glow = 10.0 ** (-time_s / full_power_s)
    total = full_power_s / math.log(10)
    out = np.cumsum(glow) * (time_s[1] - time_s[0]) / total
    return np.where(out <= power, glow, 0.0)


@given(power=powers, full=glows)
def test_duration_against_the_glow_itself(power: float, full: float) -> None:
    time_s = np.linspace(0, 2 * full, 50_000)
    glow = brightness(time_s, power=power, full_power_s=full)
    above = (glow > 0.1).sum() * (time_s[1] - time_s[0])
    expected = max(above, SHORTEST_FLASH_S)
    found = flash_time_s(power=power, full_power_s=full)
    assert found == pytest.approx(expected, rel=2e-2, abs=3e-6)


@given(power=powers, full=glows)
def test_less_power_is_shorter(power: float, full: float) -> None:
    here = flash_time_s(power=power, full_power_s=full)
    assert here <= full * (1 + 1e-12)
    assert flash_time_s(power=0.7 * power, full_power_s=full) <= here
    effective = effective_shutter_s(power=power, full_power_s=full)
    assert effective_shutter_s(power=0.7 * power, full_power_s=full) <= effective
    assert 0.8 * here <= effective <= 1.2 * here


@given(power=powers, full=glows, time_s=st.floats(1 / 8000, 1))
def test_the_shutter_only_cuts(power: float, full: float, time_s: float) -> None:
    cut = effective_shutter_s(power=power, full_power_s=full, time_s=time_s)
    assert cut <= effective_shutter_s(power=power, full_power_s=full)
    assert cut <= time_s * (1 + 1e-12)


def test_the_least_power_has_a_floor() -> None:
    assert flash_time_s(power=1 / 1024) == SHORTEST_FLASH_S
    assert effective_shutter_s(power=1 / 1024) == SHORTEST_FLASH_S


def test_half_the_light_is_out_at_half_the_peak() -> None:
    # Of an exponential glow: the light up to t.5 is half, up to t.1 nine tenths.
    t01 = t01_from_t05_s(1 / 1000)
    time_s = np.linspace(0, 10 * t01, 100_001)
    glow = 10.0 ** (-time_s / t01)
    total = np.trapezoid(glow, time_s)
    for end_s, share in ((1 / 1000, 0.5), (t01, 0.9)):
        part = time_s <= end_s
        assert np.trapezoid(glow[part], time_s[part]) / total == pytest.approx(share, abs=2e-3)


@given(full=glows, slow=st.floats(1.0, 30))
def test_what_the_shutter_cuts_off_the_tail(full: float, slow: float) -> None:
    sync = 1 / 200
    loss = high_speed_sync_loss_ev(time_s=slow * sync, sync_s=sync, full_power_s=full)
    time_s = np.linspace(0, 20 * full, 50_001)
    glow = 10.0 ** (-time_s / full)
    kept = glow[time_s <= slow * sync].sum() / glow.sum()
    assert loss == pytest.approx(-math.log2(kept), abs=2e-3)


def test_pulsing_costs_a_stop_for_each_stop_of_time() -> None:
    times = np.array([1 / 400, 1 / 800, 1 / 1600, 1 / 8000])
    loss = high_speed_sync_loss_ev(time_s=times, sync_s=1 / 200)
    assert np.allclose(np.diff(loss), [1, 1, math.log2(5)])
    assert loss[0] > 2


@pytest.mark.parametrize("time_s", [1 / 200, 0.00501, 1 / 199.9])
def test_the_limit_itself_does_not_pulse(time_s: float) -> None:
    assert high_speed_sync_loss_ev(time_s=time_s, sync_s=1 / 200) < 0.1


@given(st.floats(1 / 8000, 1))
def test_dark_bar(time_s: float) -> None:
    bar = dark_bar_share(time_s=time_s, sync_s=1 / 200)
    assert 0 <= bar < 1
    assert (bar == 0) == (time_s >= 1 / 200)


def test_arrays() -> None:
    power = np.array([1.0, 0.5, 0.25])
    assert flash_time_s(power=power).tolist() == [flash_time_s(power=float(p)) for p in power]
    both = effective_shutter_s(power=power[:, None], time_s=np.array([1 / 200, 1 / 60]))
    assert both.shape == (3, 2)
    assert both[1, 1] == effective_shutter_s(power=0.5, time_s=1 / 60)
    assert type(effective_shutter_s()) is float
    assert flash_time_s() == pytest.approx(FULL_POWER_S)


@pytest.mark.parametrize("bad", [0.0, -0.5, 1.01, float("nan")])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(InputError, match="power"):
        flash_time_s(power=bad)
    with pytest.raises(InputError, match="power"):
        effective_shutter_s(power=np.array([0.5, bad]))
