"""Points of a sweep: the product of some ranges, laid over a request."""

import functools
import math
import typing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.records import BurstRequest, GroupRequest, Measured, SitterRequest

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
Request = SitterRequest | GroupRequest | BurstRequest

MOST_POINTS = 200_000  # more than anybody reads or plots; bounds time and memory
_NUMERIC = (float, int, float | None)
_LEARNED = Measured | None
BIAS = "focus_bias_mm"
BIAS_UNSURE_MM = 3.0  # each way, of a focus bias whose interval nobody gave; from memory
# Ends of the interval over the value, of what was learned but given without them: the middle 90 %
# of exposures as of usual hands and sitters, and a spread known to three in ten; from memory.
USUAL_RATIO = {"shake_deg_per_s": 4.4, "speed_mm_per_s": 3.2, "focus_spread_mm": 1.3}


def inputs_of(kind: type) -> dict[str, str]:
    """Return the numeric inputs of a request, and which part of it holds each.

    Parameters
    ----------
    kind : type
        `SitterRequest`, `GroupRequest` or `BurstRequest`.

    Returns
    -------
    dict of str to str
        Name to part: "kit", "light", … or "" for the request itself; inputs of the sitting of a
        burst have part "sitting".

    Examples
    --------
    >>> known = inputs_of(SitterRequest)
    >>> known["f_number"], known["focal_length_mm"], known["distance_mm"]
    ('choice', 'kit', '')
    """
    return _known(typing.cast("Any", kind))[0]


@functools.cache  # looking hints up takes longer than changing a request
def _known(kind: Any) -> tuple[dict[str, str], dict[str, Any]]:  # noqa: ANN401  a record class
    """Return the numeric inputs of a record with the part that holds each, and its type hints."""
    found: dict[str, str] = {}
    hints = typing.get_type_hints(kind)
    for field in fields(kind):
        part = hints[field.name]
        if part in (*_NUMERIC, _LEARNED):
            found[field.name] = ""
        elif isinstance(part, type) and is_dataclass(part):
            found |= dict.fromkeys(inputs_of(part), field.name)
    return found, hints


def with_inputs(request: Any, values: Mapping[str, float]) -> Any:  # noqa: ANN401  any request
    """Return a request with some of its numbers changed.

    Parameters
    ----------
    request : SitterRequest, GroupRequest or BurstRequest
        What to change; any part of it, too.
    values : mapping of str to float
        Numbers by name.

    Returns
    -------
    SitterRequest, GroupRequest or BurstRequest
        Whole numbers where the input is one. What was learned keeps the width of its interval: in
        ratio, of a bias in mm.
    """
    kind: Any = type(request)
    known, hints = _known(kind)
    own: dict[str, Any] = {}
    parts: dict[str, dict[str, float]] = {}
    for name, value in values.items():
        if known[name]:
            parts.setdefault(known[name], {})[name] = value
        elif hints[name] == _LEARNED:
            own[name] = _learned(name, getattr(request, name), value)
        else:
            own[name] = round(value) if hints[name] is int else float(value)
    own |= _ranges_along(request, own)
    own |= {part: with_inputs(getattr(request, part), numbers) for part, numbers in parts.items()}
    if own.get("distance_mm") is not None and getattr(request, "framing", None) is not None:
        own["framing"] = None  # the distance makes it
    return replace(request, **own)


def _ranges_along(request: Any, own: Mapping[str, Any]) -> dict[str, tuple[float, float]]:  # noqa: ANN401  any record
    """Return the intervals that numbers of the glass take along: of the same width in ratio."""
    moved = {}
    for name, ends in (("glass_um", "glass_range_um"), ("glass_wide_um", "glass_wide_range_um")):
        if name in own and getattr(request, ends) and getattr(request, name):
            low, high = getattr(request, ends)
            ratio = own[name] / getattr(request, name)
            moved[ends] = (low * ratio, high * ratio)
    return moved


