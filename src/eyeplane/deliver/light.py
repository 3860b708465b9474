"""The light as its catchlights tell it: in a sentence, and as places on an iris."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import percent, rounded
from eyeplane.optics import highlight_place_mm, highlight_scale_mm_per_rad
from eyeplane.people import VISIBLE_IRIS_MM
from eyeplane.records import LightSource, Measured

IRIS_RADIUS_MM = VISIBLE_IRIS_MM.mean_mm / 2
PUPIL_SHARE = 0.36  # of the iris, about 4 mm across, indoors: for drawing only, from memory
SIDE = 72.0  # side of the drawing, its own units
IRIS = 30.0  # radius of the iris in it
AT_LENS_DEG = 8.0  # an angle whose interval reaches down to here has no hour
ANYWHERE_DEG = 60.0  # and one that ends beyond here, from the lens on, says nothing; no source
NEAR_LENS_DEG = 30.0  # and one whose interval ends below here is close to the lens
WIDE_DEG, WIDE_RATIO = 20.0, 0.6  # an interval wider than both is told by its ends; no source
FARTHEST_DEG = 170.0  # drawn at most: a mirror shows nothing from straight behind
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
    """An iris with its catchlights.

    Attributes
    ----------
    spots : tuple of Spot
        Strongest first.
    spoken : str
        For who cannot see it.
    """

    spots: tuple[Spot, ...]
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """What all clocks of a page share: the iris, the pupil and twelve hours around them.

    Attributes
    ----------
    hours : tuple of (float, float, float, float)
        Hour marks: x and y of the inner and the outer end.
    iris, pupil, side : float
        Radii, and the side of the drawing.
    """

    hours: tuple[tuple[float, float, float, float], ...]
    iris: float
    pupil: float
    side: float


def dial() -> Dial:
    """Return what all clocks share.

    Returns
    -------
    Dial
        Around the middle of the iris, y down.
    """
    return Dial(
        hours=tuple(_mark(hour) for hour in range(12)),
        iris=IRIS,
        pupil=IRIS * PUPIL_SHARE,
        side=SIDE,
    )


def clock_words(clock_hours: float) -> str:
    """Return a place on a clock, to the nearest hour.

    Parameters
    ----------
    clock_hours : float
        12 above, 3 to the right.

    Returns
    -------
    str
        For instance "10 o'clock".

    Examples
    --------
    >>> clock_words(10.4)
    "10 o'clock"
    >>> clock_words(0.1)
    "12 o'clock"
    """
    return f"{round(clock_hours) % 12 or 12} o'clock"


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
    place = _place_words(first)
    place = f"{name} {place}" if place != "somewhere" else f"{name}: from where cannot be told"
    size = _size_words(first)
    said = f"{place}{',' if size[0].isdigit() else ';'} {size}."
    if others:
        noun = "A second one" if len(others) == 1 else "Further ones"
        said += f" {noun} {_joined([_side_words(light) for light in others])}."
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
            f"Light {_side_words(light)}",
            f"{rounded(light.off_axis_deg, '°')} off the lens; seen from the sitter "
            f"{rounded(light.width_deg, '°')} wide, {rounded(light.height_deg, '°')} high; "
            f"{percent(light.share)} of the light",
        )
        for light in lights
    )


def _joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _side_words(light: LightSource) -> str:
    """Return where a light stands around the lens; where that cannot be told, how far off it."""
    off = light.off_axis_deg
    if off.low >= AT_LENS_DEG:
        return f"at {clock_words(light.clock_hours)}"
    if off.high < NEAR_LENS_DEG:
        return "close to the lens"
    return f"within {_whole(off.high)}° of the lens" if off.high < ANYWHERE_DEG else "somewhere"


def _place_words(light: LightSource) -> str:
    off, side = light.off_axis_deg, _side_words(light)
    if off.low < AT_LENS_DEG:
        return side
    if off.high - off.low > max(WIDE_DEG, WIDE_RATIO * off.value):
        return f"{side}, {_whole(off.low)} to {_whole(off.high)}° off the lens"
    return f"{side}, about {_whole(off.value)}° off the lens"


def _size_words(light: LightSource) -> str:
    """Return how large a light looks from the sitter, and how hard that makes it."""
    width, height = light.width_deg, light.height_deg
    hidden = min(width.low, height.low) <= 0
    if hidden and not light.hardness:
        return "how large and how hard it is cannot be told"
    if hidden:
        size = f"{_whole(max(width.high, height.high, 1.0))}° wide at most"
    else:
        size = f"{_whole(width.value)}° wide and {_whole(height.value)}° high"
    return f"{size}: {light.hardness or 'how hard it is cannot be told'}"


def _whole(angle_deg: float) -> int:
    """Return whole degrees, in fives above 25: nobody sets a light more finely."""
    return 5 * round(angle_deg / 5) if angle_deg > 25 else round(angle_deg)


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
    Where and how large a mirror ball of the cornea's radius shows each light, by
    `eyeplane.optics.highlight_place_mm` and `highlight_scale_mm_per_rad`, to the scale of an iris
    of 5.9 mm radius. What stands more than about 97° off falls outside that iris and is drawn on
    its rim.
    """
    if not lights:
        return None
    return IrisClock(
        spots=tuple(_spot(light, strongest=n == 0) for n, light in enumerate(lights)),
        spoken="Catchlights on the iris, the strongest first: "
        + ", ".join(_side_words(light) for light in lights),
    )


def _spot(light: LightSource, *, strongest: bool) -> Spot:
    off_deg = min(light.off_axis_deg.value, FARTHEST_DEG)
    units = IRIS / IRIS_RADIUS_MM
    away = min(units * highlight_place_mm(off_axis_deg=off_deg), IRIS)
    radial, across = highlight_scale_mm_per_rad(off_axis_deg=off_deg)
    turn = math.radians(light.clock_hours * 30.0)
    x, y = math.sin(turn), -math.cos(turn)
    return Spot(
        x=away * x,
        y=away * y,
        wide=_half(light.width_deg, units * (across + (radial - across) * x**2)),
        high=_half(light.height_deg, units * (across + (radial - across) * y**2)),
        strongest=strongest,
    )


def _half(size: Measured, units_per_rad: float) -> float:
    return min(max(units_per_rad * math.radians(size.value) / 2, LEAST), IRIS)


def _mark(hour: int) -> tuple[float, float, float, float]:
    turn = math.radians(hour * 30.0)
    inner, outer = IRIS + 1.5, IRIS + (5.0 if hour % 3 == 0 else 3.5)
    x, y = math.sin(turn), -math.cos(turn)
    return x * inner, y * inner, x * outer, y * outer
