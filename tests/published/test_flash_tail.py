"""How long a flash really is, ghosts and soft light: the sums of the trade, and the standard's."""

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.light import (
    FULL_POWER_S,
    ambient_share,
    black_frame,
    effective_shutter_s,
    exposure_from_lux_ev,
    flash_time_s,
    ghost_share,
    hardness_name,
    penumbra_mm,
    source_deg,
    t01_from_t05_s,
)
from eyeplane.optics import SHARP, visual_weight

FREQUENCY = (np.arange(400) + 0.5) / 400 * 60.0  # cycles per degree
WEIGHT = visual_weight(FREQUENCY)


def test_ratio_of_total_to_effective_duration() -> None:
    # ISO 2827 (definitions as quoted): t.5 above half of the peak, t.1 above a tenth. Of an
    # exponential tail their ratio is ln 10 / ln 2 = 3.3219; the trade says "about three".
    assert t01_from_t05_s(1.0) == pytest.approx(3.3219, abs=5e-5)


@pytest.mark.parametrize(("short", "true"), [(300, 90), (1000, 300)])
def test_what_a_duration_in_a_leaflet_is_worth(short: int, true: int) -> None:
    # Sums of the trade: t.5 of 1/300 s is really 1/90 s, 1/1000 s is 1/300 s.
    assert 1 / t01_from_t05_s(1 / short) == pytest.approx(true, rel=5e-3)


def test_a_stop_less_power_about_halves_the_blur() -> None:
    # Common practice, said twice. The first stop does more, since it cuts the tail off.
    times = [effective_shutter_s(power=2.0**-stop) for stop in range(7)]
    ratios = [shorter / longer for longer, shorter in pairwise(times)]
    assert ratios[0] == pytest.approx(0.26, abs=0.05)
    assert all(0.40 <= ratio <= 0.55 for ratio in ratios[1:])


def test_full_power_of_a_hot_shoe_flash() -> None:
    # Common practice, said once: t.1 is about 1/250 s.
    assert flash_time_s() == pytest.approx(FULL_POWER_S) == pytest.approx(1 / 250)


@pytest.mark.parametrize(
    ("power", "part"),
    [(1 / 2, 1100), (1 / 4, 2550), (1 / 8, 5000), (1 / 16, 10_000), (1 / 32, 20_000),
     (1 / 64, 35_700), (1 / 128, 38_500)],
)  # fmt: skip
def test_durations_by_power_of_a_printed_manual(power: float, part: int) -> None:
    # A hot-shoe flash maker's printed manual, t.5 by power, 1/880 s at full; from memory. Below
    # full power t.5 and t.1 are nearly the same: the discharge is cut off.
    full = t01_from_t05_s(1 / 880)
    found = flash_time_s(power=power, full_power_s=full)
    assert found == pytest.approx(1 / part, rel=0.55 if power < 1 / 100 else 0.3)


def acutance(contrast: NDArray[np.float64]) -> float:
    """Return the perceived sharpness of a frame that lets this contrast through."""
    return float((contrast * WEIGHT).sum() / WEIGHT.sum())


def comet(end: float, decay_deg: float) -> NDArray[np.float64]:
    """Return the contrast that a point lit by e^(−t/τ), cut off at `end` τ, leaves: its transform.

    Worked out by the transform of the glow itself; `decay_deg` is how far the point moves in τ.
    """
    time = (np.arange(400) + 0.5) / 400 * min(end, 12.0)
    glow = np.exp(-time)
    turns = np.exp(-2j * np.pi * FREQUENCY[:, None] * decay_deg * time)
    return np.asarray(np.abs(turns @ glow) / glow.sum())


def box(length_deg: float) -> NDArray[np.float64]:
    """Return the contrast that an even line of motion leaves."""
    return np.asarray(np.abs(np.sinc(FREQUENCY * length_deg)))


def half_way(low: float, high: float, *, of: Callable[[float], NDArray[np.float64]]) -> float:
    """Return where a falling sharpness is just enough for a print that looks sharp, by halving."""
    for _ in range(18):
        middle = (low + high) / 2
        low, high = (middle, high) if acutance(of(middle)) > SHARP else (low, middle)
    return (low + high) / 2


@pytest.mark.parametrize("power", [1.0, 0.9, 0.5, 0.25, 1 / 16])
def test_effective_time_costs_as_much_sharpness_as_the_glow(power: float) -> None:
    # Where a print just looks sharp (0.84), by transforms of the glow and of an even line.
    end = -math.log(max(1 - power, 1e-9))
    decay_deg = half_way(1e-4, 0.5, of=lambda d: comet(end, d))
    line_deg = half_way(1e-4, 0.5, of=box)
    expected_s = line_deg / decay_deg * FULL_POWER_S / math.log(10)
    assert effective_shutter_s(power=power) == pytest.approx(expected_s, rel=0.03)


@pytest.mark.parametrize(("stops", "percent"), [(3, 12), (5, 3)])
def test_ghost_by_stops(stops: float, percent: float) -> None:
    # Sums of the trade: room light three stops under leaves a ghost of 12 %, five stops 3 %.
    assert 100 * ghost_share(stops) == pytest.approx(percent, abs=0.6)
    # Of flash and ghost together: 11 and 3 %.
    share = ambient_share(exposure_ev=-stops, f_number=1, time_s=1, iso=100, flash_f_number=1)
    assert 100 * share == pytest.approx(percent, abs=1.0)


@pytest.mark.parametrize(("lux", "said"), [(80, "black"), (320, "black"), (2500, "lit")])
def test_the_black_frame(lux: float, said: str) -> None:
    # Common practice, met four times: with the flash off ISO 100, 1/125 s and f/8 must give a
    # black frame in the studio. Home interiors have EV 5 to 7, 80 to 320 lx (ANSI PH2.7-1986); by
    # a window with 2500 lx they do not.
    found = black_frame(exposure_ev=exposure_from_lux_ev(lux), f_number=8, time_s=1 / 125, iso=100)
    assert found == (said == "black")


@pytest.mark.parametrize(("widths", "angle"), [(1, 53), (2, 28)])
def test_a_softbox_at_its_own_width(widths: float, angle: float) -> None:
    # Sums of the trade: it spans 53° at its own width, 28° at twice that.
    assert source_deg(size_mm=900, distance_mm=900 * widths) == pytest.approx(angle, abs=0.2)


def test_the_trade_calls_that_soft() -> None:
    # "Distance = its width or diagonal, or less" for soft light, said four times; closer is softer,
    # said eight times; a bare flash and the sun are hard.
    assert hardness_name(source_deg(size_mm=900, distance_mm=900)) == "soft"
    assert hardness_name(source_deg(size_mm=60, distance_mm=2000)) == "hard"
    assert hardness_name(0.5) == "hard"


def test_penumbra_of_the_sun() -> None:
    # Astronomy: the sun's diameter of 1.3927 Gm at 149.6 Gm is 1/107 of its distance, so shadows
    # blur by 1 mm for each 107 mm between edge and ground.
    found = penumbra_mm(
        source_size_mm=1.3927e12, source_distance_mm=1.496e14, edge_distance_mm=107.4
    )
    assert found == pytest.approx(1.0, abs=1e-3)
