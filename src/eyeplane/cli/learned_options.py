"""`eyeplane learned …` as click sees it; what does the work is loaded only when it is asked for."""

from pathlib import Path
from typing import Any

import click

from eyeplane.cli.check_options import CheckOutputs, take_outputs
from eyeplane.cli.learned_labels import label_options, take_labels

ABOUT = """Shows what your sittings taught: how steady you are, how fast your sitters move, where
each kit focuses.

Every sitting you measure teaches it quietly, and plans use it where you say nothing else. It lies
in the store on this machine and nowhere else."""
SHOW = """Shows what was learned, of everything or of one kit or sitter, and what to correct."""
EXPORT = """Writes everything that was learned to a JSON file: the numbers, and what each frame
taught. '-' writes it to the screen."""
FORGET = """Forgets what frames taught, for good: it is overwritten in the file.

Measuring the same frames again does not teach it again, unless you ask for it (eyeplane learned
label FOLDER --learn-again). Measurements stay, and so does what you typed for kits and clients.
With several options only frames go that all of them name."""
LABEL = """Labels a sitting that was measured, in your own words, or changes its labels.

An empty label ('') is taken away; what you do not name stays as it was."""

store_option = click.option(
    "--store",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where it is kept. [default: the file that holds your measurements, in your own data "
    "folder]",
)


class HalfLife(click.ParamType[float]):
    """An age in days, or none."""

    name = "DAYS|none"

    def convert(
        self,
        value: Any,  # noqa: ANN401  as click declares it
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> float:
        """Return the age.

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
            Days; 0 for "none".
        """
        text = str(value).strip().lower()
        if text in {"none", "0.0"}:
            return 0.0
        try:
            days = float(text)
        except ValueError:
            days = -1.0
        if not 1 <= days <= 36_500:
            self.fail(f"'{value}' is no age in days: give 1 to 36500, or none", param, ctx)
        return days


@click.group(name="learned", help=ABOUT, short_help="Shows what your sittings taught.")
def learned() -> None:
    """Start the command; its parts do the rest."""


@learned.command(name="show", help=SHOW, short_help="Shows what was learned, and what to correct.")
@click.option("--kit", metavar="NAME", help="Only of this kit: your name for it, or the file's.")
@click.option("--sitter", metavar="LABEL", help="Only of sitters that you labelled so.")
@click.option(
    "--half-life-days",
    type=HalfLife(),
    help="Let old sittings count less: at this age beyond your newest one a sitting counts half. "
    "'none': all count alike. [default: as plans take it]",
)
@click.option(
    "--for-plans", is_flag=True, help="Let plans take it with this --half-life-days from now on."
)
@click.option(
    "--page",
    type=click.Path(path_type=Path),
    metavar="FILE.html",
    help="Write it with its drawings to this file: one page that needs no network.",
)
@click.option(
    "--json",
    "json_to",
    type=click.Path(path_type=Path, allow_dash=True),
    metavar="FILE|-",
    help="Write every number to this file as JSON; '-' writes it to the screen instead of the "
    "text.",
)
@click.option("--why", is_flag=True, help="Say how it is learned.")
@store_option
@click.pass_context
def show(ctx: click.Context, /, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Show what was learned.

    Parameters
    ----------
    ctx : Context
        The run.
    **given : object
        The options.
    """
    from eyeplane.cli.learned import show_command  # noqa: PLC0415  --help must not load it

    kit, sitter = given.pop("kit"), given.pop("sitter")
    half, plans = given.pop("half_life_days"), given.pop("for_plans")
    outputs: CheckOutputs = take_outputs(given)
    ctx.exit(show_command((kit, sitter), outputs, half_life_days=half, for_plans=plans))


@learned.command(name="export", help=EXPORT, short_help="Writes everything learned to a JSON file.")
@click.argument("file", metavar="FILE.json|-", type=click.Path(path_type=Path, allow_dash=True))
@store_option
def export(file: Path, store: Path | None) -> None:
    """Write everything that was learned.

    Parameters
    ----------
    file : Path
        Where to.
    store : Path or None
        The store.
    """
    from eyeplane.cli.learned import export_command  # noqa: PLC0415  see above

    export_command(file, store)


@learned.command(name="forget", help=FORGET, short_help="Forgets what frames taught, for good.")
@click.option("--all", "everything", is_flag=True, help="Everything that was learned.")
@click.option("--kit", metavar="NAME", help="Of this kit: your name for it, or the file's.")
@click.option("--sitter", metavar="LABEL", help="Of sitters that you labelled so.")
@click.option(
    "--sitting",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Of frames in this folder and those inside it; it need not be there any more.",
)
@click.option(
    "--before",
    type=click.DateTime(["%Y-%m-%d"]),
    metavar="YYYY-MM-DD",
    help="Of frames shot before this day, by the camera's clock.",
)
@click.option("--yes", is_flag=True, help="Do not ask first.")
@store_option
def forget(**given: Any) -> None:  # noqa: ANN401  one for each option
    """Forget what frames taught.

    Parameters
    ----------
    **given : object
        The options.
    """
    from eyeplane.cli.learned_forget import Asked, forget_command  # noqa: PLC0415  see above

    store = given.pop("store")
    forget_command(Asked(**given), store)


@learned.command(name="label", help=LABEL, short_help="Labels a sitting that was measured.")
@click.argument("folder", metavar="FOLDER", type=click.Path(path_type=Path))
@label_options
@click.option(
    "--learn-again",
    is_flag=True,
    help="Let frames there that were forgotten teach again, the next time they are measured.",
)
@store_option
def label(folder: Path, store: Path | None, *, learn_again: bool, **given: Any) -> None:  # noqa: ANN401  one for each option
    """Label a sitting.

    Parameters
    ----------
    folder : Path
        Where its frames lie, or lay.
    store : Path or None
        The store.
    learn_again : bool
        Whether what was forgotten may be learned again.
    **given : object
        The labels.
    """
    from eyeplane.cli.learned_forget import label_command  # noqa: PLC0415  see above

    label_command(folder, take_labels(given), store, learn_again=learn_again)
