"""`eyeplane plan …` as click sees it; what does the work is loaded only when it is asked for."""

from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.cli.plan_params import options
from eyeplane.cli.values import LengthCm

if TYPE_CHECKING:
    from collections.abc import Callable

RANGES = """\b
Units: every length may be in mm, cm, m, in or ft (6ft 2in), a time 1/250, 0.5s or 4ms, an aperture
f/2.8 or 2.8. Any number may be a range and gives a table: f/1.4..f/8 (third stops), 1m..4m,
'1m..4m by 0.5m', '1m..4m in 13'.
"""
ABOUT = """Plans a sitting: light, people, lens and print to settings that will hold, and how often.

Shares of frames come with the range that holds the truth nine times in ten."""
SITTER = """Plans one sitter: the settings with the most frames that hold the print you promised,
and their two neighbours.

Without any option it answers for an 85 mm lens, head and shoulders, and a print of 60 cm, and says
what it assumed."""
GROUP = """Plans a group in rows: aperture, best focus plane, and who must lean, or the aperture if
nobody does."""
BURST = """Plans a lean-in: a burst while you lean slowly towards the sitter, so that the focus
plane sweeps across the iris."""
AGAINST = """Holds a plan against frames you took: the share it would have foretold for each
frame's own aperture, time, ISO and distance, and how many did hold the print.

It says what these frames teach for the next plan. Frames of groups are left out."""
REMEMBERED = """Kits and clients that were named in a plan: what is remembered of them.

They lie in the store on this machine and nowhere else."""

store_option = click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where kits and clients are remembered. [default: the file that holds your measurements, "
    "in your own data folder]",
)


def output_options(function: "Callable[..., Any]") -> "Callable[..., Any]":
    """Return a command with the options that say where a plan goes.

    Parameters
    ----------
    function : callable
        The command.

    Returns
    -------
    callable
        The same, with options.
    """
    for one in reversed(
        (
            click.option(
                "--kit",
                metavar="NAME",
                help="Name of the body with this lens: recalls what is remembered for it, and "
                "remembers what you type for it now.",
            ),
            click.option(
                "--client",
                metavar="NAME",
                help="Name of the client: recalls who sits, the print and so on, and remembers "
                "what you type now.",
            ),
            store_option,
            click.option(
                "--json",
                "json_to",
                type=click.Path(path_type=Path, allow_dash=True),
                metavar="FILE|-",
                help="Write every number to this file as JSON; '-' writes it to the screen "
                "instead of the text.",
            ),
            click.option(
                "--card",
                type=click.Path(path_type=Path),
                metavar="FILE.html|FILE.pdf",
                help="Write the plan as a card for the bag: one page to print.",
            ),
            click.option(
                "--paper",
                type=click.Choice(["A5", "A4", "Letter"], case_sensitive=False),
                default="A5",
                show_default=True,
                metavar="A5|A4|Letter",
                help="Sheet of the card.",
            ),
            click.option(
                "--learn-from",
                multiple=True,
                type=click.Path(path_type=Path),
                metavar="FOLDER",
                help="A sitting of yours: what its frames teach of your shake, your kit's focus "
                "and this sitter goes into the plan, and is remembered for --kit and --client. May "
                "be given again.",
            ),
            click.option(
                "--sitter-label",
                metavar="LABEL",
                help="Who sits, in your own word for them, as you labelled their sittings "
                "('child 3'): how fast such sitters moved goes into the plan. [default: the "
                "client's name or --who, if you used that as a label]",
            ),
            click.option(
                "--focus-setting",
                metavar="LABEL",
                help="How you will set the focus, in your own words, as you labelled sittings "
                "('eye detection, single'): what was learned of that way goes into the plan. "
                "[default: all ways together]",
            ),
            click.option(
                "--without-learned",
                is_flag=True,
                help="Leave out what your sittings taught quietly of your shake, your kit's focus "
                "and your sitters. Without this it goes into the plan wherever you say nothing.",
            ),
            click.option(
                "--plot",
                type=click.Path(path_type=Path),
                metavar="FILE.svg",
                help="Draw the table of a range to this file.",
            ),
        )
    ):
        function = one(function)
    return function


