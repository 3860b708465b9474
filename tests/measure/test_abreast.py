"""Threads on one frame: the same reading to the last bit, in the order of the parts."""

import threading
from importlib.resources import files

import cv2
import numpy as np
import pytest

from eyeplane.measure import measure_frame
from eyeplane.measure.abreast import abreast
from eyeplane.measure.fill import SMOOTHINGS, fill_clipped
from eyeplane.records import MeasureSettings, to_plain


@pytest.mark.parametrize("threads", [1, 2, 3])
def test_results_keep_the_order_of_the_parts(threads: int) -> None:
    with abreast(threads) as together:
        assert together.map(lambda n: n * n, range(40)) == [n * n for n in range(40)]
        assert together.map(abs, ()) == []


def test_calls_within_calls_end() -> None:
    with abreast(2) as together:
        found = together.map(lambda n: sum(together.map(lambda m: n * m, range(5))), range(20))
    assert found == [10 * n for n in range(20)]


def test_a_helper_works_beside_the_caller() -> None:
    both = threading.Barrier(2)
    with abreast(2) as together:  # alone, the first would wait for the second for ever
        assert len(set(together.map(lambda _: both.wait(60.0), range(2)))) == 2


@pytest.mark.parametrize("threads", [1, 2])
def test_an_error_in_a_part_is_told(threads: int) -> None:
    with abreast(threads) as together, pytest.raises(ZeroDivisionError):
        together.map(lambda n: 1 // n, [3, 2, 1, 0])


@pytest.mark.slow
@pytest.mark.parametrize("name", ["ilves-08.jpg", "ilves-13.jpg"])
def test_two_threads_read_the_same_to_the_last_bit(name: str) -> None:
    path = str(files("eyeplane") / "cli" / "demo_sitting" / name)
    alone = measure_frame(path, MeasureSettings())
    assert to_plain(measure_frame(path, MeasureSettings(), threads=2)) == to_plain(alone)


@pytest.mark.parametrize("side", [64, 208, 250])
def test_holes_are_filled_as_if_all_of_the_window_were_looked_at(side: int) -> None:
    rng = np.random.default_rng(side)
    light = rng.gamma(4.0, 0.25, (side, side))
    clipped = np.zeros((side, side), bool)
    clipped[10:24, 30:41] = clipped[-8:, -5:] = True
    hot = rng.random((side, side)) < 0.001
    hole = cv2.dilate(clipped.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    hole |= cv2.dilate(hot.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    known = (~hole).astype(float)
    expected, todo = light * known, hole.copy()
    for scale in (1.5, 3.0, 6.0, 12.0, 24.0):
        total = cv2.GaussianBlur(light * known, (0, 0), scale)
        share = cv2.GaussianBlur(known, (0, 0), scale)
        reach = todo & (share > 1e-3)
        expected[reach] = total[reach] / share[reach]
        todo &= ~reach
    assert not todo.any()
    for _ in range(SMOOTHINGS):
        expected[hole] = cv2.blur(expected, (3, 3))[hole]
    assert np.array_equal(fill_clipped(light, clipped, hot), expected)
