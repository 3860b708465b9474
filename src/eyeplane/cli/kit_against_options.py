"""`eyeplane kit against` as click sees it."""

from functools import partial
from typing import Any

import click

from eyeplane.asked.plan_scene_options import CHOICE, LIGHT
from eyeplane.cli.check_options import check_outputs
from eyeplane.cli.plan_params import TypedParam
from eyeplane.cli.values import ViewingCm

AGAINST = """Holds kit A against kit B at the print.

You learn how far each reaches, where the difference comes from (pixels, lens, aperture, noise),
from which print size on a viewer can tell them apart, and whether any print that you sell is large
enough to show it.

Each of A and B is one of

\b
  - the name of a kit that is remembered (--kit of plans and checks); with what
    its chart showed, if one was shot
  - a description: '24 MP, f/2.8, glass 4 um' or '26 MP, 23.5x15.6, f/1.4'
  - both together: 'studio, 60 MP' is the kit called studio with other pixels
  - a folder of frames: of the printed chart, or of a sitter. Two folders of the
    same sitter are compared by what was measured in them, at one width of
    view."""
_LIGHT = LIGHT[0]
_OPTIONS = {option.name: option for option in CHOICE}


@click.command(
    name="against", help=AGAINST, short_help="One kit against another, at the print you sell."
)
@click.argument("a", metavar="A")
@click.argument("b", metavar="B")
@click.option(
    "--f-number",
    "f_numbers",
    multiple=True,
    type=TypedParam(_OPTIONS["f-number"]),
    metavar="F",
    help="Aperture that both are used at, such as f/2.8; may be given again. [default: each at its "
    "sharpest, and full stops that both have]",
)
@click.option(
    "--sells",
    metavar="SIZES",
    help="The prints you sell, in cm: 30x40,40x60 (16x20in for inches). They are remembered; "
    "'none' forgets them. [default: those you named last]",
)
@click.option(
    "--viewing-cm",
    type=ViewingCm(),
    default="50",
    show_default=True,
    metavar="N|diagonal",
    help="How far the viewer stands from the print, in cm; 'diagonal' is 1.5 times the print's "
    "diagonal.",
)
@click.option(
    "--light",
    type=TypedParam(_LIGHT),
    default="800 lx",
    show_default=True,
    metavar="LIGHT",
    help="Light at the face that both work in, such as 'EV 9' or '800 lx': with the shutter time "
    "it says the ISO at each aperture. With flash give --iso instead.",
)
@click.option(
    "--shutter",
    type=TypedParam(_OPTIONS["shutter"]),
    default="1/250",
    show_default=True,
    metavar="TIME",
    help="Shutter time of both.",
)
@click.option(
    "--iso",
    type=TypedParam(_OPTIONS["iso"]),
    metavar="ISO",
    help="Settle the ISO of both: the light is made to suit, as with flash.",
)
@partial(check_outputs, kit_help="Has no place here: A and B name the kits.")
@click.pass_context
def kit_against(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Hold one kit against another.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.kit_against import against_command  # noqa: PLC0415  --help must not load it

    ctx.exit(against_command(given))
