"""The docs page of the JSON of kit checks and of what is learned, made from the records.

Run it to write the page anew: ``python tests/records/checks_page.py``.
"""

import typing
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

from eyeplane.records.check_json import check_schema

PAGE = Path(__file__).parents[2] / "docs" / "json-checks.md"
RECORDS = {  # by command: the module and class of what it finds
    "kit chart": ("kit_chart", "ChartResult"),
    "kit focus": ("kit_focus", "FocusTargetResult"),
    "kit dust": ("kit_dust", "DustResult"),
    "kit glass": ("kit_glass", "GlassResult"),
    "kit against": ("kit_against", "AgainstResult"),
    "ladder": ("ladder", "LadderResult"),
    "learned show": ("lessons", "LearnedNumbers"),
    "learned export": ("lessons", "LearnedExport"),
}
HEAD = (
    "# JSON of kit checks, ladders and what was learned\n\n"
    "What `--json` writes after `eyeplane kit chart|focus|dust|glass|against`, `eyeplane ladder` "
    "and `eyeplane learned show`, and the file of `eyeplane learned export`. Units stand at the "
    "end of a name (`_mm`, `_um` micrometres, `_px` pixels of the "
    "frame, `_cm`, `_s`, `_deg`, `_ev`); shares go from 0 to 1. A measured number is an object "
    "with `value`, `low` and `high`: the interval from low to high holds the truth nine times in "
    'ten. null means "cannot tell", and a field beside it or a note says why.\n\n'
    "In Python `eyeplane.records.check_json.check_schema(check, record)` returns the JSON Schema "
    "(2020-12) of each. This page is made from the records' own descriptions, and a test holds "
    "it to them.\n"
)


def record_of(command: str) -> type:
    """Return the class of what a command finds."""
    module, name = RECORDS[command]
    return typing.cast("type", getattr(import_module(f"eyeplane.records.{module}"), name))


def check_of(command: str) -> str:
    """Return what a command's JSON calls itself."""
    return {"learned show": "learned"}.get(command, command.removeprefix("kit "))


def page() -> str:
    """Return the whole page."""
    return "\n".join([HEAD, *(line for command in RECORDS for line in _section(command))])


def _section(command: str) -> Iterator[str]:
    schema = check_schema(check_of(command), record_of(command))
    yield f"## eyeplane {command}{'' if command.endswith('export') else ' --json'}"
    yield ""
    yield schema["title"]
    yield ""
    yield from _rows(schema)
    for name, part in schema["$defs"].items():
        if name != "Measured":
            yield f"### {name}"
            yield ""
            yield part["description"]
            yield ""
            yield from _rows(part)


def _rows(part: dict[str, Any]) -> Iterator[str]:
    yield "| field | is | meaning |"
    yield "| --- | --- | --- |"
    for name, one in part["properties"].items():
        told = one["description"].replace("|", "\\|")
        yield f"| `{name}` | {_kind(one)} | {told} |"
    yield ""


def _kind(one: dict[str, Any]) -> str:
    if "anyOf" in one:
        return " or ".join(_kind(part) for part in one["anyOf"])
    if "$ref" in one:
        return str(one["$ref"]).rpartition("/")[2]
    if "const" in one or "enum" in one:
        return " or ".join(f"`{value}`" for value in one.get("enum", [one.get("const")]))
    return _list(one) if one["type"] == "array" else str(one["type"])


def _list(one: dict[str, Any]) -> str:
    if one["items"] is not False:
        return f"list of {_kind(one['items'])}"
    return f"list of {len(one['prefixItems'])}: " + ", ".join(map(_kind, one["prefixItems"]))


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
