"""The sensor with its dust, drawn as it lies: facing it through the mount, and from behind.

Points are (x, y) in mm of the sheet, y down.
"""

import math
from collections.abc import Callable

from eyeplane.deliver.check_content import CheckDrawing
from eyeplane.deliver.dust_words import place_words
from eyeplane.deliver.sheet import HAIRLINE, Letters, Pen, Point, Sheet
from eyeplane.deliver.sheet_type import width_mm
from eyeplane.deliver.wording import percent
from eyeplane.records.kit_dust import DustResult, DustShadow

EDGE = Pen(ink="ink", width_mm=0.3)
OUTLINE = Pen(ink="ink", width_mm=0.22)
HAIR = Pen(ink="ink", width_mm=0.45)
LEAST_MM = 0.55  # radius of the smallest disc that is drawn; ours
NUMBERED = 30  # more numbers than this would lie over each other

View = Callable[[tuple[float, float]], tuple[float, float]]


def facing(at_share: tuple[float, float]) -> tuple[float, float]:
    """Return where a shadow of the stored frame lies for who faces the sensor.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.

    Returns
    -------
    tuple of float
        On its head: what is at the top of the frame falls on the lower part of the sensor.

    Examples
    --------
    >>> facing((0.25, 0.125))
    (0.25, 0.875)
    """
    return at_share[0], 1 - at_share[1]


def behind(at_share: tuple[float, float]) -> tuple[float, float]:
    """Return where a shadow of the stored frame lies on the sensor, seen from behind the camera.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.

    Returns
    -------
    tuple of float
        Turned by 180°.

    Examples
    --------
    >>> behind((0.25, 0.125))
    (0.75, 0.875)
    """
    return 1 - at_share[0], 1 - at_share[1]


def dust_drawings(result: DustResult) -> tuple[CheckDrawing, ...]:
    """Return the maps of the dust.

    Parameters
    ----------
    result : DustResult
        The check.

    Returns
    -------
    tuple of CheckDrawing
        Facing the sensor, then from behind the camera; where the frame was cut or turned, one of
        the frame as it is stored; none without dust.
    """
    if not result.shadows:
        return ()
    if not result.whole:
        return (_drawing(result, lambda at: at, "The frame as the file holds it", "", ""),)
    return (
        _drawing(
            result,
            facing,
            "The sensor, as you face it through the mount",
            "the camera's top",
            "the camera's base plate",
        ),
        _drawing(
            result,
            behind,
            "The same from behind the camera: the picture turned by 180°",
            "the camera's top",
            "the camera's base plate",
        ),
    )


def _drawing(result: DustResult, view: View, name: str, above: str, below: str) -> CheckDrawing:
    def draw(wide_mm: float, size_mm: float) -> Sheet:
        return _drawn(result, view, (above, below), (wide_mm, size_mm))

    stop = f" at f/{result.f_number:g}" if result.f_number is not None else ""
    return CheckDrawing(
        name=name,
        spoken=f"{name}. {_spoken(result, view)}",
        draw=draw,
        note=f"Shadows{stop}, to scale where they are larger than a dot. Filled: shows, or might, "
        "on the print; ring: does not. A stroke is a hair. Numbers as in the table.",
    )


def _drawn(
    result: DustResult, view: View, edges: tuple[str, str], sizes: tuple[float, float]
) -> Sheet:
    width, size = sizes
    above, below = edges
    top = 1.5 * size if above else 0.5
    inner = width - 1.0
    height = inner * result.height_px / result.width_px
    sheet = Sheet(width_mm=width, height_mm=top + height + (1.8 * size if below else 1.0))
    left = 0.5
    sheet.box((left, top), (left + inner, top + height), "paper", EDGE)
    for third in (1, 2):
        x, y = left + inner * third / 3, top + height * third / 3
        sheet.line((x, top), (x, top + height), HAIRLINE)
        sheet.line((left, y), (left + inner, y), HAIRLINE)
    letters = Letters(size_mm=0.9 * size, ink="soft", anchor="middle")
    sheet.words((width / 2, top - 0.45 * size), above, letters)
    sheet.words((width / 2, top + height + 1.2 * size), below, letters)
    scale = inner / result.width_px
    for one in reversed(result.shadows):
        x, y = view(one.at_share)
        _mark(sheet, one, (left + x * inner, top + y * height), scale, view)
    for one in result.shadows[:NUMBERED]:
        x, y = view(one.at_share)
        _number(sheet, one, (left + x * inner, top + y * height), (scale, size))
    return sheet


def _mark(sheet: Sheet, one: DustShadow, at: Point, scale: float, view: View) -> None:
    radius = max(LEAST_MM, one.diameter_px.value / 2 * scale)
    if one.length_px is not None:
        half = max(1.6, one.length_px.value / 2 * scale)
        turn = math.radians(one.angle_deg or 0.0)
        x, y = view((0.5 + math.cos(turn), 0.5 - math.sin(turn)))  # y is down
        along, down = half * (x - 0.5), half * (y - 0.5)
        sheet.line((at[0] - along, at[1] - down), (at[0] + along, at[1] + down), HAIR)
        return
    shows = one.at_work is None or one.at_work.shows != "no"
    sheet.disc(at, radius, "iris" if shows else "paper", OUTLINE)


def _number(sheet: Sheet, one: DustShadow, at: Point, sizes: tuple[float, float]) -> None:
    scale, size = sizes
    letters = Letters(size_mm=0.85 * size)
    text = str(one.number)
    radius = max(LEAST_MM, one.diameter_px.value / 2 * scale)
    x = at[0] + radius + 0.3
    if x + width_mm(text, letters) > sheet.width_mm - 1.0:
        x = at[0] - radius - 0.3 - width_mm(text, letters)
    sheet.words((x, at[1] + 0.3 * size), text, letters)


def _spoken(result: DustResult, view: View) -> str:
    told = []
    for one in result.shadows[:NUMBERED]:
        x, y = view(one.at_share)
        kind = "hair" if one.kind == "hair" else "speck"
        told.append(
            f"{kind} {one.number}, {percent(x)} from the left and {percent(y)} from the top of the "
            f"drawing, takes {percent(one.depth_share.value)} of the light"
        )
    more = len(result.shadows) - NUMBERED
    rest = f"; and {more} fainter ones" if more > 0 else ""
    where = f" Deepest: {place_words(result.shadows[0])}." if result.whole else ""
    return "; ".join(told) + rest + "." + where
