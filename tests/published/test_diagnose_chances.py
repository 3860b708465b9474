"""Stated chances against the truth of rendered heads: of those said with .9, nine in ten hold.

Source: truth.json of the rendered heads (thin-lens geometry, motion put on by the renderer).
"""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.benchmarked import benchmark

if TYPE_CHECKING:
    from benchmarks.accuracy.reliability import Stated


reliability = benchmark("reliability")
EVERY = 8  # of the frames: 14, still and moved, sharp and soft, in some 8 s


@pytest.fixture(scope="module")
def heads(data: Path) -> "tuple[list[Stated], list[Stated]]":
    """Return what is said of some heads, with and without the camera's settings."""
    del data
    jobs = benchmark("chain").jobs(EVERY)
    found = [one for job in jobs for one in reliability.joined(job)]
    return (
        reliability.told(reliability.stated(one) for one in found),
        reliability.told(reliability.stated(one, settings=False) for one in found),
    )


@pytest.mark.slow
def test_chances_are_as_right_as_they_say(heads: "tuple[list[Stated], list[Stated]]") -> None:
    for said in heads:
        assert len(said) >= 12
        sure = [right for chance, right in reliability.best_pairs(said) if chance >= 0.9]
        assert len(sure) >= 5
        assert np.mean(sure) >= 0.85
        # Dice of three causes would be surprised by 1.10; the whole set gives .3 to .4.
        assert reliability.surprise(said) < 0.6


@pytest.mark.slow
def test_settings_make_the_answer_surer(heads: "tuple[list[Stated], list[Stated]]") -> None:
    known, unknown = heads
    assert reliability.surprise(known) < reliability.surprise(unknown) + 0.1


@pytest.mark.slow
def test_what_is_named_is_true(heads: "tuple[list[Stated], list[Stated]]") -> None:
    for said in heads:
        for one in said:
            if one.truth == "none":
                assert one.cause not in ("focus", "shake", "sitter", "motion", "glass")
        moved = [h for h in said if h.truth == "motion"]
        assert np.mean([h.cause in ("motion", "shake", "sitter") for h in moved]) >= 0.7


def test_curve_counts_every_pair_once() -> None:
    pairs = [(0.0, False), (0.5, True), (0.95, True), (1.0, True), (0.97, False)]
    rows = reliability.curve(pairs)
    assert sum(row[2] for row in rows) == len(pairs)
    assert rows[-1] == (0.98, 1.0, 1, 1.0, 1.0)
    assert rows[-2][3] == pytest.approx(0.96)
    assert rows[-2][4] == 0.5
