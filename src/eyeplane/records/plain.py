"""Records to plain JSON values and back, driven by their own type hints."""

import base64
import functools
import math
import types
import typing
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from eyeplane.records.measured import Measured

T = TypeVar("T")


def to_plain(record: object) -> Any:  # noqa: ANN401  any JSON value
    """Return a record as dicts, lists, strings, numbers, booleans and None.

    Parameters
    ----------
    record : object
        A record of this package, or anything it may hold.

    Returns
    -------
    object
        What `json.dumps` takes; bytes become base64 text, tuples lists.
    """
    if is_dataclass(record) and not isinstance(record, type):
        return {f.name: to_plain(getattr(record, f.name)) for f in fields(record)}
    if isinstance(record, tuple | list):
        return [to_plain(item) for item in record]
    if isinstance(record, bytes):
        return base64.b64encode(record).decode("ascii")
    return record


def from_plain(kind: type[T], plain: object) -> T:
    """Return the record of type `kind` that `to_plain` took apart.

    Parameters
    ----------
    kind : type
        A record class.
    plain : object
        What `to_plain` returned, possibly through JSON.

    Returns
    -------
    object
        An instance of `kind`, equal to the original.

    Raises
    ------
    TypeError, KeyError, ValueError
        If `plain` does not have the shape of `kind`.
    """
    return typing.cast("T", _builder(typing.cast("Any", kind))(plain))


def plain_number(value: float | None, digits: int) -> float | None:
    """Return a number for JSON, which knows neither NaN nor infinity.

    Parameters
    ----------
    value : float or None
        Any number.
    digits : int
        Decimals to keep.

    Returns
    -------
    float or None
        Rounded; None where it is not finite.

    Examples
    --------
    >>> plain_number(2.345, 1), plain_number(float("inf"), 1)
    (2.3, None)
    """
    return None if value is None or not math.isfinite(value) else round(value, digits)


def plain_measured(measured: Measured | None, digits: int | None) -> dict[str, float] | None:
    """Return a measured number for JSON.

    Parameters
    ----------
    measured : Measured or None
        The number.
    digits : int or None
        Decimals to keep; None keeps all.

    Returns
    -------
    dict or None
        "value", "low" and "high"; rounding keeps their order.

    Examples
    --------
    >>> plain_measured(Measured(value=35.24, low=30.0, high=41.0), 1)
    {'value': 35.2, 'low': 30.0, 'high': 41.0}
    """
    if measured is None:
        return None
    told = {"value": measured.value, "low": measured.low, "high": measured.high}
    return told if digits is None else {name: round(end, digits) for name, end in told.items()}


Build = Callable[[Any], Any]


def _same(plain: Any) -> Any:  # noqa: ANN401  any JSON value
    return plain


@functools.cache  # once a type: to look at hints takes longer than to build the record
def _builder(kind: Any) -> Build:  # noqa: ANN401  driven by type hints
    """Return what makes a value of a type; `_same` where JSON has it as it is."""
    if get_origin(kind) in (Union, types.UnionType):
        inner = _builder(next(a for a in get_args(kind) if a is not type(None)))
        return inner if inner is _same else lambda plain: None if plain is None else inner(plain)
    if get_origin(kind) is tuple:
        return _tuple_builder(get_args(kind))
    if isinstance(kind, type) and is_dataclass(kind):
        hints = get_type_hints(kind)
        parts = tuple((f.name, _builder(hints[f.name])) for f in fields(kind))
        return lambda plain: kind(
            **{n: plain[n] if build is _same else build(plain[n]) for n, build in parts}
        )
    if kind is bytes:
        return base64.b64decode
    return float if kind is float else _same


def _tuple_builder(args: tuple[Any, ...]) -> Build:
    inner = tuple(_builder(arg) for arg in args if arg is not Ellipsis)
    if len(args) == 2 and args[1] is Ellipsis:
        build = inner[0]
        return tuple if build is _same else lambda plain: tuple(map(build, plain))
    return lambda plain: tuple(b(item) for b, item in zip(inner, plain, strict=True))
