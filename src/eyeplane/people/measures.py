"""What a measure of people is: a mean, its spread among them, and where it was read."""

from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMeasure:
    """A size or a depth of people in general, with its spread among them.

    Attributes
    ----------
    mean_mm : float
        Mean.
    sd_mm : float
        Standard deviation among people, generous where the mean is from memory.
    source : str
        Where it was read, or "from memory".
    """

    mean_mm: float
    sd_mm: float
    source: str


def at_age(age_years: float, points: tuple[tuple[float, float], ...]) -> float:
    """Return a value from a table by age, straight between its points and level outside them.

    Parameters
    ----------
    age_years : float
        Where to look.
    points : tuple of (float, float)
        Ages in rising order, each with its value.

    Returns
    -------
    float
        Value at that age.

    Examples
    --------
    >>> at_age(1.5, ((1, 10), (2, 20)))
    15.0
    """
    if age_years <= points[0][0]:
        return float(points[0][1])
    for (left, low), (right, high) in pairwise(points):
        if age_years <= right:
            return low + (high - low) * (age_years - left) / (right - left)
    return float(points[-1][1])
