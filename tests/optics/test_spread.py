"""The point spread of the whole system, in its two directions."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.optics import (
    PointSpread,
    system_mtf,
    true_contrast,
)
from eyeplane.optics.spread import first_zero_per_px

sizes = st.one_of(st.just(0.0), st.floats(1e-12, 1e-6), st.floats(0.01, 200))
spreads = st.builds(
    PointSpread, disc_px=sizes, line_px=sizes, gaussian_px=sizes, airy_px=st.floats(0, 10)
)
FREQUENCIES = np.linspace(0, 1, 301)


@given(spread=spreads)
def test_along_never_above_across_and_both_within_bounds(spread: PointSpread) -> None:
    along, across = system_mtf(spread, FREQUENCIES)
    assert np.all((along >= 0) & (along <= across) & (across <= 1 + 1e-12))
    assert along[0] == pytest.approx(1)


@given(spread=spreads)
def test_true_contrast_is_the_worse_direction_up_to_its_zero(spread: PointSpread) -> None:
    true = true_contrast(spread, FREQUENCIES)
    along, _ = system_mtf(spread, FREQUENCIES)
    below = first_zero_per_px(spread) > FREQUENCIES
    assert true[below] == pytest.approx(along[below], abs=1e-9)
    assert np.all(true[~below] == 0)
    assert np.all(np.diff(true) <= 1e-12)


@given(
    spread=spreads,
    part=st.sampled_from(["disc_px", "line_px", "gaussian_px", "airy_px"]),
    more=st.floats(0, 20),
)
def test_more_of_any_blur_never_helps(spread: PointSpread, part: str, more: float) -> None:
    sizes_px = {n: getattr(spread, n) for n in ("disc_px", "line_px", "gaussian_px", "airy_px")}
    worse = PointSpread(**(sizes_px | {part: sizes_px[part] + more}))
    before, after = (true_contrast(s, FREQUENCIES) for s in (spread, worse))
    assert np.all(after <= before + 1e-12)


def test_line_leaves_the_other_direction_alone() -> None:
    _, across = system_mtf(PointSpread(line_px=20), FREQUENCIES)
    _, still = system_mtf(PointSpread(), FREQUENCIES)
    assert across == pytest.approx(still)