def _learned(name: str, known: Measured | None, value: float) -> Measured:
    """Return a learned number moved to a value."""
    if name == BIAS:
        unsure = (BIAS_UNSURE_MM, BIAS_UNSURE_MM)
        if known is not None:
            unsure = (known.value - known.low, known.high - known.value)
        return Measured(value=value, low=value - unsure[0], high=value + unsure[1])
    if value <= 0:
        raise InputError(f"{value:g} is not above zero", where=name, hint="Give positive numbers")
    low, high = 1.0 / USUAL_RATIO[name], USUAL_RATIO[name]
    if known is not None and known.value > 0:
        low, high = known.low / known.value, known.high / known.value
    return Measured(value=value, low=low * value, high=high * value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Points:
    """A product of ranges over a request.

    Attributes
    ----------
    request : SitterRequest, GroupRequest or BurstRequest
        What holds at all points.
    columns : dict of str to ndarray
        Ranged inputs by name, one number a point; the last changes fastest.
    """

    request: Any
    columns: dict[str, FloatArray]

    def __len__(self) -> int:
        return len(next(iter(self.columns.values())))

    def values(self, name: str) -> FloatArray:
        """Return an input at every point.

        Parameters
        ----------
        name : str
            Any numeric input.

        Returns
        -------
        ndarray
            NaN where it was not given.
        """
        if name in self.columns:
            return self.columns[name]
        holder = self.request
        while part := inputs_of(type(holder))[name]:
            holder = getattr(holder, part)
        value = getattr(holder, name)
        if isinstance(value, Measured):
            value = value.value
        return np.full(len(self), math.nan if value is None else float(value))

    def groups(self, names: Sequence[str]) -> list[tuple[Any, IntArray]]:
        """Return points that agree in some inputs, together.

        Parameters
        ----------
        names : sequence of str
            Inputs in which they agree.

        Returns
        -------
        list of (request, ndarray)
            The request with those inputs set, and the numbers of the points.
        """
        ranged = [name for name in self.columns if name in names]
        if not ranged:
            return [(self.request, np.arange(len(self)))]
        rows = np.stack([self.columns[name] for name in ranged], axis=1)
        kinds, back = np.unique(rows, axis=0, return_inverse=True)
        order = np.argsort(back.ravel(), kind="stable")
        cuts = np.flatnonzero(np.diff(back.ravel()[order])) + 1
        return [
            (with_inputs(self.request, dict(zip(ranged, kind, strict=True))), numbers)
            for kind, numbers in zip(kinds.tolist(), np.split(order, cuts), strict=True)
        ]

    def some(self, numbers: IntArray) -> "Points":
        """Return some of the points.

        Parameters
        ----------
        numbers : ndarray of int
            Which, in any order, also repeatedly.

        Returns
        -------
        Points
            Over the same request.
        """
        return Points(
            request=self.request, columns={n: c[numbers] for n, c in self.columns.items()}
        )

    def with_column(self, name: str, values: FloatArray) -> "Points":
        """Return the points with other values of an input.

        Parameters
        ----------
        name : str
            Any numeric input.
        values : ndarray
            One a point.

        Returns
        -------
        Points
            Over the same request.
        """
        return Points(request=self.request, columns={**self.columns, name: values})


def points_of(request: Request, ranges: Mapping[str, Sequence[float]]) -> Points:
    """Return the product of ranges.

    Parameters
    ----------
    request : SitterRequest, GroupRequest or BurstRequest
        What holds where no range says otherwise.
    ranges : mapping of str to sequence of float
        Numbers by name of input, at least one range.

    Returns
    -------
    Points
        The last range changes fastest.

    Raises
    ------
    InputError
        If an input is not known, a range is empty or holds what is no number, or there are more
        points than `MOST_POINTS`.
    """
    known = inputs_of(type(request))
    if not ranges:
        raise InputError("nothing is a range", where="sweep", hint="Give one input several values")
    for name, values in ranges.items():
        if name not in known:
            raise InputError(
                f"no number is called '{name}'",
                where="sweep",
                hint=f"Use one of {', '.join(sorted(known))}",
            )
        if len(values) == 0 or not all(math.isfinite(v) for v in values):
            raise InputError(
                f"{list(values)} is no range of numbers", where=name, hint="Give one value or more"
            )
    count = math.prod(len(values) for values in ranges.values())
    if count > MOST_POINTS:
        raise InputError(
            f"{count} points are too many",
            where="sweep",
            hint=f"Give ranges whose product is at most {MOST_POINTS}",
        )
    grid = np.meshgrid(*(np.asarray(v, float) for v in ranges.values()), indexing="ij")
    columns = {name: np.ravel(values) for name, values in zip(ranges, grid, strict=True)}
    return Points(request=request, columns=columns)
