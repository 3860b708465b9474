"""Boxes and their doubles."""

from hypothesis import given
from hypothesis import strategies as st

from eyeplane.faces.detect import Found, overlap, without_doubles

SIZES = st.floats(1.0, 1e4)
PLACES = st.floats(-1e4, 1e4)


def found(x_px: float, y_px: float, size_px: float, score: float = 0.9) -> Found:
    return Found(x_px=x_px, y_px=y_px, size_px=size_px, score=score, points_px=((0.0, 0.0),) * 6)


@given(PLACES, PLACES, SIZES, PLACES, PLACES, SIZES)
def test_overlap_is_a_share_and_the_same_both_ways(
    x: float, y: float, size: float, x2: float, y2: float, size2: float
) -> None:
    a, b = found(x, y, size), found(x2, y2, size2)
    assert 0.0 <= overlap(a, b) <= 1.0 + 1e-9
    assert overlap(a, b) == overlap(b, a)
    assert overlap(a, a) == 1.0


def test_overlap_by_hand() -> None:
    assert overlap(found(0, 0, 10), found(5, 0, 10)) == 0.5
    assert overlap(found(0, 0, 10), found(20, 0, 10)) == 0.0
    assert overlap(found(0, 0, 10), found(1, 1, 2)) == 1.0


def test_the_better_of_two_doubles_stays() -> None:
    weak, strong, other = found(0, 0, 10, 0.6), found(1, 0, 10, 0.9), found(40, 0, 10, 0.7)
    assert without_doubles([weak, other, strong]) == [strong, other]
