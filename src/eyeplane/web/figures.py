"""Lengths and decimal marks as the person who looks is used to them."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from eyeplane.errors import InputError

Lengths = Literal["cm", "inch"]
Decimal = Literal["point", "comma"]
CM_PER_INCH = 2.54  # exactly, by definition (international yard and pound agreement, 1959)
M_PER_FOOT = 0.3048  # exactly, by the same agreement
WHOLE_FROM_IN = 10.0  # in; below it tenths are told: no figure is off by more than 5 % or 1.3 mm
WHOLE_FROM_FT = 30.0  # ft; lens scales are engraved in feet, near ones with decimals (from memory)
TENTHS_FROM = 0.35  # in or ft; shorter lengths keep two digits, so that none is told as nothing
LONGEST_CM = 10_000.0  # cm; no print or viewing distance is longer

NUMBER = r"[+−-]?\d+(?:\.\d+)?"
# "30–41", "30 to 41", "40 × 60"; "and" joins two ends only after "between".
JOIN = r"(?:\s?[–×]\s?| to )"
SPREAD = rf"\((?:{NUMBER}(?:–| to ){NUMBER}|{NUMBER} or (?:more|less))\)"
LENGTH = re.compile(
    rf"(?P<start>(?<![\w/.:,])|(?<=, ))"
    rf"(?P<numbers>(?<=[Bb]etween ){NUMBER} and {NUMBER}|{NUMBER}(?:{JOIN}{NUMBER})*)"
    rf"(?P<gap>[ \u2009\u202f\u00a0])(?P<unit>cm|m)(?![\w/²³]| of page)"
    rf"(?P<spread>\s?{SPREAD})?"
)
SPREAD_ALONE = re.compile(rf"\s*{SPREAD}\s*")
DIGIT = re.compile(r"\d")
ONE = re.compile(NUMBER)
# What stands in quotes was typed or is a name: it is given back as it is. So are f-numbers, which
# every lens and camera shows with a point, whatever the language ("f/2.8", "f/2.8–4.5").
QUOTED = r"(?<!\w)'[^'\n]*'(?!\w)|\"[^\"\n]*\"|“[^”\n]*”"
AS_IT_IS = re.compile(rf"({QUOTED}|f/\d+(?:\.\d+)?(?:–\d+(?:\.\d+)?)?)")
# A number by itself: no version (1.2.3), date (26.11.2026), file name, clock time or fraction.
POINT = re.compile(r"(?<![\w./:])(\d+)\.(\d+)(?!\w|[.:]\w)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """How numbers are shown.

    Attributes
    ----------
    lengths : {"cm", "inch"}
        Unit of prints and viewing distances; what lies at the face stays in mm.
    decimal : {"point", "comma"}
        Decimal mark.
    """

    lengths: Lengths = "cm"
    decimal: Decimal = "point"

    @property
    def as_said(self) -> bool:
        """Return whether everything is shown as the other layers say it.

        Returns
        -------
        bool
            True for cm and the decimal point.
        """
        return self.lengths == "cm" and self.decimal == "point"

    @property
    def unit(self) -> str:
        """Return the unit of prints and viewing distances.

        Returns
        -------
        str
            "cm" or "in".
        """
        return "in" if self.lengths == "inch" else "cm"

    def text(self, sentence: str) -> str:
        """Return a sentence with its lengths and numbers as they are to be shown.

        Parameters
        ----------
        sentence : str
            As the other layers say it, lengths in cm and m.

        Returns
        -------
        str
            E.g. "24 in (20–27)" for "60 cm (50–69)". Done twice, it stays the same.

        Notes
        -----
        One figure in cm always becomes the same figure in inches, the nearest one, so that what is
        equal, longer or shorter in cm is never told otherwise in inches: whole inches from 10 in
        on, tenths below. Metres become feet. mm, f-numbers, exposure times, clock times, dates and
        what stands in quotes stay.

        Examples
        --------
        >>> Figures(lengths="inch").text("Near eye holds 35 cm (30–41), print 40 × 60 cm.")
        'Near eye holds 14 in (12–16), print 16 × 24 in.'
        >>> Figures(decimal="comma").text("Stand 1.2 m away at f/2.8.")
        'Stand 1,2 m away at f/2.8.'
        """
        if self.as_said or not DIGIT.search(sentence):
            return sentence
        parts = AS_IT_IS.split(sentence)
        parts[::2] = [self._plain(part) for part in parts[::2]]
        return "".join(parts)

    def spread(self, words: str, unit: str) -> str:
        """Return an interval that stands apart from its number.

        Parameters
        ----------
        words : str
            E.g. "(30–41)".
        unit : str
            Of its number: "cm" or "m".

        Returns
        -------
        str
            As it is to be shown; unchanged if it is no interval.
        """
        if self.lengths == "cm" or not SPREAD_ALONE.fullmatch(words):
            return self.text(words)
        return self.text(ONE.sub(_turn(unit), words))

    def length(self, length_cm: float) -> str:
        """Return a length as it stands in a field of a form.

        Parameters
        ----------
        length_cm : float
            In cm.

        Returns
        -------
        str
            In the visitor's unit, without it, at most two decimals: "60", "24", "30,5".
        """
        size = length_cm / CM_PER_INCH if self.lengths == "inch" else length_cm
        shown = f"{size:.2f}".rstrip("0").rstrip(".")
        return shown.replace(".", ",") if self.decimal == "comma" else shown

    def to_cm(self, typed: str, *, where: str = "the length") -> float:
        """Return a length that was typed into a field of a form.

        Parameters
        ----------
        typed : str
            A number with decimal point or comma; a unit (cm, in) may follow.
        where : str
            What the field is called, for the message.

        Returns
        -------
        float
            In cm, > 0.

        Raises
        ------
        InputError
            If it is no length between 0 and 100 m.
        """
        found = re.fullmatch(
            r"\s*(\d{1,7}(?:[.,]\d{1,6})?)\s*(cm|in|″|\")?\s*", typed, re.ASCII | re.IGNORECASE
        )
        size_cm = 0.0
        if found:
            unit = (found[2] or self.unit).lower()
            size_cm = float(found[1].replace(",", ".")) * (1.0 if unit == "cm" else CM_PER_INCH)
        if not 0 < size_cm <= LONGEST_CM:
            raise InputError(
                f"{typed[:40]!r} is no length",
                where=where,
                hint=f"Give a number of {self.unit}, like {self.length(60.0)}",
            )
        return size_cm

    def _plain(self, text: str) -> str:
        if self.lengths == "inch":
            text = LENGTH.sub(_told_in_inches, text)
        if self.decimal == "comma":
            text = POINT.sub(r"\1,\2", text)
        return text


def _told_in_inches(found: re.Match[str]) -> str:
    turn = _turn(found["unit"])
    unit = "in" if found["unit"] == "cm" else "ft"
    numbers, spread = ONE.sub(turn, found["numbers"]), ONE.sub(turn, found["spread"] or "")
    return f"{numbers}{found['gap']}{unit}{spread}"


def _turn(unit: str) -> Callable[[re.Match[str]], str]:
    per, whole_from = (CM_PER_INCH, WHOLE_FROM_IN) if unit == "cm" else (M_PER_FOOT, WHOLE_FROM_FT)

    def turned(found: re.Match[str]) -> str:
        sign = found[0][0] if found[0][0] in "+−-" else ""
        size = float(found[0][len(sign) :]) / per
        if size < TENTHS_FROM:
            shown = f"{size:.2g}" if size >= 0.001 else f"{size:.3f}"
        else:
            shown = f"{size:.1f}" if round(size, 1) < whole_from else f"{size:.0f}"
        return sign + shown.removesuffix(".0")

    return turned
