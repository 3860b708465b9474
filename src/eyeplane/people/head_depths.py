"""How deep places of the head lie behind the iris, along the direction in which it faces.

Zero is the plane of the near iris; + is farther from the camera of a sitter who faces it, − is
nearer. Adults; children's heads are taken as adults' made smaller.
"""

import math
from types import MappingProxyType

from eyeplane.errors import InputError
from eyeplane.people.eyes import EYE_DISTANCE_MM, check_age, eye_distance
from eyeplane.people.measures import BodyMeasure

CORNEA_MM = BodyMeasure(
    mean_mm=-3.0, sd_mm=0.4, source="depth of the chamber before the iris, from memory"
)

_MEMORY = "from memory"
_RIM = (
    "corneal tip 12-20 mm before the outer rim of the orbit in adults (Bogren 1986, abstract), "
    "less the 3 mm from the tip to the iris"
)
_BROW = (
    "from memory; a design datum (City University of Hong Kong, Head length) puts the glabella, "
    "which juts out farther, 20 mm before the eye"
)

HEAD_DEPTHS = MappingProxyType(
    {
        "nose tip": BodyMeasure(mean_mm=-33.0, sd_mm=4.0, source=_MEMORY),
        "mouth": BodyMeasure(mean_mm=-16.0, sd_mm=4.0, source=_MEMORY),
        "chin": BodyMeasure(mean_mm=-11.0, sd_mm=6.0, source=_MEMORY),
        "forehead": BodyMeasure(mean_mm=-11.0, sd_mm=5.0, source=_MEMORY),
        "brow": BodyMeasure(mean_mm=-8.0, sd_mm=4.0, source=_BROW),
        "lash tips": BodyMeasure(mean_mm=-8.0, sd_mm=3.0, source=_MEMORY),
        "lash roots": BodyMeasure(mean_mm=-1.0, sd_mm=1.5, source=_MEMORY),
        "cornea": CORNEA_MM,
        "iris": BodyMeasure(mean_mm=0.0, sd_mm=0.0, source="the zero of all depths"),
        "outer eye corner": BodyMeasure(mean_mm=6.0, sd_mm=2.5, source=_MEMORY),
        "orbit rim": BodyMeasure(mean_mm=13.0, sd_mm=2.5, source=_RIM),
        "ear": BodyMeasure(mean_mm=95.0, sd_mm=9.0, source=_MEMORY),
    }
)


def head_depth(name: str, *, age_years: float | None = None) -> BodyMeasure:
    """Return how far behind the iris a place of the head lies.

    Parameters
    ----------
    name : str
        One of `HEAD_DEPTHS`.
    age_years : float, optional
        Age in years, 0 to 120; left out, an adult's.

    Returns
    -------
    BodyMeasure
        Depth along the direction in which the face looks, + behind the iris. For children it is
        made smaller in the ratio of the eye distances, with the spread of that ratio added.

    Raises
    ------
    InputError
        If there is no such place, or the age is out of range.

    Notes
    -----
    For a face turned by an angle the depth along the lens axis also takes the place's distance to
    the side: depth × cos(yaw) plus or minus that distance × sin(yaw).

    Examples
    --------
    >>> head_depth("nose tip").mean_mm
    -33.0
    >>> round(head_depth("ear", age_years=3.5).mean_mm)
    75
    """
    check_age(age_years)
    if name not in HEAD_DEPTHS:
        known = ", ".join(sorted(HEAD_DEPTHS))
        raise InputError(
            f"no depth is known for '{name}'", where="name", hint=f"Use one of {known}"
        )
    adult = HEAD_DEPTHS[name]
    if age_years is None:
        return adult
    eyes = eye_distance(age_years=age_years)
    ratio = eyes.mean_mm / EYE_DISTANCE_MM.mean_mm
    if ratio == 1.0:
        return adult
    ratio_sd = eyes.sd_mm / EYE_DISTANCE_MM.mean_mm
    return BodyMeasure(
        mean_mm=adult.mean_mm * ratio,
        sd_mm=math.hypot(adult.sd_mm, adult.mean_mm * ratio_sd),
        source=f"{adult.source}; made smaller like the eye distance, our own",
    )
