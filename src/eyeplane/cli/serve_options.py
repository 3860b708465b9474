"""`eyeplane serve` as click sees it; what does the work is loaded only when it is asked for."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.values import Count, LengthCm, ViewingCm

ABOUT = """Opens the pages: on set on a phone or tablet, and at the desk.

With FOLDER, frames that land there are answered while the sitter is still in the chair; put them
there as you are used to, by card, cable or wireless transfer. Without it you choose from the
sittings that are known. The pages are for this machine alone, unless you say --studio."""

ENDS = """\b
How it ends (exit status)
  130  stopped with Ctrl-C; what was measured is kept
  2    something you typed cannot be used, or the port is taken; one sentence says what
  3    the store cannot be used
"""


class Port(click.ParamType[int]):
    """A port of this machine."""

    name = "N"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> int:
        """Return the port.

        Parameters
        ----------
        value : str or int
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        int
            0 to 65535; 0 takes any that is free.
        """
        text = str(value)
        if not (text.isascii() and text.isdecimal() and len(text) <= 5 and int(text) <= 65_535):
            self.fail(
                f"'{value}' is no port: give a whole number up to 65535, like 8765", param, ctx
            )
        return int(text)


@click.command(help=ABOUT, short_help="Opens the pages, on set and at the desk.", epilog=ENDS)
@click.argument("folder", metavar="[FOLDER]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=Port(),
    default=8765,
    show_default=True,
    help="Port of this machine at which the pages are; 0 takes any that is free.",
)
@click.option(
    "--studio",
    is_flag=True,
    help="Let phones and tablets of the studio's network in, each with a code to scan that holds "
    "once and for five minutes. The connection is not encrypted: use the studio's own network.",
)
@click.option(
    "--name",
    metavar="NAME",
    help="What the sitting is called, if it was not open before. [default: as the folder]",
)
@click.option(
    "--print-cm",
    type=LengthCm(),
    help="Longest edge of the print you promised, in cm; it can be changed on the page. "
    "[default: as it was]",
)
@click.option(
    "--viewing-cm",
    type=ViewingCm(),
    metavar="N|diagonal",
    help="How far the viewer stands from the print, in cm, or 'diagonal' for 1.5 times the print's "
    "diagonal. [default: as it was, else 50]",
)
@click.option(
    "--workers",
    type=Count(),
    metavar="N",
    help="How many frames are measured at once. [default: one for each processor core]",
)
@click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where measurements are kept. [default: one file for all sittings, in your own data "
    "folder]",
)
@click.pass_context
def serve(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Open the pages.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.serve import ServeAsked, serve_command  # noqa: PLC0415  --help is quick

    ctx.exit(serve_command(ServeAsked(**given)))
