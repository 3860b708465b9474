"""How much of a sitter the height of a frame takes in, by age."""

import math
from collections.abc import Mapping
from types import MappingProxyType

from eyeplane.errors import InputError
from eyeplane.people.eyes import EYE_DISTANCE_MM, check_age, eye_distance
from eyeplane.people.measures import at_age
from eyeplane.records.plan import Framing

ADULT_STATURE_MM = 1690.0  # women and men together, sd 95; from memory
HEAD_HEIGHT_MM = 230.0  # crown to chin, adults, sd 12; from memory
# Years and mm. To 5: WHO Child Growth Standards 2006, medians of boys and girls averaged, from
# memory; beyond: growth charts, from memory.
_STATURE_MM = (
    (0.0, 500.0),
    (0.5, 667.0),
    (1.0, 749.0),
    (2.0, 868.0),
    (3.0, 956.0),
    (4.0, 1030.0),
    (5.0, 1097.0),
    (7.0, 1215.0),
    (10.0, 1380.0),
    (12.0, 1500.0),
    (14.0, 1610.0),
    (16.0, 1670.0),
    (18.0, ADULT_STATURE_MM),
)
# What the frame's height takes in: so many heights of the head plus so much of the rest of the
# body. Common practice, no source: a head shot cuts a little above the crown and below the collar
# bones, head and shoulders below the armpits, a half length below the waist; a full length leaves a
# tenth of the stature free above and below. Photographers differ by ± 20 %.
_PARTS: Mapping[Framing, tuple[float, float]] = MappingProxyType(
    {
        "head": (1.65, 0.0),
        "head-and-shoulders": (2.3, 0.05),
        "half": (1.75, 0.4),
        "full": (1.2, 1.2),
    }
)
FRAMINGS: tuple[Framing, ...] = tuple(_PARTS)


def stature_mm(*, age_years: float | None = None) -> float:
    """Return how tall people of an age are in the middle.

    Parameters
    ----------
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    float
        Height, lying length below two years; women and men together.

    Raises
    ------
    InputError
        If the age is out of range.

    References
    ----------
    WHO Child Growth Standards, Geneva 2006, up to 5 years, and growth charts beyond: from memory.

    Examples
    --------
    >>> stature_mm(), stature_mm(age_years=4)
    (1690.0, 1030.0)
    """
    check_age(age_years)
    return ADULT_STATURE_MM if age_years is None else at_age(age_years, _STATURE_MM)


def head_height_mm(*, age_years: float | None = None) -> float:
    """Return the height of the head, crown to chin.

    Parameters
    ----------
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    float
        Adults' made smaller like the distance of the eyes, our own.

    Raises
    ------
    InputError
        If the age is out of range.

    Examples
    --------
    >>> head_height_mm(), round(head_height_mm(age_years=4))
    (230.0, 183)
    """
    if age_years is None:
        return HEAD_HEIGHT_MM
    return HEAD_HEIGHT_MM * eye_distance(age_years=age_years).mean_mm / EYE_DISTANCE_MM.mean_mm


def field_height_mm(*, framing: Framing, age_years: float | None = None) -> float:
    """Return how much of the sitter's plane the height of the frame takes in.

    Parameters
    ----------
    framing : {"head", "head-and-shoulders", "half", "full"}
        How much of the sitter is to be seen.
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    float
        Millimetres in the plane of the eyes.

    Raises
    ------
    InputError
        If there is no such framing, or the age is out of range.

    Examples
    --------
    >>> [round(field_height_mm(framing=name), -1) for name in FRAMINGS]
    [380.0, 600.0, 990.0, 2030.0]
    """
    if framing not in _PARTS:
        known = ", ".join(FRAMINGS)
        raise InputError(
            f"no framing is called '{framing}'", where="framing", hint=f"Use one of {known}"
        )
    heads, body = _PARTS[framing]
    head = head_height_mm(age_years=age_years)
    return heads * head + body * (stature_mm(age_years=age_years) - head)


def framing_of(*, field_height_mm: float, age_years: float | None = None) -> Framing:
    """Return the name of a framing.

    Parameters
    ----------
    field_height_mm : float
        What the frame's height takes in at the eyes, > 0.
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    Framing
        The one whose height is nearest by ratio.

    Raises
    ------
    InputError
        If the height is not a positive number, or the age is out of range.

    Examples
    --------
    >>> framing_of(field_height_mm=700.0), framing_of(field_height_mm=700.0, age_years=2)
    ('head-and-shoulders', 'half')
    """
    if not 0.0 < field_height_mm < math.inf:
        raise InputError(
            f"a frame cannot take in {field_height_mm} mm",
            where="field_height_mm",
            hint="Give millimetres above 0",
        )
    heights = {name: _height(name, age_years) for name in FRAMINGS}
    return min(heights, key=lambda name: abs(math.log(heights[name] / field_height_mm)))


def _height(name: Framing, age_years: float | None) -> float:
    return field_height_mm(framing=name, age_years=age_years)
