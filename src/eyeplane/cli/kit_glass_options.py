"""`eyeplane kit glass` as click sees it."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.check_options import check_outputs

GLASS = """Tells whether a veil, a halo or a smudge lies on the glass: front or rear element, or
filter.

Surest from two frames of one view, one before wiping and one after: put the camera on a stand with
a bright window or a lamp in the frame and something black beside it, shoot, wipe the front element,
shoot again. With --clean the frame is kept as what this kit gives when its glass is clean; later
frames are held against it. One frame alone (the printed chart, or a lamp on dark) gives upper ends.

A lamp is hot and dazzles; never point the camera at a laser, or at the sun through a long lens.
Blow first, wipe with a clean cloth, follow the maker's instructions, never touch the sensor."""


@click.command(
    name="glass", help=GLASS, short_help="A veil, a halo or a smudge on the glass, and where."
)
@click.argument(
    "paths", metavar="FRAME...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--before",
    type=click.Path(path_type=Path),
    metavar="FRAME",
    help="A frame of the same view from before wiping; exposure may differ a little.",
)
@click.option(
    "--clean",
    is_flag=True,
    help="The glass is clean: keep this frame as the kit's record, at its focal length and "
    "aperture. The frame itself stays where it is; leave it there.",
)
@check_outputs
@click.pass_context
def kit_glass(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Check the glass.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_glass import glass_command  # noqa: PLC0415  --help must not load it

    ctx.exit(glass_command(**given))
