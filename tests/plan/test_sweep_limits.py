"""Limits and reaches read off a grid, against the same sums point by point."""

import numpy as np
import pytest
from numpy.typing import NDArray

from eyeplane.optics import Spreads, reaches_cm
from eyeplane.plan import sweep_limits
from eyeplane.plan.hold import base_spreads, hold_limits
from eyeplane.plan.sweep_limits import Grid, limits_at, reaches_at
from eyeplane.plan.sweep_points import Points
from eyeplane.records import PlanKit, PlanLight, PlanPrint, SitterRequest

KIT = PlanKit(focal_length_mm=85.0)
REQUEST = SitterRequest(kit=KIT, light=PlanLight(exposure_ev=9.0), distance_mm=2000.0)
COUNT = 1500  # more than are worked out one by one

Settings = tuple[Points, NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]


@pytest.fixture(scope="module")
def scattered() -> Settings:
    """Return prints and settings that all differ."""
    rng = np.random.default_rng(4)
    points = Points(request=REQUEST, columns={"print_cm": rng.uniform(25.0, 90.0, COUNT)})
    f_number = np.exp(rng.uniform(np.log(1.4), np.log(16.0), COUNT))
    iso = np.exp(rng.uniform(np.log(100.0), np.log(6400.0), COUNT))
    return points, f_number, iso, np.full(COUNT, 0.18)


def test_limits_are_those_of_each_point_alone(scattered: Settings) -> None:
    points, f_number, iso, level = scattered
    assert COUNT > sweep_limits.DIRECT
    found = limits_at(points, f_number=f_number, iso=iso, level=level)
    some = np.arange(0, COUNT, 30)
    for k in some.tolist():
        promise = PlanPrint(print_cm=float(points.columns["print_cm"][k]))
        alone = hold_limits(KIT, promise, f_number=f_number[k], iso=iso[k])
        assert found.disc_um[k] == pytest.approx(alone.disc_um[0], rel=0.02, abs=0.05)
        assert found.line_um[k] == pytest.approx(alone.line_um[0], rel=0.02, abs=0.05)
        if alone.disc_um[0] > 0:
            assert found.room_share[k] == pytest.approx(
                alone.room_share[0], rel=0.02
            )  # four digits there


def test_reaches_are_those_of_each_point_alone(scattered: Settings) -> None:
    points, f_number, iso, level = scattered
    blur = np.exp(np.random.default_rng(5).uniform(0.0, np.log(80.0), COUNT))
    found = reaches_at(points, blur_um=blur, f_number=f_number, iso=iso, level=level)
    base = base_spreads(KIT, f_number, iso)
    alone = reaches_cm(
        Spreads(
            disc_px=blur / KIT.pitch_um,
            gaussian_px=base.gaussian_px,
            airy_px=base.airy_px,
            noise_contrast=base.noise_contrast,
        ),
        long_edge_px=6000,
        viewing_cm=50,
    )
    assert found == pytest.approx(alone, rel=0.012)


def test_few_points_are_worked_out_one_by_one() -> None:
    points = Points(request=REQUEST, columns={"print_cm": np.array([30.0, 60.0])})
    found = limits_at(
        points, f_number=np.full(2, 2.8), iso=np.full(2, 400.0), level=np.full(2, 0.18)
    )
    for k, size in enumerate((30.0, 60.0)):
        alone = hold_limits(KIT, PlanPrint(print_cm=size), f_number=2.8, iso=400.0)
        assert found.disc_um[k] == pytest.approx(alone.disc_um[0], rel=2e-3)
    assert found.disc_um[0] > found.disc_um[1]


def test_kits_of_other_pixels_are_kept_apart() -> None:
    points = Points(request=REQUEST, columns={"long_edge_px": np.array([3000.0, 9000.0])})
    settings = {"f_number": np.full(2, 4.0), "iso": np.full(2, 100.0), "level": np.full(2, 0.18)}
    reach = reaches_at(points, blur_um=np.full(2, 2.0), **settings)
    assert reach[1] > 1.4 * reach[0]


def test_a_grid_reads_polynomials_exactly() -> None:
    rng = np.random.default_rng(1)
    x, y, z = rng.uniform(-1.0, 2.0, 200), rng.uniform(3.0, 4.0, 200), rng.choice([1.0, 2.0], 200)
    grid = Grid.over((x, y, z), (5, 5, 5))

    def f(a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]) -> object:
        return a**4 - 2 * a * b**3 + 3 * c

    assert len(grid.nodes[2]) == 2  # its own two values
    assert grid.read(np.asarray(f(*grid.corners()))) == pytest.approx(np.asarray(f(x, y, z)))
