"""`eyeplane kit chart` as click sees it."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.check_options import check_outputs

CHART = """Measures how sharp a kit is, from frames of our printed chart.

Print it (eyeplane kit print chart), lay it flat or hang it in even light, set the camera square to
it on a tripod with the self-timer, and fill the frame with it. Photograph it at every full stop,
three frames at each, focused anew; RAW, or JPEG with sharpening at 0. Give the folder.

You get the sharpest aperture, corners against the middle, whether one side is softer than the
other, and the blur of the glass for plans."""


@click.command(name="chart", help=CHART, short_help="Sharpness across the frame, from our chart.")
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--paper",
    type=click.Choice(("A4", "A3", "Letter"), case_sensitive=False),
    help="What the chart is printed on. [default: as its marks tell]",
)
@click.option(
    "--ruler-mm",
    type=click.FloatRange(min=1.0, max=1000.0),
    metavar="MM",
    help="How long the ruler on your print is, in mm, if it is not as long as it says.",
)
@check_outputs
@click.pass_context
def kit_chart(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Read a chart.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_chart import chart_command  # noqa: PLC0415  --help must not load it

    ctx.exit(chart_command(**given))
