"""Help, its speed, and that every option is told in plain words here and in the docs."""

import re
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_values import PlanOption
from eyeplane.cli import main

PAGES = Path(__file__).parents[2] / "docs"
DOCS = "\n".join((PAGES / f"{name}.md").read_text("utf-8") for name in ("commands", "commands-kit"))
HEAVY = ("numpy", "scipy", "cv2", "PIL", "rich", "jinja2", "sqlite3", "numba", "ai_edge_litert")


def commands() -> dict[str, click.Command]:
    """Return every command by the words that call it."""
    found: dict[str, click.Command] = {"": main}

    def look(group: click.Group, before: str) -> None:
        with click.Context(group) as ctx:
            named = [(name, group.get_command(ctx, name)) for name in group.list_commands(ctx)]
        for name, command in named:
            assert command is not None, name
            found[f"{before}{name}"] = command
            if isinstance(command, click.Group):
                look(command, f"{before}{name} ")

    look(main, "")
    return found


def options() -> list[tuple[str, click.Option]]:
    with click.Context(main) as ctx:
        return [
            (name, parameter)
            for name, command in commands().items()
            for parameter in command.get_params(ctx)
            if isinstance(parameter, click.Option)
        ]


def section(command: str) -> str:
    """Return what the docs say of a command, with what all plans or lean-ins have in common."""
    parts = re.split(r"^##+ (?=eyeplane)", DOCS, flags=re.MULTILINE)[1:]
    names = sorted(commands(), key=len, reverse=True)
    said = {}
    for part in parts:
        words = f"{part.partition(chr(10))[0].removeprefix('eyeplane').strip()} "
        said[next(name for name in names if words.startswith(f"{name} ".lstrip()))] = part
    shared = {"plan burst": ("plan sitter", "plan")}.get(
        command, ("plan",) if command.startswith("plan ") else ()
    )
    return "".join(said[name] for name in (command, *shared))


@pytest.mark.parametrize(("command", "option"), options(), ids=str)
def test_every_option_is_explained_here_and_in_the_docs(command: str, option: click.Option) -> None:
    assert option.help, f"{command}: {option.opts}"
    assert len(option.help.split()) >= 3
    assert f"`{option.opts[-1]}" in section(command)


@pytest.mark.parametrize("command", sorted(commands()))
def test_every_command_is_explained_here_and_in_the_docs(command: str) -> None:
    assert commands()[command].help
    assert section(command)


@pytest.mark.parametrize(
    ("plan", "option"),
    [(kind, one) for kind, table in TABLES.items() for one in table],
    ids=lambda one: one if isinstance(one, str) else one.name,
)
def test_defaults_of_a_plan_are_the_same_in_the_docs(plan: str, option: PlanOption) -> None:
    start = (f"| `--{option.name} ", f"| `--{option.name}`")
    rows = [row for row in section(f"plan {plan}").splitlines() if row.startswith(start)]
    assert rows, option.name
    assert ("Default `" in rows[0]) == bool(option.default)
    if option.default:
        assert f"Default `{option.default}`" in rows[0]


def test_exit_statuses_are_told_here_and_in_the_docs() -> None:
    said = CliRunner().invoke(main, ["measure", "--help"]).output
    for status in ("0", "1", "2", "3", "130"):
        assert f"    {status} " in said
        assert f"| {status} |" in DOCS


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["measure", "-h"],
        ["plan", "sitter", "-h"],
        ["kit", "-h"],
        ["kit", "against", "-h"],
        ["ladder", "-h"],
        ["learned", "show", "-h"],
        ["--version"],
        [],
    ],
)
def test_help_is_quick_and_loads_nothing_heavy(words: list[str]) -> None:
    code = (
        "import sys, time\nfrom eyeplane.cli import main\n"
        f"try: main({words!r})\nexcept SystemExit as end: assert not end.code, end.code\n"
        f"print('LOADED', [m for m in {HEAVY!r} if m in sys.modules])\n"
        "print(time.process_time())"
    )
    times_s = []
    for _ in range(3):
        run = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=False
        )
        assert run.returncode == 0, run.stderr
        assert "LOADED []" in run.stdout
        times_s.append(float(run.stdout.splitlines()[-1]))
    # Of the processor, since others may use it too: 0.2 s; far more than the promised 0.4 s is a
    # fault.
    assert min(times_s) < 0.8


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["measure", "--at", "3", "x"], "'3' is no place"),
        (["measure", "--at", "3,-1", "x"], "'3,-1' is no place"),
        (["measure", "--at", "3,nan", "x"], "'3,nan' is no place"),
        (["measure", "--at", "3,4,5", "x"], "'3,4,5' is no place"),
        (["measure", "--at", "3,,4", "x"], "'3,,4' is no place"),
        (["measure", "--print-cm", "-60", "x"], "'-60' is no length"),
        (["measure", "--print-cm", "0", "x"], "'0' is no length"),
        (["measure", "--print-cm", "nan", "x"], "'nan' is no length"),
        (["measure", "--viewing-cm", "far", "x"], "'far' is no distance"),
        (["measure", "--viewing-cm", "inf", "x"], "'inf' is no distance"),
        (["measure", "--workers", "0", "x"], "'0' will not do"),
        (["measure", "--workers", "1.5", "x"], "'1.5' will not do"),
        (["measure"], "PATH"),
        (["measure", "--sharp", "x"], "--sharp"),
        (["weigh"], "weigh"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_and_status_2(words: list[str], said: str) -> None:
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.count("\n") == 1
    assert result.stdout == ""
