"""Ranges: 'f/1.4..f/8', '1m..4m', '1m..4m by 0.5m', '1m..4m in 13'."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from eyeplane.asked.typed import size_of

DOTS = ".."
MOST_POINTS = 10_000  # of one range, and of all of a table together
USUAL_POINTS = 13  # of an even range: twelve steps


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A range as typed.

    Attributes
    ----------
    low, high : object
        Its two ends as the reader of one value gives them.
    step : float or None
        Distance from point to point; None unless it was typed.
    points : int or None
        How many points; None unless it was typed.
    """

    low: object
    high: object
    step: float | None = None
    points: int | None = None


def is_span(text: str) -> bool:
    """Return whether a text is meant as a range.

    Parameters
    ----------
    text : str
        As typed.

    Returns
    -------
    bool
        Whether it has two dots in a row.
    """
    return DOTS in text.replace("…", DOTS)


def read_span(text: str, read: Callable[[str], object]) -> Span:
    """Return a range.

    Parameters
    ----------
    text : str
        As typed.
    read : callable
        Reads one value, or raises ValueError.

    Returns
    -------
    Span
        With the two ends read.

    Raises
    ------
    ValueError
        If an end, the step or the count cannot be read.

    Notes
    -----
    An end may leave out what the other says: '1..4m', 'EV 5..10', 'flash f/4..f/16', 'child 2..8'.
    """
    ends, by, step = text.replace("…", DOTS).partition(" by ")
    if not by:
        ends, inside, points = ends.partition(" in ")
    else:
        inside, points = "", ""
    low, _, high = (part.strip() for part in ends.partition(DOTS))
    low_end, high_end = _read_ends(low, high, read)
    return Span(
        low=low_end,
        high=high_end,
        step=_step(step.strip(), (low, high), read) if by else None,
        points=_count(points) if inside else None,
    )


def even_values(ends: tuple[float, float], span: Span) -> tuple[float, ...]:
    """Return evenly spaced points, both ends among them.

    Parameters
    ----------
    ends : tuple of float
        First and last.
    span : Span
        How it was typed.

    Returns
    -------
    tuple of float
        From the first end to the second.

    Raises
    ------
    ValueError
        If the step is nothing, or would need too many points.
    """
    low, high = ends
    if span.step is None:
        count = span.points or USUAL_POINTS
        return tuple(low + (high - low) * n / max(1, count - 1) for n in range(count))
    size = abs(span.step)
    if size == 0 or abs(high - low) / size >= MOST_POINTS:
        raise ValueError(f"a range of more than {MOST_POINTS} points: give a larger step")
    count = math.floor(abs(high - low) / size + 1e-9) + 1
    return tuple(low + math.copysign(size * n, high - low) for n in range(count))


def ratio_values(ends: tuple[float, float], span: Span) -> tuple[float, ...]:
    """Return points of one ratio from each to the next, both ends among them.

    Parameters
    ----------
    ends : tuple of float
        First and last, > 0.
    span : Span
        How it was typed; a step is taken as even.

    Returns
    -------
    tuple of float
        From the first end to the second.

    Raises
    ------
    ValueError
        As for `even_values`.
    """
    if span.step is not None:
        return even_values(ends, span)
    low, high = ends
    count = span.points or USUAL_POINTS
    return tuple(low * (high / low) ** (n / max(1, count - 1)) for n in range(count))


def whole_values(ends: tuple[float, float], span: Span) -> tuple[float, ...]:
    """Return whole numbers, each once.

    Parameters
    ----------
    ends : tuple of float
        First and last, whole.
    span : Span
        How it was typed; without step and count every number between.

    Returns
    -------
    tuple of float
        From the first end to the second.

    Raises
    ------
    ValueError
        As for `even_values`.
    """
    if span.step is None and span.points is None:
        span = replace(span, step=1.0)
    return tuple(dict.fromkeys(float(round(value)) for value in even_values(ends, span)))


def mark_values(
    ends: tuple[float, float], span: Span, marks: tuple[float, ...]
) -> tuple[float, ...]:
    """Return the values that cameras have between two ends.

    Parameters
    ----------
    ends : tuple of float
        First and last, > 0.
    span : Span
        How it was typed; with a step or a count it is followed instead.
    marks : tuple of float
        The camera's values.

    Returns
    -------
    tuple of float
        From the first end to the second; the ends themselves where no mark lies between.

    Raises
    ------
    ValueError
        As for `even_values`.
    """
    if span.step is not None or span.points is not None:
        return ratio_values(ends, span)
    low, high = ends
    near = 1.004  # of a mark: 1/60 typed as 0.0167 s is still that mark
    least, most = min(low, high) / near, max(low, high) * near
    found = sorted((mark for mark in marks if least <= mark <= most), reverse=low > high)
    return tuple(found) or ends


def _read_ends(low: str, high: str, read: Callable[[str], object]) -> tuple[object, object]:
    """Read both; an end that cannot be read alone borrows the words of the other."""
    before, after = _words(low, high)
    return _read_end(low, low + after, read), _read_end(high, _led(before, high), read)


def _led(before: str, high: str) -> str:
    """Return an end with the other's words before it; those that it says itself only once."""
    said = next(n for n in range(len(before) + 1) if high.lower().startswith(before[n:].lower()))
    return before[:said] + high


def _words(low: str, high: str) -> tuple[str, str]:
    """Return what stands before the first number and after the last."""
    before = re.match(r"[^\d+-]*", low)
    after = re.search(r"(?<=\d)[^\d]*$", high)
    return before[0] if before else "", after[0] if after else ""


def _read_end(text: str, longer: str, read: Callable[[str], object]) -> object:
    if not text:
        raise ValueError("a range needs two ends, like 1m..4m")
    try:
        return read(text)
    except ValueError:
        if longer == text:
            raise
        try:
            return read(longer)
        except ValueError:
            return read(text)


def _step(text: str, ends: tuple[str, str], read: Callable[[str], object]) -> float:
    before, after = _words(*ends)
    for said in (text, f"{before}{text}", f"{text}{after}"):
        try:
            step = size_of(read(said))
        except ValueError:
            continue
        if step is not None:
            return step
    raise ValueError(f"'{text}' is no step for this range: give a size, or a count: in 13")


def _count(text: str) -> int:
    if not text.strip().isdecimal() or not 2 <= float(text) <= MOST_POINTS:
        raise ValueError(f"'{text.strip()}' is no count of points: give 2 to {MOST_POINTS}")
    return int(text)
