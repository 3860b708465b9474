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
    blur_limits,
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


REST = Spreads(gaussian_px=GAUSSIAN / 5, airy_px=AIRY / 2, noise_contrast=NOISE / 4)


def test_disc_limit_is_that_of_one_print_at_a_time() -> None:
    seen = blur_limits(REST, px_per_deg=PX_PER_DEG).disc_px
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
    assert seen == pytest.approx(alone, rel=0.003, abs=0.01)
    assert 0 < np.count_nonzero(seen) < COUNT


def test_at_its_limits_a_print_is_just_sharp() -> None:
    limits = blur_limits(REST, px_per_deg=PX_PER_DEG)
    good = limits.acutance > SHARP + 1e-3
    for at_limit in (
        replace(REST, disc_px=limits.disc_px),
        replace(REST, line_px=limits.line_px),
    ):
        seen = sharpness_of(at_limit, px_per_deg=PX_PER_DEG)
        assert seen[good] == pytest.approx(SHARP, abs=5e-4)
    assert (limits.disc_px[limits.acutance <= SHARP] == 0).all()
    assert limits.acutance == pytest.approx(sharpness_of(REST, px_per_deg=PX_PER_DEG))


def test_disc_and_line_add_up_by_the_stated_power() -> None:
    """How the plan adds blur, held against the whole sum to 3 % of the limit."""
    rest = Spreads(gaussian_px=0.25, airy_px=[0.2, 0.5, 0.9], noise_contrast=[0.0, 0.03, 0.08])
    px_per_deg = np.array([[90.0], [140.0], [220.0]])
    limits = blur_limits(rest, px_per_deg=px_per_deg)
    for share in (0.3, 0.6, 0.85):
        disc = limits.disc_px * (1 - share**BLUR_POWER) ** (1 / BLUR_POWER)
        line = share * limits.line_px
        less, more = (
            sharpness_of(replace(rest, line_px=k * line, disc_px=k * disc), px_per_deg=px_per_deg)
            for k in (0.97, 1.03)
        )
        assert (less[limits.disc_px > 0.3] > SHARP).all()
        assert (more < SHARP).all()


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
