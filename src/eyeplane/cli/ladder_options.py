"""`eyeplane ladder` as click sees it."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.check_options import check_outputs
from eyeplane.cli.values import Count, LengthCm

LADDER = """Finds how slow a shutter you may set: your own, measured.

Shoot a ladder: the same framing from 1/500 or 1/1000 s down to 1/15 s or slower, three to ten
frames at each time, in steady light without flash. Any times, any number, any order will do; give
the folder. You get the slowest safe shutter time for this lens and your hand, apart from how fast
the sitter moves where the frames show both, and how many more frames would make it surer.

Press the shutter anew for each frame, focus anew, and stand as you do at work. Something textured
at rest beside the sitter tells shake from the sitter's own motion. A printed chart instead of a
sitter (eyeplane kit print chart) tells of your hand alone."""


class Share(click.ParamType[float]):
    """A share of frames in percent, or between 0 and 1."""

    name = "PERCENT"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """Return the share.

        Parameters
        ----------
        value : str or float
            What was typed.
        param : Parameter or None
            The option.
        ctx : Context or None
            The run.

        Returns
        -------
        float
            Between 0 and 1.
        """
        text = str(value).strip().removesuffix("%").strip()
        try:
            number = float(text)
        except ValueError:
            number = -1.0
        share = number if 0 < number < 1 else number / 100
        if not 0.05 <= share <= 0.99:
            self.fail(f"'{value}' is no share of the frames: give 5 to 99, like 90", param, ctx)
        return share


@click.command(
    name="ladder", help=LADDER, short_help="Finds how slow a shutter you may set, from a trial."
)
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--print-cm",
    "prints_cm",
    type=LengthCm(),
    multiple=True,
    help="Longest edge of the print that must look sharp, in cm; the first decides, further ones "
    "are told beside it. [default: 60]",
)
@click.option(
    "--viewing-cm",
    type=LengthCm(),
    default="50",
    show_default=True,
    help="How far the viewer stands from the print, in cm.",
)
@click.option(
    "--share",
    type=Share(),
    default="90",
    show_default=True,
    help="Share of the frames that must hold, in percent.",
)
@click.option(
    "--stabiliser",
    metavar="WORDS",
    default="",
    help="How the stabiliser was set: on or off, or tripod if nobody held the camera; the files "
    "do not tell. Shoot one ladder for each.",
)
@click.option(
    "--sitter", metavar="LABEL", default="", help="Who sat, in your own words, like 'child 3'."
)
@click.option(
    "--client",
    metavar="NAME",
    help="The client who sat: how fast they move is kept under this name and goes into plans made "
    "with the same --client.",
)
@click.option(
    "--workers",
    type=Count(),
    metavar="N",
    help="How many frames are measured at once. [default: one for each processor core]",
)
@click.option(
    "--again",
    is_flag=True,
    help="Measure every frame again, even those that are kept from an earlier run.",
)
@check_outputs
@click.pass_context
def ladder(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Find the slowest safe shutter time.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.ladder import ladder_command  # noqa: PLC0415  --help must not load it

    ctx.exit(ladder_command(**given))
