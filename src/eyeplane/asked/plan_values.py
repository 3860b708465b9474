"""One option of a plan: how its text is read, within which bounds, and what else is known of it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from eyeplane.asked.spans import is_span, read_span
from eyeplane.asked.typed import Learned, size_of

Spacing = Literal["even", "whole", "ratio", "f_number", "shutter", "iso"]
LONGEST = 100  # signs of a value; longer ones are a slip of the clipboard


@dataclass(frozen=True, slots=True)
class Within:
    """Bounds of a number.

    Attributes
    ----------
    least, most : float
        In the unit of the value.
    words : str
        The same, for whoever went beyond.
    spacing : str
        How a range is walked through: in even steps, by whole numbers, by one ratio, or by the
        camera's values.
    least_end : float or None
        What a learned number's interval may reach down to; None: no farther than the number.
    """

    least: float
    most: float
    words: str
    spacing: Spacing = "even"
    least_end: float | None = None

    def holds(self, value: object) -> bool:
        """Return whether what was typed lies inside.

        Parameters
        ----------
        value : object
            As read; of a learned number the ends of its interval count too.

        Returns
        -------
        bool
            True for what is no number.
        """
        size = size_of(value)
        ends = value.interval or () if isinstance(value, Learned) else ()
        least_end = self.least if self.least_end is None else self.least_end
        inside = size is None or self.least <= size <= self.most
        return inside and all(least_end <= end <= self.most for end in ends)


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """What was typed after an option, and what it means.

    Attributes
    ----------
    text : str
        As typed.
    value : object
        As read: a number in our unit, a word, a record of `typed`, or a `Span` of them.
    """

    text: str
    value: object


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOption:
    """One option of a plan.

    Attributes
    ----------
    name : str
        Without its dashes, such as "focal-length".
    metavar : str
        What to type, for the help.
    read : callable
        Text to value; raises ValueError with what is wrong and what to type instead.
    within : Within or None
        Bounds of its number; None where it is none, and so cannot be a range.
    default : str
        The text that stands where nothing was typed; empty: none.
    keeps : str
        "kit" or "client" where it is remembered, else empty.
    about : str
        Help.
    """

    name: str
    metavar: str
    read: Callable[[str], object]
    about: str
    within: Within | None = None
    default: str = ""
    keeps: Literal["kit", "client", ""] = ""

    @property
    def key(self) -> str:
        """Return the name as Python has it.

        Returns
        -------
        str
            With underscores.
        """
        return self.name.replace("-", "_")

    def typed(self, text: str) -> Typed:
        """Return what a text means.

        Parameters
        ----------
        text : str
            As typed.

        Returns
        -------
        Typed
            The text and its value.

        Raises
        ------
        ValueError
            If it cannot be used; the message says why and what to type instead.
        """
        if not is_span(text):
            return Typed(text=text, value=self._one(text))
        if self.within is None:
            raise ValueError(f"'{text}' is a range, and this cannot be one: give one value")
        span = read_span(text, self._one)
        if size_of(span.low) is None or size_of(span.high) is None:
            raise ValueError(f"'{text}' is no range of numbers: give two of them, like 1m..4m")
        return Typed(text=text, value=span)

    def _one(self, text: str) -> object:
        value = self.read(text)
        if self.within and not self.within.holds(value):
            raise ValueError(f"'{text}' is out of bounds: give {self.within.words}")
        return value


@dataclass(frozen=True, slots=True)
class Word:
    """A reader of one of several words.

    Attributes
    ----------
    known : tuple of str
        The words.
    """

    known: tuple[str, ...]

    def __call__(self, text: str) -> str:
        """Return the word that a text is; raise ValueError with the known ones if it is none."""
        said = " ".join(text.lower().replace("_", " ").split()).replace(" ", "-")
        if said not in self.known:
            raise ValueError(f"'{text}' is none of the known words: give {' or '.join(self.known)}")
        return said


def word(*known: str) -> Word:
    """Return a reader of one of several words.

    Parameters
    ----------
    *known : str
        The words.

    Returns
    -------
    Word
        Reads text; a list of the known words stands in its refusal.
    """
    return Word(known)


def whole(text: str) -> float:
    """Return a whole number.

    Parameters
    ----------
    text : str
        Digits.

    Returns
    -------
    float
        Whole, >= 1.

    Raises
    ------
    ValueError
        If it is none.
    """
    if not text.strip().isdecimal() or float(text) < 1:
        raise ValueError(f"'{text}' is no whole number: give one like 2")
    return float(text)


def yes_or_no(text: str) -> bool:
    """Return what a remembered switch says.

    Parameters
    ----------
    text : str
        "yes" or "no".

    Returns
    -------
    bool
        Whether it is on.

    Raises
    ------
    ValueError
        If it is neither.
    """
    if text not in {"yes", "no"}:
        raise ValueError(f"'{text}' is neither yes nor no: give one of them")
    return text == "yes"


def read_typed(option: PlanOption, text: str) -> Typed:
    """Return what was typed for an option, and what it means.

    Parameters
    ----------
    option : PlanOption
        The option.
    text : str
        As typed, blanks as they come.

    Returns
    -------
    Typed
        The text, tidied, and its value.

    Raises
    ------
    ValueError
        If it cannot be used; the message says why and what to type instead.
    """
    tidied = " ".join(text.split())
    if len(tidied) > LONGEST or not tidied.isprintable():
        raise ValueError("that is too long, or has signs that cannot be shown")
    return option.typed(tidied)