@click.group(name="plan", help=ABOUT, epilog=RANGES)
def plan() -> None:
    """Start a plan; the rest is done by its parts."""


def _run(kind: "Any", given: dict[str, Any]) -> int:  # noqa: ANN401  one of three words
    from eyeplane.cli.plan_command import PlanOutputs, plan_command  # noqa: PLC0415  see above

    names = tuple(field.name for field in fields(PlanOutputs))
    return plan_command(kind, given, PlanOutputs(**{name: given.pop(name) for name in names}))


@plan.command(name="sitter", help=SITTER, epilog=RANGES)
@options(TABLES["sitter"])
@output_options
@click.pass_context
def plan_sitter(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Plan one sitter.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    ctx.exit(_run("sitter", given))


@plan.command(name="group", help=GROUP, epilog=RANGES)
@options(TABLES["group"])
@output_options
@click.pass_context
def plan_group(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Plan a group.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    ctx.exit(_run("group", given))


@plan.command(name="burst", help=BURST, epilog=RANGES)
@options(TABLES["burst"])
@output_options
@click.pass_context
def plan_burst(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Plan a lean-in.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    ctx.exit(_run("burst", given))


@plan.command(name="against", help=AGAINST)
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--print-cm",
    type=LengthCm(),
    help="Longest edge of the print you promised, in cm. [default: 60]",
)
@click.option(
    "--viewing-cm",
    type=LengthCm(),
    default=50.0,
    show_default=True,
    help="How far the viewer stands from the print, in cm.",
)
@click.option(
    "--who", metavar="WHO", help="Who sat: adult, 'child 4', newborn, toddler. [default: adult]"
)
@click.option("--tripod", is_flag=True, help="The camera stood on a tripod.")
@click.option(
    "--stabiliser",
    metavar="STOPS",
    help="Stops of a stabiliser that was on, such as '3 stops'. [default: none]",
)
@click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where measurements are kept. [default: your own data folder]",
)
@click.option(
    "--json",
    "json_to",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE|-",
    help="Write the numbers to this file as JSON; '-' writes them to the screen instead.",
)
@click.pass_context
def plan_against(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Hold a plan against a sitting that was measured.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.plan_against import against_command, against_of  # noqa: PLC0415  see above

    ctx.exit(against_command(against_of(given)))


@plan.group(name="remembered", help=REMEMBERED)
def remembered() -> None:
    """Start with what is remembered; the rest is done by its parts."""


@remembered.command(name="list", help="Lists all kits and clients that are remembered.")
@store_option
def list_remembered(store: Path | None) -> None:
    """List what is remembered.

    Parameters
    ----------
    store : Path or None
        The store.
    """
    from eyeplane.cli.plan_remembered import list_command  # noqa: PLC0415  see above

    list_command(store)


@remembered.command(name="show", help="Shows what is remembered of one kit or client.")
@click.argument("kind", metavar="kit|client", type=click.Choice(["kit", "client"]))
@click.argument("name", metavar="NAME")
@store_option
def show_remembered(kind: str, name: str, store: Path | None) -> None:
    """Show one kit or client.

    Parameters
    ----------
    kind : str
        Which of the two.
    name : str
        Its name.
    store : Path or None
        The store.
    """
    from eyeplane.cli.plan_remembered import show_command  # noqa: PLC0415  see above

    show_command(kind, name, store)


@remembered.command(
    name="forget",
    help="Forgets one kit or client, or only the settings named, such as print-cm; for good.",
)
@click.argument("kind", metavar="kit|client", type=click.Choice(["kit", "client"]))
@click.argument("name", metavar="NAME")
@click.argument("settings", metavar="[SETTING]...", nargs=-1)
@store_option
def forget_remembered(kind: str, name: str, settings: tuple[str, ...], store: Path | None) -> None:
    """Forget a kit or client, or some settings of it.

    Parameters
    ----------
    kind : str
        Which of the two.
    name : str
        Its name.
    settings : tuple of str
        What to forget of it; empty: all.
    store : Path or None
        The store.
    """
    from eyeplane.cli.plan_remembered import forget_command  # noqa: PLC0415  see above

    forget_command(kind, name, settings, store)
