"""The command `eyeplane` itself: options, help, and how each failure ends.

Only click is imported here, so that `eyeplane --help` answers at once.
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from eyeplane.cli.kit_group import kit
from eyeplane.cli.ladder_options import ladder
from eyeplane.cli.learned_labels import label_options, take_labels
from eyeplane.cli.learned_options import learned
from eyeplane.cli.narrow import drop_the_rest, take_any_text
from eyeplane.cli.plan import plan
from eyeplane.cli.serve_options import serve
from eyeplane.cli.values import Count, LengthCm, Place, ViewingCm
from eyeplane.errors import EyeplaneError, StoreError

if TYPE_CHECKING:
    from collections.abc import Sequence

ENDS = """\b
How it ends (exit status)
  0    finished, even if some frames could not be read; they are listed
  1    not one frame could be read
  2    something you typed cannot be used; one sentence says what
  3    the store cannot be used
  130  stopped with Ctrl-C; what was measured is kept
"""

ABOUT = """Tells how sharp the near eye is in your frames, why it is not sharper, and how large
a print each frame holds; and plans a sitting so that it will be.

Frames never leave this machine, unless you let a phone of your studio in (serve --studio), and an
original is never written to."""

MEASURE = """Measures a sitting: a folder of frames, or single frames.

You get the sitting in four lines, its tally, what would help most and what repeats, then each burst
with the reach of every frame: the longest print edge up to which the near eye looks sharp. In
brackets stands the range that holds the truth nine times in ten. What is measured is kept, so a
second run is quick, and a run that was stopped goes on where it was."""

DEMO = """Measures the sitting that comes with eyeplane, writes its report, and plans the next.

Client and story are invented, the heads are rendered: see what the answers look like before you
measure frames of your own."""


class Command(click.Group):
    """The command; every failure ends in one plain sentence on stderr and its own status."""

    def main(
        self,
        args: "Sequence[str] | None" = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,  # noqa: FBT001, FBT002  as click declares it
        **extra: Any,  # noqa: ANN401  as click declares it
    ) -> Any:  # noqa: ANN401  as click declares it
        """Run the command and leave with its status.

        Parameters
        ----------
        args : sequence of str or None
            What was typed; None takes the process's own.
        prog_name : str or None
            Name of the command.
        complete_var : str or None
            Variable by which a shell asks for completion.
        standalone_mode : bool
            Whether to leave the process at the end.
        **extra : object
            As click passes them.

        Returns
        -------
        object
            Only with ``standalone_mode=False``: what the command returned.
        """
        if not standalone_mode:
            return super().main(args, prog_name, complete_var, standalone_mode=False, **extra)
        for stream in (sys.stdout, sys.stderr):
            take_any_text(stream)  # a narrow terminal must not stop a run
        try:
            status = super().main(args, prog_name, complete_var, standalone_mode=False, **extra)
            sys.stdout.flush()
        except click.exceptions.NoArgsIsHelpError as error:
            click.echo(error.format_message())
            sys.exit(0)
        except click.ClickException as error:
            _stop(error.format_message(), 2)
        except click.Abort:
            _stop("Stopped. What was measured is kept.", 130)
        except EyeplaneError as error:
            _stop(str(error), 3 if isinstance(error, StoreError) else 2)
        except OSError as error:
            if error.filename is not None:
                raise  # of a file, and a fault of ours; what is written to the screen has no name
            drop_the_rest(sys.stdout)
            _stop(f"The answer cannot be written here ({error.strerror}). Write it elsewhere", 2)
        sys.exit(status if isinstance(status, int) else 0)


def _stop(sentence: str, status: int) -> NoReturn:
    plain = sentence.replace("\u2009", " ")  # a thin space is as wide as any on a terminal
    shown = plain.encode("utf-8", "backslashreplace").decode()
    click.echo(shown if shown.endswith((".", "?")) else f"{shown}.", err=True)
    sys.exit(status)


@click.group(
    cls=Command,
    help=ABOUT,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="eyeplane", message="%(prog)s %(version)s")
def main() -> None:
    """Start the command; the rest is done by its parts."""


@main.command(help=MEASURE, epilog=ENDS)
@click.argument(
    "paths", metavar="PATH...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@click.option(
    "--at",
    multiple=True,
    type=Place(),
    help="Measure the blur at this place too: a pet's eye, a hand, a chart. Pixels of the upright "
    "frame, from its upper left corner; may be given again for further places.",
)
@click.option(
    "--print-cm",
    type=LengthCm(),
    help="Longest edge of the print you promised, in cm. Frames are counted as holding it or not, "
    "and the advice is for it.",
)
@click.option(
    "--viewing-cm",
    type=ViewingCm(),
    default="50",
    show_default=True,
    metavar="N|diagonal",
    help="How far the viewer stands from the print, in cm; clients walk up to faces. 'diagonal' "
    "tells whether it looks sharp from 1.5 times the print's diagonal, beside the reach at 50 cm.",
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
@click.option(
    "--json",
    "json_to",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE|-",
    help="Write every number to this file as JSON; '-' writes it to the screen instead of the "
    "table.",
)
@click.option(
    "--report",
    type=click.Path(path_type=Path),
    metavar="FILE.html",
    help="Write the report to this file: one page that needs no network and can be sent as it is.",
)
@click.option(
    "--why",
    is_flag=True,
    help="Say of each frame what stands behind its answer: what else was found, who of a group is "
    "out, the light, and how probable each cause is.",
)
@click.option(
    "--again",
    is_flag=True,
    help="Measure every frame again, even those that are kept from an earlier run.",
)
@label_options
@click.option(
    "--without-learning",
    is_flag=True,
    help="Keep nothing of what these frames teach: somebody else shot them, or they are a test.",
)
@click.pass_context
def measure(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Measure a sitting.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.measure import measure_command  # noqa: PLC0415  --help must not load it

    labels = take_labels(given)
    ctx.exit(measure_command(labels=labels, **given))


@main.command(help=DEMO, short_help="Measures the sitting that comes with eyeplane.", epilog=ENDS)
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default="eyeplane-demo",
    show_default=True,
    metavar="DIR",
    help="Folder for the report, the plan and the store of this demo; made if it is not there.",
)
@click.pass_context
def demo(ctx: click.Context, /, out: Path) -> None:
    """Measure the demo sitting.

    Parameters
    ----------
    ctx : Context
        The run.
    out : Path
        Where the report goes.
    """
    from eyeplane.cli.demo import demo_command  # noqa: PLC0415  --help must not load it

    ctx.exit(demo_command(out))


main.add_command(plan)
main.add_command(serve)
main.add_command(kit)
main.add_command(ladder)
main.add_command(learned)
