"""A reach chart of a long sitting, held against numpy's own quantiles."""

import numpy as np

from eyeplane.deliver.drawing import Point, ReachChart
from eyeplane.deliver.reach_run import thinned


def chart(count: int) -> ReachChart:
    heights = np.random.default_rng(7).uniform(10, 160, count)
    points = tuple(
        Point(x=float(k), y=float(y), low_y=float(y) + 3, high_y=float(y) - 3, best=k % 4 == 0)
        for k, y in enumerate(heights)
    )
    return ReachChart(points=points, levels=(), goal_y=80.0, height=170.0, spoken="Reach")


def test_a_short_sitting_stays_a_mark_a_frame() -> None:
    run = thinned(chart(160))
    assert run is not None
    assert run.each == 1
    assert run.chart == chart(160)


def test_nothing_stays_nothing() -> None:
    assert thinned(None) is None


def test_a_long_one_has_marks_that_can_be_told_apart() -> None:
    long = chart(5003)
    run = thinned(long)
    assert run is not None
    assert run.each == 32  # 5003 frames on at most 160 marks
    assert len(run.chart.points) == 157
    assert not any(point.best for point in run.chart.points)
    heights = [point.y for point in long.points[:32]]
    first = run.chart.points[0]
    assert first.y == np.median(heights)
    # Nine in ten of them: higher reach is drawn higher, at the smaller y.
    assert first.high_y == np.quantile(heights, 0.05)
    assert first.low_y == np.quantile(heights, 0.95)
    assert first.high_y < first.y < first.low_y
    places = [point.x for point in run.chart.points]
    assert places == sorted(places)
