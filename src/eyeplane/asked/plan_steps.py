"""The values that a slider steps through, as they would be typed."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from eyeplane.asked.plan_given import Given
from eyeplane.asked.typed import LightGiven
from eyeplane.light import F_NUMBERS, ISOS, SHUTTER_TIMES_S
from eyeplane.light.camera_words import f_stop, shutter

# Focal lengths that lenses are sold in or engraved with; common practice, no source.
FOCAL_LENGTHS_MM = (
    *(14, 16, 18, 20, 24, 28, 35, 40, 50, 55, 60, 70, 75, 85, 90, 100, 105, 120, 135, 150),
    *(180, 200, 250, 300, 400),
)
PRINTS_IN = (5, 7, 8, 10, 11, 12, 14, 16, 18, 20, 24, 30, 36, 40, 48, 60)  # as sold; from memory
CM_PER_INCH = 2.54  # exact
PRINTS_CM = (*range(15, 100, 5), *range(100, 201, 10))
DISTANCES_MM = (
    *range(400, 2000, 50),
    *range(2000, 4000, 100),
    *range(4000, 8000, 250),
    *range(8000, 20_001, 1000),
)
WALLS_MM = (*range(200, 2000, 100), *range(2000, 5000, 250), *range(5000, 15_001, 1000))
ROWS_MM = tuple(range(20, 151, 5))
LEANS_CM_PER_S = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 13, 16, 20)
SAME = 0.01  # of a value: limits include the marks that they name
# Continuous light in third stops: moonlit rooms to full sun.
LEAST_LUX, MOST_LUX = 25.0, 100_000.0
LEAST_CD, MOST_CD = 5.0, 30_000.0
LEAST_EV, MOST_EV = 2.0, 16.0
LEAST_GN, MOST_GN = 4.0, 120.0
LEAST_WS, MOST_WS = 25.0, 1600.0
THIRD = 2 ** (1 / 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """What a slider steps through.

    Attributes
    ----------
    texts : tuple of str
        One a step, each as it could be typed.
    at : int
        The step nearest to what holds.
    """

    texts: tuple[str, ...]
    at: int


def steps(name: str, given: Given, value: float | None, *, inches: bool = False) -> Steps | None:
    """Return the steps of an option's slider.

    Parameters
    ----------
    name : str
        Of the option.
    given : Given
        What holds: apertures, times and ISO stay within its limits, light in its unit.
    value : float or None
        Value of the option, or what the plan took for it; None: nothing known.
    inches : bool
        Whether prints step through the inches that they are sold in.

    Returns
    -------
    Steps or None
        None for an option without a slider.
    """
    if name == "light":
        return _light(given)
    made = _MADE.get("print in inches" if inches and name == "print-cm" else name)
    if made is None:
        return None
    pairs = made(given)
    if len(pairs) < 2:
        return None
    return _near(pairs, value)


def _near(pairs: Sequence[tuple[float, str]], holds: float | None) -> Steps:
    at = len(pairs) // 2
    if holds is not None and holds > 0:
        at = min(range(len(pairs)), key=lambda k: abs(math.log(pairs[k][0] / holds)))
    return Steps(texts=tuple(text for _, text in pairs), at=at)


def _between(values: Sequence[float], given: Given, least: str, most: str) -> list[float]:
    """Return the marks within two limits."""
    low, high = given.sure(least) * (1 - SAME), given.sure(most) * (1 + SAME)
    return [float(v) for v in values if low <= v <= high]


def _apertures(given: Given) -> list[tuple[float, str]]:
    return [(v, f_stop(v)) for v in _between(F_NUMBERS, given, "widest", "smallest")]


def _times(given: Given) -> list[tuple[float, str]]:
    times = _between(SHUTTER_TIMES_S, given, "fastest", "slowest")
    light = given["light"]
    flash = isinstance(light, LightGiven) and light.flash and not given.on("high-speed-sync")
    if flash:
        times = [t for t in times if t >= given.sure("sync") * (1 - SAME)]
    return [(t, shutter(t).replace("\u2009s", "" if t < 0.29 else "s")) for t in reversed(times)]


def _isos(given: Given) -> list[tuple[float, str]]:
    return [(v, f"{v:.0f}") for v in _between(ISOS, given, "base-iso", "iso-limit")]


def _metres(value_mm: float) -> str:
    return f"{value_mm / 1000:.2f}m"


def _inches(value_cm: float) -> str:
    return f"{value_cm / CM_PER_INCH:g}in"


def _centimetres(value_mm: float) -> str:
    return f"{value_mm / 10:g}cm"


def _listed(
    values: Sequence[float], text: Callable[[float], str]
) -> Callable[[Given], list[tuple[float, str]]]:
    pairs = [(float(v), text(v)) for v in values]
    return lambda _: pairs


_MADE: Mapping[str, Callable[[Given], list[tuple[float, str]]]] = {
    "f-number": _apertures,
    "shutter": _times,
    "iso": _isos,
    "distance": _listed(DISTANCES_MM, _metres),
    "focal-length": _listed(FOCAL_LENGTHS_MM, lambda v: f"{v:g}mm"),
    "background": _listed(WALLS_MM, _metres),
    "row-spacing": _listed([10.0 * v for v in ROWS_MM], _centimetres),
    "print-cm": _listed(PRINTS_CM, lambda v: f"{v:g}"),
    "print in inches": _listed([CM_PER_INCH * v for v in PRINTS_IN], _inches),
    "lean": _listed([10.0 * v for v in LEANS_CM_PER_S], lambda v: f"{v / 10:g} cm/s"),
}


def _light(given: Given) -> Steps | None:
    """Return the same kind of light, a third of a stop from step to step."""
    said = given["light"]
    if not isinstance(said, LightGiven):
        return None
    before = "flash " if said.flash else ""
    if said.measure == "ev":
        count = round(3 * (MOST_EV - LEAST_EV))
        pairs = [(LEAST_EV + k / 3, f"EV {LEAST_EV + k / 3:.3g}") for k in range(count + 1)]
        at = min(range(len(pairs)), key=lambda k: abs(pairs[k][0] - said.amount))
        return Steps(texts=tuple(text for _, text in pairs), at=at)
    if said.measure == "meter":
        beside = "" if said.flash else f" {shutter(said.shutter_s).replace(chr(0x2009), '')}"
        return _near(
            [(float(v), f"{before}{f_stop(v)}{beside} ISO {said.iso:g}") for v in F_NUMBERS],
            said.amount,
        )
    words = {
        "lux": (LEAST_LUX, MOST_LUX, THIRD, "{} lx"),
        "cd_per_m2": (LEAST_CD, MOST_CD, THIRD, "{} cd/m2"),
        "guide_number_m": (LEAST_GN, MOST_GN, math.sqrt(THIRD), "flash GN {}"),
        "energy_ws": (LEAST_WS, MOST_WS, THIRD, f"flash {{}} Ws {said.modifier}"),
    }
    least, most, ratio, text = words[said.measure]
    count = round(math.log(most / least) / math.log(ratio))
    values = [float(f"{least * ratio**k:.2g}") for k in range(count + 1)]
    return _near([(v, text.format(f"{v:g}").strip()) for v in values], said.amount)
