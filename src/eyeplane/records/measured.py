"""A measured number: never without its spread."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A number with the interval that holds the truth nine times in ten.

    The unit stands at the end of the name of the field that holds it (``distance_mm: Measured``).
    What cannot be told is ``None`` in that field, never a NaN in here.

    Attributes
    ----------
    value : float
        Best single answer.
    low, high : float
        Ends of the 90 % interval, ``low <= value <= high``.

    Raises
    ------
    ValueError
        If a number is not finite or the three are not in order.
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.low) and math.isfinite(self.high)):
            msg = f"not finite: {self.value}, {self.low}, {self.high}; say None for 'cannot tell'"
            raise ValueError(msg)
        if not self.low <= self.value <= self.high:
            msg = f"out of order: low {self.low}, value {self.value}, high {self.high}"
            raise ValueError(msg)
