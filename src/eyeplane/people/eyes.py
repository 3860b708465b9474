"""Sizes of eyes: the visible iris and the distance between the pupils, adults and children."""

from eyeplane.errors import InputError
from eyeplane.people.measures import BodyMeasure, at_age

VISIBLE_IRIS_MM = BodyMeasure(
    mean_mm=11.71,
    sd_mm=0.42,
    source="Rüfer, Schröder and Erb, Cornea 24, 259-261, 2005; n = 390, ages 10 to 80",
)
EYE_DISTANCE_MM = BodyMeasure(
    mean_mm=63.0,
    sd_mm=3.8,
    source="Dodgson, Proc. SPIE 5291, 36-46, 2004, adults, far; spread from memory",
)
ANYONE_EYE_DISTANCE_MM = BodyMeasure(
    mean_mm=60.0, sd_mm=6.0, source="adults and school children together, from memory"
)

_GROWN_YEARS = 18.0  # years; growth of the face is nearly over, from memory
_CHILD_SOURCE = (
    "Pacific University thesis, 1993, far, ages 1 to 5; from 6 straight to the adults' at 18 and "
    "spread from memory"
)
# Middle of the age group in years and far distance in mm. The first is the near distance read for
# babies under a year (40.5, n = 220) plus 3.5 mm, as the other groups have between near and far.
_CHILD_EYE_DISTANCE = (
    (0.5, 44.0),
    (1.5, 46.5),
    (2.5, 47.5),
    (3.5, 49.5),
    (4.5, 51.0),
    (5.5, 51.0),
    (_GROWN_YEARS, EYE_DISTANCE_MM.mean_mm),
)
_CHILD_EYE_DISTANCE_SD_MM = 3.0  # mm, from memory
_CHILD_IRIS = ((0.0, 10.0), (1.0, 11.2), (3.0, VISIBLE_IRIS_MM.mean_mm))  # years, mm, from memory
_CHILD_IRIS_SD_MM = 0.5  # mm, from memory


def check_age(age_years: float | None) -> None:
    """Refuse an age that no sitter has.

    Parameters
    ----------
    age_years : float or None
        Age in years; None where it is not known.

    Raises
    ------
    InputError
        If the age is negative, above 120 or not a number.
    """
    if age_years is not None and not 0 <= age_years <= 120:
        raise InputError(
            f"{age_years} is no age", where="age_years", hint="Give years, or leave it out"
        )


def eye_distance(*, age_years: float | None = None) -> BodyMeasure:
    """Return the distance between the pupils of someone looking far.

    Parameters
    ----------
    age_years : float, optional
        Age in years, 0 to 120; left out where it is not known.

    Returns
    -------
    BodyMeasure
        63 mm for adults, less for children; with a wide spread where the age is not known.

    Raises
    ------
    InputError
        If the age is out of range.

    Notes
    -----
    Looking at a camera 1 to 2 m away turns the eyes inwards by 1 mm at most.

    References
    ----------
    N. A. Dodgson, Proc. SPIE 5291, 36-46, 2004. Pacific University thesis, May 1993.

    Examples
    --------
    >>> eye_distance(age_years=30).mean_mm, eye_distance(age_years=3.5).mean_mm
    (63.0, 49.5)
    """
    check_age(age_years)
    if age_years is None:
        return ANYONE_EYE_DISTANCE_MM
    if age_years >= _GROWN_YEARS:
        return EYE_DISTANCE_MM
    mean_mm = at_age(age_years, _CHILD_EYE_DISTANCE)
    return BodyMeasure(mean_mm=mean_mm, sd_mm=_CHILD_EYE_DISTANCE_SD_MM, source=_CHILD_SOURCE)


def visible_iris(*, age_years: float | None = None) -> BodyMeasure:
    """Return the horizontal diameter of the visible iris, white to white.

    Parameters
    ----------
    age_years : float, optional
        Age in years, 0 to 120; left out where it is not known.

    Returns
    -------
    BodyMeasure
        11.71 mm from the age of three on: of all measures of the head the one that grows least.

    Raises
    ------
    InputError
        If the age is out of range.

    References
    ----------
    F. Rüfer, A. Schröder, C. Erb, Cornea 24, 259-261, 2005; below three years from memory.

    Examples
    --------
    >>> visible_iris().mean_mm, round(visible_iris(age_years=0.5).mean_mm, 2)
    (11.71, 10.6)
    """
    check_age(age_years)
    if age_years is None or age_years >= _CHILD_IRIS[-1][0]:
        return VISIBLE_IRIS_MM
    mean_mm = at_age(age_years, _CHILD_IRIS)
    return BodyMeasure(mean_mm=mean_mm, sd_mm=_CHILD_IRIS_SD_MM, source="from memory")
