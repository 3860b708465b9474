"""What is more than one number: the light, who sits, and a learned number with its interval."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from eyeplane.asked import units

Measure = Literal["lux", "cd_per_m2", "ev", "guide_number_m", "energy_ws", "meter"]
LIGHTS = "'800 lx', 'EV 9', '200 cd/m2', 'f/4 1/125 ISO 200', 'flash GN 40' or 'flash 400 Ws'"
PEOPLE = "adult, 'child 4', 'child 18 months', 'toddler 2' or newborn"
CHILD_UNTIL_YEARS = 18.0  # of age; the body measures of children end there
TODDLER_YEARS = 2.0  # where no age is given; the usual meaning, from memory
MONTHS = 12.0  # in a year


@dataclass(frozen=True, slots=True, kw_only=True)
class LightGiven:
    """Light as typed.

    Attributes
    ----------
    flash : bool
        Whether it is flash.
    measure : str
        What the amount is: lux, candela a square metre, exposure value, guide number in metres
        (ISO 100), energy in watt-seconds, or the aperture that a meter at the face names.
    amount : float
        So much.
    shutter_s : float
        With a meter's aperture, continuous light: its time.
    iso : float
        With a meter's aperture: its sensitivity.
    modifier : str
        With an energy: what the flash shines through; empty: bare.
    """

    flash: bool
    measure: Measure
    amount: float
    shutter_s: float = 1.0
    iso: float = 100.0
    modifier: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WhoGiven:
    """Who sits, as typed.

    Attributes
    ----------
    age_years : float or None
        None: an adult.
    mood : str
        How they move, where the word says it: a toddler toddles; else empty.
    """

    age_years: float | None
    mood: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """A number with its interval, as typed.

    Attributes
    ----------
    value : float
        The number.
    interval : tuple of float or None
        Its ends, low first; None if none was typed.
    """

    value: float
    interval: tuple[float, float] | None = None


def size_of(value: object) -> float | None:
    """Return the one number in what was typed.

    Parameters
    ----------
    value : object
        What a reader of this module or of `units` returns.

    Returns
    -------
    float or None
        None where there is none, such as an adult's age.
    """
    if isinstance(value, LightGiven):
        return value.amount
    if isinstance(value, WhoGiven):
        return value.age_years
    if isinstance(value, Learned):
        return value.value
    return value if isinstance(value, float) else None


def read_light(text: str) -> LightGiven:
    """Return the light.

    Parameters
    ----------
    text : str
        Such as 800 lx, 75 fc, EV 9, 200 cd/m2, f/4 1/125 ISO 200; flash GN 40 (metres, ISO 100),
        flash GN 131 ft, flash GN 56 ISO 200, flash 400 Ws softbox, flash f/8.

    Returns
    -------
    LightGiven
        What it says.

    Raises
    ------
    ValueError
        If it is no light, or none at all.

    Examples
    --------
    >>> read_light("EV9").amount
    9.0
    """
    said = units.tidy(text)
    flash = re.fullmatch(r"flash\b\s*(.*)|(gn.*)", said)
    if flash:
        return _flash(text, (flash[1] or flash[2] or "").strip())
    if "ev" in said:
        return LightGiven(flash=False, measure="ev", amount=units.exposure_value_ev(text))
    if said.startswith("f"):
        aperture, time_s, iso = _meter(text, said)
        return LightGiven(flash=False, measure="meter", amount=aperture, shutter_s=time_s, iso=iso)
    found = re.fullmatch(rf"({units.NUMBER})\s*(\S+)", said)
    unit = found[2] if found else ""
    if found is None or unit not in {*units.LUX, "cd/m2", "cd/m²", "nits"}:
        raise ValueError(f"'{text}' is no light: give {LIGHTS}")
    amount = float(found[1]) * units.LUX.get(unit, 1.0)
    if not amount > 0:
        raise ValueError(f"'{text}' is no light: give more than nothing, like '800 lx'")
    measure: Measure = "lux" if unit in units.LUX else "cd_per_m2"
    return LightGiven(flash=False, measure=measure, amount=amount)


def _flash(text: str, said: str) -> LightGiven:
    number = re.fullmatch(
        rf"gn\s*({units.NUMBER})\s*(m|ft)?(?:\s*(?:at\s*)?iso\s*({units.NUMBER}))?", said
    )
    energy = re.fullmatch(rf"({units.NUMBER})\s*(?:ws|j)\b\s*([a-z -]*)", said)
    amount = float((number or energy or "0 ")[1]) if number or energy else 0.0
    if number and amount > 0:
        iso = float(number[3]) if number[3] else 100.0
        if iso > 0:
            metres = amount * (0.3048 if number[2] == "ft" else 1.0)
            return LightGiven(
                flash=True, measure="guide_number_m", amount=metres * math.sqrt(100.0 / iso)
            )
    if energy and amount > 0:
        return LightGiven(
            flash=True, measure="energy_ws", amount=amount, modifier=energy[2].strip()
        )
    if said.startswith("f"):
        aperture, _, iso = _meter(text, said)
        return LightGiven(flash=True, measure="meter", amount=aperture, iso=iso)
    raise ValueError(
        f"'{text}' is no flash: give 'flash GN 40', 'flash GN 131 ft', 'flash 400 Ws softbox' or "
        "'flash f/8'"
    )


def _meter(text: str, said: str) -> tuple[float, float, float]:
    """Return aperture, time and sensitivity of a meter's reading."""
    found = re.fullmatch(
        rf"(f\s*/?\s*{units.NUMBER})(?:\s+(?:at\s+)?(1/\S+|\S*s))?(?:\s+iso\s*({units.NUMBER}))?",
        said,
    )
    if not found:
        raise ValueError(f"'{text}' is no reading of a light meter: give 'f/4 1/125 ISO 200'")
    aperture = units.f_number(found[1])
    time_s = units.time_s(found[2]) if found[2] else None
    if time_s is None and not text.lower().strip().startswith("flash"):
        raise ValueError(f"'{text}' lacks the shutter time: give 'f/4 1/125 ISO 200'")
    return aperture, time_s or 1.0, units.iso_speed(found[3]) if found[3] else 100.0


