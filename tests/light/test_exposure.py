"""The exposure triangle: each setting is the inverse of the other two, arrays as single numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import (
    F_NUMBERS,
    ISOS,
    SHUTTER_TIMES_S,
    aperture_value_ev,
    exposure_from_luminance_ev,
    exposure_from_lux_ev,
    exposure_value_ev,
    f_number_for,
    illuminance_lux,
    iso_for,
    luminance_cd_per_m2,
    nearest_iso,
    over_exposure_ev,
    speed_value_ev,
    time_for_s,
    time_value_ev,
    true_f_number,
    true_iso,
    true_shutter_s,
)

values = st.floats(-6, 20)
f_numbers = st.floats(0.9, 32)
times = st.floats(1 / 8000, 30)
isos = st.floats(50, 102_400)


@given(f_number=f_numbers, time_s=times, iso=isos)
def test_each_setting_follows_from_the_others(f_number: float, time_s: float, iso: float) -> None:
    ev = exposure_value_ev(f_number=f_number, time_s=time_s, iso=iso)
    assert iso_for(exposure_ev=ev, f_number=f_number, time_s=time_s) == pytest.approx(iso)
    assert time_for_s(exposure_ev=ev, f_number=f_number, iso=iso) == pytest.approx(time_s)
    assert f_number_for(exposure_ev=ev, time_s=time_s, iso=iso) == pytest.approx(f_number)
    over = over_exposure_ev(exposure_ev=ev + 1.5, f_number=f_number, time_s=time_s, iso=iso)
    assert over == pytest.approx(1.5)


@given(f_number=f_numbers, time_s=times, iso=isos)
def test_apex_adds_up(f_number: float, time_s: float, iso: float) -> None:
    # Av + Tv = Bv + Sv: at ISO 100 the speed value is 5.
    ev = exposure_value_ev(f_number=f_number, time_s=time_s, iso=iso)
    parts = aperture_value_ev(f_number) + time_value_ev(time_s) - (speed_value_ev(iso) - 5)
    assert ev == pytest.approx(parts, abs=1e-9)


@given(exposure_ev=values, constant=st.floats(200, 540))
def test_light_and_value_are_inverses(exposure_ev: float, constant: float) -> None:
    lux = illuminance_lux(exposure_ev, constant=constant)
    assert exposure_from_lux_ev(lux, constant=constant) == pytest.approx(exposure_ev, abs=1e-9)
    assert illuminance_lux(exposure_ev + 1, constant=constant) == pytest.approx(2 * lux)
    bright = luminance_cd_per_m2(exposure_ev)
    assert exposure_from_luminance_ev(bright) == pytest.approx(exposure_ev, abs=1e-9)


def test_exact_third_stops_close() -> None:
    # With what the marks stand for, every aperture and time asks for a marked ISO, no rounding.
    f_number = true_f_number(np.array(F_NUMBERS))[:, None]
    time_s = true_shutter_s(np.array(SHUTTER_TIMES_S))[None, :]
    iso = iso_for(exposure_ev=9 + 1 / 3, f_number=f_number, time_s=time_s)
    within = (iso > 49.9) & (iso < 102_401)
    assert within.sum() > 400
    marks = nearest_iso(iso[within])
    assert set(marks.tolist()) == set(ISOS)
    assert np.allclose(true_iso(marks), iso[within], rtol=1e-9)


def test_arrays_broadcast_against_single_numbers() -> None:
    f_number, time_s = np.array([2.0, 4.0, 8.0])[:, None], np.array([1 / 64, 1 / 256])
    iso = iso_for(exposure_ev=8, f_number=f_number, time_s=time_s)
    assert iso.shape == (3, 2)
    assert iso.tolist() == [[100, 400], [400, 1600], [1600, 6400]]
    back = exposure_value_ev(f_number=f_number, time_s=time_s, iso=iso)
    assert np.allclose(back, 8)
    assert isinstance(iso_for(exposure_ev=8, f_number=2, time_s=1), float)


@pytest.mark.parametrize("bad", [0.0, -2.8, float("nan"), float("inf")])
def test_nonsense_is_refused_by_name(bad: float) -> None:
    with pytest.raises(InputError, match="f_number"):
        exposure_value_ev(f_number=bad, time_s=1.0, iso=100.0)
    with pytest.raises(InputError, match="time_s"):
        iso_for(exposure_ev=9, f_number=4, time_s=np.array([0.1, bad]))
    with pytest.raises(InputError, match="illuminance_lux"):
        exposure_from_lux_ev(bad)
