"""Numbers with their units as photographers type them, turned into ours once, here.

Every reader takes text and returns a number in the unit of its name, or raises ValueError with
what is wrong and what to type instead; blanks and case never matter.
"""

import re

MM = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "ft": 304.8,  # the international foot of 1959, exact
    "'": 304.8,
    "in": 25.4,  # the international inch of 1959, exact
    '"': 25.4,
}
SECONDS = {"s": 1.0, "sec": 1.0, "ms": 0.001}
LUX = {"lx": 1.0, "lux": 1.0, "fc": 10.763910417}  # foot-candle: lumens on (0.3048 m)^2, exact
DIGITS = 9  # decimals that a converted number keeps: 6 ft are 1828.8 mm, not 1828.8000000000002
NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)"
FEET = re.compile(rf"({NUMBER})\s*(?:ft|')\s*({NUMBER})\s*(?:in|\")")
AMOUNT = re.compile(rf"({NUMBER})\s*(.*)")
# A decimal comma; before exactly three digits it may stand for thousands and is not guessed at.
COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d)|\d{4})|(?<=\b0),(?=\d)")
TWO_WAYS = re.compile(r"\d,\d{3}(?!\d)")


def tidy(text: str) -> str:
    """Return text in one case and spelling of its signs.

    Parameters
    ----------
    text : str
        As typed.

    Returns
    -------
    str
        Lower case, single blanks, plain minus, ×, quotes and decimal points.

    Examples
    --------
    >>> tidy(" 36 × 24  MM ")
    '36 x 24 mm'
    """
    text = " ".join(text.lower().split())
    text = COMMA.sub(".", text)
    for odd, plain in (("×", "x"), ("−", "-"), ("′", "'"), ("″", '"'), ("’", "'"), ("”", '"')):
        text = text.replace(odd, plain)
    return text


def length_mm(text: str, bare: str = "") -> float:
    """Return a length.

    Parameters
    ----------
    text : str
        Such as 85mm, 8.5cm, 2.0m, 6ft, 6ft 2in, 6'2", 24in.
    bare : str
        Unit of a number without one; empty: such a number is refused.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    ValueError
        If it is no length.

    Examples
    --------
    >>> length_mm("6ft 2in")
    1879.6
    """
    both = FEET.fullmatch(tidy(text))
    if both:
        return round(float(both[1]) * MM["ft"] + float(both[2]) * MM["in"], DIGITS)
    return _with_unit(text, MM, "length", "85mm, 2.0m or 6ft 2in", bare)


def time_s(text: str) -> float:
    """Return an exposure time.

    Parameters
    ----------
    text : str
        Such as 1/250, 1/250s, 0.5s, 4ms.

    Returns
    -------
    float
        Seconds, > 0.

    Raises
    ------
    ValueError
        If it is no time, or not more than none.

    Examples
    --------
    >>> time_s("1/250"), time_s("4ms")
    (0.004, 0.004)
    """
    parts = re.fullmatch(r"1\s*/\s*(\d+\.?\d*)\s*(?:s|sec)?", tidy(text))
    if parts and float(parts[1]) > 0:
        return 1.0 / float(parts[1])
    if "/" in text:
        raise ValueError(f"'{text}' is no time: give 1/250, 0.5s or 4ms")
    value = _with_unit(text, SECONDS, "time", "1/250, 0.5s or 4ms", "s")
    return _positive(value, text, "time", "1/250, 0.5s or 4ms")


def f_number(text: str) -> float:
    """Return an aperture.

    Parameters
    ----------
    text : str
        Such as f/2.8, f2.8, 2.8.

    Returns
    -------
    float
        Focal length over pupil diameter, > 0.

    Raises
    ------
    ValueError
        If it is none.
    """
    found = re.fullmatch(rf"(?:f\s*/?\s*)?({NUMBER})", tidy(text))
    if not found:
        raise ValueError(f"'{text}' is no aperture: give f/2.8 or 2.8")
    return _positive(float(found[1]), text, "aperture", "f/2.8 or 2.8")


def iso_speed(text: str) -> float:
    """Return a sensitivity.

    Parameters
    ----------
    text : str
        Such as 400, ISO 400, ISO400.

    Returns
    -------
    float
        ISO, > 0.

    Raises
    ------
    ValueError
        If it is none.
    """
    found = re.fullmatch(rf"(?:iso\s*)?({NUMBER})", tidy(text))
    if not found:
        raise ValueError(f"'{text}' is no ISO: give 400 or ISO 400")
    return _positive(float(found[1]), text, "ISO", "400 or ISO 400")


def angle_deg(text: str) -> float:
    """Return an angle.

    Parameters
    ----------
    text : str
        Such as 25, 25deg, 25°.

    Returns
    -------
    float
        Degrees.

    Raises
    ------
    ValueError
        If it is none.
    """
    return _with_unit(text, {"deg": 1.0, "°": 1.0}, "angle", "25 or 25deg", "deg")


