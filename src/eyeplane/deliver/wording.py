"""Numbers and names as the report and the table print them."""

import math
import re

from eyeplane.records import Measured

THIN = "\u2009"  # thin space, stands before every unit
CANNOT = "cannot tell"
BEHIND = ("in front", "behind", "on the iris")  # where a plane lies, seen from the near iris
NEARNESS = ("nearer", "farther", "on it")  # where an eye lies, seen from the focus plane

# Unicode's categories Cc, Cf (but the joiner U+200D, which holds scripts together), Cs, Zl and
# Zp as far as they occur in names; a line feed stays.
_UNSEEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200c\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)

CAUSE_WORDS = {
    "focus": "focus",
    "depth": "depth",
    "shake": "shake",
    "sitter": "sitter moved",
    "motion": "motion, whose cannot be told",
    "noise": "noise",
    "glass": "glass",
    "pixels": "pixels",
    "none": "nothing",
    "cannot tell": "cannot tell",
    "diffraction": "diffraction",
}


# The same as one of several that compete.
CHANCE_WORDS = {"none": "no blur that shows", "motion": "some other motion"}


def cause_words(cause: str) -> str:
    """Return a cause as it is shown.

    Parameters
    ----------
    cause : str
        A cause of a record.

    Returns
    -------
    str
        Words; an unknown cause stays as it is.
    """
    return CAUSE_WORDS.get(cause, cause)


def plain_text(text: str) -> str:
    r"""Return foreign text (file names above all) that can be shown and written anywhere.

    Parameters
    ----------
    text : str
        May hold control characters, direction marks or bytes that are not UTF-8.

    Returns
    -------
    str
        Every such character as an escape like ``\x1b``; all else untouched.

    Examples
    --------
    >>> plain_text("Anna\x1b[2J.jpg")
    'Anna\\x1b[2J.jpg'
    """
    return _UNSEEN.sub(lambda m: m[0].encode("unicode_escape").decode(), text)


def whole_cm(length_cm: float) -> int:
    """Return a reach as it is said: rounded down, so that no print is promised too large.

    Parameters
    ----------
    length_cm : float
        Reach, >= 0 cm.

    Returns
    -------
    int
        Whole centimetres below 40, multiples of five above.
    """
    near = length_cm * (1 + 1e-6)  # 60 from a root finder may come as 59.9999999
    return 5 * math.floor(near / 5) if near >= 40 else math.floor(near)


def reach_parts(reach: Measured | None) -> tuple[str, str]:
    """Return a reach and its spread.

    Parameters
    ----------
    reach : Measured or None
        In cm.

    Returns
    -------
    tuple of str
        ("35 cm", "30–40"), or ("cannot tell", ""). Both ends are rounded down as the reach itself
        is: no end says a print that the frame does not reach. One end is no spread.
    """
    if reach is None:
        return "cannot tell", ""
    value = whole_cm(reach.value)
    said = f"{value}{THIN}cm" if value >= 1 else f"under 1{THIN}cm"
    low, high = whole_cm(reach.low), whole_cm(reach.high)
    return said, f"{low}–{high}" if low != high else ""


def reach_words(reach: Measured | None) -> str:
    """Return a reach with its spread on one line.

    Parameters
    ----------
    reach : Measured or None
        In cm.

    Returns
    -------
    str
        "35 cm (30–40)", "6 cm" or "cannot tell".
    """
    said, spread = reach_parts(reach)
    return f"{said} ({spread})" if spread else said


def number(value: int | float, digits: int = 2) -> str:
    """Return a number with so many significant digits, a true minus and no exponent.

    Parameters
    ----------
    value : float
        Any number.
    digits : int
        Significant digits; whole digits are never dropped.

    Returns
    -------
    str
        For instance "0.13", "14", "1830", "−4.2" or "∞".
    """
    if not math.isfinite(value):
        return "∞" if value > 0 else "−∞"
    if value == 0:
        return "0"
    rounded = f"{abs(value):.{digits - 1}e}"
    places = max(0, digits - 1 - int(rounded.partition("e")[2]))
    # Whole digits are kept: 1830 stays 1830 with two significant digits.
    text = f"{float(rounded):.{places}f}" if places else f"{abs(value):.0f}"
    return ("−" if value < 0 and float(text) != 0 else "") + text


def spread_words(measured: Measured | None, unit: str, digits: int = 2) -> str:
    """Return a measured number with unit and interval.

    Parameters
    ----------
    measured : Measured or None
        The number.
    unit : str
        Printed after a thin space; a degree sign without one.
    digits : int
        Significant digits.

    Returns
    -------
    str
        "6.4 px (5.9–7.1)", "−12° (−14 to −10)" or "cannot tell".
    """
    if measured is None:
        return "cannot tell"
    low, high = number(measured.low, digits), number(measured.high, digits)
    joined = f"{low} to {high}" if measured.low < 0 else f"{low}–{high}"
    gap = "" if unit in {"°", ""} else THIN
    return f"{number(measured.value, digits)}{gap}{unit} ({joined})"


