"""Sizes of eyes: visible iris and eye distance."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyMeasure:
    """A size or depth of people in general, with its spread among them.

    Attributes
    ----------
    mean_mm : float
        Mean.
    sd_mm : float
        Standard deviation among people.
    source : str
        Where it was read, or "from memory".
    """

    mean_mm: float
    sd_mm: float
    source: str


RUEFER = "Rüfer, Schröder, Erb, Cornea 24, 259-261, 2005: n = 390, ages 10 to 80"

VISIBLE_IRIS_MM = BodyMeasure(mean_mm=11.71, sd_mm=0.42, source=RUEFER)
