"""How probable each cause is, in parts: before looking, by the pixels, together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import CHANCE_WORDS, capital, cause_words, number, percent
from eyeplane.records import CauseChance

EVEN = 0.5  # natural logarithm: less than 1.65 times better or worse says nothing; no source
LEAST = 0.01  # chance below which a cause is not told on a line; no source
MOST = 1000  # times; beyond, the number would be worth nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceRow:
    """One cause with its chances.

    Attributes
    ----------
    cause, because : str
        Its name and what speaks for or against it before looking.
    before, pixels, together : str
        Its chance before looking, how well the pixels fit it, and its chance by both.
    """

    cause: str
    because: str
    before: str
    pixels: str
    together: str


def chance_rows(chances: Sequence[CauseChance]) -> tuple[ChanceRow, ...]:
    """Return the causes with their chances as words.

    Parameters
    ----------
    chances : sequence of CauseChance
        Most probable first.

    Returns
    -------
    tuple of ChanceRow
        In the same order.
    """
    return tuple(
        ChanceRow(
            cause=CHANCE_WORDS.get(chance.cause, cause_words(chance.cause)),
            because=chance.because,
            before=_percent(chance.prior),
            pixels=pixel_words(chance.evidence),
            together=_percent(chance.chance),
        )
        for chance in chances
    )


def _percent(chance: float) -> str:
    """Return a chance; what rounding made 0 or 1 is still not certain."""
    return percent(min(max(chance, 1e-9), 1 - 1e-9))


def pixel_words(evidence: float) -> str:
    """Return how well the pixels fit a cause.

    Parameters
    ----------
    evidence : float
        Natural logarithm of the likelihood over that of the best other cause.

    Returns
    -------
    str
        "30 times better", "12 times worse", or "no better, no worse".

    Examples
    --------
    >>> pixel_words(3.4)
    '30 times better'
    >>> pixel_words(-12.0)
    'over 1000 times worse'
    """
    if abs(evidence) < EVEN:
        return "no better, no worse"
    side = "better" if evidence > 0 else "worse"
    if abs(evidence) > math.log(MOST):
        return f"over {MOST} times {side}"
    times = math.exp(abs(evidence))
    digits = 2 if times < 3 else 1
    whole = float(f"{times:.{digits - 1}e}")
    return f"{number(whole, digits)} times {side}"


def chance_lines(chances: Sequence[CauseChance], most: int = 3) -> tuple[str, ...]:
    """Return the likeliest causes for a terminal, one a line.

    Parameters
    ----------
    chances : sequence of CauseChance
        Most probable first.
    most : int
        How many are told; of the others only those of a hundredth or more.

    Returns
    -------
    tuple of str
        For instance "Shake 96 %: before looking 40 %, the pixels fit it 30 times better.".
    """
    rows = chance_rows(chances)
    told = [row for n, row in enumerate(rows[:most]) if n == 0 or chances[n].chance >= LEAST]
    return tuple(
        f"{capital(row.cause)} {row.together}: before looking {row.before}, the pixels fit it "
        + (f"{row.pixels} ({row.because})." if row.because else f"{row.pixels}.")
        for row in told
    )
