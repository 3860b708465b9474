"""Frames and lengths as they are typed into a form of the pages."""

import re
from collections.abc import Mapping

from eyeplane.asked.units import length_mm
from eyeplane.errors import InputError

MOST_FRAMES = 100  # of one check: the largest ones named in docs take 30
LONGEST_TYPED = 400  # signs of a list of frames; longer ones are a slip of the clipboard
SPAN = re.compile(r"([0-9]{1,7})(?:\s*[-–]\s*([0-9]{1,7}))?")
LENGTH_CM = (1.0, 10_000.0)
Fields = Mapping[str, str]


def frames_typed(text: str, last: int) -> tuple[int, ...]:
    """Return the numbers of frames that were typed.

    Parameters
    ----------
    text : str
        Such as "12-18, 20".
    last : int
        Number of the last frame there is.

    Returns
    -------
    tuple of int
        Each once, rising.

    Raises
    ------
    InputError
        If it is no list of frames, names one that is not there, or too many.

    Examples
    --------
    >>> frames_typed("3, 5-7", 9)
    (3, 5, 6, 7)
    """
    hint = "Give numbers as the sitting shows them, like 12-18, 20"
    parts = [one.strip() for one in text.split(",") if one.strip()]
    if not parts or len(text) > LONGEST_TYPED:
        raise InputError("no frames are named", where="the frames", hint=hint)
    numbers: set[int] = set()
    for part in parts:
        found = SPAN.fullmatch(part)
        if found is None:
            raise InputError(f"{part[:40]!a} is no frame", where="the frames", hint=hint)
        first, end = int(found[1]), int(found[2] or found[1])
        if not 1 <= first <= end <= last:
            has = f"frames 1 to {last}" if last else "no frame yet"
            raise InputError(
                f"{part} is not there: the sitting has {has}", where="the frames", hint=hint
            )
        if end - first >= MOST_FRAMES or len(numbers) + end - first >= MOST_FRAMES:
            raise InputError(
                f"these are more than {MOST_FRAMES} frames",
                where="the frames",
                hint="Name those of the check only",
            )
        numbers.update(range(first, end + 1))
    return tuple(sorted(numbers))


def typed_length_cm(given: Fields, field: str, *, where: str, usual_cm: float) -> float:
    """Return a length that was typed, centimetres where no unit stands with it.

    Parameters
    ----------
    given : mapping of str to str
        What was typed, by field.
    field : str
        Which.
    where : str
        How it is called.
    usual_cm : float
        What holds where nothing was typed.

    Returns
    -------
    float
        From 1 cm to 100 m.

    Raises
    ------
    InputError
        If it is no such length.
    """
    text = given.get(field, "").strip()
    if not text:
        return usual_cm
    try:
        found = length_mm(text[:LONGEST_TYPED], bare="cm") / 10.0
    except ValueError:
        found = 0.0
    if not LENGTH_CM[0] <= found <= LENGTH_CM[1]:
        raise InputError(
            f"{text[:40]!a} is no length for it", where=where, hint="Give one like 60 cm or 24 in"
        )
    return found
