"""The prints a photographer sells: typed once, remembered until others are typed."""

import re
from datetime import UTC, datetime
from pathlib import Path

from eyeplane.asked.plan_memory import open_memory
from eyeplane.asked.units import MM, NUMBER, tidy
from eyeplane.errors import InputError
from eyeplane.store import KitLog, default_store_path

KIND, WHOSE = "prints sold", "all kits"  # how they are kept among the checks
ONE = re.compile(rf"({NUMBER})\s*x\s*({NUMBER})\s*(cm|mm|in|m|\"|')?")
LEAST_CM, MOST_CM = 3.0, 400.0  # a locket, a wall; beyond is a slip of unit
MOST_SIZES = 12  # a price list with more is long enough
SHOWN = "30x40,40x60 or 16x20in"


def sold_sizes_cm(text: str) -> tuple[tuple[float, float], ...]:
    """Return print sizes.

    Parameters
    ----------
    text : str
        Such as 30x40,40x60 in cm, or 8x10in, 16x20in.

    Returns
    -------
    tuple of (float, float)
        Long and short side in cm, smallest first, each once.

    Raises
    ------
    InputError
        If one is no size, some have a unit and others none, or one is no print.

    Examples
    --------
    >>> sold_sizes_cm("40x60, 30x40")
    ((40.0, 30.0), (60.0, 40.0))
    """
    pieces = [tidy(one) for one in re.split(r"[,;]", text) if one.strip()]
    found = [(one, ONE.fullmatch(one)) for one in pieces]
    for one, match in found:
        if match is None:
            raise _refused(f"'{one}' is no print size")
    units = [match[3] or "" for _, match in found if match is not None]
    if not found or len(found) > MOST_SIZES:
        raise _refused(f"'{text}' names no print" if not found else "those are too many prints")
    if "" in units and len(set(units)) > 1:
        raise _refused(
            "some of the prints have a unit and some have none: that can be read in two ways"
        )
    sizes = [_size(one, match) for one, match in found if match is not None]
    return tuple(sorted(set(sizes)))


def _size(text: str, match: re.Match[str]) -> tuple[float, float]:
    scale = MM[match[3] or "cm"] / MM["cm"]
    short, long = sorted((float(match[1]) * scale, float(match[2]) * scale))
    if not LEAST_CM <= short <= long <= MOST_CM:
        raise _refused(f"'{text}' is no print: sides of {LEAST_CM:g} to {MOST_CM:g} cm are")
    return round(long, 4), round(short, 4)


def _refused(what: str) -> InputError:
    return InputError(what, where="--sells", hint=f"Give sizes in cm like {SHOWN}")


def prints_sold(
    typed: str | None, store: Path | None
) -> tuple[tuple[tuple[float, float], ...], str]:
    """Return the prints that are sold: typed now, else as they were typed last.

    Parameters
    ----------
    typed : str or None
        What was typed; "none" forgets them.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    sizes : tuple of (float, float)
        Long and short side in cm; empty where none are known.
    said : str
        What was remembered or recalled, a sentence; empty if nothing.

    Raises
    ------
    InputError
        If they cannot be read.
    StoreError
        If the store cannot be used.
    """
    path = store or default_store_path()
    if typed is None:
        if not path.exists():
            return (), ""  # nothing was ever typed: no file is made to find that out
        with _log(store) as log:
            kept = log.last(KIND, WHOSE)
        if kept is None:
            return (), ""
        text = str(kept.result.get("typed", ""))
        return sold_sizes_cm(text), f"Prints you sell, as you named them last: {text}."
    if tidy(typed) == "none":
        with _log(store) as log:
            log.forget(KIND, WHOSE)
        return (), "The prints you sell are forgotten."
    sizes = sold_sizes_cm(typed)
    text = " ".join(typed.split())
    with _log(store) as log:
        log.forget(KIND, WHOSE)
        log.keep(KIND, WHOSE, datetime.now(UTC), {"typed": text})
    return sizes, f"Remembered as the prints you sell: {text}."


def _log(store: Path | None) -> KitLog:
    with open_memory(store) as memory:  # refuses what is no file, with a sentence
        return KitLog(memory.path)
