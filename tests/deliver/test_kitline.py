"""The focus of each kit is drawn to scale, all kits on one."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.deliver.told import KITS, measured

from eyeplane.deliver.depthline import MARGIN, WIDTH
from eyeplane.deliver.kitline import kit_lines
from eyeplane.records import KitFocus


def kit_of(low: float, value: float, high: float, spread_mm: float) -> KitFocus:
    return KitFocus(
        kit="A",
        setting="",
        frames=9,
        bias_mm=measured(value, low, high),
        spread_mm=measured(spread_mm, spread_mm * 0.7, spread_mm * 1.5),
    )


def test_distances_in_the_drawing_are_distances_in_the_room() -> None:
    first, second = kit_lines(KITS)
    per_mm = first.bar / 10.0
    assert first.bar_words == "10\u2009mm"
    assert first.bias_x - first.iris_x == pytest.approx(11.0 * per_mm)
    assert first.interval is not None
    assert first.field is not None
    assert first.interval.width == pytest.approx(10.0 * per_mm)  # from 6 to 16 mm behind
    assert first.interval.x - first.iris_x == pytest.approx(6.0 * per_mm)
    assert first.field.width == pytest.approx(2 * 9.4 * per_mm)
    assert first.field.x - first.iris_x == pytest.approx((11.0 - 9.4) * per_mm)
    assert second.bar == first.bar
    assert second.iris_x == first.iris_x
    assert second.bias_x < second.iris_x  # in front: towards the lens, to the left


@given(
    st.lists(
        st.tuples(
            st.lists(st.floats(-900, 900), min_size=3, max_size=3).map(sorted), st.floats(0, 900)
        ),
        min_size=1,
        max_size=4,
    )
)
def test_nothing_is_drawn_outside(rows: list[tuple[list[float], float]]) -> None:
    lines = kit_lines([kit_of(low, value, high, spread) for (low, value, high), spread in rows])
    for line in lines:
        for span in (line.interval, line.field):
            if span is not None:
                assert span.x >= MARGIN - 1e-6
                assert span.x + span.width <= WIDTH - MARGIN + 1e-6
        assert MARGIN - 1e-6 <= line.bias_x <= WIDTH - MARGIN + 1e-6
        assert 5 <= line.bar <= WIDTH / 2
    assert all(a.iris_x == b.iris_x and a.bar == b.bar for a, b in pairwise(lines))


def test_in_words() -> None:
    first, second = kit_lines(KITS)
    assert first.bias == "11\u2009mm behind (6–16)"
    assert first.spread == "9\u2009mm (6–14)"
    assert second.spread == "2.1\u2009mm (0–8)"
    assert first.frames == "9 frames"
    assert first.spoken == (
        "Focus of Körper 24, 85 mm f/1.4: mean focus plane 11\u2009mm behind (6–16); about two "
        "frames in three lie between 1.6\u2009mm behind and 20\u2009mm behind."
    )
    assert kit_lines(()) == ()
