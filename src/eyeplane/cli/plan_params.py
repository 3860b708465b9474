"""The options of a plan as click takes them."""

import functools
from collections.abc import Callable
from typing import Any

import click

from eyeplane.asked.plan_values import PlanOption, Typed, read_typed, yes_or_no


class TypedParam(click.ParamType[Typed]):
    """An option of a plan as click takes it.

    Parameters
    ----------
    option : PlanOption
        The option.
    """

    def __init__(self, option: PlanOption) -> None:
        self.option = option
        self.name = option.metavar

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Typed:
        """Return what was typed and what it means.

        Parameters
        ----------
        value : str or Typed
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        Typed
            The text and its value.
        """
        if isinstance(value, Typed):
            return value
        try:
            return read_typed(self.option, str(value))
        except ValueError as error:
            self.fail(str(error), param, ctx)


def options(table: tuple[PlanOption, ...]) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return a decorator that gives a command all options of a table.

    Parameters
    ----------
    table : tuple of PlanOption
        In the order of the help.

    Returns
    -------
    callable
        Decorates a function that takes each option by its `key`.
    """

    def decorate(function: Callable[..., Any]) -> Callable[..., Any]:
        return functools.reduce(
            lambda done, one: _click_option(one)(done), reversed(table), function
        )

    return decorate


def _click_option(option: PlanOption) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    if option.read is yes_or_no:
        return click.option(
            f"--{option.name}/--no-{option.name}", option.key, default=None, help=option.about
        )
    return click.option(
        f"--{option.name}",
        option.key,
        type=TypedParam(option),
        metavar=option.metavar,
        help=option.about + (f" [default: {option.default}]" if option.default else ""),
    )
