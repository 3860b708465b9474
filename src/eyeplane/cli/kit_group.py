"""`eyeplane kit …` as click sees it: each check is loaded when it is asked for."""

from importlib import import_module

import click

ABOUT = """Checks your kit from frames of it: print a chart and photograph it, photograph an even
wall, or take frames of a sitting you have.

Each check says what it found in one sentence, what to do about it, and keeps it, so that the next
one can say what is new. Checks made with --kit NAME go into plans made with the same name."""
COMMANDS = ("print", "chart", "focus", "dust", "glass", "against", "log")


class KitGroup(click.Group):
    """Commands found by their names, each in a module of its own."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of the checks.

        Parameters
        ----------
        ctx : Context
            The run.

        Returns
        -------
        list of str
            In the order in which they are used.
        """
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a check by its name.

        Parameters
        ----------
        ctx : Context
            The run.
        cmd_name : str
            What was typed.

        Returns
        -------
        Command or None
            None if there is none of that name.
        """
        del ctx
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"eyeplane.cli.kit_{cmd_name}_options")
        command: click.Command = getattr(module, f"kit_{cmd_name}")
        return command


@click.group(cls=KitGroup, name="kit", help=ABOUT, short_help="Checks your kit from frames of it.")
def kit() -> None:
    """Start the command; its parts do the rest."""
