"""What all that speaks says alike: counts, lists, shares in percent."""

import math
from collections.abc import Sequence

THIN = "\u2009"  # thin space, stands before every unit
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def count_word(number: int) -> str:
    """Return a small number as a word.

    Parameters
    ----------
    number : int
        >= 0.

    Returns
    -------
    str
        Words up to ten, digits above.
    """
    return COUNTS[number] if number < len(COUNTS) else str(number)


def listed(names: Sequence[str]) -> str:
    """Return names joined as in speech.

    Parameters
    ----------
    names : sequence of str
        One or more names.

    Returns
    -------
    str
        "a", "a and b", "a, b and c".
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def capital(text: str) -> str:
    """Return a text as a line begins with it; an aperture stays as it is.

    Parameters
    ----------
    text : str
        Any words.

    Returns
    -------
    str
        "Step back" for "step back", but "f/2.8 instead of f/1.8".
    """
    return text if text.startswith("f/") else text[:1].upper() + text[1:]


def share_percent(share: float) -> str:
    """Return a share of frames in whole percent, the last percent at either end left open.

    Parameters
    ----------
    share : float
        0..1.

    Returns
    -------
    str
        "36 %"; never none or all of them, which no plan can know: "under 1 %", "over 99 %".
    """
    whole = round(100 * share)
    if whole <= 0:
        return f"under 1{THIN}%"
    return f"{whole}{THIN}%" if whole < 100 else f"over 99{THIN}%"


def percent_ends(low_share: float, high_share: float) -> tuple[int, int]:
    """Return the ends of an interval of a share in whole percent.

    Parameters
    ----------
    low_share, high_share : float
        0..1.

    Returns
    -------
    tuple of int
        Rounded outwards.
    """
    return math.floor(100 * low_share + 1e-9), math.ceil(100 * high_share - 1e-9)
