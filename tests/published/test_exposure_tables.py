"""Light and exposure against standards, handbooks and tables, each with its source beside it."""

import math

import numpy as np
import pytest

from eyeplane.light import (
    FULL_WELL,
    INCIDENT_CONSTANTS,
    REFLECTED_CONSTANTS,
    aperture_value_ev,
    brightness_value_ev,
    exposure_from_luminance_ev,
    exposure_from_lux_ev,
    exposure_value_ev,
    illuminance_lux,
    iso_for,
    luminance_cd_per_m2,
    nearest_iso,
    noise_contrast,
    speed_value_ev,
    time_value_ev,
    true_f_number,
    true_shutter_s,
)
from eyeplane.optics import px_per_deg


@pytest.mark.parametrize(
    ("f_number", "time_s", "expected"),
    [(16, 1 / 125, 14.966), (8, 1 / 125, 12.966), (1.4, 1 / 200, 8.615), (1, 1, 0.0)],
)
def test_apex_exposure_values(f_number: float, time_s: float, expected: float) -> None:
    # APEX, ASA PH2.5-1960, by D. A. Kerr, "APEX" (2007): Ev = log2 N² + log2 1/t.
    value = exposure_value_ev(f_number=f_number, time_s=time_s, iso=100)
    assert value == pytest.approx(expected, abs=5e-4)
    assert aperture_value_ev(f_number) + time_value_ev(time_s) == pytest.approx(value)


def test_apex_pieces() -> None:
    # Same source: f/16 has Av 8, 1/125 s has Tv 6.9658.
    assert aperture_value_ev(16) == 8
    assert time_value_ev(1 / 125) == pytest.approx(6.9658, abs=5e-5)


@pytest.mark.parametrize(("iso", "expected"), [(100, 5), (200, 6), (125, 5.32), (400, 7)])
def test_apex_speed_values(iso: float, expected: float) -> None:
    # Exif's text on APEX: Sv = log2(S / 3.125).
    assert speed_value_ev(iso) == pytest.approx(expected, abs=5e-3)


@pytest.mark.parametrize(("luminance", "expected"), [(4, 0), (4096, 10)])
def test_apex_brightness_values(luminance: float, expected: float) -> None:
    # Ev = Bv + Sv with K = 12.5 (ISO 2720) makes Bv = log2(L / 4).
    assert brightness_value_ev(luminance) == pytest.approx(expected)


def test_apex_closes() -> None:
    # Av + Tv = Bv + Sv for what a reflected-light meter reads, at any ISO.
    for iso in (100.0, 640.0, 3200.0):
        luminance = luminance_cd_per_m2(exposure_value_ev(f_number=4, time_s=1 / 60, iso=iso))
        left = aperture_value_ev(4) + time_value_ev(1 / 60)
        assert left == pytest.approx(brightness_value_ev(luminance) + speed_value_ev(iso))


@pytest.mark.parametrize(
    ("exposure_ev", "luminance", "lux"),
    [(0, 0.125, 2.5), (10, 128, 2560), (12, 512, 10_240), (13, 1024, 20_480), (14, 2048, 40_960),
     (15, 4096, 81_920)],
)  # fmt: skip
def test_light_at_an_exposure_value(exposure_ev: float, luminance: float, lux: float) -> None:
    # Encyclopaedia table "Exposure value", ISO 100, K = 12.5, C = 250.
    assert luminance_cd_per_m2(exposure_ev) == pytest.approx(luminance)
    assert illuminance_lux(exposure_ev) == pytest.approx(lux)
    assert exposure_from_lux_ev(lux) == pytest.approx(exposure_ev)
    assert exposure_from_luminance_ev(luminance) == pytest.approx(exposure_ev)


def test_a_dome_reads_more_light() -> None:
    # Same table with C = 340, for a dome: EV 15 is 111 411 lx.
    assert illuminance_lux(15, constant=340) == pytest.approx(111_411, abs=1)


def test_constants_lie_in_the_standard() -> None:
    # ISO 2720:1974 as quoted by J. Conrad (2008): K from 10.6 to 13.4; C from 240 to 400 (range
    # from memory). So two meters that follow it differ by at most 0.34 and 0.74 stop.
    assert REFLECTED_CONSTANTS[0] < 12.5 < REFLECTED_CONSTANTS[1]
    assert INCIDENT_CONSTANTS[0] < 250 < INCIDENT_CONSTANTS[1]
    assert math.log2(REFLECTED_CONSTANTS[1] / REFLECTED_CONSTANTS[0]) == pytest.approx(
        0.34, abs=0.01
    )
    ends = [exposure_from_lux_ev(1000.0, constant=c) for c in INCIDENT_CONSTANTS]
    assert ends[0] - ends[1] == pytest.approx(0.74, abs=0.01)


@pytest.mark.parametrize(
    ("reflected", "incident", "expected"),
    [(12.5, 250, 0.157), (12.5, 340, 0.1155), (14, 250, 0.176)],
)
def test_reflectance_that_both_meters_agree_on(
    reflected: float, incident: float, expected: float
) -> None:
    # A matt card under E lux shines with ρ E / π: both meters agree for ρ = π K / C. With common
    # constants that is 16 to 18 %, a grey card.
    lux = illuminance_lux(10, constant=incident)
    luminance = luminance_cd_per_m2(10, constant=reflected)
    assert math.pi * luminance / lux == pytest.approx(expected, abs=5e-4)


