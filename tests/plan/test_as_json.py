"""Plans as JSON: held by the schema, told in the docs, and of the shape that was agreed."""

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.deliver import plan_builder

from eyeplane import records
from eyeplane.plan import plan_json, plan_schema
from eyeplane.records import BurstPlan, GroupPlan, SitterPlan

DOCS = (Path(__file__).parents[2] / "docs" / "json-plan.md").read_text(encoding="utf-8")
SCHEMA = plan_schema()
PARTS = SCHEMA["$defs"]
MADE: Mapping[str, Callable[[], SitterPlan | GroupPlan | BurstPlan]] = {
    "sitter": plan_builder.sitter_plan,
    "group": plan_builder.group_plan,
    "burst": plan_builder.burst_plan,
}


def check(value: object, part: str = "") -> dict[str, Any]:
    """Hold a value against the schema, after a trip through text that allows no NaN."""
    schema = {**SCHEMA, "$ref": f"#/$defs/{part}"} if part else SCHEMA
    if part:
        del schema["oneOf"]
    told: dict[str, Any] = json.loads(json.dumps(value, allow_nan=False))
    jsonschema.Draft202012Validator(schema).validate(told)
    return told


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("kind", MADE)
def test_every_plan_is_valid(kind: str) -> None:
    told = check(plan_json(MADE[kind](), assumed=["--yaw 0"], recalled=["kit A: --sync 1/160"]))
    assert told["kind"] == kind
    assert told["format_version"] == 1
    assert (told["assumed"], told["recalled"]) == (["--yaw 0"], ["kit A: --sync 1/160"])
    check(told, f"{kind}_plan")


def test_settings_have_the_shape_that_was_agreed() -> None:
    best = plan_json(plan_builder.sitter_plan())["settings"][0]
    assert (best["f_number"], best["shutter_s"], best["iso"]) == (4.0, 1 / 320, 800)
    assert best["share"] == {"value": 0.66, "low": 0.52, "high": 0.78}
    parts = {"focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels"}
    assert set(best["budget_um"]["near"]) == set(best["budget_um"]["far"]) == parts
    assert (best["budget_um"]["near"]["sitter"], best["budget_um"]["far"]["depth"]) == (14.0, 18.0)
    assert best["budget_reach_cm"]["near"]["noise"] == 73.0
    assert best["depth_mm"] == {"front": 23.0, "behind": 24.0}
    assert best["focus_from_near_iris_mm"] == 4.0
    assert best["reach_cm"]["far"] == {"value": 48.0, "low": 30.0, "high": 82.0}
    assert best["background_blur_mm"] == 26.4


def test_a_group_has_its_rows_and_focus_at_the_top() -> None:
    told = plan_json(plan_builder.group_plan(rows=3))
    assert told["focus_distance_mm"] == pytest.approx(3745.0)
    first, _, last = told["rows"]
    assert set(first) >= {"distance_mm", "inside", "lean_cm"}
    assert (first["distance_mm"], last["distance_mm"]) == (3500.0, 4700.0)
    assert len(told["settings"][0]["eyes"]) == 3


def test_a_depth_without_end_is_null_and_no_number_is_infinite() -> None:
    plan = plan_builder.sitter_plan()
    endless = replace(plan.settings[0], depth_behind_mm=None, background_blur_share=math.inf)
    best = check(plan_json(replace(plan, settings=(endless,))))["settings"][0]
    assert best["depth_mm"]["behind"] is None
    assert best["background_blur_share"] is None


def test_the_schema_lets_nothing_else_through() -> None:
    plain = plan_json(plan_builder.sitter_plan())
    broken: list[dict[str, Any]] = [json.loads(json.dumps(plain)) for _ in range(4)]
    broken[0]["settings"][0]["stars"] = 5
    del broken[1]["settings"][0]["share"]
    broken[2]["settings"][0]["eyes"][0]["parts"][0]["cause"] = "blurry"
    broken[3]["kind"] = "group"
    for value in broken:
        with pytest.raises(jsonschema.ValidationError):
            check(value)


def test_every_object_is_closed_and_every_field_described() -> None:
    for name, part in PARTS.items():
        assert part["additionalProperties"] is False, name
        assert sorted(part["required"]) == sorted(part["properties"]), name
        assert part["description"], name
        for field, about in part["properties"].items():
            assert about["description"], (name, field)


def documented(heading: str) -> dict[str, str]:
    """Return the rows of the table under a heading."""
    found = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", DOCS, re.MULTILINE | re.DOTALL)
    assert found, heading
    return dict(re.findall(r"^\| `([^`]+)` \| (\S.*) \|$", found[1], re.MULTILINE))


@pytest.mark.parametrize("name", PARTS)
def test_the_document_has_every_field_and_no_other(name: str) -> None:
    about = PARTS[name]["properties"]
    told = documented(name.replace("_", " "))
    assert list(told) == list(about)
    for field, said in told.items():
        assert said.replace("`", "").rstrip(".") == about[field]["description"]


def test_the_document_has_a_valid_example() -> None:
    example = re.search(r"```json\n(.*?)```", DOCS, re.DOTALL)
    assert example is not None
    check(json.loads(example[1]), "setting")


@pytest.mark.parametrize(
    ("part", "record"),
    [
        ("kit", records.PlanKit),
        ("plan_light", records.PlanLight),
        ("sitter", records.PlanSitter),
        ("hand", records.PlanHand),
        ("promise", records.PlanPrint),
        ("choice", records.PlanChoice),
        ("sitter_request", records.SitterRequest),
        ("group_request", records.GroupRequest),
        ("burst_request", records.BurstRequest),
        ("eye", records.PlanEye),
        ("part", records.PlanPart),
        ("mark", records.PlanMark),
        ("shutter_point", records.ShutterPoint),
        ("scaled", records.ScaledShutter),
        ("way", records.LightWay),
        ("recompose", records.Recompose),
        ("frames_needed", records.FramesNeeded),
        ("quality", records.LightQuality),
        ("row", records.GroupRow),
        ("place", records.GroupPlace),
        ("stop", records.GroupStop),
        ("burst_step", records.BurstStep),
    ],
)
def test_no_field_of_a_record_is_left_out(part: str, record: type) -> None:
    assert is_dataclass(record)
    assert {field.name for field in fields(record)} == set(PARTS[part]["properties"])
