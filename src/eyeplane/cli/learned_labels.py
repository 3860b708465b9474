"""What a photographer may say of a sitting, as options of several commands."""

from collections.abc import Callable, Mapping
from typing import Any

import click

from eyeplane.asked.names import LONGEST_NAME, quoted
from eyeplane.errors import InputError

LABELS = ("sitter", "stabiliser", "focus_setting", "kit")


class Stabiliser(click.Choice[str]):
    """How the stabiliser was, or nothing, which takes the label away."""

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> str:
        """Return the label.

        Parameters
        ----------
        value : str
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        str
            One of the choices, or empty.
        """
        return super().convert(value, param, ctx) if str(value).strip() else ""


def label_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Return a command with the options that label a sitting.

    Parameters
    ----------
    function : callable
        The command; it gets `sitter`, `stabiliser`, `focus_setting` and `kit`.

    Returns
    -------
    callable
        The same, with options.
    """
    for one in reversed(
        (
            click.option(
                "--sitter",
                metavar="LABEL",
                help="Who sat, in your own word for such sitters ('child 3', 'adult'), so that "
                "their speed is learned apart from others'. Frames are never read for it, and "
                "nobody is recognised.",
            ),
            click.option(
                "--stabiliser",
                type=Stabiliser(["on", "off", "tripod"]),
                help="Whether the stabiliser was on; 'tripod' teaches nothing of your shake.",
            ),
            click.option(
                "--focus-setting",
                metavar="LABEL",
                help="How the focus was set, in your own words ('eye detection, single'), so that "
                "its offset and scatter are learned apart from other ways.",
            ),
            click.option(
                "--kit",
                metavar="NAME",
                help="Your own name for this body with this lens, as in plans. It then holds for "
                "all your frames of that body and lens.",
            ),
        )
    ):
        function = one(function)
    return function


def take_labels(given: dict[str, Any]) -> dict[str, str]:
    """Return the labels that were typed, taken out of what was.

    Parameters
    ----------
    given : dict
        As click read it; the options of labels are removed.

    Returns
    -------
    dict of str to str
        By the names of `SittingLabels`; an empty text takes a label away.

    Raises
    ------
    InputError
        If one is too long, or has signs that cannot be shown.
    """
    typed: Mapping[str, str | None] = {name: given.pop(name) for name in LABELS}
    found = {name: " ".join(text.split()) for name, text in typed.items() if text is not None}
    for name, text in found.items():
        if len(text) > LONGEST_NAME or not text.isprintable():
            raise InputError(
                f"{quoted(text)} is no label",
                where=f"--{name.replace('_', '-')}",
                hint=f"Give up to {LONGEST_NAME} letters, digits, blanks and signs",
            )
    return found
