"""`eyeplane kit dust` as click sees it."""

import math
from pathlib import Path
from typing import Any

import click

from eyeplane.asked.units import f_number
from eyeplane.cli.check_options import check_outputs
from eyeplane.cli.values import LengthCm

DUST = """Finds dust on the sensor, and says where to wipe.

Photograph an evenly lit, plain wall or sheet of paper: f/16, out of focus, mid-grey, three times,
moving the camera a little in between. You get a map of the shadows, how deep each is, what it
would do at the aperture you work at, whether that shows on your print, and what is new since the
last check.

Give the folder of a whole sitting instead, and dust is looked for in what stays in its place
from frame to frame: less is found, and you are told how much less."""


class Stop(click.ParamType[float]):
    """An aperture as lenses write it."""

    name = "F"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """Return the f-number.

        Parameters
        ----------
        value : str or float
            What was typed: "f/5.6" or "5.6".
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        float
            Between 0.5 and 128.
        """
        try:
            number = f_number(str(value))
        except ValueError:
            number = math.nan
        if not 0.5 <= number <= 128:
            self.fail(f"'{value}' is no aperture: give one like f/5.6", param, ctx)
        return number


@click.command(name="dust", help=DUST, short_help="Dust on the sensor: how much, where to wipe.")
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--f-number",
    type=Stop(),
    metavar="F",
    default="f/5.6",
    show_default=True,
    help="Aperture you work at: what each shadow would do there.",
)
@click.option(
    "--print-cm",
    type=LengthCm(),
    default="60",
    show_default=True,
    help="Long edge of the print on which it must not show, in cm.",
)
@click.option(
    "--viewing-cm",
    type=LengthCm(),
    default="50",
    show_default=True,
    help="How far the viewer stands from the print, in cm.",
)
@click.option(
    "--taken-at",
    type=Stop(),
    metavar="F",
    help="Aperture of these frames, where the files do not say it (a lens without contacts).",
)
@check_outputs
@click.pass_context
def kit_dust(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Check for dust.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_dust import dust_command  # noqa: PLC0415  --help must not load it

    ctx.exit(dust_command(given))
