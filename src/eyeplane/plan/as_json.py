"""A plan as plain JSON values, in the shape that plan.schema.json holds."""

import json
from collections.abc import Iterable
from typing import Any

from eyeplane.records import (
    BurstPlan,
    BurstRequest,
    GroupPlan,
    GroupRequest,
    Measured,
    PlanEye,
    PlanSetting,
    SitterPlan,
    SitterRequest,
    Sweep,
    plain_measured,
    plain_number,
    to_plain,
)

FORMAT_VERSION = 1  # raised when a reader of the JSON would have to change
PARTS = ("focus", "depth", "shake", "sitter", "diffraction", "glass", "pixels")
# Decimals to which a number is worth telling, by the end of its name.
DIGITS = {"_mm": 1, "_um": 2, "_cm": 1, "_deg": 2, "_ev": 2, "share": 4, "chance": 4, "_both": 4}
EXACT = 12  # significant digits of what was typed or set: f-numbers, times, ISO


def plan_json(
    plan: SitterPlan | GroupPlan | BurstPlan,
    *,
    assumed: Iterable[str] = (),
    recalled: Iterable[str] = (),
    learned: Iterable[str] = (),
) -> dict[str, Any]:
    """Return a plan as what `json.dumps` takes.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        As planned.
    assumed, recalled, learned : iterable of str
        What nobody said, what was recalled, and what sittings taught, ready to be shown.

    Returns
    -------
    dict
        Valid by `plan_schema`; every number finite and rounded to what it is worth: 0.1 mm,
        0.01 µm, 0.1 cm, 0.01 degrees, shares and chances to 0.0001. Settings and what was asked
        for stand as they are.
    """
    kinds = {SitterPlan: "sitter", GroupPlan: "group", BurstPlan: "burst"}
    told = {
        "format_version": FORMAT_VERSION,
        "kind": kinds[type(plan)],
        **{name: _told(name, getattr(plan, name)) for name in _names(plan) if name != "setting"},
        "assumed": list(assumed),
        "recalled": list(recalled),
        "learned": list(learned),
    }
    told["request"] = to_plain(plan.request)
    settings = (plan.setting,) if isinstance(plan, BurstPlan) else plan.settings
    told["settings"] = [_setting(setting) for setting in settings]
    return told


def table_json(
    sweep: Sweep,
    request: SitterRequest | GroupRequest | BurstRequest,
    *,
    assumed: Iterable[str] = (),
    recalled: Iterable[str] = (),
    learned: Iterable[str] = (),
) -> dict[str, Any]:
    """Return a sweep as what `json.dumps` takes.

    Parameters
    ----------
    sweep : Sweep
        The table.
    request : SitterRequest, GroupRequest or BurstRequest
        What it was made for, with the first value of each range.
    assumed, recalled, learned : iterable of str
        As for `plan_json`.

    Returns
    -------
    dict
        Valid by `plan_schema`; numbers rounded as those of a plan.
    """
    kinds = {SitterRequest: "sitter", GroupRequest: "group", BurstRequest: "burst"}
    return {
        "format_version": FORMAT_VERSION,
        "kind": "table",
        "plan": kinds[type(request)],
        "request": to_plain(request),
        "names": list(sweep.names),
        "columns": {
            name: [_told(name.removesuffix("_low").removesuffix("_high"), one) for one in column]
            for name, column in sweep.columns.items()
        },
        "settled": sweep.settled,
        "notes": list(sweep.notes),
        "assumed": list(assumed),
        "recalled": list(recalled),
        "learned": list(learned),
    }


def plan_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of what `plan_json` returns.

    Returns
    -------
    dict
        The schema, with a description of each field and its unit.
    """
    from importlib import resources  # noqa: PLC0415  a plan does not need it and should be quick

    file = resources.files("eyeplane.plan").joinpath("plan.schema.json")
    schema: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return schema


def _setting(setting: PlanSetting) -> dict[str, Any]:
    near, far = setting.eyes[0], setting.eyes[-1]
    depth_front, depth_behind = setting.depth_front_mm, setting.depth_behind_mm
    told = {name: _told(name, getattr(setting, name)) for name in _names(setting)}
    del told["depth_front_mm"], told["depth_behind_mm"]
    return {
        **told,
        "budget_um": {"near": _blurs(near), "far": _blurs(far)},
        "budget_reach_cm": {"near": _reaches(near), "far": _reaches(far)},
        "depth_mm": {
            "front": plain_number(depth_front, DIGITS["_mm"]),
            "behind": plain_number(depth_behind, DIGITS["_mm"]),
        },
        "reach_cm": {
            "near": plain_measured(near.reach_cm, DIGITS["_cm"]),
            "far": plain_measured(far.reach_cm, DIGITS["_cm"]),
        },
    }


def _blurs(eye: PlanEye) -> dict[str, float | None]:
    known = {part.cause: part.blur_um for part in eye.parts}
    return {cause: plain_number(known.get(cause), DIGITS["_um"]) for cause in PARTS}


def _reaches(eye: PlanEye) -> dict[str, float | None]:
    known = {part.cause: part.reach_without_cm for part in eye.parts}
    return {cause: plain_number(known.get(cause), DIGITS["_cm"]) for cause in (*PARTS, "noise")}


def _told(name: str, value: object) -> Any:  # noqa: ANN401  any JSON value
    """Return a field: numbers rounded by what their name says they are."""
    if isinstance(value, Measured):
        return plain_measured(value, _digits(name))
    if isinstance(value, float):
        digits = _digits(name)
        return float(f"{value:.{EXACT}g}") if digits is None else plain_number(value, digits)
    if isinstance(value, tuple):
        return [_told(name, one) for one in value]
    if hasattr(type(value), "__dataclass_fields__"):
        return {field: _told(field, getattr(value, field)) for field in _names(value)}
    return value


def _digits(name: str) -> int | None:
    return next((digits for end, digits in DIGITS.items() if name.endswith(end)), None)


def _names(record: object) -> tuple[str, ...]:
    return tuple(type(record).__dataclass_fields__)  # type: ignore[attr-defined]  # a record
