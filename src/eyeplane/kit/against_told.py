"""What two kits come to in words of the record: who is sharper, which parts, whether it is seen."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from eyeplane.kit.against_seen import interval
from eyeplane.records import Measured
from eyeplane.records.kit_against import (
    AgainstPart,
    AgainstPrint,
    AgainstWay,
    PartName,
    Sharper,
    Verdict,
)

FloatArray = NDArray[np.float64]

CURVE_FROM_CM, CURVE_UNTIL_CM = 15.0, 300.0
BEYOND_RATIO = 1.6  # how far the curve goes beyond all that is to be seen on it


def verdict_of(sold: Sequence[AgainstPrint]) -> Verdict:
    """Return whether the prints sold show a difference.

    Parameters
    ----------
    sold : sequence of AgainstPrint
        Of one way.

    Returns
    -------
    {"shown", "not shown", "cannot tell", "nothing sold named"}
        Shown as soon as one does, not shown only if none does.
    """
    if not sold:
        return "nothing sold named"
    answers = {one.seen for one in sold}
    if "yes" in answers:
        return "shown"
    return "cannot tell" if "cannot tell" in answers else "not shown"


def best_step_ratio(ways: Sequence[AgainstWay]) -> float | None:
    """Return the largest difference on any print sold, over the smallest that is seen.

    Parameters
    ----------
    ways : sequence of AgainstWay
        All that were looked at.

    Returns
    -------
    float or None
        None where no prints were named.
    """
    sizes = [abs(one.step_ratio.value) for way in ways for one in way.sold]
    return max(sizes, default=None)


def sharper_of(difference_cm: Measured) -> Sharper:
    """Return which kit reaches farther.

    Parameters
    ----------
    difference_cm : Measured
        B's reach less A's.

    Returns
    -------
    {"A", "B", "neither"}
        "neither" where the interval holds nought.
    """
    if difference_cm.low <= 0.0 <= difference_cm.high:
        return "neither"
    return "B" if difference_cm.value > 0 else "A"


def parts_told(shares: Mapping[PartName, FloatArray]) -> tuple[AgainstPart, ...]:
    """Return what each part makes of the difference, largest first.

    Parameters
    ----------
    shares : mapping of str to ndarray
        In cm, under every belief; the best guess first.

    Returns
    -------
    tuple of AgainstPart
        With intervals.
    """
    told = [AgainstPart(part=name, change_cm=interval(one)) for name, one in shares.items()]
    return tuple(sorted(told, key=lambda one: -abs(one.change_cm.value)))


def curve_ends_cm(way: AgainstWay, sold_cm: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Return the prints that the curve goes from and to.

    Parameters
    ----------
    way : AgainstWay
        Of which the curve is.
    sold_cm : sequence of (float, float)
        Prints sold, long side first.

    Returns
    -------
    tuple of float
        So that all that is to be seen lies between them.
    """
    reaches = (way.a_reach_cm.value, way.b_reach_cm.value)
    edges = [*reaches, way.seen_from.smallest_cm or 0.0, *(long_cm for long_cm, _ in sold_cm)]
    least = min([CURVE_FROM_CM, 0.8 * min(reaches), *(long_cm for long_cm, _ in sold_cm)])
    most = max(edges)
    return least, max(min(BEYOND_RATIO * most, CURVE_UNTIL_CM), 1.05 * most)
