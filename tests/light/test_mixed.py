"""Flash beside the light of a room: shares that add up, ghosts, the black frame."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    ambient_level,
    ambient_share,
    black_frame,
    flash_f_number,
    flash_level,
    ghost_mm,
    ghost_share,
    power_beside_ambient,
    stops_under_for_ev,
)

values = st.floats(0, 15)
f_numbers = st.floats(1.2, 22)
times = st.floats(1 / 250, 1)
isos = st.floats(50, 6400)


@given(ev=values, n=f_numbers, t=times, iso=isos, flash=f_numbers)
def test_shares_add_up(ev: float, n: float, t: float, iso: float, flash: float) -> None:
    share = ambient_share(exposure_ev=ev, f_number=n, time_s=t, iso=iso, flash_f_number=flash)
    room = ambient_level(exposure_ev=ev, f_number=n, time_s=t, iso=iso)
    own = flash_level(flash_f_number=flash, f_number=n)
    assert share == pytest.approx(room / (room + own))
    assert 0 < share < 1
    longer = ambient_share(exposure_ev=ev, f_number=n, time_s=2 * t, iso=iso, flash_f_number=flash)
    assert longer > share


@given(ev=values, t=times, iso=isos, gn=st.floats(10, 80))
def test_the_aperture_treats_both_alike(ev: float, t: float, iso: float, gn: float) -> None:
    right = flash_f_number(guide_number_m=gn, distance_mm=2000, iso=iso)
    one, other = (
        ambient_share(exposure_ev=ev, f_number=n, time_s=t, iso=iso, flash_f_number=right)
        for n in (2.8, 11.0)
    )
    assert one == pytest.approx(other)


@given(ev=values, n=f_numbers, t=times, gn=st.floats(10, 80))
def test_power_beside_the_room_exposes_rightly(ev: float, n: float, t: float, gn: float) -> None:
    room = ambient_level(exposure_ev=ev, f_number=n, time_s=t, iso=100)
    right = flash_f_number(guide_number_m=gn, distance_mm=2000)
    full = flash_level(flash_f_number=right, f_number=n)
    power = power_beside_ambient(full_level=full, ambient_level=room)
    if room < 1:
        assert room + power * full == pytest.approx(1)
    else:
        assert power == 0


@given(st.floats(-4, 12))
def test_ghost_and_stops_are_inverses(stops: float) -> None:
    assert stops_under_for_ev(ghost_share(stops)) == pytest.approx(stops, abs=1e-9)
    # Over flash and ghost together it is a little less.
    share = ambient_share(exposure_ev=-stops, f_number=1, time_s=1, iso=100, flash_f_number=1)
    assert share == pytest.approx(ghost_share(stops) / (1 + ghost_share(stops)))


def test_a_dark_room_leaves_no_ghost() -> None:
    share = ambient_share(
        exposure_ev=-math.inf, f_number=8, time_s=1 / 60, iso=400, flash_f_number=8
    )
    assert share == 0


def test_ghost_length() -> None:
    assert ghost_mm(speed_mm_per_s=100, time_s=1 / 50, flash_time_s=1 / 1000) == pytest.approx(1.9)
    assert ghost_mm(speed_mm_per_s=100, time_s=1 / 1000, flash_time_s=1 / 250) == 0
    times = np.array([1 / 60, 1 / 200])
    assert ghost_mm(speed_mm_per_s=50, time_s=times, flash_time_s=1 / 250).shape == (2,)


@given(ev=values, n=f_numbers, t=times, iso=isos)
def test_black_frame_is_five_stops_under(ev: float, n: float, t: float, iso: float) -> None:
    level = ambient_level(exposure_ev=ev, f_number=n, time_s=t, iso=iso)
    black = black_frame(exposure_ev=ev, f_number=n, time_s=t, iso=iso)
    if abs(level * 32 - 1) > 1e-9:
        assert black == (level < 1 / 32)


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="ambient_level"):
        power_beside_ambient(full_level=1.0, ambient_level=-0.1)
    with pytest.raises(InputError, match="flash_f_number"):
        flash_level(flash_f_number=0, f_number=8)
    with pytest.raises(InputError, match="ghost_share"):
        stops_under_for_ev(0.0)
    with pytest.raises(InputError, match="speed_mm_per_s"):
        ghost_mm(speed_mm_per_s=-1, time_s=0.1, flash_time_s=0.01)
