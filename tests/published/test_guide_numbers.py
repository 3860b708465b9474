"""Flash against makers' manuals, handbooks and the sums of the trade."""

import math

import pytest

from eyeplane.light import (
    MOST_FLASHES_PER_S,
    beam_sr,
    combined_guide_number_m,
    dark_bar_share,
    falloff_ev,
    flash_distance_mm,
    flash_f_number,
    flash_guide_number_m,
    guide_number_from_energy_m,
    guide_number_from_feet_m,
    guide_number_ft,
    high_speed_sync_loss_ev,
    may_flash_at,
    nearest_f_number,
    power_for,
)

FT = 304.8  # mm


@pytest.mark.parametrize(
    ("guide_number_m", "distance_mm", "mark"),
    [(20, 4000, 5.0), (20, 5000, 4.0), (45, 8000, 5.6),
     (guide_number_from_feet_m(80.0), 10 * FT, 8.0)],
)  # fmt: skip
def test_apertures_of_printed_manuals(
    guide_number_m: float, distance_mm: float, mark: float
) -> None:
    # Camera and flash makers' printed manuals: GN 20 at 4 m f/5, at 5 m f/4; GN 45 at 8 m f/5.6
    # (5.625); 80 ft at 10 ft f/8.
    found = flash_f_number(guide_number_m=guide_number_m, distance_mm=distance_mm)
    assert nearest_f_number(found) == mark
    assert found == pytest.approx(mark, rel=6e-3)


def test_distance_of_a_printed_manual() -> None:
    # Same: GN 45 at f/11 reaches 4.09 m.
    assert flash_distance_mm(guide_number_m=45, f_number=11) == pytest.approx(4090, abs=5)


def test_open_flash_of_a_handbook() -> None:
    # Photography (Basic), NAVEDTRA 14209, US Navy, 1993: f/5.6 at 10 ft means guide number 56.
    found = flash_guide_number_m(f_number=5.6, distance_mm=10 * FT)
    assert guide_number_ft(found) == pytest.approx(56)


def test_guide_number_and_iso() -> None:
    # Encyclopaedia and makers: with ISO 200 the guide number is 1.414 times, with 400 twice.
    at_100 = flash_f_number(guide_number_m=30, distance_mm=3000)
    for iso, times in ((200, 1.414), (400, 2.0)):
        found = flash_f_number(guide_number_m=30, distance_mm=3000, iso=iso)
        assert found / at_100 == pytest.approx(times, abs=5e-4)


def test_guide_number_and_power() -> None:
    # Same: half power divides it by 1.414; so 1/4 power and half the aperture number belong.
    at_full = flash_f_number(guide_number_m=30, distance_mm=3000)
    half = flash_f_number(guide_number_m=30, distance_mm=3000, power=0.5)
    assert at_full / half == pytest.approx(1.414, abs=5e-4)
    assert power_for(guide_number_m=30, distance_mm=3000, f_number=5) == pytest.approx(0.25)


def test_two_flashes_are_one_stop() -> None:
    # NAVEDTRA 14209: two equal flashes at one place need half the exposure of one.
    one = flash_f_number(guide_number_m=30, distance_mm=3000)
    two = flash_f_number(guide_number_m=combined_guide_number_m(30, 30), distance_mm=3000)
    assert 2 * math.log2(two / one) == pytest.approx(1)


@pytest.mark.parametrize(
    ("times", "share", "stops"), [(2, 1 / 4, 2), (3, 1 / 9, 3.17), (4, 1 / 16, 4)]
)
def test_inverse_square(times: float, share: float, stops: float) -> None:
    # Textbook examples: at twice, three and four times the distance a quarter, a ninth, a
    # sixteenth of the light.
    found = falloff_ev(near_mm=1000, far_mm=times * 1000)
    assert 2.0**-found == pytest.approx(share)
    assert found == pytest.approx(stops, abs=5e-3)
    # The guide number says the same.
    near, far = (flash_f_number(guide_number_m=30, distance_mm=d) for d in (1000, times * 1000))
    assert 2 * math.log2(near / far) == pytest.approx(found)


@pytest.mark.parametrize(
    ("near_m", "far_m", "stops"),
    [(1.0, 1.4, 0.971), (1.0, 1.2, 0.526), (3.0, 3.2, 0.186), (0.6, 0.8, 0.83), (1.5, 1.7, 0.36)],
)
def test_fall_off_over_a_head(near_m: float, far_m: float, stops: float) -> None:
    # Sums of the trade: over the 20 cm of a head light drops by 0.83 stop from 0.6 m and by 0.36
    # from 1.5 m; from cheek to cheek at 1 m 0.53, at 3 m 0.19.
    found = falloff_ev(near_mm=1000 * near_m, far_mm=1000 * far_m)
    assert found == pytest.approx(stops, abs=6e-3)


# Guide numbers at ISO 100 from makers' tables and what studios meter; from memory, each.
@pytest.mark.parametrize(
    ("energy_ws", "modifier", "guide_number_m"),
    [
        (70, "hot-shoe head", 36),  # at a zoom for 35 mm lenses
        (400, "reflector", 65),  # studio head, its standard reflector
        (1000, "reflector", 100),
        (500, "softbox", 27),  # f/11 to f/16 at 2 m
        (400, "umbrella", 36),
    ],
)
def test_guide_numbers_from_energy(energy_ws: float, modifier: str, guide_number_m: float) -> None:
    found = guide_number_from_energy_m(energy_ws=energy_ws, modifier=modifier)
    assert found.low < guide_number_m < found.high


@pytest.mark.parametrize(
    ("sync_s", "time_s", "stops"),
    # A hot-shoe flash maker's table, from memory: guide number 34 in single flash, 12.4 pulsed at
    # 1/500 s and 3.1 at 1/8000 s, for cameras that sync at 1/250 s.
    [
        (1 / 250, 1 / 500, 2 * math.log2(34 / 12.4)),
        (1 / 250, 1 / 8000, 2 * math.log2(34 / 3.1)),
    ],
)
def test_what_pulsing_costs(sync_s: float, time_s: float, stops: float) -> None:
    assert high_speed_sync_loss_ev(time_s=time_s, sync_s=sync_s) == pytest.approx(stops, abs=0.5)


def test_black_bar_when_sync_is_exceeded() -> None:
    # Common practice, met three times: a black bar from the first time beyond the limit on; one
    # stop beyond hides about half the frame.
    assert dark_bar_share(time_s=1 / 200, sync_s=1 / 200) == 0
    assert dark_bar_share(time_s=1 / 250, sync_s=1 / 200) == pytest.approx(0.2)
    assert dark_bar_share(time_s=1 / 400, sync_s=1 / 200) == pytest.approx(0.5)


def test_flashes_a_second() -> None:
    # W3C, WCAG 2.2, 2.3.1: no more than three general flashes in any one second; and the area
    # below which it does not count: a quarter of a 10° field, 0.006 sr.
    assert MOST_FLASHES_PER_S == 3
    assert may_flash_at(3)
    assert not may_flash_at(4)
    assert beam_sr(10) / 4 == pytest.approx(0.006, abs=5e-5)
