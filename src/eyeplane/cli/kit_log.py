"""`eyeplane kit log`: what was checked, when, and forgetting it."""

from pathlib import Path

import click

from eyeplane.asked.targets import check_target
from eyeplane.cli.plain_page import Page
from eyeplane.errors import InputError
from eyeplane.store import KeptCheck, KitLog, default_store_path

KIND_WORDS = {
    "chart": "sharpness from the chart",
    "focus": "focus from the target",
    "dust": "sensor dust",
    "glass": "veil on the glass",
    "ladder": "ladder: the slowest safe shutter time",
    "prints sold": "prints you sell, for one kit against another",
}


def log_command(
    *, kit: str | None, check: str | None, forget: bool, yes: bool, store: Path | None
) -> int:
    """List checks, or forget them.

    Parameters
    ----------
    kit : str or None
        Only of this kit.
    check : str or None
        Only of this kind.
    forget : bool
        Whether to forget them.
    yes : bool
        Without asking.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If no check of that kit is kept.
    """
    if store is not None:
        check_target(store, "--store")
    with KitLog(store or default_store_path()) as log:
        found = log.all(check, kit)
        if kit is not None and not log.all(None, kit):
            raise _unknown(kit, log.all())
        if not forget:
            click.echo(_listed(found), nl=False)
            return 0
        if not found:
            click.echo("There is nothing to forget.")
            return 0
        count = f"{len(found)} check{'s' if len(found) > 1 else ''}"
        if not yes:
            click.confirm(f"Forget {count}?", abort=True)
        log.forget(check, kit)
        click.echo(f"Forgot {count}.")
    return 0


def _listed(found: tuple[KeptCheck, ...]) -> str:
    page = Page()
    if not found:
        page.say("No check is kept yet. 'eyeplane kit --help' lists what can be checked.")
    names = {one.kit.casefold(): one.kit for one in found}
    for key, name in names.items():
        page.say(name)
        page.table(
            [
                ("day", "check"),
                *(
                    (
                        one.done_at.astimezone().strftime("%Y-%m-%d %H:%M"),
                        KIND_WORDS.get(one.kind, one.kind),
                    )
                    for one in found
                    if one.kit.casefold() == key
                ),
            ]
        )
    return page.text()


def _unknown(kit: str, kept: tuple[KeptCheck, ...]) -> InputError:
    names = sorted({one.kit for one in kept})
    hint = f"Known are {', '.join(names)}" if names else "No check is kept yet"
    return InputError(f"no check is kept of '{kit}'", where="--kit", hint=hint)
