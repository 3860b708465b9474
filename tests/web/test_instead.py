"""No page tells anybody to type a command."""

import ast
import re
from pathlib import Path

import pytest

import eyeplane
from eyeplane.web.instead import said_here

ROOT = Path(eyeplane.__file__).parent
SAID_ON_PAGES = (
    *sorted((ROOT / "deliver").glob("*_content.py")),
    *sorted((ROOT / "deliver").glob("*_words.py")),
    *sorted((ROOT / "kit").glob("*.py")),
    *sorted((ROOT / "sitting").glob("ladder*.py")),
    ROOT / "asked" / "check_chart.py",
    ROOT / "asked" / "check_focus.py",
    ROOT / "asked" / "check_glass.py",
    ROOT / "asked" / "ladders.py",
)
ELSEWHERE = ("plan_", "against", "burst")  # not on these pages
COMMAND = re.compile(r"(?<!\w)--[a-z]|eyeplane (?:kit|learned|measure|ladder)\b")


def sentences() -> list[str]:
    """Return the texts that stand in modules whose words come to these pages."""
    found = []
    for file in SAID_ON_PAGES:
        if any(part in file.name for part in ELSEWHERE):
            continue
        tree = ast.parse(file.read_text("utf-8"))
        described = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            whole = isinstance(node, ast.Constant) and isinstance(node.value, str)
            if whole and id(node) not in described and COMMAND.search(str(node.value)):  # type: ignore[attr-defined]  # whole
                found.append(str(node.value))  # type: ignore[attr-defined]  # whole
    return found


@pytest.mark.parametrize("sentence", sorted(set(sentences())))
def test_a_command_is_said_as_what_is_done_here(sentence: str) -> None:
    assert COMMAND.search(said_here(sentence)) is None, said_here(sentence)


def test_other_sentences_stay_as_they_are() -> None:
    said = "Use the blower first, mount down, and check again."
    assert said_here(said) == said
