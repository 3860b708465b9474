"""How hard a light is: how large it looks from the face, and how wide the edges of its shadows."""

import math
from typing import cast

import numpy as np

from eyeplane.light.elementwise import Numbers, above_zero, not_negative, plain
from eyeplane.light.falloff import HEAD_BREADTH_MM, face_falloff_ev
from eyeplane.records import LightQuality

# How large a light looks from the sitter, and what photographers call it; common practice, no
# source. Sun 0.5°; bare flash of 6 cm at 2 m 2°; 18 cm reflector at 2 m 5°; beauty dish of 40 cm at
# 2 m 11°; umbrella or softbox of 1 m at 2 m 28°; window or softbox of 1.2 m at 1.5 m 44°.
HARDNESS = ((5.0, "hard"), (12.0, "fairly hard"), (30.0, "fairly soft"), (math.inf, "soft"))
# Tip of the nose to the cheek that its shadow falls on, along the light; from memory, 20 to 40.
NOSE_TO_CHEEK_MM = 30.0
# What a light of each kind does, both ways round; common practice, no source.
_DOES = {
    "hard": (
        "it draws every lash, hair and pore crisply, and every line with them: for kinder skin take"
        " a larger source or bring it nearer"
    ),
    "fairly hard": (
        "it keeps texture in skin and cloth: for kinder skin take a larger source or bring it"
        " nearer"
    ),
    "fairly soft": (
        "it is kind to skin and still models the face: for more texture take a smaller source or"
        " move it away"
    ),
    "soft": (
        "it is kind to skin and plays texture down: for more texture take a smaller source or move"
        " it away"
    ),
}


def source_deg(*, size_mm: float | Numbers, distance_mm: float | Numbers) -> Numbers:
    """Return how large a source looks from the face.

    Parameters
    ----------
    size_mm : float or ndarray
        Its diameter as the face sees it, >= 0.
    distance_mm : float or ndarray
        Its distance from the face, > 0.

    Returns
    -------
    float or ndarray
        Full angle 2 atan(size / 2 distance), in degrees.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    A softbox at its own width, and at twice that:

    >>> round(source_deg(size_mm=1000, distance_mm=1000)), round(
    ...     source_deg(size_mm=1000, distance_mm=2000)
    ... )
    (53, 28)
    """
    not_negative(size_mm=size_mm)
    above_zero(distance_mm=distance_mm)
    return cast("Numbers", plain(np.degrees(2.0 * np.arctan(size_mm / 2.0 / distance_mm))))


def penumbra_mm(
    *,
    source_size_mm: float | Numbers,
    source_distance_mm: float | Numbers,
    edge_distance_mm: float | Numbers = NOSE_TO_CHEEK_MM,
) -> Numbers:
    """Return how wide the soft edge of a shadow is.

    Parameters
    ----------
    source_size_mm : float or ndarray
        Diameter of the source, >= 0.
    source_distance_mm : float or ndarray
        Source to the edge that casts the shadow, > 0.
    edge_distance_mm : float or ndarray
        That edge to where the shadow falls, along the light, >= 0: tip of the nose to cheek unless
        said.

    Returns
    -------
    float or ndarray
        From full shadow to full light, size × edge distance / source distance, square to the light;
        on skin that slants away it is drawn out.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> penumbra_mm(source_size_mm=600, source_distance_mm=1500)
    12.0
    """
    not_negative(source_size_mm=source_size_mm, edge_distance_mm=edge_distance_mm)
    above_zero(source_distance_mm=source_distance_mm)
    return cast("Numbers", plain(source_size_mm * edge_distance_mm / source_distance_mm))


def hardness_name(source_deg: float) -> str:
    """Return what photographers call a light that looks this large from the face.

    Parameters
    ----------
    source_deg : float
        Full angle, >= 0 degrees.

    Returns
    -------
    str
        "hard" below 5 degrees, "fairly hard" below 12, "fairly soft" below 30, else "soft": our own
        limits, there are no published ones; the same as for lights read from catchlights.

    Raises
    ------
    InputError
        If the angle is negative.

    Examples
    --------
    >>> hardness_name(2), hardness_name(11), hardness_name(28), hardness_name(53)
    ('hard', 'fairly hard', 'fairly soft', 'soft')
    """
    not_negative(source_deg=source_deg)
    return next(name for limit, name in HARDNESS if source_deg < limit)


def light_quality(
    *,
    source_size_mm: float,
    source_distance_mm: float,
    falloff_ev: float | None = None,
) -> LightQuality:
    """Return how hard a light is, with what it does to texture and skin.

    Parameters
    ----------
    source_size_mm : float
        Diameter of the source as the face sees it, >= 0.
    source_distance_mm : float
        Its distance from the face, > 0.
    falloff_ev : float or None
        Stops lost from the front to the back row of a group; None: one face, from its one side to
        the other.

    Returns
    -------
    LightQuality
        With a sentence that takes no side: hard light is for texture, soft light kinder to skin.

    Raises
    ------
    InputError
        If an argument is out of range.

    Examples
    --------
    >>> quality = light_quality(source_size_mm=900, source_distance_mm=1500)
    >>> quality.name, round(quality.source_deg), round(quality.penumbra_mm)
    ('soft', 33, 18)
    """
    not_negative(source_size_mm=source_size_mm)
    above_zero(source_distance_mm=source_distance_mm)
    angle_deg = source_deg(size_mm=source_size_mm, distance_mm=source_distance_mm)
    edge_mm = penumbra_mm(source_size_mm=source_size_mm, source_distance_mm=source_distance_mm)
    name = hardness_name(angle_deg)
    where = "from the front row to the back row"
    if falloff_ev is None:
        where = "across the face, if it comes from the side"
        falloff_ev = face_falloff_ev(
            source_distance_mm=source_distance_mm,
            across_mm=HEAD_BREADTH_MM,
            source_size_mm=source_size_mm,
        )
    text = (
        f"{name.capitalize()} light: from the face it spans {_told(angle_deg)}°, the edge of the"
        f" nose's shadow is {_told(edge_mm)} mm wide, and it loses {falloff_ev:.1f} stops {where}."
        f" {_DOES[name].capitalize()}."
    )
    return LightQuality(
        source_deg=angle_deg,
        penumbra_mm=edge_mm,
        name=name,
        falloff_ev=falloff_ev,
        text=text.replace("−0.0", "0.0").replace("-0.0", "0.0"),
    )


def _told(value: float) -> str:
    return f"{value:.1f}" if value < 2.95 else f"{value:.0f}"
