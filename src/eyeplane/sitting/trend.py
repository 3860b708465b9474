"""Whether something grew or fell over a sitting, said only where it can be told from chance."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

FEWEST = 8  # bursts; with fewer a trend is not looked for
CHANCE = 0.05  # how often a sitting without a trend may be said to have one; common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """A trend that can be told.

    Attributes
    ----------
    grows : bool
        True if the share grew over the sitting.
    first, last : tuple of int
        Frames with it and all frames, in the first and the last third of the sitting.
    """

    grows: bool
    first: tuple[int, int]
    last: tuple[int, int]


def chance_of_trend(shares: Sequence[float]) -> float:
    """Return how likely chance alone makes a trend as strong as this one.

    Parameters
    ----------
    shares : sequence of float
        One number a burst, in order of time, 0..1.

    Returns
    -------
    float
        Two-sided probability, 0..1; 1 if all shares are alike or there are fewer than three.

    Notes
    -----
    With r the correlation of the shares with their order, (n − 1) r² is held against chi-square
    with one degree of freedom: the test for a linear trend in its permutation form.

    References
    ----------
    Mantel, N. (1963), "Chi-square tests with one degree of freedom; extensions of the
    Mantel-Haenszel procedure", Journal of the American Statistical Association 58, 690-700.
    """
    values = np.asarray(shares, dtype=float)
    count = len(values)
    if count < 3 or np.ptp(values) == 0:
        return 1.0
    r = float(np.corrcoef(np.arange(count), values)[0, 1])
    return math.erfc(abs(r) * math.sqrt((count - 1) / 2))


def find_trend(marked: Sequence[bool], bursts: Sequence[int]) -> Trend | None:
    """Return the trend of a mark over a sitting.

    Parameters
    ----------
    marked : sequence of bool
        Frame by frame in order of time, True where it has the mark.
    bursts : sequence of int
        Their bursts. Each burst has one vote, since its frames share their fate.

    Returns
    -------
    Trend or None
        None if no trend can be told: too few bursts, too likely by chance, or the first and the
        last third do not bear it out.
    """
    votes: dict[int, list[bool]] = {}
    for mark, burst in zip(marked, bursts, strict=True):
        votes.setdefault(burst, []).append(mark)
    shares = [sum(vote) / len(vote) for vote in votes.values()]
    if len(shares) < FEWEST or chance_of_trend(shares) >= CHANCE:
        return None
    grows = float(np.corrcoef(np.arange(len(shares)), shares)[0, 1]) > 0
    third = len(marked) // 3
    first, last = sum(marked[:third]), sum(marked[-third:])
    if first == last or (last > first) != grows:
        return None
    return Trend(grows=grows, first=(first, third), last=(last, third))
