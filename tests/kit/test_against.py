"""One kit against another: identities, antisymmetry, sums of parts, monotony, equal light."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.kit.against_kits import FULL, SMALL, SOLD_CM, compared, kit_side

from eyeplane.errors import InputError
from eyeplane.kit.against import reach_alone_cm
from eyeplane.kit.against_parts import shares_of_difference
from eyeplane.kit.against_sides import (
    Exposing,
    draw_beliefs,
    frame_noise,
    glass_spread_um,
    same_lens,
)
from eyeplane.light.noise import noise_contrast
from eyeplane.optics.kit_blur import glass_um
from eyeplane.records import Measured
from eyeplane.records.kit_against import AgainstResult, PartName

SOFT_24 = kit_side("soft zoom", 24, widest_f_number=2.8, glass_um=5.0)
FINE_60 = kit_side("fine prime", 60, widest_f_number=1.4, glass_um=1.5)


@pytest.fixture(scope="module")
def result() -> AgainstResult:
    return compared(SOFT_24, FINE_60, f_numbers=(4.0,), sold_cm=SOLD_CM)


def test_a_kit_against_its_like_differs_in_nothing_and_no_print_ever_shows_it() -> None:
    other = replace(SOFT_24, name="the same again")
    same = compared(SOFT_24, other, sold_cm=SOLD_CM, iso=None)
    assert same.verdict == "not shown"
    for way in same.ways:
        assert way.difference_cm == Measured(value=0.0, low=0.0, high=0.0)
        assert way.sharper == "neither"
        assert way.parts == ()
        assert way.seen_from.smallest_cm is way.seen_from.low_cm is None
        assert {one.seen for one in way.sold} == {"no"}


def test_the_other_way_round_all_changes_sign(result: AgainstResult) -> None:
    back = compared(FINE_60, SOFT_24, f_numbers=(4.0,), sold_cm=SOLD_CM)
    one, other = result.ways[0], back.ways[0]
    assert other.difference_cm.value == pytest.approx(-one.difference_cm.value, rel=1e-3)
    assert other.a_reach_cm.value == pytest.approx(one.b_reach_cm.value, rel=1e-4)
    assert (one.sharper, other.sharper) == ("B", "A")
    assert {p.part: p.change_cm.value for p in other.parts} == pytest.approx(
        {p.part: -p.change_cm.value for p in one.parts}, rel=1e-3, abs=0.01
    )
    assert other.seen_from.smallest_cm == pytest.approx(one.seen_from.smallest_cm, rel=1e-3)
    for mine, theirs in zip(one.sold, other.sold, strict=True):
        assert theirs.step_ratio.value == pytest.approx(-mine.step_ratio.value, rel=1e-3, abs=1e-3)
        assert theirs.seen == mine.seen


def test_parts_add_up_to_the_whole_in_every_way(result: AgainstResult) -> None:
    for way in result.ways:
        total = sum(part.change_cm.value for part in way.parts)
        assert total == pytest.approx(way.difference_cm.value, abs=1e-6)


@given(st.lists(st.floats(-5, 5), min_size=8, max_size=8))
def test_shares_are_those_of_all_orders_and_add_up(values: list[float]) -> None:
    names: tuple[PartName, ...] = ("pixels", "glass", "noise")
    sets = [frozenset(some) for size in range(4) for some in itertools.combinations(names, size)]
    worth = dict(zip(sets, values, strict=True))
    got = shares_of_difference(lambda has: np.asarray(worth[has]), names)
    for name in names:  # by hand: one order after the other
        steps = []
        for order in itertools.permutations(names):
            before = frozenset(order[: order.index(name)])
            steps.append(worth[before | {name}] - worth[before])
        assert float(got[name]) == pytest.approx(np.mean(steps), abs=1e-9)
    total = worth[frozenset(names)] - worth[frozenset()]
    assert sum(map(float, got.values())) == pytest.approx(total, abs=1e-9)


def test_only_what_differs_is_a_part() -> None:
    pixels = compared(kit_side("24", 24), kit_side("60", 60), f_numbers=(4.0,))
    rest = [part for part in pixels.ways[0].parts if part.part != "pixels"]
    assert [part.part for part in rest] == ["noise"]  # finer pixels are read out more often
    assert abs(rest[0].change_cm.value) < 0.1
    glass = compared(SOFT_24, kit_side("fine", 24, glass_um=1.5), f_numbers=(4.0,))
    assert [part.part for part in glass.ways[0].parts] == ["glass"]


@given(
    megapixels=st.floats(12, 100),
    more_ratio=st.floats(1.05, 3.0),
    glass=st.floats(0.5, 12.0),
    f_number=st.sampled_from([2.8, 4.0, 8.0]),
)
def test_finer_glass_never_holds_less(
    megapixels: float, more_ratio: float, glass: float, f_number: float
) -> None:
    coarse = kit_side("coarse", megapixels, glass_um=glass * more_ratio)
    fine = kit_side("fine", megapixels, glass_um=glass)
    less, more = (reach_alone_cm(one, f_number=f_number, iso=100.0) for one in (coarse, fine))
    assert more >= less * (1 - 1e-4)  # to which a reach is searched for


@given(
    megapixels=st.floats(12, 60),
    more_ratio=st.floats(1.05, 3.0),
    glass=st.floats(2.0, 12.0),
    f_number=st.sampled_from([2.8, 4.0, 8.0, 11.0]),
)
def test_more_pixels_behind_one_lens_never_hold_less(
    megapixels: float, more_ratio: float, glass: float, f_number: float
) -> None:
    few = kit_side("few", megapixels, glass_um=glass)
    many = kit_side("many", megapixels * more_ratio, glass_um=glass)
    less, more = (reach_alone_cm(one, f_number=f_number, iso=100.0) for one in (few, many))
    assert more >= less * (1 - 1e-4)


@pytest.mark.parametrize("megapixels", [(20.0, 24.0), (20.0, 27.5), (27.5, 33.0), (24.0, 33.0)])
@pytest.mark.parametrize("glass", [1.0, 1.26])
def test_it_is_never_said_that_more_pixels_hold_less(
    megapixels: tuple[float, float], glass: float
) -> None:
    """Where sharpening just gives back what such a lens takes, the best guess may say so."""
    few, many = (kit_side(f"{mp:g}", mp, glass_um=glass) for mp in megapixels)
    way = compared(few, many, f_numbers=(2.8,)).ways[0]
    assert way.sharper != "A"
    assert way.difference_cm.high > 0


def test_same_depth_of_field_takes_the_apertures_with_the_sensors() -> None:
    small = kit_side("small", 24, sensor_mm=SMALL)
    large = kit_side("large", 24, sensor_mm=FULL)
    way = next(w for w in compared(small, large, f_numbers=(2.8,)).ways if w.kind == "same depth")
    assert way.b_f_number == pytest.approx(2.8 * 36 / 24)


def test_in_the_same_light_and_depth_a_smaller_sensor_is_as_noisy_on_the_print() -> None:
    """Equal light on the whole sensor: photon noise on a print is alike (read noise is little)."""
    small, large = kit_side("s", 24, sensor_mm=SMALL), kit_side("l", 24, sensor_mm=FULL)
    light = Exposing(exposure_ev=7.0, shutter_s=1 / 250)
    noise = [
        float(frame_noise(side, light.iso_at(side.kit, n), np.zeros(1))[0])
        for side, n in ((small, 2.8), (large, 2.8 * 1.5))
    ]
    assert noise[0] == pytest.approx(noise[1], rel=0.02)
    at_one_aperture = float(frame_noise(large, light.iso_at(large.kit, 2.8), np.zeros(1))[0])
    assert noise[0] / at_one_aperture == pytest.approx(1.5, rel=0.02)


def test_finer_pixels_do_not_make_a_print_noisier() -> None:
    few, many = kit_side("few", 24), kit_side("many", 96)
    one, other = (float(frame_noise(side, 400.0, np.zeros(1))[0]) for side in (few, many))
    assert other == pytest.approx(one, rel=0.02)  # but for what reading out costs
    assert noise_contrast(iso=400.0, pitch_um=many.kit.pitch_um) > 1.9 * noise_contrast(
        iso=400.0, pitch_um=few.kit.pitch_um
    )


def test_the_iso_follows_from_light_time_and_aperture_or_is_settled() -> None:
    kit = SOFT_24.kit
    light = Exposing(exposure_ev=12.0, shutter_s=1 / 128)  # EV 12: f/5.6 and 1/125 at ISO 100
    assert light.iso_at(kit, 5.657) == pytest.approx(100.0, rel=1e-3)
    assert light.iso_at(kit, 8.0) == pytest.approx(200.0, rel=1e-3)
    assert light.iso_at(kit, 2.0) == kit.base_iso
    assert Exposing(exposure_ev=12.0, shutter_s=1.0, iso=640.0).iso_at(kit, 11.0) == 640.0


def test_unknown_lenses_widen_the_range_and_one_lens_on_two_bodies_does_not() -> None:
    assert same_lens(kit_side("a", 24), kit_side("b", 60))
    bodies = compared(kit_side("a", 24), kit_side("b", 60), f_numbers=(4.0,)).ways[0]
    lenses = compared(
        kit_side("a", 24), kit_side("b", 60, widest_f_number=1.8), f_numbers=(4.0,)
    ).ways[0]
    known = compared(
        kit_side("a", 24, glass_um=1.0), kit_side("b", 60, glass_um=1.01), f_numbers=(4.0,)
    ).ways[0]
    widths = [w.difference_cm.high - w.difference_cm.low for w in (known, bodies, lenses)]
    assert widths == sorted(widths)
    assert widths[2] > 1.1 * widths[1]


def test_a_charts_glass_stands_where_it_was_shot_and_nowhere_else() -> None:
    shot = tuple(
        (n, Measured(value=v, low=0.8 * v, high=1.25 * v))
        for n, v in ((2.8, 4.0), (4.0, 2.0), (8.0, 1.5))
    )
    side = kit_side("charted", 24, chart=shot)
    got = glass_spread_um(side, 4.0, np.array([0.0, 1.645]))
    assert got == pytest.approx([2.0, 2.5], rel=1e-3)
    between = float(glass_spread_um(side, math.sqrt(2.8 * 4.0), np.zeros(1))[0])
    assert between == pytest.approx(math.sqrt(4.0 * 2.0))
    result = compared(side, FINE_60)
    assert result.a.glass == "measured"
    assert result.ways[0].a_f_number in (2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0)
    with pytest.raises(InputError, match=r"its chart was shot from f/2\.8 to f/8"):
        compared(side, FINE_60, f_numbers=(11.0,))


def test_an_aperture_that_one_has_not_is_refused() -> None:
    with pytest.raises(InputError, match=r"f/1\.4 cannot be looked at with A \(soft zoom\)"):
        compared(SOFT_24, FINE_60, f_numbers=(1.4,))


def test_the_best_aperture_is_the_one_that_reaches_farthest() -> None:
    result = compared(SOFT_24, FINE_60)
    assert result.ways[0].kind == "best of each"
    assert result.ways[0].a_reach_cm.value == max(w.a_reach_cm.value for w in result.ways)
    assert result.ways[0].b_reach_cm.value == max(w.b_reach_cm.value for w in result.ways)


def test_what_a_belief_says_of_the_usual_lens_is_a_factor() -> None:
    side = kit_side("usual", 24)
    z = draw_beliefs(np.random.default_rng(1), side, FINE_60).glass_z[0]
    spread = glass_spread_um(side, 4.0, z)
    assert z[0] == 0.0
    assert spread[0] == pytest.approx(float(glass_um(side.kit, 4.0)))
    assert np.quantile(spread / spread[0], 0.95) == pytest.approx(math.exp(0.25 * 1.645), rel=0.03)


def test_a_print_of_another_shape_is_cut_from_the_frame() -> None:
    """A 60 × 80 cm print takes 4000 by 5333 px of 4000 by 6000, as 60 × 90 cm takes all."""
    sizes = ((80.0, 60.0), (90.0, 60.0))
    ratios = [
        one.step_ratio.value for one in compared(SOFT_24, FINE_60, sold_cm=sizes).ways[0].sold
    ]
    assert ratios[0] == pytest.approx(ratios[1], rel=2e-3)
    assert ratios[0] > 0.5


def test_seen_on_the_diagonal_the_size_of_the_print_does_not_count() -> None:
    result = compared(SOFT_24, FINE_60, viewing_cm=None, sold_cm=SOLD_CM)
    ratios = [one.step_ratio.value for one in result.ways[0].sold]
    assert ratios == pytest.approx([ratios[0]] * len(ratios), rel=1e-3)


def test_bad_light_asks_for_more_than_the_kit_has_and_it_is_said() -> None:
    result = compared(SOFT_24, FINE_60, iso=None, ev=4.0, f_numbers=(5.6,))
    assert any("beyond its limit of 1600" in note for note in result.notes)
