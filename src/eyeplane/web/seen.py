"""How this visitor sees the pages: lengths, decimal mark, ground, real size of the screen."""

import math
from dataclasses import dataclass, field

from starlette.requests import Request

from eyeplane.web.customs import customary
from eyeplane.web.figures import Decimal, Figures, Lengths

# The settings and what each may be; the first is what holds unless something else is set, but for
# lengths and decimal, which follow the languages of the browser.
SETTINGS: dict[str, tuple[str, ...]] = {
    "lengths": ("cm", "inch"),
    "decimal": ("point", "comma"),
    "evening": ("off", "on"),
    "sound": ("off", "on"),
    "speech": ("off", "on"),
    "keys": ("on", "off"),
}
SCREEN_PX_PER_MM = (1.0, 60.0)  # CSS px to one mm: a wall screen far off to a telephone, zoomed


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one visitor set, kept in cookies of this device.

    Attributes
    ----------
    figures : Figures
        Lengths and decimal mark.
    evening : bool
        Whether the ground is dark.
    screen_px_per_mm : float or None
        CSS pixels to one mm of this screen, as calibrated with a bank card; None: not calibrated.
    sound, speech : bool
        Whether tones and spoken sentences are wanted.
    keys : bool
        Whether single keys do something.
    """

    figures: Figures = field(default_factory=Figures)
    evening: bool = False
    screen_px_per_mm: float | None = None
    sound: bool = False
    speech: bool = False
    keys: bool = True


def seen_by(request: Request) -> Seen:
    """Return how a visitor sees the pages.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Seen
        By its cookies; where there is none, by its languages. A cookie with anything else in it
        counts as none.
    """
    usual = customary(request.headers.get("accept-language", ""))
    lengths: Lengths = usual.lengths
    decimal: Decimal = usual.decimal
    if (kept := request.cookies.get("lengths")) in ("cm", "inch"):
        lengths = "inch" if kept == "inch" else "cm"
    if (kept := request.cookies.get("decimal")) in ("point", "comma"):
        decimal = "comma" if kept == "comma" else "point"
    return Seen(
        figures=Figures(lengths=lengths, decimal=decimal),
        evening=request.cookies.get("evening") == "on",
        screen_px_per_mm=_screen(request.cookies.get("screen_px_per_mm", "")),
        sound=request.cookies.get("sound") == "on",
        speech=request.cookies.get("speech") == "on",
        keys=request.cookies.get("keys") != "off",
    )


def settings_of(seen: Seen) -> dict[str, str]:
    """Return the settings as they stand.

    Parameters
    ----------
    seen : Seen
        A visitor's.

    Returns
    -------
    dict of str to str
        By the names in `SETTINGS`.
    """
    return {
        "lengths": seen.figures.lengths,
        "decimal": seen.figures.decimal,
        "evening": "on" if seen.evening else "off",
        "sound": "on" if seen.sound else "off",
        "speech": "on" if seen.speech else "off",
        "keys": "on" if seen.keys else "off",
    }


def _screen(text: str) -> float | None:
    try:
        size = float(text[:20])
    except ValueError:
        return None
    least, most = SCREEN_PX_PER_MM
    return size if math.isfinite(size) and least <= size <= most else None
