"""How probable each cause is, in parts: before looking, by the pixels, together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from eyeplane.deliver.wording import CHANCE_WORDS, cause_words, number, percent
from eyeplane.records import CauseChance
from eyeplane.records.said import capital

EVEN = 0.5  # natural logarithm: less than 1.65 times better or worse says nothing; no source
LEAST = 0.01  # chance below which a cause is not told on a line; no source
RIVAL = 0.25  # chance from which a second cause is explained too; no source
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
        "30 times better", "12 times worse", or "as well as any other".

    Examples
    --------
    >>> pixel_words(3.4)
    '30 times better'
    >>> pixel_words(-12.0)
    'over 1000 times worse'
    """
    if abs(evidence) < EVEN:
        return "as well as any other"
    side = "better" if evidence > 0 else "worse"
    if abs(evidence) > math.log(MOST):
        return f"over {MOST} times {side}"
    times = math.exp(abs(evidence))
    digits = 2 if times < 3 else 1
    whole = float(f"{times:.{digits - 1}e}")
    return f"{number(whole, digits)} times {side}"


def chance_lines(chances: Sequence[CauseChance], most: int = 3) -> tuple[str, ...]:
    """Return the likeliest causes for a terminal: their chances, then what speaks for the best.

    Parameters
    ----------
    chances : sequence of CauseChance
        Most probable first.
    most : int
        How many are told; of the others only those of a hundredth or more.

    Returns
    -------
    tuple of str
        For instance "Shake 96 %, sitter moved 3 %." and "Shake: 42 % before looking (1/125 s at
        85 mm); the pixels fit it 30 times better than any other."; the second cause is explained
        too where it may well be.
    """
    rows = chance_rows(chances)
    told = [row for n, row in enumerate(rows[:most]) if n == 0 or chances[n].chance >= LEAST]
    if not told:
        return ()
    explained = [row for n, row in enumerate(told) if n == 0 or chances[n].chance >= RIVAL]
    names = ", ".join(f"{row.cause} {row.together}" for row in told)
    return (f"{capital(names)}.", *(_explained(row) for row in explained))


def _explained(row: ChanceRow) -> str:
    because = f" ({row.because})" if row.because else ""
    than = {"better": " than any other", "worse": " than the best"}.get(row.pixels[-6:].strip(), "")
    return (
        f"{capital(row.cause)}: {row.before} before looking{because}; the pixels fit it "
        f"{row.pixels}{than}."
    )
