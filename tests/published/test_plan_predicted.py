"""Reach that a plan predicts against the reach told from the pixels of rendered heads.

Truth: geometry and motion of truth.json (mitsuba, thin-lens camera), given to the plan; the
measuring sees the files alone. A part of `python -m benchmarks.accuracy.plan_rendered`, with
limits a little wider than what all of it gives.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.benchmarked import benchmark

if TYPE_CHECKING:
    from benchmarks.accuracy.plan_rendered import Compared

pytestmark = pytest.mark.slow
EVERY = 6  # of the single heads

plan_rendered = benchmark("plan_rendered")


@pytest.fixture(scope="module")
def rows(data: Path) -> "list[Compared]":
    assert data.is_dir()
    chain = benchmark("chain")
    singles = [job for job in chain.jobs(1) if "single" in job[0]]
    heads = [head for job in singles[::EVERY] for head in chain.measured(job)]
    found: list[Compared] = plan_rendered.compared(heads)
    assert len(found) == len(heads) >= 12
    return found


def ratios(rows: "list[Compared]") -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    return np.array([r.ratio for r in rows])


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("in focus", 0.85, 1.05),
        ("disc of 1.5 to 3 px", 0.95, 1.3),
        ("disc of 3 to 8 px", 0.97, 1.1),
        ("motion of 8 to 16 px", 0.96, 1.08),
    ],
)
def test_reach_came_out_as_planned(
    rows: "list[Compared]", name: str, low: float, high: float
) -> None:
    found = ratios(plan_rendered.of_class(rows, name))
    assert len(found) >= 2
    assert low <= float(np.median(found)) <= high


def test_measured_interval_holds_the_plan(rows: "list[Compared]") -> None:
    still = [r for r in rows if r.line_px == 0]
    assert len(still) >= 10
    assert np.mean([r.held for r in still]) >= 0.8


def test_order_of_the_plan_is_the_order_of_the_frames(rows: "list[Compared]") -> None:
    # Whatever the scale: a frame planned to hold 1.6 times as much measures as holding more.
    pairs = [
        a.measured_cm.value > b.measured_cm.value
        for a in rows
        for b in rows
        if a.predicted_cm > 1.6 * b.predicted_cm
    ]
    assert len(pairs) > 40
    assert np.mean(pairs) > 0.98