# ANSI PH2.7-1986 as reproduced in encyclopaedias: exposure values at ISO 100.
@pytest.mark.parametrize(
    ("scene", "lux", "low", "high"),
    [
        ("bright sun", 100_000, 15, 15),  # direct sun 100 klx: CIE, common figure, from memory
        ("heavy overcast", 10_000, 12, 12),  # overcast noon 10 klx: common figure, from memory
        ("offices", 500, 7, 8),  # EN 12464-1: 500 lx for writing and reading
        ("home interiors", 150, 5, 7),  # living rooms 100 to 300 lx: common practice, no source
        ("full moon", 0.25, -3, -2),  # 0.05 to 0.3 lx: common figure, from memory
    ],
)
def test_scenes_of_the_table(scene: str, lux: float, low: float, high: float) -> None:
    value = exposure_from_lux_ev(lux)
    assert low - 0.5 <= value <= high + 0.5, scene


def test_rule_of_sixteen() -> None:
    # In bright sun (EV 15) f/16 wants 1/ISO: a rule of every handbook; EV 14.6 by the marks.
    for iso, part in ((100, 100), (200, 200), (400, 400), (800, 800)):
        found = iso_for(exposure_ev=15, f_number=16, time_s=1 / part)
        assert math.log2(found / iso) == pytest.approx(0, abs=0.4)
    exact = iso_for(exposure_ev=15, f_number=true_f_number(16.0), time_s=true_shutter_s(1 / 125))
    assert nearest_iso(exact) == exact == 100


def test_equal_exposures() -> None:
    # NAVEDTRA 14209 and every handbook: each stop wider halves the time. The row of f/16 at 1/60.
    row = [(16, 60), (11, 125), (8, 250), (5.6, 500), (4, 1000), (2.8, 2000), (2, 4000)]
    f_number, part = (np.array(column, float) for column in zip(*row, strict=True))
    exact = exposure_value_ev(
        f_number=true_f_number(f_number), time_s=true_shutter_s(1 / part), iso=100.0
    )
    assert np.allclose(exact, 14.0)
    marked = exposure_value_ev(f_number=f_number, time_s=1 / part, iso=100.0)
    assert np.all(np.abs(marked - 14.0) < 0.15)  # what the rounding of marks is worth


def test_prints_that_the_noise_criterion_looks_at() -> None:
    # ISO 12232:2019, notes to 6.3: prints with 70 pixels a centimetre seen from 25 cm have 30
    # pixels a degree (30.546).
    assert px_per_deg(long_edge_px=70, print_cm=1, viewing_cm=25) == pytest.approx(30.546, abs=5e-3)


@pytest.mark.parametrize("signal_to_noise", [40, 10])
def test_noise_criterion_of_other_print_densities(signal_to_noise: float) -> None:
    # Same notes: for P pixels a centimetre the ratio that is asked for is multiplied by 70 / P:
    # the same sensor with pixels of half the pitch reaches it at the same ISO.
    coarse, fine = (
        _iso_with(signal_to_noise * 70 / density, pitch_um=6.0 * 70 / density)
        for density in (70, 140)
    )
    assert math.log2(fine / coarse) == pytest.approx(0, abs=0.15 if signal_to_noise > 20 else 0.7)


def test_first_excellent_and_first_acceptable_speed() -> None:
    # ISO 12232: excellent at a ratio of 40, acceptable at 10. Sensors of 36 x 24 mm with 24 MP
    # are called clean to 800 to 1600 and usable to some 6400 to 25 600 (trade, no source).
    assert 600 <= _iso_with(40, pitch_um=6.0) <= 1600
    assert 6400 <= _iso_with(10, pitch_um=6.0) <= 25_600


def test_speed_by_the_standard_output() -> None:
    # ISO 12232 (from memory): H = 0.65 L t / N² on the sensor and, by standard output, ISO = 10 / H
    # for 18 % of white. A meter with K = 12.5 gives 8.1 / ISO there: a third of a stop less, which
    # is why cameras and hand meters differ by that much.
    iso = 400.0
    ev = exposure_value_ev(f_number=4, time_s=1 / 60, iso=iso)
    exposure = 0.65 * luminance_cd_per_m2(ev) / 4**2 / 60
    assert 0 < math.log2(10 / iso / exposure) < 0.34


def test_a_pixel_of_the_reference_holds_what_sensors_hold() -> None:
    # Full wells of 1400 to 3000 electrons a square micrometre at ISO 100: sensor makers' data
    # sheets, from memory.
    assert 1000 < FULL_WELL / 6.0**2 < 3000


def _iso_with(signal_to_noise: float, *, pitch_um: float) -> float:
    isos = np.geomspace(50, 200_000, 4000)
    noise = noise_contrast(iso=isos, pitch_um=pitch_um)
    return float(isos[np.searchsorted(noise, 1 / signal_to_noise)])
