"""JSON of a check and its schema come from the record itself, and hold together."""

import json
from dataclasses import dataclass
from typing import Literal

import jsonschema
import pytest

from eyeplane.records import Measured
from eyeplane.records.check_json import check_json, check_schema, described


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One spot.

    Attributes
    ----------
    at_mm : tuple of float
        (x, y) on
        the sensor.
    depth_share : Measured or None
        How deep; None where it cannot be told.
    kind : {"round", "hair"}
        Its form.
    """

    at_mm: tuple[float, float]
    depth_share: Measured | None
    kind: Literal["round", "hair"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found.

    Attributes
    ----------
    kit : str
        Body and lens.
    low_mm, high_mm : float
        Ends.
    spots : tuple of Spot
        Deepest first.
    new : int or None
        Since last time.

    Notes
    -----
    Not a field : at all.
    """

    kit: str
    low_mm: float
    high_mm: float
    spots: tuple[Spot, ...]
    new: int | None


FOUND = Found(
    kit="A",
    low_mm=1 / 3,
    high_mm=2e9 / 3,
    spots=(
        Spot(
            at_mm=(1.0, 2.0),
            depth_share=Measured(value=0.123456789, low=0.1, high=0.2),
            kind="round",
        ),
        Spot(at_mm=(0.0, 0.0), depth_share=None, kind="hair"),
    ),
    new=None,
)


def test_what_is_written_is_valid_by_its_schema_and_says_what_it_is() -> None:
    told = json.loads(json.dumps(check_json("dust", FOUND), allow_nan=False))
    schema = check_schema("dust", Found)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(told, schema)
    assert told["check"] == "dust"
    assert told["low_mm"] == 0.333333
    assert told["spots"][0]["depth_share"]["value"] == 0.123457
    wrong = [("new", 1.5), ("check", "glass"), ("kit", None), ("more", 1), ("spots", [{}])]
    for name, value in wrong:
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**told, name: value}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({k: v for k, v in told.items() if k != "kit"}, schema)


def test_every_field_is_described_by_the_records_own_words() -> None:
    schema = check_schema("dust", Found)
    assert schema["title"] == "What was found."
    assert schema["properties"]["high_mm"]["description"] == "Ends."
    spot = schema["$defs"]["Spot"]["properties"]
    assert spot["at_mm"]["description"] == "(x, y) on the sensor."
    assert set(described(Found)) == {"kit", "low_mm", "high_mm", "spots", "new"}


def test_what_json_cannot_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot tell"):
        check_json("dust", Spot(at_mm=(float("nan"), 0.0), depth_share=None, kind="hair"))

    @dataclass(frozen=True)
    class Odd:
        """Odd."""

        where: set[str]

    with pytest.raises(TypeError, match="no place in JSON"):
        check_schema("odd", Odd)
