"""`eyeplane kit focus` as click sees it."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.check_options import check_outputs

FOCUS = """Tells from frames of the folded focus target where autofocus puts the sharpest plane: how
far in front of or behind the field it was set on, whether it misses the same way each time or
scatters, and what stopping down does to it.

Print the target with 'eyeplane kit print focus FILE.pdf', cut and fold it as it says. Camera on a
tripod, as far off as from a sitter, one small focus point on the field. Ten frames at the widest
aperture, the focus turned away (near and far in turn) and set anew before each; then the same at
other apertures or distances, if you like.

With --kit NAME the mean and the scatter go into plans made with the same name, as --focus-bias and
--focus-spread. These are millimetres at the sitter, and grow about as the square of the distance:
--sitter-distance says at which distance they are to hold."""


@click.command(
    name="focus", help=FOCUS, short_help="Where autofocus puts the plane: offset or scatter."
)
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--ruler-mm",
    type=float,
    metavar="MM",
    help="What the ruler on the print measures, in mm, if it is not what the sheet says.",
)
@click.option(
    "--sitter-distance",
    metavar="LENGTH",
    help="Distance from the lens that the result is carried to, like 2.5m. [default: that of the "
    "target]",
)
@check_outputs
@click.pass_context
def kit_focus(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Check where the focus lies.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_focus import focus_command  # noqa: PLC0415  --help must not load it

    ctx.exit(focus_command(given))
