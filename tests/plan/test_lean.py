"""Who leans, how far, and which way."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from eyeplane.plan.lean import in_words, lean_in_mm, lean_mm

places = arrays(np.float64, st.integers(1, 12), elements=st.floats(2000, 6000))


@settings(max_examples=40, deadline=None)
@given(places, st.floats(2000, 6000), st.floats(0, 1000))
def test_after_moving_all_are_inside_and_nobody_moves_for_nothing(
    where: np.ndarray, near: float, depth: float
) -> None:
    far = near + depth
    after = where - lean_mm(where, near_mm=near, far_mm=far)
    assert (after >= near - 1e-9).all()
    assert (after <= far + 1e-9).all()
    inside = (where >= near) & (where <= far)
    assert (after[inside] == where[inside]).all()
    # The shortest way: those outside end on the limit that they were beyond.
    assert after[where > far] == pytest.approx(far)
    assert after[where < near] == pytest.approx(near)


@settings(max_examples=40, deadline=None)
@given(places, st.floats(0, 250))
def test_leaning_in_cuts_the_depth_by_what_the_farthest_lean(
    where: np.ndarray, most: float
) -> None:
    towards = lean_in_mm(where, most_mm=most)
    assert (towards >= 0).all()
    assert towards.max() <= most + 1e-9
    after = where - towards
    assert np.ptp(after) == pytest.approx(max(np.ptp(where) - most, 0.0), abs=1e-6)
    assert after.min() == pytest.approx(where.min())


@pytest.mark.parametrize(
    ("towards", "said"),
    [
        (60.0, "leans in by 6\u2009cm"),
        (52.0, "leans in by 6\u2009cm"),
        (-41.0, "leans back by 5\u2009cm"),
        (400.0, "comes a step closer, 40\u2009cm"),
        (-300.0, "goes a step back, 30\u2009cm"),
    ],
)
def test_a_lean_says_its_way_and_a_long_one_is_a_step(towards: float, said: str) -> None:
    assert in_words(towards) == said
