"""Counts, shares and intervals as they are said over a whole sitting."""

from collections.abc import Callable

from scipy import special

from eyeplane.diagnose.words import THIN
from eyeplane.records import Measured


def frames(count: int) -> str:
    """Return a number of frames.

    Parameters
    ----------
    count : int
        How many.

    Returns
    -------
    str
        "1 frame", "7 frames".
    """
    return f"{count} frame{'' if count == 1 else 's'}"


def of_frames(part: int, count: int) -> str:
    """Return a part of a number of frames.

    Parameters
    ----------
    part, count : int
        How many of how many.

    Returns
    -------
    str
        "3 of 7 frames".
    """
    return f"{part} of {frames(count)}"


def verb(count: int, word: str) -> str:
    """Return a verb in singular or plural.

    Parameters
    ----------
    count : int
        Of whom it is said.
    word : str
        The verb as for several.

    Returns
    -------
    str
        With an s for one.
    """
    return word + "s" if count == 1 else word


def between(measured: Measured, said: Callable[[float], str]) -> str:
    """Return an interval.

    Parameters
    ----------
    measured : Measured
        A number.
    said : callable
        How one end is said, unit included.

    Returns
    -------
    str
        "6 to 12 mm": the unit once, if both ends have the same.
    """
    return span(measured.low, measured.high, said)


def span(low_value: float, high_value: float, said: Callable[[float], str]) -> str:
    """Return two ends of an interval.

    Parameters
    ----------
    low_value, high_value : float
        Any numbers.
    said : callable
        How one end is said, unit included.

    Returns
    -------
    str
        "6 to 12 mm": the unit once, if both ends have the same; one end if both are said alike.
    """
    first, last = said(low_value), said(high_value)
    if first == last:
        return first
    number, _, unit = first.rpartition(THIN)
    return f"{number} to {last}" if number and last.endswith(THIN + unit) else f"{first} to {last}"


def share_between(
    part_weight: float, all_weight: float, *, chance: float = 0.9
) -> tuple[float, float]:
    """Return the interval of a share from a count.

    Parameters
    ----------
    part_weight, all_weight : float
        How many of how many; not whole where frames of a burst count for less than one each.
    chance : float
        How often the interval holds the share, in (0, 1).

    Returns
    -------
    tuple of float
        Ends, 0..1: 0 for none, 1 for all.

    Notes
    -----
    Jeffreys' interval: quantiles of the beta distribution with a half added to either count.

    References
    ----------
    Brown, L. D., Cai, T. T., DasGupta, A. (2001), "Interval estimation for a binomial
    proportion", Statistical Science 16, 101-133.
    """
    tail = (1 - chance) / 2
    a, b = part_weight + 0.5, all_weight - part_weight + 0.5
    low = 0.0 if part_weight <= 0 else float(special.betaincinv(a, b, tail))
    high = 1.0 if part_weight >= all_weight else float(special.betaincinv(a, b, 1 - tail))
    return low, high


def percent(low_share: float, high_share: float) -> str:
    """Return an interval of a share in percent.

    Parameters
    ----------
    low_share, high_share : float
        Ends, 0..1.

    Returns
    -------
    str
        "12 to 38 %".
    """
    first, last = f"{100 * low_share:.0f}", f"{100 * high_share:.0f}"
    return f"{last}{THIN}%" if first == last else f"{first} to {last}{THIN}%"