def stop_count_ev(text: str) -> float:
    """Return a number of stops.

    Parameters
    ----------
    text : str
        Such as 3, 3 stops, 2.5 EV.

    Returns
    -------
    float
        Stops.

    Raises
    ------
    ValueError
        If it is none.
    """
    units = {"stops": 1.0, "stop": 1.0, "ev": 1.0}
    return _with_unit(text, units, "number of stops", "3 or '3 stops'", "stops")


def speed_mm_per_s(text: str) -> float:
    """Return a speed.

    Parameters
    ----------
    text : str
        Such as 15mm/s, 4 cm/s, 0.5m/s, 2in/s.

    Returns
    -------
    float
        Millimetres a second.

    Raises
    ------
    ValueError
        If it is none.
    """
    units = {f"{unit}/s": size for unit, size in MM.items()}
    return _with_unit(text, units, "speed", "'15 mm/s' or '4 cm/s'", "")


def turn_deg_per_s(text: str) -> float:
    """Return how fast a camera turns.

    Parameters
    ----------
    text : str
        Such as 0.7 deg/s, 0.7°/s.

    Returns
    -------
    float
        Degrees a second.

    Raises
    ------
    ValueError
        If it is none.
    """
    units = {"deg/s": 1.0, "°/s": 1.0}
    return _with_unit(text, units, "rate of turning", "'0.7 deg/s'", "deg/s")


def micrometres_um(text: str) -> float:
    """Return a very small length.

    Parameters
    ----------
    text : str
        Such as 4um, 4 µm, 4.

    Returns
    -------
    float
        Micrometres.

    Raises
    ------
    ValueError
        If it is none.
    """
    units = {"um": 1.0, "µm": 1.0, "μm": 1.0}
    return _with_unit(text, units, "blur on the sensor", "'4 um'", "um")


def rate_per_s(text: str) -> float:
    """Return how many a second.

    Parameters
    ----------
    text : str
        Such as 8, 8/s, 8 fps.

    Returns
    -------
    float
        A second.

    Raises
    ------
    ValueError
        If it is none.
    """
    units = {"/s": 1.0, "fps": 1.0}
    return _with_unit(text, units, "frame rate", "8 or 8/s", "/s")


def share(text: str) -> float:
    """Return a share.

    Parameters
    ----------
    text : str
        Such as 0.95, 95%.

    Returns
    -------
    float
        As a fraction of 1.

    Raises
    ------
    ValueError
        If it is none.
    """
    return _with_unit(text, {"": 1.0, "%": 0.01}, "share", "0.95 or 95%", "")


def sides(text: str, what: str, example: str) -> tuple[float, float]:
    """Return two sides joined by an x, the longer first.

    Parameters
    ----------
    text : str
        Such as 36x24, 36 x 24 mm, 6000x4000.
    what : str
        What they are sides of, for the sentence that refuses.
    example : str
        What to type instead.

    Returns
    -------
    tuple of float
        (longer, shorter), > 0.

    Raises
    ------
    ValueError
        If it is no such pair.
    """
    found = re.fullmatch(rf"({NUMBER})\s*x\s*({NUMBER})\s*(?:mm|px)?", tidy(text))
    pair = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
    if min(pair) <= 0:
        raise ValueError(f"'{text}' is no {what}: give {example}")
    return max(pair), min(pair)


def exposure_value_ev(text: str) -> float:
    """Return an exposure value at ISO 100.

    Parameters
    ----------
    text : str
        Such as EV 9, EV9, 9 EV.

    Returns
    -------
    float
        Exposure value.

    Raises
    ------
    ValueError
        If it is none.
    """
    found = re.fullmatch(rf"ev\s*({NUMBER})|({NUMBER})\s*ev", tidy(text))
    if not found:
        raise ValueError(f"'{text}' is no exposure value: give 'EV 9'")
    return float(found[1] or found[2])


def _with_unit(text: str, units: dict[str, float], noun: str, example: str, bare: str) -> float:
    found = AMOUNT.fullmatch(tidy(text))
    if not found:
        raise ValueError(f"'{text}' is no {noun}: give {example}")
    if TWO_WAYS.search(tidy(text)):
        raise ValueError(f"'{text}' can be read in two ways: leave the comma out, or write a point")
    unit = found[2] or bare
    if not unit and "" not in units:
        raise ValueError(f"'{text}' has no unit: give it one, like {example}")
    if unit not in units:
        article = "an" if noun[0] in "aeiou" else "a"
        raise ValueError(f"'{unit}' is no unit for {article} {noun}: give {example}")
    return round(float(found[1]) * units[unit], DIGITS)


def _positive(value: float, text: str, noun: str, example: str) -> float:
    if not value > 0:
        raise ValueError(f"'{text}' is no {noun}: give more than nothing, like {example}")
    return value
