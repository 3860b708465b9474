"""The light as its catchlights tell it: in a sentence, and as places on an iris."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import percent, rounded
from eyeplane.people import VISIBLE_IRIS_MM
from eyeplane.records import LightSource, Measured

CORNEA_RADIUS_MM = 7.8  # mm, front of the cornea; 7.8 in Le Grand's eye, sd 0.27, from memory
IRIS_RADIUS_MM = VISIBLE_IRIS_MM.mean_mm / 2
PUPIL_SHARE = 0.36  # of the iris, about 4 mm across, indoors: for drawing only, from memory
SIDE = 72.0  # side of the drawing, its own units
IRIS = 30.0  # radius of the iris in it
LEAST = 1.6  # a spot is never drawn smaller than this, half its width


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One catchlight in the drawing.

    Attributes
    ----------
    x, y : float
        Its middle, from the middle of the iris, y down.
    wide, high : float
        Half its width and height.
    strongest : bool
        Whether it is the strongest light.
    """

    x: float
    y: float
    wide: float
    high: float
    strongest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class IrisClock:
    """An iris with its catchlights, twelve hours around it.

    Attributes
    ----------
    spots : tuple of Spot
        Strongest first.
    hours : tuple of (float, float, float, float)
        Hour marks: x and y of the inner and the outer end.
    iris, pupil, side : float
        Radii, and the side of the drawing.
    spoken : str
        For who cannot see it.
    """

    spots: tuple[Spot, ...]
    hours: tuple[tuple[float, float, float, float], ...]
    iris: float
    pupil: float
    side: float
    spoken: str


def clock_words(clock_hours: float) -> str:
    """Return a place on a clock, to the nearest half hour.

    Parameters
    ----------
    clock_hours : float
        12 above, 3 to the right.

    Returns
    -------
    str
        "10 o'clock", "half past 10".

    Examples
    --------
    >>> clock_words(10.4)
    'half past 10'
    >>> clock_words(0.1)
    "12 o'clock"
    """
    half = round(clock_hours * 2) % 24
    hour = half // 2 or 12
    return f"half past {hour}" if half % 2 else f"{hour} o'clock"


def light_words(lights: Sequence[LightSource]) -> str:
    """Return the light in a sentence or two; its spread stands in `light_facts`.

    Parameters
    ----------
    lights : sequence of LightSource
        Strongest first.

    Returns
    -------
    str
        Where from, how large it looks from the sitter and how hard; empty without any.
    """
    if not lights:
        return ""
    first, *others = lights
    name = "Main light" if others else "Light"
    said = f"{name} {_place_words(first)}, {_size_words(first)}, {_hard_words(first)}."
    if others:
        places = [f"at {clock_words(light.clock_hours)}" for light in others]
        noun = "A second one" if len(others) == 1 else "Further ones"
        said += f" {noun} {_joined(places)}."
    return said


def light_facts(lights: Sequence[LightSource]) -> tuple[tuple[str, str], ...]:
    """Return each light with all its numbers and their spread.

    Parameters
    ----------
    lights : sequence of LightSource
        Strongest first.

    Returns
    -------
    tuple of (str, str)
        Name and words of each.
    """
    return tuple(
        (
            f"Light at {clock_words(light.clock_hours)}",
            f"{rounded(light.off_axis_deg, '°')} from the camera; seen from the sitter "
            f"{rounded(light.width_deg, '°')} wide, {rounded(light.height_deg, '°')} high; "
            f"{percent(light.share)} of the light",
        )
        for light in lights
    )


def _joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _place_words(light: LightSource) -> str:
    off_deg = light.off_axis_deg.value
    return f"at {clock_words(light.clock_hours)}, about {off_deg:.0f}° from the camera"


def _hard_words(light: LightSource) -> str:
    return light.hardness or "how hard cannot be told"


def _size_words(light: LightSource) -> str:
    return f"{_extent(light.width_deg)} wide and {_extent(light.height_deg)} high"


def _extent(angle: Measured) -> str:
    """Return an angle, or its upper end where blur hides the size."""
    return f"{angle.value:.0f}°" if angle.low > 0 else f"at most {angle.high:.0f}°"


def iris_clock(lights: Sequence[LightSource]) -> IrisClock | None:
    """Return the drawing of the catchlights on an iris that faces the camera.

    Parameters
    ----------
    lights : sequence of LightSource
        Strongest first.

    Returns
    -------
    IrisClock or None
        None without any light.

    Notes
    -----
    A cornea is a convex mirror: a far light at the angle t from the camera is mirrored where the
    normal stands at t / 2, so at R sin(t / 2) from the middle, and a width of w is drawn over
    R cos(t / 2) w / 2 (small angles; law of reflection). R is 7.8 mm beside an iris of 5.9 mm
    radius, so what stands more than about 97° off falls outside the iris and is drawn on its rim.
    """
    if not lights:
        return None
    return IrisClock(
        spots=tuple(_spot(light, strongest=n == 0) for n, light in enumerate(lights)),
        hours=tuple(_mark(hour) for hour in range(12)),
        iris=IRIS,
        pupil=IRIS * PUPIL_SHARE,
        side=SIDE,
        spoken="Catchlights on the iris, the strongest first: "
        + ", ".join(f"at {clock_words(light.clock_hours)}" for light in lights),
    )


def _spot(light: LightSource, *, strongest: bool) -> Spot:
    half = math.radians(light.off_axis_deg.value) / 2
    units = IRIS / IRIS_RADIUS_MM * CORNEA_RADIUS_MM
    away = min(units * math.sin(half), IRIS)
    turn = math.radians(light.clock_hours * 30.0)
    return Spot(
        x=away * math.sin(turn),
        y=-away * math.cos(turn),
        wide=_half(light.width_deg, half, units),
        high=_half(light.height_deg, half, units),
        strongest=strongest,
    )


def _half(size: Measured, half_angle_rad: float, units: float) -> float:
    drawn = units * math.cos(half_angle_rad) * math.radians(size.value) / 4
    return min(max(drawn, LEAST), IRIS)


def _mark(hour: int) -> tuple[float, float, float, float]:
    turn = math.radians(hour * 30.0)
    inner, outer = IRIS + 1.5, IRIS + (5.0 if hour % 3 == 0 else 3.5)
    x, y = math.sin(turn), -math.cos(turn)
    return x * inner, y * inner, x * outer, y * outer
