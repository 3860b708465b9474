"""`eyeplane plan remembered`: list, show and forget kits and clients."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from eyeplane.asked.plan_memory import open_memory, unknown
from eyeplane.asked.plan_scene_options import KEPT
from eyeplane.cli.plain_page import Page
from eyeplane.errors import InputError

if TYPE_CHECKING:
    from eyeplane.store.remembered import Kind

PLURALS = {"kit": "Kits", "client": "Clients"}


def list_command(store: Path | None) -> None:
    """Print all names.

    Parameters
    ----------
    store : Path or None
        The store; None: the photographer's own.
    """
    page = Page()
    with open_memory(store) as memory:
        for kind, plural in PLURALS.items():
            names = memory.names(cast("Kind", kind))
            page.say(f"{plural}: {', '.join(names) if names else 'none'}.", hang=2)
    click.echo(page.text(), nl=False)


def show_command(kind: str, name: str, store: Path | None) -> None:
    """Print what is remembered of one.

    Parameters
    ----------
    kind : str
        "kit" or "client".
    name : str
        Its name.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    InputError
        If nothing is.
    """
    page = Page()
    with open_memory(store) as memory:
        one = memory.recall(cast("Kind", kind), name)
        if one is None:
            raise unknown(memory, kind, name)
    page.say(f"{kind.capitalize()} {one.name}")
    rows = [
        (f"--{setting}", text, day)
        for (setting, text), day in zip(one.typed, one.kept_on, strict=True)
    ]
    page.table([("", "", "typed on"), *rows])
    click.echo(page.text(), nl=False)


def forget_command(kind: str, name: str, settings: Sequence[str], store: Path | None) -> None:
    """Forget one, or some settings of it, and say so.

    Parameters
    ----------
    kind : str
        "kit" or "client".
    name : str
        Its name.
    settings : sequence of str
        Names of options, with or without their dashes; empty: all.
    store : Path or None
        The store; None: the photographer's own.

    Raises
    ------
    InputError
        If nothing is remembered of it, or a setting is none.
    """
    asked = [setting.lstrip("-") for setting in settings]
    known = sorted(one for one, option in KEPT.items() if option.keeps == kind)
    for setting in asked:
        if setting not in known:
            raise InputError(
                f"'{setting}' is nothing that is remembered for a {kind}",
                where="SETTING",
                hint=f"Use one of {', '.join(known)}",
            )
    with open_memory(store) as memory:
        if memory.recall(cast("Kind", kind), name) is None:
            raise unknown(memory, kind, name)
        count = memory.forget(cast("Kind", kind), name, asked)
    what = "all of it" if not asked else ", ".join(asked) if count else "nothing, it was not there"
    click.echo(f"Forgotten for the {kind} {name.strip()}: {what}.")
