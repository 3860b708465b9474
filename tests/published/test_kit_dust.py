"""Shadows of dust against geometry, Monte-Carlo light and a classic of vision."""

import numpy as np
import pytest
from scipy import integrate

from eyeplane.kit.dust_profile import (
    COVER_INDEX,
    COVER_UM,
    cone_um,
    middle_loss,
    shadow_loss,
    strip_loss,
    strip_width_um,
)
from eyeplane.kit.dust_seen import DIFFER, at_aperture, least_seen_share
from eyeplane.records import Measured

# Opaque disc of 50 µm on a cover of 2 mm, n = 1.52: aperture, cone in µm, loss at the middle by
# formula, and by 400,000 rays a value. Own sums (plane geometry), no other source.
TABLE = [
    (5.6, 235.0, 0.0453, 0.0447),
    (8.0, 164.5, 0.0924, None),
    (11.0, 119.6, 0.1747, 0.1750),
    (16.0, 82.2, 0.3697, 0.3691),
    (22.0, 59.8, 0.6989, 0.6993),
    (32.0, 41.1, 1.0, 1.0),
]


@pytest.mark.parametrize(("f_number", "cone", "loss", "traced"), TABLE)
def test_the_middle_of_a_shadow(
    f_number: float, cone: float, loss: float, traced: float | None
) -> None:
    found = cone_um(cover_air_um=COVER_UM / COVER_INDEX, f_number=f_number)
    assert found == pytest.approx(cone, abs=0.06)
    told = float(middle_loss(particle_um=50, blur_um=found))
    assert told == pytest.approx(loss, abs=6e-5)
    assert float(shadow_loss(0.0, particle_um=50, blur_um=found)) == pytest.approx(told, abs=1e-9)
    if traced is not None:
        assert told == pytest.approx(traced, abs=0.0012)  # four spreads of 400,000 rays


@pytest.mark.parametrize("f_number", [5.6, 16.0, 32.0])
@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7, 0.95])
def test_the_whole_profile_against_rays_drawn_over_the_cone(f_number: float, share: float) -> None:
    blur = cone_um(cover_air_um=COVER_UM / COVER_INDEX, f_number=f_number)
    at = share * (50 + blur) / 2
    rng = np.random.default_rng(int(100 * share + f_number))
    radius = blur / 2 * np.sqrt(rng.random(60_000))
    turn = 2 * np.pi * rng.random(60_000)
    met = np.hypot(at + radius * np.cos(turn), radius * np.sin(turn)) < 25
    spread = max(np.sqrt(met.mean() * (1 - met.mean()) / met.size), 1e-4)
    assert float(shadow_loss(at, particle_um=50, blur_um=blur)) == pytest.approx(
        met.mean(), abs=4 * spread
    )


@pytest.mark.parametrize("f_number", [4.0, 11.0, 16.0, 32.0])
def test_the_light_lost_in_all_is_the_area_of_the_particle_at_every_aperture(
    f_number: float,
) -> None:
    blur = cone_um(cover_air_um=COVER_UM / COVER_INDEX, f_number=f_number)
    inner, outer = abs(50 - blur) / 2, (50 + blur) / 2
    total = integrate.quad(
        lambda r: 2 * np.pi * r * float(shadow_loss(r, particle_um=50, blur_um=blur)),
        0,
        outer,
        points=[inner],
        limit=200,
    )[0]
    assert total == pytest.approx(np.pi * 50**2 / 4, rel=1e-4)


def test_a_hair_covers_as_much_of_the_cone_as_a_strip_does() -> None:
    rng = np.random.default_rng(5)
    across = 41.1 * np.sqrt(rng.random(200_000)) * np.cos(2 * np.pi * rng.random(200_000))
    for width in (5.0, 25.0, 60.0):
        loss = strip_loss(width_um=width, blur_um=82.2)
        assert loss == pytest.approx((np.abs(across) < width / 2).mean(), abs=0.004)
        assert strip_width_um(loss_share=loss, blur_um=82.2) == pytest.approx(width, rel=0.005)


# H. R. Blackwell, Contrast thresholds of the human eye, J. Opt. Soc. Am. 36(11), 1946, table VIII:
# least contrast of a disc, seen half of the time, at 10 to 100 footlamberts; values from memory.
BLACKWELL = [(3.6, 0.048), (9.68, 0.0106), (18.2, 0.0059), (55.2, 0.0033), (121.0, 0.0028)]


@pytest.mark.parametrize(("minutes", "contrast"), BLACKWELL)
def test_the_faintest_spot_that_is_seen(minutes: float, contrast: float) -> None:
    ratio = least_seen_share(minutes / 60) / contrast
    assert 1 / DIFFER <= ratio <= DIFFER


def test_no_spot_is_seen_that_is_far_below_a_minute_of_arc() -> None:
    # 1 arc minute: the trade's figure for what an eye resolves; common practice, no source
    assert least_seen_share(0.25 / 60) > 1


def test_small_spots_count_by_their_area() -> None:
    # Ricco's law, 1877, from memory: below some minutes of arc threshold × area is constant
    small = least_seen_share(0.5 / 60) * 0.5**2
    assert least_seen_share(0.25 / 60) * 0.25**2 == pytest.approx(small, rel=0.05)


def test_stopping_down_by_two_stops_deepens_a_small_shadow_fourfold() -> None:
    depth, wide = at_aperture(
        ratio=Measured(value=0.2, low=0.2, high=0.2),
        cone_px=Measured(value=40.0, low=40.0, high=40.0),
        stops_ratio=2.0,
    )
    assert depth.value == pytest.approx(4 * 0.2**2)
    assert wide.value == pytest.approx(20 + 8)
