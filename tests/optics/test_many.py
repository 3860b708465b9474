"""Many settings at once give what one at a time gives."""

from dataclasses import replace

import numpy as np
import pytest

from eyeplane.errors import InputError
from eyeplane.optics import (
    BLUR_POWER,
    PointSpread,
    Spreads,
    blur_for_print_px,
    disc_limit_px,
    line_limit_px,
    perceived_sharpness,
    reach_cm,
    reaches_cm,
    sharpness_of,
)
from eyeplane.optics.reach import SHARP

RNG = np.random.default_rng(20)
COUNT = 120
DISC, LINE = RNG.uniform(0, 6, (2, COUNT)) * RNG.integers(0, 2, (2, COUNT))
GAUSSIAN, AIRY = RNG.uniform(0, 1.5, (2, COUNT)) * RNG.integers(0, 2, (2, COUNT))
NOISE = RNG.uniform(0, 0.2, COUNT) * RNG.integers(0, 2, COUNT)
PX_PER_DEG = RNG.uniform(20, 250, COUNT)
ALL = Spreads(disc_px=DISC, line_px=LINE, gaussian_px=GAUSSIAN, airy_px=AIRY, noise_contrast=NOISE)


def one(number: int) -> PointSpread:
    return PointSpread(
        disc_px=DISC[number],
        line_px=LINE[number],
        gaussian_px=GAUSSIAN[number],
        airy_px=AIRY[number],
    )


def test_sharpness_is_that_of_one_at_a_time() -> None:
    seen = sharpness_of(ALL, px_per_deg=PX_PER_DEG)
    alone = [
        perceived_sharpness(spread=one(n), noise_contrast=NOISE[n], px_per_deg=PX_PER_DEG[n])
        for n in range(COUNT)
    ]
    assert seen == pytest.approx(alone, abs=1e-3)


def test_reach_is_that_of_one_at_a_time() -> None:
    seen = reaches_cm(ALL, long_edge_px=6000, viewing_cm=50)
    alone = [
        reach_cm(spread=one(n), noise_contrast=NOISE[n], long_edge_px=6000, viewing_cm=50)
        for n in range(COUNT)
    ]
    assert seen == pytest.approx(alone, rel=2e-3)


def test_disc_limit_is_that_of_one_print_at_a_time() -> None:
    spreads = Spreads(gaussian_px=GAUSSIAN / 5, airy_px=AIRY / 2, noise_contrast=NOISE / 4)
    seen = disc_limit_px(spreads, px_per_deg=PX_PER_DEG)
    # Pixels in a degree from 50 cm, for a print of 60 cm: geometry.
    edges = PX_PER_DEG * 60 / 50 / np.radians(1)
    alone = [
        blur_for_print_px(
            long_edge_px=edges[n],
            print_cm=60,
            viewing_cm=50,
            noise_contrast=NOISE[n] / 4,
            spread=PointSpread(gaussian_px=GAUSSIAN[n] / 5, airy_px=AIRY[n] / 2),
        )
        for n in range(COUNT)
    ]
    assert seen == pytest.approx(alone, abs=0.01)
    assert 0 < np.count_nonzero(seen) < COUNT


@pytest.mark.parametrize("limit", [disc_limit_px, line_limit_px])
def test_at_its_limit_a_print_is_just_sharp(limit: object) -> None:
    assert callable(limit)
    rest = Spreads(gaussian_px=GAUSSIAN / 5, airy_px=AIRY / 2, noise_contrast=NOISE / 4)
    size = limit(rest, px_per_deg=PX_PER_DEG)
    disc = limit is disc_limit_px
    at_limit = replace(rest, disc_px=size) if disc else replace(rest, line_px=size)
    seen = sharpness_of(at_limit, px_per_deg=PX_PER_DEG)
    assert seen[size > 0] == pytest.approx(SHARP, abs=3e-4)
    assert (seen[size == 0] < SHARP + 3e-4).all()


def test_disc_and_line_add_up_by_the_stated_power() -> None:
    """How the plan adds blur, held against the whole sum to 3 % of the limit."""
    rest = Spreads(gaussian_px=0.25, airy_px=[0.2, 0.5, 0.9], noise_contrast=[0.0, 0.03, 0.08])
    px_per_deg = np.array([[90.0], [140.0], [220.0]])
    line = line_limit_px(rest, px_per_deg=px_per_deg)
    disc = disc_limit_px(rest, px_per_deg=px_per_deg)
    for share in (0.3, 0.6, 0.85):
        left = disc_limit_px(replace(rest, line_px=share * line), px_per_deg=px_per_deg)
        told = disc * (1 - share**BLUR_POWER) ** (1 / BLUR_POWER)
        assert left == pytest.approx(told, rel=0.03, abs=0.02)


def test_shapes_broadcast() -> None:
    assert reaches_cm(
        Spreads(disc_px=np.zeros((3, 1)), airy_px=np.zeros(4)), long_edge_px=6000, viewing_cm=50
    ).shape == (3, 4)
    assert float(reaches_cm(Spreads(), long_edge_px=6000, viewing_cm=50)) == pytest.approx(
        112, abs=1
    )


def test_no_length_is_refused() -> None:
    with pytest.raises(InputError, match="above zero"):
        reaches_cm(Spreads(), long_edge_px=[6000, 0], viewing_cm=50)
