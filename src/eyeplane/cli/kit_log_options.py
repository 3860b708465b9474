"""`eyeplane kit log` as click sees it."""

from pathlib import Path
from typing import Any

import click

LOG = """Checks that were kept: kit by kit, with their days.

--forget takes them out of the store again, all of one kit or of one kind."""
KINDS = ("chart", "focus", "dust", "glass", "ladder")


@click.command(name="log", help=LOG, short_help="Checks that were kept; forgets them if asked.")
@click.option("--kit", metavar="NAME", help="Only checks of this kit.")
@click.option("--check", type=click.Choice(KINDS), help="Only checks of this kind.")
@click.option(
    "--forget",
    is_flag=True,
    help="Forget these checks, so that they cannot be read from the file any more.",
)
@click.option("--yes", is_flag=True, help="Forget without asking.")
@click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where checks are kept. [default: the file that holds your measurements, in your own data "
    "folder]",
)
@click.pass_context
def kit_log(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """List or forget checks.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_log import log_command  # noqa: PLC0415  --help must not load it

    ctx.exit(log_command(**given))
