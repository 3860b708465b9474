"""From a learned number to a distribution: median, spread over exposures, and how sure it is."""

import math

from eyeplane.records import Measured

Z90 = 1.6449  # half width of the 90 % interval of a normal distribution, in standard deviations
LEAST_LOG_SD = 0.3  # exposures differ at least by this much; from memory
FEWEST_FRAMES = 8  # that tell something and that a learned speed rests on at least; no source


def log_spread(learned: Measured) -> float:
    """Return how a learned speed spreads over exposures.

    Parameters
    ----------
    learned : Measured
        Median > 0 and the middle 90 % of exposures.

    Returns
    -------
    float
        Standard deviation of the natural logarithm, at least `LEAST_LOG_SD`.

    Examples
    --------
    >>> round(log_spread(Measured(value=10.0, low=2.0, high=50.0)), 2)
    0.98
    """
    low = max(learned.low, 0.05 * learned.value)
    return max(math.log(max(learned.high, learned.value) / low) / (2 * Z90), LEAST_LOG_SD)


def unsure_of_learned(log_sd: float) -> float:
    """Return how unsure the median of a learned speed is.

    Parameters
    ----------
    log_sd : float
        Spread over exposures.

    Returns
    -------
    float
        Standard deviation of the logarithm of the median: as of the fewest frames that anything
        is learned from, since it is not told how many there were.

    Examples
    --------
    >>> round(unsure_of_learned(0.8), 2)
    0.28
    """
    return log_sd / math.sqrt(FEWEST_FRAMES)
