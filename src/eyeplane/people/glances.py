"""How fast an iris moves when the eye glances elsewhere while the head keeps still."""

import math

from eyeplane.errors import InputError
from eyeplane.people.measures import BodyMeasure

# Iris to the eye's centre of turning: 13.5 mm behind the cornea (13 to 14), less 3; from memory.
TURNING_MM = BodyMeasure(mean_mm=10.5, sd_mm=0.5, source="from memory")
# A glance of 10 degrees peaks at about 400 deg/s and lasts some 60 ms; all last 20 to 200 ms and
# reach 700 deg/s at 25 degrees (Introduction to Biomedical Engineering, fig. 13.5).
GLANCE_PEAK_DEG_PER_S, GLANCE_FASTEST_DEG_PER_S = 400.0, 700.0
_GLANCE_S, _GLANCE_S_PER_DEG = 0.021, 0.0022  # duration's straight line over size; from memory


def glance_s(*, size_deg: float) -> float:
    """Return how long a glance elsewhere lasts.

    Parameters
    ----------
    size_deg : float
        How far the eye turns, 0 to 60 degrees.

    Returns
    -------
    float
        Seconds; a still frame taken meanwhile shows a moving iris in a sharp face.

    Raises
    ------
    InputError
        If the eye cannot turn that far.

    Notes
    -----
    A straight line, 21 ms and 2.2 ms a degree, from memory; 43 ms at 10 degrees, where a textbook
    curve shows about 60.

    Examples
    --------
    >>> round(glance_s(size_deg=10), 3)
    0.043
    """
    if not 0.0 <= size_deg <= 60.0:
        raise InputError(
            f"an eye does not turn by {size_deg} degrees", where="size_deg", hint="Give 0 to 60"
        )
    return _GLANCE_S + _GLANCE_S_PER_DEG * size_deg


def iris_speed_mm_per_s(*, turning_deg_per_s: float = GLANCE_PEAK_DEG_PER_S) -> float:
    """Return how fast the iris moves across the lens axis while the eye turns.

    Parameters
    ----------
    turning_deg_per_s : float
        How fast the eye turns, >= 0.

    Returns
    -------
    float
        Turning in radians times `TURNING_MM`, for an eye that looks towards the camera.

    Raises
    ------
    InputError
        If the rate is negative or no number.

    Examples
    --------
    >>> round(iris_speed_mm_per_s())
    73
    """
    if not 0.0 <= turning_deg_per_s < math.inf:
        raise InputError(
            f"an eye does not turn at {turning_deg_per_s} deg/s",
            where="turning_deg_per_s",
            hint="Give 0 or more",
        )
    return math.radians(turning_deg_per_s) * TURNING_MM.mean_mm
