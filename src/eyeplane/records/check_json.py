"""What a check found as JSON, and the schema of it, both driven by the record's own types."""

import functools
import inspect
import math
import re
import types
from dataclasses import fields, is_dataclass
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from eyeplane.records.plain import to_plain

FORMAT_VERSION = 1  # raised when a reader of the JSON would have to change
DIGITS = 6  # significant digits: more than any measurement here is worth
PLAIN_TYPES: dict[type, str] = {
    str: "string",
    bool: "boolean",
    int: "integer",
    float: "number",
    bytes: "string",
    type(None): "null",
}


def check_json(check: str, result: object) -> dict[str, Any]:
    """Return what a check found as what `json.dumps` takes.

    Parameters
    ----------
    check : str
        Which check, e.g. "dust".
    result : object
        Its record.

    Returns
    -------
    dict
        "format_version", "check", and the record's fields; valid by `check_schema`. Numbers keep
        six significant digits.
    """
    plain = to_plain(result)
    return {"format_version": FORMAT_VERSION, "check": check, **_rounded(plain)}


def check_schema(check: str, kind: type) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of what a check writes.

    Parameters
    ----------
    check : str
        Which check.
    kind : type
        The class of its record.

    Returns
    -------
    dict
        With what each field means, as the record's own description says it.

    Raises
    ------
    TypeError
        If a field is of a type that JSON cannot hold.
    """
    parts: dict[str, Any] = {}
    _record(kind, parts)
    whole = parts.pop(kind.__name__)
    head = {
        "format_version": {"const": FORMAT_VERSION, "description": "Version of this format"},
        "check": {"const": check, "description": "Which check this is"},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": whole["description"],
        "type": "object",
        "properties": {**head, **whole["properties"]},
        "required": [*head, *whole["required"]],
        "additionalProperties": False,
        "$defs": parts,
    }


def described(kind: type) -> dict[str, str]:
    """Return what the description of a record says of its fields.

    Parameters
    ----------
    kind : type
        A record class with an "Attributes" section after numpydoc.

    Returns
    -------
    dict of str to str
        By name, each on one line.

    Examples
    --------
    >>> from eyeplane.records import Measured
    >>> described(Measured)["value"]
    'Best single answer.'
    """
    text = inspect.getdoc(kind) or ""
    _, _, rest = text.partition("Attributes\n----------\n")
    rest = re.split(r"\n\n\w[\w ]*\n-{3,}\n", rest)[0]
    found: dict[str, str] = {}
    names: list[str] = []
    for line in rest.splitlines():
        if line and not line.startswith(" "):
            names = [name.strip() for name in line.partition(" : ")[0].split(",")]
            found.update(dict.fromkeys(names, ""))
        elif line.strip():
            for name in names:
                found[name] = f"{found[name]} {line.strip()}".strip()
    return found


def _rounded(plain: Any) -> Any:  # noqa: ANN401  any JSON value
    if isinstance(plain, dict):
        return {name: _rounded(value) for name, value in plain.items()}
    if isinstance(plain, list):
        return [_rounded(value) for value in plain]
    if isinstance(plain, float):
        if not math.isfinite(plain):
            msg = f"{plain} cannot be told in JSON; say None for 'cannot tell'"
            raise ValueError(msg)
        return float(f"{plain:.{DIGITS}g}")
    return plain


def _record(kind: type, parts: dict[str, Any]) -> dict[str, str]:
    name = kind.__name__
    if name not in parts:
        parts[name] = {}  # taken before its fields are looked at: a record may hold its like
        told, hints = described(kind), _hints(kind)
        properties = {}
        for field in fields(kind):
            one = _schema(hints[field.name], parts)
            properties[field.name] = {**one, "description": told.get(field.name, "")}
        parts[name] = {
            "type": "object",
            "description": (inspect.getdoc(kind) or "").splitlines()[0],
            "properties": properties,
            "required": list(properties),
            "additionalProperties": False,
        }
    return {"$ref": f"#/$defs/{name}"}


def _schema(kind: Any, parts: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401  a type hint
    origin, args = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(one, parts) for one in args]}
    if origin is Literal:
        return {"enum": list(args)}
    if origin is tuple:
        return _tuple(args, parts)
    if isinstance(kind, type) and is_dataclass(kind):
        return _record(kind, parts)
    if kind in PLAIN_TYPES:
        return {"type": PLAIN_TYPES[kind]}
    msg = f"{kind} has no place in JSON"
    raise TypeError(msg)


def _tuple(args: tuple[Any, ...], parts: dict[str, Any]) -> dict[str, Any]:
    if len(args) == 2 and args[1] is Ellipsis:
        return {"type": "array", "items": _schema(args[0], parts)}
    each = [_schema(one, parts) for one in args]
    return {"type": "array", "prefixItems": each, "minItems": len(each), "items": False}


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)
