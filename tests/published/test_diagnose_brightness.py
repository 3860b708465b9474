"""Light by the settings, held against published tables of exposure values."""

import pytest

from eyeplane.diagnose.brightness import brightness_at
from eyeplane.light import exposure_value_ev, illuminance_lux
from eyeplane.records import Exposure

# APEX, ASA PH2.5-1960, worked out in D. A. Kerr, "APEX" (2007): f-number, time, exposure value.
APEX = [(16, 1 / 125, 14.966), (8, 1 / 125, 12.966), (1.4, 1 / 200, 8.615), (1, 1, 0.0)]
# Encyclopaedia table of EV against illuminance at ISO 100 with C = 250.
LIGHT = [(0, 2.5), (10, 2560), (12, 10240), (13, 20480), (14, 40960), (15, 81920)]
# ANSI PH2.7-1986 as reproduced in encyclopaedias, exposure values at ISO 100, against settings of
# a film maker's existing-light guide for ISO 400 film (from memory): home at night, average light;
# bright sun by the rule of 16; candle-lit close-ups; heavy overcast.
SCENES = [
    ("home interior, average light", 2.8, 1 / 30, 400, 5, 7),
    ("bright sun, rule of 16", 16, 1 / 400, 400, 15, 15),
    ("close-up by candle light", 2.0, 1 / 15, 400, 4, 5),
    ("heavy overcast", 5.6, 1 / 500, 400, 12, 12),
]


@pytest.mark.parametrize(("f_number", "time_s", "expected"), APEX)
def test_exposure_value_is_that_of_apex(f_number: float, time_s: float, expected: float) -> None:
    value = exposure_value_ev(f_number=f_number, time_s=time_s, iso=100)
    assert value == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize(("exposure_ev", "lux"), LIGHT)
def test_illuminance_is_that_of_the_table(exposure_ev: float, lux: float) -> None:
    assert illuminance_lux(exposure_ev) == pytest.approx(lux)


@pytest.mark.parametrize(("scene", "f_number", "time_s", "iso", "low", "high"), SCENES)
def test_scenes_lie_where_the_tables_say(
    scene: str, f_number: float, time_s: float, iso: float, low: float, high: float
) -> None:
    exposure = Exposure(f_number=f_number, exposure_time_s=time_s, iso=iso)
    bright = brightness_at(exposure, 0.18)  # a grey card, exposed as a meter does
    assert bright is not None, scene
    assert low - 0.5 <= bright.exposure_ev.value <= high + 0.5
    assert bright.exposure_ev.low <= low
    assert bright.exposure_ev.high >= high - 0.25
