import math

import numpy as np
import pytest

from eyeplane.optics import PointSpread, looks_sharp, perceived_sharpness
from eyeplane.optics.reach import SHARP
from eyeplane.optics.sharpness import px_per_deg
from eyeplane.sitting.seen import Spreads, largest_line_px, seen_sharpness


def spreads(rng: np.random.Generator, count: int) -> Spreads:
    """Return eyes with and without each part, on prints of three scales."""

    def part(most: float) -> np.ndarray:
        return rng.uniform(0, most, count) * (rng.random(count) < 0.6)

    return Spreads(
        disc_px=part(9.0),
        line_px=part(9.0),
        airy_px=part(2.5),
        noise_contrast=part(0.1),
        px_per_deg=rng.choice([28.0, 87.266, 140.0], count),
    )


def test_many_eyes_are_seen_as_each_one_is() -> None:
    eyes = spreads(np.random.default_rng(1), 200)
    alone = [
        perceived_sharpness(
            spread=PointSpread(
                disc_px=eyes.disc_px[n], line_px=eyes.line_px[n], airy_px=eyes.airy_px[n]
            ),
            noise_contrast=eyes.noise_contrast[n],
            px_per_deg=eyes.px_per_deg[n],
        )
        for n in range(200)
    ]
    assert seen_sharpness(eyes) == pytest.approx(alone, abs=1e-12)


def test_more_than_a_cache_full_and_none() -> None:
    eyes = spreads(np.random.default_rng(2), 2500)
    whole = seen_sharpness(eyes)
    assert whole[2400:] == pytest.approx(seen_sharpness(eyes.rows(slice(2400, None))))
    assert len(seen_sharpness(eyes.rows(slice(0, 0)))) == 0


def test_the_largest_line_is_where_the_print_stops_looking_sharp() -> None:
    noise = np.array([0.0, 0.05, 0.02])
    edges = np.array([6000.0, 6000.0, 3000.0])
    goal_cm = 60.0
    scale = px_per_deg(long_edge_px=1.0, print_cm=goal_cm, viewing_cm=50.0)
    nothing = np.zeros(3)
    found = largest_line_px(
        Spreads(
            disc_px=nothing,
            line_px=nothing,
            airy_px=nothing,
            noise_contrast=noise,
            px_per_deg=edges * scale,
        ),
        SHARP,
    )
    for length, grain, edge in zip(found[:2], noise, edges, strict=False):
        held = [
            looks_sharp(
                spread=PointSpread(line_px=float(length) * factor),
                long_edge_px=edge,
                noise_contrast=grain,
                print_cm=goal_cm,
                viewing_cm=50.0,
            )
            for factor in (0.999, 1.001)
        ]
        assert held == [True, False]
    assert found[2] == 0.0  # 3000 px hold 56 cm at most
    assert math.isclose(found[0], 2.29, rel_tol=0.03)  # 1.17 times the disc of 2.7 px, less pixel
