"""Guide number from energy: an estimate that scales rightly and says how unsure it is."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.errors import InputError
from eyeplane.light import MODIFIERS, beam_sr, flash_f_number, guide_number_from_energy_m


@given(energy=st.floats(10, 3000), name=st.sampled_from(sorted(MODIFIERS)))
def test_a_stop_more_energy_is_a_stop_more_light(energy: float, name: str) -> None:
    one = guide_number_from_energy_m(energy_ws=energy, modifier=name)
    two = guide_number_from_energy_m(energy_ws=2 * energy, modifier=name)
    assert two.value == pytest.approx(math.sqrt(2) * one.value)
    # A stop of doubt to either side.
    assert one.high / one.value == pytest.approx(math.sqrt(2))
    assert one.value / one.low == pytest.approx(math.sqrt(2))


@given(beam=st.floats(1, 180))
def test_a_wider_beam_is_weaker(beam: float) -> None:
    narrow = guide_number_from_energy_m(energy_ws=400, beam_deg=beam, efficiency_share=0.5)
    wide = guide_number_from_energy_m(energy_ws=400, beam_deg=2 * beam, efficiency_share=0.5)
    assert narrow.value > wide.value


def test_lux_seconds_are_what_a_meter_wants() -> None:
    # The light that arrives, worked out backwards: H = C N² / S, here at 2 m and ISO 100.
    found = guide_number_from_energy_m(energy_ws=100, beam_deg=360, efficiency_share=1.0)
    f_number = flash_f_number(guide_number_m=found.value, distance_mm=2000)
    lux_s = 100 * 40 / (4 * math.pi * 2**2)
    assert 250 * f_number**2 / 100 == pytest.approx(lux_s)


def test_solid_angles() -> None:
    assert beam_sr(360) == pytest.approx(4 * math.pi)
    assert beam_sr(180) == pytest.approx(2 * math.pi)
    assert beam_sr(1) == pytest.approx(math.pi * math.radians(0.5) ** 2, rel=1e-4)


def test_a_softbox_costs_about_two_stops_against_a_reflector() -> None:
    bare = guide_number_from_energy_m(energy_ws=400, modifier="reflector").value
    soft = guide_number_from_energy_m(energy_ws=400, modifier="softbox").value
    assert 1.5 <= 2 * math.log2(bare / soft) <= 3.5


def test_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="reflector"):
        guide_number_from_energy_m(energy_ws=400, modifier="bedsheet")
    with pytest.raises(InputError, match="energy_ws"):
        guide_number_from_energy_m(energy_ws=0)
    with pytest.raises(InputError, match="efficiency_share"):
        guide_number_from_energy_m(energy_ws=400, efficiency_share=1.2)
    with pytest.raises(InputError, match="beam_deg"):
        beam_sr(361)
