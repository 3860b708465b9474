"""What holds for a plan: typed now, recalled for kit or client, or assumed."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from eyeplane.asked.plan_values import PlanOption, Typed
from eyeplane.asked.spans import Span
from eyeplane.errors import InputError

Source = Literal["typed", "kit", "client", "learned", "assumed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Every option of a plan with its value and where that came from.

    Attributes
    ----------
    table : tuple of PlanOption
        The options of this plan.
    values : mapping of str to Typed
        By name; without those that stand open.
    sources : mapping of str to str
        Where each came from: "typed", "kit", "client", "learned" or "assumed".
    """

    table: tuple[PlanOption, ...]
    values: Mapping[str, Typed]
    sources: Mapping[str, Source]

    def __getitem__(self, name: str) -> object:
        """Return one value, of a range its first end; None where it stands open."""
        typed = self.values.get(name)
        if typed is None:
            return None
        return typed.value.low if isinstance(typed.value, Span) else typed.value

    def number(self, name: str) -> float | None:
        """Return one number.

        Parameters
        ----------
        name : str
            Of an option whose value is a number.

        Returns
        -------
        float or None
            In its unit; None where it stands open.
        """
        value = self[name]
        return float(value) if isinstance(value, int | float) else None

    def sure(self, name: str) -> float:
        """Return one number that has a default.

        Parameters
        ----------
        name : str
            Of an option whose value is a number.

        Returns
        -------
        float
            In its unit.

        Raises
        ------
        KeyError
            If it stands open after all.
        """
        value = self.number(name)
        if value is None:
            raise KeyError(name)
        return value

    def on(self, name: str, *, usual: bool = False) -> bool:
        """Return whether a switch is on.

        Parameters
        ----------
        name : str
            Of a switch.
        usual : bool
            What holds where it stands open.

        Returns
        -------
        bool
            Its position.
        """
        value = self[name]
        return usual if value is None else bool(value)

    def was_said(self, name: str) -> bool:
        """Return whether somebody said so, now or earlier.

        Parameters
        ----------
        name : str
            Of an option.

        Returns
        -------
        bool
            False where it is assumed or stands open.
        """
        return self.sources.get(name, "assumed") != "assumed"

    @property
    def spans(self) -> tuple[str, ...]:
        """Return which options are ranges.

        Returns
        -------
        tuple of str
            Names, in the order of the table.
        """
        return tuple(
            option.name
            for option in self.table
            if option.name in self.values and isinstance(self.values[option.name].value, Span)
        )

    def texts(self, source: Source, *, keeps: str = "") -> dict[str, str]:
        """Return what came from one source, as it was typed.

        Parameters
        ----------
        source : {"typed", "kit", "client", "learned", "assumed"}
            Where from.
        keeps : str
            "kit" or "client": only what is remembered for it; a range never is.

        Returns
        -------
        dict of str to str
            By name, in the order of the table.
        """
        return {
            option.name: self.values[option.name].text
            for option in self.table
            if self.sources.get(option.name) == source
            and (not keeps or (option.keeps == keeps and option.name not in self.spans))
        }

    def with_value(self, name: str, value: object) -> "Given":
        """Return the same with one value exchanged.

        Parameters
        ----------
        name : str
            Of an option.
        value : object
            As its reader returns it.

        Returns
        -------
        Given
            A copy.
        """
        values = {**self.values, name: Typed(text=self.values[name].text, value=value)}
        return replace(self, values=values)


def gather(
    table: tuple[PlanOption, ...],
    typed: Mapping[str, object],
    recalled: Mapping[str, Mapping[str, str]],
) -> Given:
    """Return what holds: what was typed, else what is remembered, else what is usual.

    Parameters
    ----------
    table : tuple of PlanOption
        The options of this plan.
    typed : mapping of str to object
        By key: None, a `Typed`, or whether a switch was turned on.
    recalled : mapping
        For "kit" and "client" what was typed once, by name.

    Returns
    -------
    Given
        Of every option.

    Raises
    ------
    InputError
        If what is remembered can no longer be read.
    """
    values: dict[str, Typed] = {}
    sources: dict[str, Source] = {}
    for option in table:
        said, source = _one(option, typed.get(option.key), recalled)
        if said is not None:
            values[option.name], sources[option.name] = said, source
    return Given(table=table, values=values, sources=sources)


def _one(
    option: PlanOption,
    typed: object,
    recalled: Mapping[str, Mapping[str, str]],
) -> tuple[Typed | None, Source]:
    if isinstance(typed, Typed):
        return typed, "typed"
    if isinstance(typed, bool):
        return Typed(text="yes" if typed else "no", value=typed), "typed"
    if option.keeps and option.name in recalled.get(option.keeps, {}):
        text = recalled[option.keeps][option.name]
        try:
            return option.typed(text), option.keeps
        except ValueError as error:
            raise InputError(
                f"what is remembered cannot be used: {error}",
                where=f"--{option.name}",
                hint=f"Type it anew, or forget it: eyeplane plan remembered forget {option.keeps}",
            ) from error
    return (option.typed(option.default), "assumed") if option.default else (None, "assumed")
