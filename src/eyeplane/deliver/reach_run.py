"""The reach over a long sitting: so many frames that each mark stands for several of them."""

from dataclasses import dataclass, replace
from statistics import fmean

import numpy as np

from eyeplane.deliver.drawing import Point, ReachChart

MOST = 160  # marks 2 drawing units apart, which is about as near as eyes tell them at that size


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachRun:
    """A reach chart with no more marks than can be told apart.

    Attributes
    ----------
    chart : ReachChart
        What is drawn.
    each : int
        Frames that one mark stands for; 1: a mark a frame.
    """

    chart: ReachChart
    each: int


def thinned(chart: ReachChart | None, most: int = MOST) -> ReachRun | None:
    """Return a chart whose marks stand for several frames in a row where there are many.

    Parameters
    ----------
    chart : ReachChart or None
        One mark a frame.
    most : int
        Marks at most.

    Returns
    -------
    ReachRun or None
        None for None. A mark that stands for several frames lies at their median; its stroke holds
        nine in ten of them (5 % to 95 % quantile of the reaches; their own intervals are left out),
        and none is underlined.
    """
    if chart is None:
        return None
    each = -(-len(chart.points) // most)
    if each <= 1:
        return ReachRun(chart=chart, each=1)
    groups = [chart.points[k : k + each] for k in range(0, len(chart.points), each)]
    points = tuple(_together(group) for group in groups)
    return ReachRun(chart=replace(chart, points=points), each=each)


def _together(points: tuple[Point, ...]) -> Point:
    # Heights are the logarithm of the reach: monotone, so quantiles of the one are of the other.
    high, middle, low = (float(q) for q in np.quantile([p.y for p in points], [0.05, 0.5, 0.95]))
    return Point(x=fmean(p.x for p in points), y=middle, low_y=low, high_y=high, best=False)
