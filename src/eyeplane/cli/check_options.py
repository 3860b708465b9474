"""What every check of the kit may be asked besides its own options; loads nothing but click."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from eyeplane.asked.names import check_name
from eyeplane.asked.targets import check_apart, check_target

KIT_HELP = (
    "Your own name for this body with this lens. What is found is kept under it, and what plans "
    "reckon with goes into those made with the same --kit. [default: body and lens as the frames "
    "name them]"
)
NAMES = ("json_to", "page", "why", "store", "kit")


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckOutputs:
    """Where an answer goes, and for which kit it is kept.

    Attributes
    ----------
    json_to, page : Path or None
        Files; "-" as the first is the screen.
    why : bool
        Whether the text says what stands behind the answer.
    store : Path or None
        The store; None: the photographer's own.
    kit : str or None
        The photographer's own name for the body with the lens.
    """

    json_to: Path | None = None
    page: Path | None = None
    why: bool = False
    store: Path | None = None
    kit: str | None = None

    @property
    def to_screen(self) -> bool:
        """Return whether the JSON goes to the screen instead of the text.

        Returns
        -------
        bool
            For "-".
        """
        return self.json_to is not None and str(self.json_to) == "-"


def check_outputs(function: Callable[..., Any], *, kit_help: str = KIT_HELP) -> Callable[..., Any]:
    """Return a command with the options that all checks share.

    Parameters
    ----------
    function : callable
        The command; it gets `json_to`, `page`, `why`, `store` and `kit`.
    kit_help : str
        What `--kit` does there.

    Returns
    -------
    callable
        The same, with options.
    """
    for one in reversed(
        (
            click.option(
                "--kit",
                metavar="NAME",
                help=kit_help,
            ),
            click.option(
                "--page",
                type=click.Path(path_type=Path),
                metavar="FILE.html",
                help="Write the answer with its pictures to this file: one page that needs no "
                "network.",
            ),
            click.option(
                "--json",
                "json_to",
                type=click.Path(path_type=Path, allow_dash=True),
                metavar="FILE|-",
                help="Write every number to this file as JSON; '-' writes it to the screen "
                "instead of the text.",
            ),
            click.option(
                "--why",
                is_flag=True,
                help="Say what stands behind the answer: the method, its numbers and limits.",
            ),
            click.option(
                "--store",
                type=click.Path(path_type=Path, dir_okay=False),
                metavar="FILE",
                help="Where checks are kept. [default: the file that holds your measurements, in "
                "your own data folder]",
            ),
        )
    ):
        function = one(function)
    return function


def take_outputs(given: dict[str, Any]) -> CheckOutputs:
    """Return where an answer goes, taken out of what was typed.

    Parameters
    ----------
    given : dict
        As click read it; the shared options are removed.

    Returns
    -------
    CheckOutputs
        Files that can be written, as far as can be told before any work is done.

    Raises
    ------
    InputError
        If a file cannot be written, is a picture or a store, or two are the same; if the kit's name
        is none.
    """
    outputs = CheckOutputs(**{name: given.pop(name) for name in NAMES if name in given})
    check_name(outputs.kit, "--kit")
    if outputs.page is not None:
        check_target(outputs.page, "--page", (".html",))
    if outputs.json_to is not None and not outputs.to_screen:
        check_target(outputs.json_to, "--json")
    if outputs.store is not None:
        check_target(outputs.store, "--store")
    check_apart({"--store": outputs.store, "--page": outputs.page, "--json": outputs.json_to})
    return outputs