def read_who(text: str) -> WhoGiven:
    """Return who sits.

    Parameters
    ----------
    text : str
        Such as adult, child 4, child 4.5, child 18 months, 4 years, toddler, toddler 2, newborn.

    Returns
    -------
    WhoGiven
        Age, and mood where the word says it.

    Raises
    ------
    ValueError
        If it is nobody.

    Examples
    --------
    >>> read_who("child 18 months").age_years
    1.5
    """
    said = units.tidy(text)
    if said == "adult":
        return WhoGiven(age_years=None)
    if said == "newborn":
        return WhoGiven(age_years=0.0)
    if said == "toddler":
        return WhoGiven(age_years=TODDLER_YEARS, mood="toddling")
    found = re.fullmatch(
        rf"(child|toddler|adult)?\s*({units.NUMBER})\s*(years?|y|months?|mo)?(?:\s*old)?", said
    )
    if said == "child" or found is None or not (found[1] or found[3]):
        hint = "give the age too, like 'child 4'" if said == "child" else f"give {PEOPLE}"
        raise ValueError(f"'{text}' does not say who sits: {hint}")
    years = float(found[2]) / (MONTHS if (found[3] or "").startswith("mo") else 1.0)
    if not 0 <= years <= 120:
        raise ValueError(f"'{text}' is no age: give 0 to 120 years")
    grown = years >= CHILD_UNTIL_YEARS
    aged = years > CHILD_UNTIL_YEARS
    if (found[1] == "adult" and not grown) or (found[1] in {"child", "toddler"} and aged):
        raise ValueError(f"'{text}' contradicts itself: adults are 18 and older, give {PEOPLE}")
    return WhoGiven(
        age_years=None if grown else years, mood="toddling" if found[1] == "toddler" else ""
    )


def learned(read: Callable[[str], float]) -> Callable[[str], Learned]:
    """Return a reader of numbers that may carry their interval.

    Parameters
    ----------
    read : callable
        Reads one of the three numbers.

    Returns
    -------
    callable
        Reads text such as '12mm', '14 mm behind (11-17)', '15 mm/s (2-80)'.
    """

    def reader(text: str) -> Learned:
        said = units.tidy(text).replace("–", "-")
        found = re.fullmatch(r"([^()]*?)\s*(behind|in front)?\s*(?:\(([^()]+)\))?", said)
        if not found:
            raise ValueError(f"'{text}' is no number with its interval: give '14 mm (11-17)'")
        sign = -1.0 if found[2] == "in front" else 1.0
        unit = re.sub(rf"^{units.NUMBER}\s*", "", found[1])
        value = sign * read(found[1])
        if not found[3]:
            return Learned(value=value)
        ends = re.fullmatch(rf"({units.NUMBER})\s*(?:-|to)\s*({units.NUMBER})[^\d]*", found[3])
        if not ends:
            raise ValueError(f"'{found[3]}' is no interval: give its two ends, like (11-17)")
        low, high = sorted(sign * read(f"{end} {unit}") for end in (ends[1], ends[2]))
        if not low <= value <= high:
            raise ValueError(f"'{text}': the number lies outside its interval; swap them")
        return Learned(value=value, interval=(low, high))

    return reader
