"""House rules that no tool checks: module length, units in names, frozen records, exports."""

import ast
import importlib
import inspect
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

import eyeplane
from eyeplane import records

ROOT = Path(eyeplane.__file__).parent
MODULES = sorted(ROOT.rglob("*.py"))
LAYERS = sorted(p.parent.name for p in ROOT.glob("*/__init__.py"))
UNITS = (
    "_cd_per_m2",
    "_cm",
    "_deg",
    "_ev",
    "_ft",
    "_hours",
    "_kb",
    "_lux",
    "_mm",
    "_per_deg",
    "_per_mm",
    "_per_px",
    "_px",
    "_px2",
    "_rad",
    "_s",
    "_td",
    "_um",
    "_days",
    "_deg_per_s",
    "_mm_per_s",
    "_m",
    "_per_s",
    "_stops",
    "_ws",
    "_years",
)


def unit_missing(name: str) -> bool:
    """Return whether a float's name neither ends in a unit nor is a known ratio."""
    ratios = {
        "acutance",
        "brightness",
        "chance",
        "chance_behind",
        "constant",
        "contrast",
        "evidence",
        "foreshortening",
        "fraction",
        "gain",
        "iso",
        "f_number",
        "level",
        "likelihood",
        "magnification",
        "noise",
        "order",
        "overlap",
        "power",
        "prior",
        "probability",
        "quality",
        "quantile",
        "ratio",
        "scale",
        "score",
        "sd",
        "share",
        "share_closed",
        "threshold",
        "value",
        "waves",
        "weight",
    }
    return not (name.endswith(UNITS) or any(name == r or name.endswith("_" + r) for r in ratios))


def public_float_arguments(path: Path) -> list[str]:
    """Return the float arguments of public functions that carry no unit."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        f"{path.name}:{arg.lineno} {node.name}({arg.arg})"
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
        for arg in (*node.args.args, *node.args.kwonlyargs)
        if arg.annotation is not None
        and ast.unparse(arg.annotation) in {"float", "float | None"}
        and unit_missing(arg.arg)
    ]


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_module_is_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_float_arguments_carry_a_unit(path: Path) -> None:
    assert public_float_arguments(path) == []


RECORDS = [c for _, c in inspect.getmembers(records, inspect.isclass)]


@pytest.mark.parametrize("record", RECORDS, ids=lambda c: c.__name__)
def test_records_are_frozen_slotted_and_unitful(record: type) -> None:
    assert is_dataclass(record)
    assert record.__dataclass_params__.frozen  # type: ignore[attr-defined]  # set by dataclass
    assert "__slots__" in vars(record)
    for field in fields(record):
        if record is not records.Measured and field.type in (float, "float", "float | None"):
            assert not unit_missing(field.name), field.name


@pytest.mark.parametrize("layer", LAYERS)
def test_a_layer_lists_its_public_names_sorted_and_documented(layer: str) -> None:
    module = importlib.import_module(f"eyeplane.{layer}")
    names = list(module.__all__)
    constants = [n for n in names if n.isupper()]
    classes = [n for n in names if not n.isupper() and n[:1].isupper()]
    functions = [n for n in names if n not in constants and n not in classes]
    assert names == sorted(constants) + sorted(classes) + sorted(functions)
    assert module.__doc__
    for name in classes + functions:
        thing = getattr(module, name)
        assert inspect.getdoc(thing) or not (inspect.isclass(thing) or inspect.isfunction(thing)), (
            name
        )
