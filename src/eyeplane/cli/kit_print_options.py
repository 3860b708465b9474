"""`eyeplane kit print` as click sees it."""

from pathlib import Path
from typing import Any

import click

PRINT = """Writes a sheet to print: the chart of slanted squares for 'kit chart' and 'ladder', or
the target to fold for 'kit focus'.

Print it at 100 %, not 'fit to page', and measure the line on it: if it is not as long as it says,
print again, or tell the check with --ruler-mm what it measures."""
SHEETS = ("chart", "focus")
PAPERS = ("A4", "A3", "Letter")


@click.command(name="print", help=PRINT, short_help="Writes the chart or focus target to print.")
@click.argument("sheet", type=click.Choice(SHEETS))
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE.pdf")
@click.option(
    "--paper",
    type=click.Choice(PAPERS, case_sensitive=False),
    default="A4",
    show_default=True,
    help="What it is printed on. The larger, the less the print's own softness counts.",
)
@click.pass_context
def kit_print(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Write a sheet.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        What was typed.
    """
    from eyeplane.cli.kit_print import print_command  # noqa: PLC0415  --help must not load it

    ctx.exit(print_command(**given))