def side_words(offset_mm: float, sides: tuple[str, str, str] = BEHIND) -> str:
    """Return where a plane lies seen from the near iris, without its spread.

    Parameters
    ----------
    offset_mm : float
        + behind.
    sides : tuple of str
        Words for in front, behind and neither.

    Returns
    -------
    str
        "14 mm behind", "2.4 mm in front", "1.3 m behind" or "on the iris" below 0.05 mm.
    """
    if abs(offset_mm) < 0.05:
        return sides[2]
    return f"{_length(offset_mm)} {sides[1] if offset_mm > 0 else sides[0]}"


def _length(length_mm: float) -> str:
    size = abs(length_mm)
    return f"{number(size / 1000)}{THIN}m" if size >= 1000 else f"{_whole(size)}{THIN}mm"


def _whole(length_mm: float) -> str:
    """Return millimetres as the sentences say them: tenths below 3, else whole."""
    size = abs(length_mm)
    if size < 2.95:
        return f"{size:.1f}"
    return f"{size:.0f}" if size < 99.5 else number(size)


def offset_words(offset: Measured | None, sides: tuple[str, str, str] = BEHIND) -> str:
    """Return where the focus plane lies, with its spread.

    Parameters
    ----------
    offset : Measured or None
        Focus plane minus near iris in mm, + behind.
    sides : tuple of str
        Words for in front, behind and neither.

    Returns
    -------
    str
        "14 mm behind (11–17)", "2 mm behind (3 mm in front to 7 mm behind)" or "cannot tell".
    """
    if offset is None:
        return "cannot tell"
    offset = Measured(value=_worth(offset.value), low=_worth(offset.low), high=_worth(offset.high))
    low, high = sorted((offset.low, offset.high), key=abs)
    if offset.low < 0 < offset.high or abs(offset.value) < 0.05:
        spread = f"{side_words(offset.low, sides)} to {side_words(offset.high, sides)}"
    elif abs(high) >= 1000:
        spread = f"{_length(low)} to {_length(high)}"
    else:
        spread = f"{_whole(low)}–{_whole(high)}"
    return f"{side_words(offset.value, sides)} ({spread})"


def stop_words(f_number: float) -> str:
    """Return an aperture as lenses write it.

    Parameters
    ----------
    f_number : float
        Aperture.

    Returns
    -------
    str
        "f/2.8", "f/11".
    """
    return f"f/{f_number:.1f}".removesuffix(".0") if f_number < 9.95 else f"f/{f_number:.0f}"


def percent(share: float) -> str:
    """Return a share in whole percent, the last percent at either end left open.

    Parameters
    ----------
    share : float
        0..1.

    Returns
    -------
    str
        "36 %", "under 1 %", "over 99 %"; "100 %" and "0 %" only for exactly all and nothing.
    """
    whole = round(share * 100)
    if whole == 0 and share > 0:
        return f"under 1{THIN}%"
    if whole == 100 and share < 1:
        return f"over 99{THIN}%"
    return f"{whole}{THIN}%"


def rounded(measured: Measured, unit: str = "") -> str:
    """Return a number in whole units, its interval rounded outwards.

    Parameters
    ----------
    measured : Measured
        The number.
    unit : str
        Printed after the number: a degree sign, or a unit with its thin space.

    Returns
    -------
    str
        "31 (27–34)", "38° (31–45)".
    """
    low, high = math.floor(measured.low + 1e-6), math.ceil(measured.high - 1e-6)
    joined = f"{number(low, 1)} to {high}" if low < 0 else f"{low}–{high}"
    return f"{number(round(measured.value), 1)}{unit} ({joined})"


def _worth(offset_mm: float) -> float:
    """Return an offset with no more than two digits from 100 mm: no more is ever known."""
    return float(f"{offset_mm:.2g}") if abs(offset_mm) >= 99.5 else offset_mm


def shutter_words(time_s: float | None) -> str:
    """Return a shutter time as cameras write it.

    Parameters
    ----------
    time_s : float or None
        Exposure time.

    Returns
    -------
    str
        "1/250 s", "0.5 s" or "not written in the file".
    """
    if time_s is None or time_s <= 0:
        return "not written in the file"
    if time_s >= 0.29:
        return f"{number(time_s)}{THIN}s"
    return f"1/{round(1 / time_s)}{THIN}s"


def far_words(distance_mm: float) -> str:
    """Return a distance in metres where it is long, else in millimetres.

    Parameters
    ----------
    distance_mm : float
        Distance, >= 0 mm.

    Returns
    -------
    str
        "1.80 m" or "240 mm".
    """
    if distance_mm >= 1000:
        return f"{number(distance_mm / 1000, 3)}{THIN}m"
    return f"{number(distance_mm)}{THIN}mm"


def count_words(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun.

    Parameters
    ----------
    count : int
        How many.
    one, many : str
        The noun for one and for several; `many` defaults to `one` with an s.

    Returns
    -------
    str
        "1 frame", "12 frames".
    """
    return f"{count} {one if count == 1 else many or one + 's'}"
